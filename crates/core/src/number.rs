//! Numbers with prefixes as people write them: `4.7k`, `4k7`, `220 Ω`, `10 ms`. [`crate::amount`] writes what
//! people read.

use crate::decimal;
use crate::unit::Unit;

/// Prefixes from giga to pico: power of ten, factor, symbol.
pub(crate) const PREFIXES: [(i32, f64, &str); 8] = [
    (9, 1e9, "G"),
    (6, 1e6, "M"),
    (3, 1e3, "k"),
    (0, 1.0, ""),
    (-3, 1e-3, "m"),
    (-6, 1e-6, "µ"),
    (-9, 1e-9, "n"),
    (-12, 1e-12, "p"),
];

/// What else people write for a prefix: other keys and other micros, and the `R` of the letter code, which
/// only takes the place of the point.
const ALSO: [(char, i32); 4] = [('K', 3), ('R', 0), ('μ', -6), ('u', -6)];

/// The number that a text means, with its unit or without: `4.7k`, `4,7 kΩ`, `330`, `20m`; also with the
/// prefix in the place of the point, as it is printed on parts (the letter code of IEC 60062): `4k7`,
/// `220R`. A share is read in per cent: `70` or `70 %` is 0.7. `None` for anything else, also for another
/// unit, and for a comma that may mean thousands (`1,000`).
///
/// It is the nearest number to what is written, to the bit: 22n is 2.2e-8. What is too large for any is
/// infinite, which no part allows.
pub fn read(text: &str, unit: Unit) -> Option<f64> {
    let text = text.trim();
    let spellings: &[&str] = match unit {
        Unit::Ohm => &["Ω", "\u{2126}", "ohms", "ohm"],
        Unit::Celsius => &["°C", "C"],
        _ => &[unit.symbol()],
    };
    let bare = spellings.iter().find_map(|spelling| text.strip_suffix(spelling)).unwrap_or(text);
    scaled(bare, if unit == Unit::Share { -2 } else { 0 })
}

/// The same for a number without a unit: `4.7k`, `1e-8`, `-3`.
pub fn read_bare(text: &str) -> Option<f64> {
    scaled(text, 0)
}

/// A length of time, which needs its unit: `2s`, `10 ms`, `5us`, `100ns`. Seconds.
pub fn read_time(text: &str) -> Option<f64> {
    scaled(text.trim().strip_suffix('s')?, 0)
}

/// A number with its prefix, times ten to `power`. The power is written out, so that the nearest number is
/// found and not that of a product.
fn scaled(text: &str, power: i32) -> Option<f64> {
    let text = text.trim();
    if may_mean_thousands(text) {
        return None;
    }
    let text = text.replace(',', ".");
    let letters = PREFIXES.iter().filter_map(|&(power, _, symbol)| Some((symbol.chars().next()?, power)));
    let mut found = letters.chain(ALSO).filter_map(|(letter, own)| Some((text.split_once(letter)?, own)));
    let (digits, own) = match found.next() {
        None => (text.clone(), 0),
        Some(((whole, ""), own)) => (whole.trim_end().to_owned(), own),
        Some(((whole, rest), own)) if rest.bytes().all(|b| b.is_ascii_digit()) && !whole.contains('.') => {
            (format!("{}.{rest}", if whole.is_empty() { "0" } else { whole }), own)
        }
        Some(_) => return None,
    };
    let digits = if own + power == 0 { digits } else { format!("{digits}e{}", own + power) };
    decimal::read(&digits)
}

/// Whether a comma may stand between thousands and hundreds: `1,000` is a thousand to some readers and one
/// to others, so it is neither.
fn may_mean_thousands(text: &str) -> bool {
    let Some((whole, rest)) = text.split_once(',') else { return false };
    let whole = whole.trim_start_matches(['-', '+', '\u{2212}']);
    let digits = rest.bytes().take_while(u8::is_ascii_digit).count();
    digits == 3 && !whole.starts_with('0') && (1..=3).contains(&whole.len())
}

