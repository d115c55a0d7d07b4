//! Decimal numbers as people type them, read to the nearest bits.
//!
//! The standard library reads them too, with tables of powers that weigh more on the way to a
//! browser than most of this crate. Here long division does it: slower, and fast enough for what
//! is typed.

use std::cmp::Ordering;

/// Digits after which only "and something more" counts: every halfway point between two neighbours
/// has fewer.
const MOST_DIGITS: usize = 800;

/// The number that a text names, to the nearest of the numbers there are, halfway cases to the even
/// one: `-0.5`, `−2`, `.5`, `5.`, `+1e-3`. `None` for anything else.
pub fn read(text: &str) -> Option<f64> {
    let (sign, text) = match text.strip_prefix(['-', '\u{2212}']) {
        Some(rest) => (1 << 63, rest),
        None => (0, text.strip_prefix('+').unwrap_or(text)),
    };
    let mut digits = Large::default();
    let (mut kept, mut exponent, mut seen, mut after_point) = (0, 0i64, false, false);
    let mut rest = text.as_bytes().iter();
    let mut more = false;
    for &byte in rest.by_ref() {
        match byte {
            b'0'..=b'9' => {
                seen = true;
                exponent -= i64::from(after_point);
                if kept < MOST_DIGITS {
                    digits.times_ten_plus(u32::from(byte - b'0'));
                    kept += usize::from(!digits.0.is_empty());
                } else {
                    more |= byte != b'0';
                    exponent += 1;
                }
            }
            b'.' if !after_point => after_point = true,
            b'e' | b'E' if seen => {
                exponent = exponent.saturating_add(whole(rest.as_slice())?);
                break;
            }
            _ => return None,
        }
    }
    if !seen {
        return None;
    }
    if more {
        digits.times_ten_plus(1);
        exponent -= 1;
        kept += 1;
    }
    Some(f64::from_bits(sign | nearest(digits, kept as i64, exponent)))
}

/// A whole number with or without its sign; beyond what matters to an exponent it stays there.
fn whole(text: &[u8]) -> Option<i64> {
    let (minus, digits) = match text {
        [b'-', rest @ ..] => (true, rest),
        [b'+', rest @ ..] => (false, rest),
        all => (false, all),
    };
    if digits.is_empty() || !digits.iter().all(u8::is_ascii_digit) {
        return None;
    }
    let far = digits.iter().fold(0i64, |x, byte| (x * 10 + i64::from(byte - b'0')).min(1 << 40));
    Some(if minus { -far } else { far })
}

/// The bits of `over`·10^`exponent`, which has `kept` digits.
fn nearest(mut over: Large, kept: i64, exponent: i64) -> u64 {
    if over.0.is_empty() || kept + exponent < -330 {
        return 0;
    }
    let infinite = f64::INFINITY.to_bits();
    if kept + exponent > 310 {
        return infinite;
    }
    let mut under = Large(vec![1]);
    let grows = if exponent < 0 { &mut under } else { &mut over };
    for _ in 0..exponent.unsigned_abs() {
        grows.times_ten_plus(0);
    }
    // The quotient is brought between 1 and 2; `power` is the power of two that this takes.
    let mut power = over.bits() - under.bits();
    if power < 0 {
        over.double(-power);
    } else {
        under.double(power);
    }
    if over.compare(&under) == Ordering::Less {
        over.double(1);
        power -= 1;
    }
    if power > 1023 {
        return infinite;
    }
    // Numbers nearer to 0 than the smallest normal one have fewer bits.
    let places = 53 - (-1022 - power).max(0);
    if places < 0 {
        return 0;
    }
    let mut mantissa = 0u64;
    for _ in 0..places {
        mantissa <<= 1;
        if over.compare(&under) != Ordering::Less {
            over.take(&under);
            mantissa |= 1;
        }
        over.double(1);
    }
    mantissa += match over.compare(&under) {
        Ordering::Less => 0,
        Ordering::Equal => mantissa & 1,
        Ordering::Greater => 1,
    };
    // The leading bit of a normal mantissa raises the exponent by the one that is left out here, and
    // so does the carry of a mantissa that was rounded up to the next power of two.
    (((power + 1022).max(0) as u64) << 52) + mantissa
}

/// A whole number of any length, least part first, no zeros at its end.
#[derive(Default)]
struct Large(Vec<u32>);

impl Large {
    fn times_ten_plus(&mut self, digit: u32) {
        let mut carry = u64::from(digit);
        for part in &mut self.0 {
            carry += u64::from(*part) * 10;
            *part = carry as u32;
            carry >>= 32;
        }
        if carry > 0 {
            self.0.push(carry as u32);
        }
    }

