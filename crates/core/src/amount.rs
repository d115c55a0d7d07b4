//! Amounts as people read them: `15.4 mA`, `4.7 kΩ`, `−220 mV`. What programs read is not written here.

use crate::number::PREFIXES;
use crate::unit::Unit;

/// The number with three significant digits and an engineering prefix, then the symbol. Values
/// below a thousandth of a pico are written as 0.
pub fn with_prefix(value: f64, symbol: &str) -> String {
    if !value.is_finite() {
        return format!("? {symbol}");
    }
    let size = value.abs();
    if size < 1e-15 {
        return format!("0 {symbol}");
    }
    // A value that rounds up to 1000 of a prefix belongs to the next one.
    let (_, factor, prefix) =
        PREFIXES.into_iter().find(|&(_, factor, _)| size >= factor * 0.9995).unwrap_or((-12, 1e-12, "p"));
    format!("{} {prefix}{symbol}", three_digits(value / factor))
}

/// A value of a part: like [`with_prefix`], without trailing zeros: `220 Ω`, `4.7 kΩ`.
pub fn value(value: f64, unit: Unit) -> String {
    let (value, symbol) = match unit {
        Unit::Share => (value * 100.0, "%"),
        other => (value, other.symbol()),
    };
    match unit {
        Unit::Ohm | Unit::Volt | Unit::Amp | Unit::Farad | Unit::Henry | Unit::Hertz => plain(value, symbol),
        _ => format!("{} {symbol}", trimmed(value)),
    }
}

/// A value that was chosen and not measured: like [`with_prefix`], without trailing zeros: `20 ms`.
pub fn plain(value: f64, symbol: &str) -> String {
    let text = with_prefix(value, symbol);
    match text.split_once(' ') {
        Some((number, rest)) if number.contains('.') => {
            format!("{} {rest}", number.trim_end_matches('0').trim_end_matches('.'))
        }
        _ => text,
    }
}

/// A value as a field shows it, its unit beside it: `4.7k`. [`crate::number::read`] reads it back.
pub fn in_field(x: f64, unit: Unit) -> String {
    let text = value(x, unit);
    text.strip_suffix(unit.symbol()).unwrap_or(&text).replacen(' ', "", 1)
}

/// A time: like [`with_prefix`] in seconds, and from a thousand seconds on `16 min 40 s`, `2 h 0 min 5 s`.
pub fn time(seconds: f64) -> String {
    if seconds.is_nan() || seconds < 999.5 {
        return with_prefix(seconds, "s");
    }
    let whole = seconds.round() as u64;
    let (minutes, seconds) = (whole / 60, whole % 60);
    match minutes / 60 {
        0 => format!("{minutes} min {seconds} s"),
        hours => format!("{hours} h {} min {seconds} s", minutes % 60),
    }
}

/// A length of time as people guess it, with one or two digits: `about 3 h`, `about 40 min`, `about 2 years`.
pub fn about(seconds: f64) -> String {
    const UNITS: [(f64, &str, &str); 5] = [
        (365.0 * 86_400.0, "year", "years"),
        (86_400.0, "day", "days"),
        (3600.0, "h", "h"),
        (60.0, "min", "min"),
        (1.0, "s", "s"),
    ];
    let (unit, one, many) = UNITS.into_iter().find(|it| seconds >= 1.45 * it.0).unwrap_or(UNITS[4]);
    let count = seconds / unit;
    // One digit up to ten, then fives, then tens.
    let rough = match count {
        x if x < 10.0 => x.round(),
        x if x < 50.0 => 5.0 * (x / 5.0).round(),
        x => 10.0 * (x / 10.0).round(),
    };
    match rough {
        x if x > 100.0 && unit == UNITS[0].0 => "more than 100 years".to_owned(),
        x if x < 1.0 => "less than a second".to_owned(),
        x => format!("about {x:.0} {}", if x == 1.0 { one } else { many }),
    }
}

/// A number with two significant digits and, where it is large, a word for its size: `40`, `2.5`,
/// `12 thousand`, `3.4 million`.
pub fn round(x: f64) -> String {
    let (x, word) = match x {
        x if x >= 0.95e6 => (x / 1e6, " million"),
        x if x >= 1e4 => (x / 1e3, " thousand"),
        x => (x, ""),
    };
    if x >= 9.95 { format!("{x:.0}{word}") } else { format!("{}{word}", trimmed((x * 10.0).round() / 10.0)) }
}

/// Volts for a table: two decimals from 1 V up, millivolts below.
pub fn volts(volts: f64) -> String {
    if volts.abs() < 5e-7 {
        "0.00 V".to_owned()
    } else if volts.abs() < 0.1 {
        with_prefix(volts, "V")
    } else {
        format!("{} V", decimals(volts, 2))
    }
}

