//! The one place where transcendental functions come from.
//!
//! The platform's own `exp` differs between a laptop and a browser in the last bit; `libm` is plain
//! Rust and gives the same bits everywhere. `sqrt`, `abs` and the four operations are exact by
//! IEEE 754 and need no detour.

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

/// Square root of `x`, exact to the last bit on every platform.
pub fn sqrt(x: f64) -> f64 {
    libm::sqrt(x)
}

/// Sine of `x` in radians.
pub fn sin(x: f64) -> f64 {
    libm::sin(x)
}
