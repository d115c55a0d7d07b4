//! Numbers as people write them into fields, and as fields show them.

use halfrow_core::amount;
use halfrow_core::card::Unit;

/// The prefixes of units, and `R` for a plain number in the letter code.
const LETTERS: [(char, f64); 10] = [
    ('G', 1e9),
    ('M', 1e6),
    ('k', 1e3),
    ('K', 1e3),
    ('R', 1.0),
    ('m', 1e-3),
    ('µ', 1e-6),
    ('μ', 1e-6),
    ('u', 1e-6),
    ('n', 1e-9),
];

/// Reads a number with a prefix: `4.7k`, `4,7 k`, `330`, `20m`; also with the prefix in the place of the
/// point, as it is printed on parts (the letter code of IEC 60062): `4k7`, `220R`.
pub fn read(text: &str) -> Option<f64> {
    let text = text.trim().replace(',', ".");
    let text = text.trim_end_matches("Hz").trim_end_matches("mm");
    let text = text.trim_end_matches(['Ω', 'V', 'A', '%', 'F', 'H', 'C', '°']).trim_end();
    let letters = LETTERS.iter().chain(&[('p', 1e-12)]);
    let found = letters.filter_map(|&(letter, factor)| Some((text.split_once(letter)?, factor))).next();
    let (digits, factor) = match found {
        None => (text.to_owned(), 1.0),
        Some(((whole, ""), factor)) => (whole.trim_end().to_owned(), factor),
        Some(((whole, rest), factor)) if rest.bytes().all(|b| b.is_ascii_digit()) && !whole.contains('.') => {
            (format!("{}.{rest}", if whole.is_empty() { "0" } else { whole }), factor)
        }
        Some(_) => return None,
    };
    halfrow_file::decimal::read(&digits).filter(|x| x.is_finite()).map(|x| x * factor)
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
            let read = read(text).unwrap();
            assert!((read - value).abs() < 1e-9 * value.abs(), "{text}");
        }
        assert!(
            ["", "k", "abc", "NaN", "1e999", "4k7k", "4.7k3", "4kk", "-"]
                .into_iter()
                .all(|text| read(text).is_none())
        );
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
            let back = read(text).unwrap() * if unit == Unit::Share { 0.01 } else { 1.0 };
            assert!((back - value).abs() <= 1e-9 * value, "{text}");
        }
    }
}