/// Amperes for a table: currents that no school meter shows are 0.
pub fn amps(amps: f64) -> String {
    if amps.abs() < 1e-9 { "0.00 mA".to_owned() } else { with_prefix(amps, "A") }
}

/// Watts for a table.
pub fn watts(watts: f64) -> String {
    if watts.abs() < 1e-9 { "0 mW".to_owned() } else { with_prefix(watts, "W") }
}

fn three_digits(x: f64) -> String {
    let size = x.abs();
    let after_point = if size >= 99.95 {
        0
    } else if size >= 9.995 {
        1
    } else {
        2
    };
    decimals(x, after_point)
}

/// So many digits after the point, with the minus sign of print.
pub fn decimals(x: f64, after_point: usize) -> String {
    format!("{x:.after_point$}").replace('-', "\u{2212}")
}

fn trimmed(x: f64) -> String {
    let text = decimals(x, 2);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn three_digits_and_the_right_prefix() {
        for (value, text) in [
            (0.0154, "15.4 mA"),
            (0.9999, "1.00 A"),
            (0.09996, "100 mA"),
            (-0.000123, "−123 µA"),
            (0.0, "0 A"),
            (1e-20, "0 A"),
            (2.5e9, "2.50 GA"),
            (999_949.0, "1.00 MA"),
        ] {
            assert_eq!(with_prefix(value, "A"), text);
        }
        assert_eq!(with_prefix(f64::NAN, "A"), "? A");
    }

    #[test]
    fn a_long_time_is_told_in_minutes_and_hours() {
        for (seconds, text) in [
            (0.0, "0 s"),
            (0.0154, "15.4 ms"),
            (999.4, "999 s"),
            (999.6, "16 min 40 s"),
            (1500.0, "25 min 0 s"),
            (3599.9, "1 h 0 min 0 s"),
            (86_400.0, "24 h 0 min 0 s"),
        ] {
            assert_eq!(time(seconds), text);
        }
        assert_eq!(time(f64::NAN), "? s");
    }

    #[test]
    fn a_field_shows_what_reads_back() {
        for (value, unit, text) in [
            (4700.0, Unit::Ohm, "4.7k"),
            (0.0, Unit::Millimetre, "0"),
            (25.5, Unit::Millimetre, "25.5"),
            (1e-7, Unit::Farad, "100n"),
            (0.7, Unit::Share, "70"),
            (20.0, Unit::Celsius, "20"),
        ] {
            assert_eq!(in_field(value, unit), text);
            assert_eq!(crate::number::read(text, unit), Some(value), "{text}");
        }
    }

    #[test]
    fn large_numbers_get_a_word() {
        for (x, words) in [(2.53, "2.5"), (40.2, "40"), (12_345.0, "12 thousand"), (3.4e6, "3.4 million")] {
            assert_eq!(round(x), words);
        }
    }

    #[test]
    fn values_of_parts_lose_their_zeros() {
        assert_eq!(value(220.0, Unit::Ohm), "220 Ω");
        assert_eq!(value(4700.0, Unit::Ohm), "4.7 kΩ");
        assert_eq!(value(1e6, Unit::Ohm), "1 MΩ");
        assert_eq!(value(4.7e-7, Unit::Farad), "470 nF");
        assert_eq!(value(1e-12, Unit::Farad), "1 pF");
        assert_eq!(value(2.2e-3, Unit::Farad), "2.2 mF");
        assert_eq!(value(1e-4, Unit::Henry), "100 µH");
        assert_eq!(value(10.0, Unit::Henry), "10 H");
        assert_eq!(value(0.01, Unit::Hertz), "10 mHz");
        assert_eq!(value(1.5e6, Unit::Hertz), "1.5 MHz");
        assert_eq!(value(0.35, Unit::Share), "35 %");
        assert_eq!(value(21.5, Unit::Celsius), "21.5 °C");
        assert_eq!(value(-40.0, Unit::Celsius), "−40 °C");
        assert_eq!(value(-1.5, Unit::Volt), "−1.5 V");
        assert_eq!(volts(-4.5), "−4.50 V");
    }

    #[test]
    fn a_guess_at_a_time_has_few_digits() {
        for (seconds, says) in [
            (0.2, "less than a second"),
            (40.0, "about 40 s"),
            (90.0, "about 2 min"),
            (2400.0, "about 40 min"),
            (10_000.0, "about 3 h"),
            (100_000.0, "about 30 h"),
            (1e6, "about 10 days"),
            (6e7, "about 2 years"),
            (1e12, "more than 100 years"),
        ] {
            assert_eq!(about(seconds), says, "{seconds}");
        }
    }
}
