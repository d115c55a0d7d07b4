//! Numbers as people write them into fields, and as fields show them.

use halfrow_core::amount;
use halfrow_core::card::Unit;

/// The prefixes of units with their powers of ten, and `R` for a plain number in the letter code.
const LETTERS: [(char, i32); 11] = [
    ('G', 9),
    ('M', 6),
    ('k', 3),
    ('K', 3),
    ('R', 0),
    ('m', -3),
    ('µ', -6),
    ('μ', -6),
    ('u', -6),
    ('n', -9),
    ('p', -12),
];

/// Reads a number with a prefix: `4.7k`, `4,7 k`, `330`, `20m`; also with the prefix in the place of the
/// point, as it is printed on parts (the letter code of IEC 60062): `4k7`, `220R`. The number comes back
/// times ten to `power`. Powers are written out, so that the nearest number is found and not that of a
/// product: 22n is 2.2e-8 to the bit.
pub fn read(text: &str, power: i32) -> Option<f64> {
    let text = text.trim().replace(',', ".");
    let text = text.trim_end_matches("Hz").trim_end_matches("mm");
    let text = text.trim_end_matches(['Ω', 'V', 'A', '%', 'F', 'H', 'C', '°']).trim_end();
    let found = LETTERS.iter().filter_map(|&(letter, power)| Some((text.split_once(letter)?, power))).next();
    let (digits, own) = match found {
        None => (text.to_owned(), 0),
        Some(((whole, ""), own)) => (whole.trim_end().to_owned(), own),
        Some(((whole, rest), own)) if rest.bytes().all(|b| b.is_ascii_digit()) && !whole.contains('.') => {
            (format!("{}.{rest}", if whole.is_empty() { "0" } else { whole }), own)
        }
        Some(_) => return None,
    };
    let digits = if own + power == 0 { digits } else { format!("{digits}e{}", own + power) };
    halfrow_core::decimal::read(&digits).filter(|x| x.is_finite())
}

/// A number as a field shows it, its unit beside it: `4.7k`.
pub fn shown(value: f64, unit: Unit) -> String {
    let text = amount::value(value, unit);
    let text = text.strip_suffix(unit.symbol()).unwrap_or(&text);
    text.replacen(' ', "", 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plain(text: &str) -> Option<f64> {
        read(text, 0)
    }

    #[test]
    fn numbers_are_read_as_people_write_them() {
        for (text, value) in [
            ("220", 220.0),
            ("4.7k", 4700.0),
            ("4,7 k", 4700.0),
            ("1M", 1e6),
            ("20m", 0.02),
            ("330 Ω", 330.0),
            ("100n", 1e-7),
            ("4.7 µF", 4.7e-6),
            ("22pF", 2.2e-11),
            ("10 mH", 0.01),
            ("2.2 kHz", 2200.0),
            ("50Hz", 50.0),
            ("−5", -5.0),
            ("4k7", 4700.0),
            ("220R", 220.0),
            ("4R7", 4.7),
            ("R47", 0.47),
            ("2M2", 2.2e6),
            ("4n7", 4.7e-9),
            ("1e3", 1000.0),
            ("20 mm", 20.0),
        ] {
            assert_eq!(plain(text), Some(value), "{text}");
        }
        assert!(
            ["", "k", "abc", "NaN", "1e999", "1e3k", "4k7k", "4.7k3", "4kk", "-"]
                .into_iter()
                .all(|text| plain(text).is_none())
        );
    }

    #[test]
    fn what_is_typed_with_a_prefix_is_the_nearest_number_to_the_bit() {
        for (prefix, power) in
            [("G", 9), ("M", 6), ("k", 3), ("", 0), ("m", -3), ("u", -6), ("n", -9), ("p", -12)]
        {
            for e24 in halfrow_core::preferred::E24 {
                let tenths = format!("{}.{}", e24 / 10, e24 % 10);
                for digits in [tenths, format!("{e24}"), format!("{e24}0")] {
                    let nearest = format!("{digits}e{power}").parse::<f64>().ok();
                    assert_eq!(plain(&format!("{digits}{prefix}")), nearest, "{digits}{prefix}");
                }
            }
        }
        assert_eq!(plain("4n7"), Some(4.7e-9));
        assert_eq!((read("70", -2), read("33.3 %", -2)), (Some(0.7), Some(0.333)));
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
            assert_eq!(shown(value, unit), text);
            assert_eq!(read(text, if unit == Unit::Share { -2 } else { 0 }), Some(value), "{text}");
        }
    }
}
