//! Preferred values (IEC 60063) and the colour code of resistors (IEC 60062).

/// IEC 60063, series E12. The values don't all follow the rounded powers of ten, so they are listed.
pub const E12: [u8; 12] = [10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82];

/// IEC 60063, series E24.
pub const E24: [u8; 24] =
    [10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91];

/// The names of the digits 0 to 9 as colours, IEC 60062.
pub const DIGIT_COLOURS: [&str; 10] =
    ["black", "brown", "red", "orange", "yellow", "green", "blue", "violet", "grey", "white"];

/// Tolerances in per cent and their colours, IEC 60062. 20 % has no band.
pub const TOLERANCE_COLOURS: [(f64, &str); 7] = [
    (0.1, "violet"),
    (0.25, "blue"),
    (0.5, "green"),
    (1.0, "brown"),
    (2.0, "red"),
    (5.0, "gold"),
    (10.0, "silver"),
];

/// The bands of a resistor as colour names, first digit first: two digits, multiplier and tolerance
/// where two digits tell the value, three digits where it takes three. `None` where the value has
/// more than three significant digits or the multiplier has no colour (below 0.01 or above 10⁹).
pub fn bands(ohms: f64, tolerance_percent: f64) -> Option<Vec<&'static str>> {
    if !(ohms.is_finite() && ohms >= 0.0) {
        return None;
    }
    let tolerance = TOLERANCE_COLOURS.iter().find(|(percent, _)| *percent == tolerance_percent);
    let tolerance = match tolerance {
        Some((_, colour)) => Some(*colour),
        None if tolerance_percent == 20.0 => None,
        None => return None,
    };
    if ohms == 0.0 {
        // A bridge: a single black band.
        return Some(vec!["black"]);
    }
    for digits in [2_i32, 3] {
        let mut exponent = crate::math::log10(ohms).floor() as i32 - (digits - 1);
        let mut scaled = ohms / crate::math::pow(10.0, f64::from(exponent));
        if scaled.round() >= crate::math::pow(10.0, f64::from(digits)) {
            scaled /= 10.0;
            exponent += 1;
        }
        // 1e-9 forgives the division, not a fourth digit.
        if (scaled - scaled.round()).abs() > 1e-9 * scaled {
            continue;
        }
        let number = scaled.round() as u32;
        let multiplier = match exponent {
            -2 => "silver",
            -1 => "gold",
            0..=9 => DIGIT_COLOURS[exponent as usize],
            _ => return None,
        };
        let mut colours: Vec<&'static str> = Vec::with_capacity(5);
        for place in (0..digits).rev() {
            colours.push(DIGIT_COLOURS[(number / 10_u32.pow(place as u32) % 10) as usize]);
        }
        colours.push(multiplier);
        colours.extend(tolerance);
        return Some(colours);
    }
    None
}

/// The value and tolerance (per cent) that a string of bands means: the reverse of [`bands`].
/// `None` where the colours mean nothing.
pub fn read_bands(colours: &[&str]) -> Option<(f64, f64)> {
    let digit = |colour: &str| DIGIT_COLOURS.iter().position(|c| *c == colour);
    let tolerance_of =
        |colour: &str| TOLERANCE_COLOURS.iter().find(|(_, c)| *c == colour).map(|(percent, _)| *percent);
    if colours == ["black"] {
        return Some((0.0, 20.0));
    }
    let (digits, multiplier, tolerance) = match colours {
        [a, b, m] => (vec![a, b], m, 20.0),
        [a, b, m, t] => (vec![a, b], m, tolerance_of(t)?),
        [a, b, c, m, t] => (vec![a, b, c], m, tolerance_of(t)?),
        _ => return None,
    };
    let mut number = 0.0;
    for colour in digits {
        number = number * 10.0 + digit(colour)? as f64;
    }
    let factor = match *multiplier {
        "silver" => 0.01,
        "gold" => 0.1,
        colour => crate::math::pow(10.0, digit(colour)? as f64),
    };
    Some((number * factor, tolerance))
}