    fn bits(&self) -> i32 {
        self.0.last().map_or(0, |last| self.0.len() as i32 * 32 - last.leading_zeros() as i32)
    }

    /// Doubles so many times.
    fn double(&mut self, times: i32) {
        for _ in 0..times % 32 {
            let mut carry = 0;
            for part in &mut self.0 {
                let next = *part >> 31;
                *part = *part << 1 | carry;
                carry = next;
            }
            if carry > 0 {
                self.0.push(carry);
            }
        }
        if !self.0.is_empty() {
            for _ in 0..times / 32 {
                self.0.insert(0, 0);
            }
        }
    }

    fn compare(&self, other: &Large) -> Ordering {
        (self.0.len().cmp(&other.0.len())).then_with(|| self.0.iter().rev().cmp(other.0.iter().rev()))
    }

    /// Subtracts what is no larger.
    fn take(&mut self, other: &Large) {
        let mut borrow = 0;
        for (place, part) in self.0.iter_mut().enumerate() {
            let rest = i64::from(*part) - i64::from(other.0.get(place).copied().unwrap_or(0)) - borrow;
            *part = rest as u32;
            borrow = i64::from(rest < 0);
        }
        while self.0.last() == Some(&0) {
            self.0.pop();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::read;

    /// The standard library is the judge.
    fn same(text: &str) {
        let judge = text.parse::<f64>().unwrap();
        assert_eq!(read(text).map(f64::to_bits), Some(judge.to_bits()), "{text}");
    }

    #[test]
    fn texts_of_every_shape_and_the_edges_of_what_there_is_are_read_like_the_standard_library_does() {
        for text in [
            "0",
            "-0",
            "+0.0",
            "1",
            "-1",
            ".5",
            "5.",
            "0.1",
            "00012.500",
            "1e3",
            "1E+3",
            "4.7e-6",
            "1e22",
            "1e23",
            "9007199254740993",
            "9007199254740992.5",
            "9007199254740993.0000000000000000000001",
            "1.7976931348623157e308",
            "1.7976931348623158e308",
            "1.7976931348623159e308",
            "1e309",
            "-1e400",
            "2.2250738585072014e-308",
            "2.2250738585072011e-308",
            "2.225073858507201e-308",
            "5e-324",
            "2.4703282292062327e-324",
            "2.4703282292062328e-324",
            "2.5e-324",
            "1e-324",
            "1e-400",
            "0e999999",
            "1e99999999999999999999",
            "1e-99999999999999999999",
            "0.000000000000000000000000000001e30",
        ] {
            same(text);
        }
        let half = "2.47032822920623272088284396434110686182529901307162382212792841250337753635104375932649918180817996189898282347722858865463328355177969898199387398005390939063150356595155702263922908583924491051844359318028499365361525003193704576782492193656236698636584807570015857692699037063119282795585513329278343384093519780155312465972635795746227664652728272200563740064854999770965994704540208281662262378573934507363390079677305775067501763246736009689513405355374585166611342237666786041621596804619144672918403005300575308490487653917113865916462395249126236538818796362393732804238910186723484976682350898633885879256283027559956575244555072551893136908362547791869486679949683240497058210285131854513962138377228261454376934125320985913276672363281250";
        same(&format!("{half}e-324"));
        same(&format!("{half}{}1e-324", "0".repeat(900)));
        same(&format!("1{}e-1000", "0".repeat(1000)));
        same(&format!("0.{}1e1000", "0".repeat(999)));
    }

    #[test]
    fn what_is_no_number_is_told() {
        for text in [
            "", "-", ".", "+.", "e5", "1e", "1e+", "1.2.3", "1 ", " 1", "--1", "1e5.5", "inf", "NaN", "0x1",
            "1,5", "٣",
        ] {
            assert_eq!(read(text), None, "{text}");
        }
    }

    #[test]
    fn numbers_all_over_the_range_and_their_halfway_points_are_read_to_the_nearest() {
        let mut state = 0x9e37_79b9_7f4a_7c15u64;
        for round in 0..20_000 {
            state ^= state << 13;
            state ^= state >> 7;
            state ^= state << 17;
            let x = f64::from_bits(state);
            if x.is_finite() {
                same(&format!("{x:?}"));
                same(&format!("{x:.17e}"));
                same(&format!("{:.3e}", x));
            }
            // Between two neighbours, written out in full.
            let m = (state >> 11 | 1 << 52) as u128;
            let shift = round % 60;
            same(&format!("{}", (2 * m + 1) << shift));
            same(&format!("{}.{}", state >> 40, state & 0xffff_ffff));
        }
    }
}