/// A number with a prefix and all of its digits, as lists write it: `47k`, `10n`, `1.2345678µ`.
/// [`read_bare`] reads it back to the bit. `None` where it is as short without a prefix, or no prefix fits.
pub fn exact(x: f64) -> Option<String> {
    if (0.01..1000.0).contains(&x.abs()) {
        return None;
    }
    let text = x.abs().to_string();
    let (units, parts) = text.split_once('.').unwrap_or((&text, ""));
    let all = format!("{units}{parts}");
    let zeros = all.bytes().take_while(|&byte| byte == b'0').count();
    let digits = all[zeros..].trim_end_matches('0');
    // The power of ten of the first digit.
    let power = units.len() as i32 - 1 - zeros as i32;
    let whole = power.rem_euclid(3);
    let (_, _, prefix) = PREFIXES.into_iter().find(|it| it.0 == power - whole && it.0 != 0)?;
    let (first, rest) = digits.split_at_checked(1)?;
    let rest = format!("{rest:0<whole$}", whole = whole as usize);
    let (before, after) = rest.split_at(whole as usize);
    let (sign, point) = (if x < 0.0 { "-" } else { "" }, if after.is_empty() { "" } else { "." });
    Some(format!("{sign}{first}{before}{point}{after}{prefix}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_read_as_people_write_them() {
        for (text, unit, value) in [
            ("220", Unit::Ohm, 220.0),
            ("4.7k", Unit::Ohm, 4700.0),
            ("4,7 k", Unit::Ohm, 4700.0),
            ("1M", Unit::Ohm, 1e6),
            ("330 Ω", Unit::Ohm, 330.0),
            ("2 kohm", Unit::Ohm, 2000.0),
            ("20m", Unit::Amp, 0.02),
            ("100n", Unit::Farad, 1e-7),
            ("4.7 µF", Unit::Farad, 4.7e-6),
            ("22pF", Unit::Farad, 2.2e-11),
            ("10 mH", Unit::Henry, 0.01),
            ("2.2 kHz", Unit::Hertz, 2200.0),
            ("50Hz", Unit::Hertz, 50.0),
            ("−5", Unit::Celsius, -5.0),
            ("21 °C", Unit::Celsius, 21.0),
            ("800 lx", Unit::Lux, 800.0),
            ("4k7", Unit::Ohm, 4700.0),
            ("220R", Unit::Ohm, 220.0),
            ("4R7", Unit::Ohm, 4.7),
            ("R47", Unit::Ohm, 0.47),
            ("2M2", Unit::Ohm, 2.2e6),
            ("4n7", Unit::Farad, 4.7e-9),
            ("1e3", Unit::Ohm, 1000.0),
            ("20 mm", Unit::Millimetre, 20.0),
            ("70", Unit::Share, 0.7),
            ("33.3 %", Unit::Share, 0.333),
            ("0,125", Unit::Volt, 0.125),
            ("1e999", Unit::Volt, f64::INFINITY),
        ] {
            assert_eq!(read(text, unit), Some(value), "{text}");
        }
        for text in ["", "k", "abc", "NaN", "1e3k", "4k7k", "4.7k3", "4kk", "-", "5 V", "1,000", "4,700 k"] {
            assert_eq!(read(text, Unit::Ohm), None, "{text}");
        }
    }

    #[test]
    fn what_is_typed_with_a_prefix_is_the_nearest_number_to_the_bit() {
        for (power, _, prefix) in PREFIXES {
            for e24 in crate::preferred::E24 {
                let tenths = format!("{}.{}", e24 / 10, e24 % 10);
                for digits in [tenths, format!("{e24}"), format!("{e24}0")] {
                    let nearest = format!("{digits}e{power}").parse::<f64>().ok();
                    assert_eq!(read_bare(&format!("{digits}{prefix}")), nearest, "{digits}{prefix}");
                }
            }
        }
        assert_eq!(read_bare("4n7"), Some(4.7e-9));
    }

    #[test]
    fn lengths_of_time_need_a_unit() {
        for (word, told) in [
            ("2s", Some(2.0)),
            ("10ms", Some(0.01)),
            ("5us", Some(5e-6)),
            ("5µs", Some(5e-6)),
            ("0.5 s", Some(0.5)),
            ("100ns", Some(1e-7)),
            ("2", None),
            ("s", None),
            ("infs", None),
        ] {
            assert_eq!(read_time(word), told, "{word}");
        }
    }

    #[test]
    fn numbers_of_lists_have_all_of_their_digits_and_come_back_to_the_bit() {
        for (value, text) in [
            (4700.0, "4.7k"),
            (47_000.0, "47k"),
            (1e6, "1M"),
            (1e-8, "10n"),
            (4.7e-7, "470n"),
            (2.2e-4, "220µ"),
            (0.004, "4m"),
            (-0.004, "-4m"),
            (1.2345678e-6, "1.2345678µ"),
        ] {
            assert_eq!(exact(value).as_deref(), Some(text));
            assert_eq!(read_bare(text), Some(value), "{text}");
        }
        for value in [470.0, 0.5, 0.02, 0.0, 1e-20, f64::INFINITY, f64::NAN] {
            assert_eq!(exact(value), None, "{value}");
        }
    }
}
