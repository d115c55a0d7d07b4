//! The one place where transcendental functions come from.
//!
//! The platform's own `exp` differs between a laptop and a browser in the last bit; `libm` is plain
//! Rust and gives the same bits everywhere. `sqrt`, `floor`, `abs` and the four operations are
//! exact by IEEE 754 and need no detour.

/// e to the power of `x`.
pub fn exp(x: f64) -> f64 {
    libm::exp(x)
}

/// Natural logarithm of `x`.
pub fn ln(x: f64) -> f64 {
    libm::log(x)
}

/// Decimal logarithm of `x`.
pub fn log10(x: f64) -> f64 {
    libm::log10(x)
}

/// `base` to the power of `exponent`.
pub fn pow(base: f64, exponent: f64) -> f64 {
    libm::pow(base, exponent)
}

/// Real cube root of `x`.
pub fn cbrt(x: f64) -> f64 {
    libm::cbrt(x)
}

/// Angle of the point (x, y), radians. Pictures need no more than single precision.
pub fn atan2(y: f32, x: f32) -> f32 {
    libm::atan2f(y, x)
}

/// Sine and cosine of an angle in turns. Whole turns are taken off exactly, an eighth of a turn is the
/// most that is left for the series, whose first term left out is below 1e-17: good to two units in the
/// last place. (A sine of radians would need π to a thousand digits for large angles.)
pub fn sin_cos_turns(turns: f64) -> (f64, f64) {
    let turns = turns - turns.floor();
    let quarter = (4.0 * turns + 0.5).floor();
    let x = (turns - 0.25 * quarter) * (2.0 * core::f64::consts::PI);
    let square = x * x;
    // Taylor's series, from the smallest term up (Horner).
    let (mut sin, mut cos) = (1.0, 1.0);
    for n in (1..=9).rev() {
        let n = f64::from(2 * n);
        sin = 1.0 - sin * square / (n * (n + 1.0));
        cos = 1.0 - cos * square / (n * (n - 1.0));
    }
    let sin = x * sin;
    match quarter as u8 {
        1 => (cos, -sin),
        2 => (-sin, -cos),
        3 => (-cos, sin),
        _ => (sin, cos),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sine_and_cosine_of_turns_agree_with_those_of_radians() {
        for step in -4000..4000 {
            let turns = f64::from(step) / 1237.0;
            let radians = turns * 2.0 * core::f64::consts::PI;
            let (sin, cos) = sin_cos_turns(turns);
            // The reference's argument is rounded, which counts for 1e-15 at three turns.
            assert!((sin - radians.sin()).abs() < 3e-15 && (cos - radians.cos()).abs() < 3e-15, "{turns}");
        }
        assert_eq!(sin_cos_turns(0.25).0, 1.0);
        assert_eq!(sin_cos_turns(1e9 + 0.5).1, -1.0);
    }
}
