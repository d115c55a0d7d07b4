//! The meters of a bench in its file.
//!
//! `{ "kind": "10m", "dial": "dc-20v", "red": "c16", "black": "R1.2" }`: what is as a meter from the
//! cupboard has it is left out. A file with meters is of version 2.

use halfrow_core::bench::{Bench, MAX_METERS};
use halfrow_core::meter::{BATTERY_VOLTS, Dial, Kind, Meter, Socket, Touch};
use halfrow_core::number::read_bare;

use crate::error::FileError;
use crate::json::quoted;
use crate::read::{Fields, text_of, unknown_word, wrong};
use crate::tree::{Tree, number};

const KEYS: [&str; 9] =
    ["kind", "dial", "red", "black", "red_socket", "black_socket", "fuse_500ma", "fuse_10a", "battery_volts"];

/// What a fuse is said to be.
pub(crate) const FUSES: [&str; 2] = ["whole", "blown"];

/// The meters under the key `meters`; the bench has its boards and parts already.
pub(crate) fn read(bench: &Bench, tree: &Tree) -> Result<Vec<Meter>, FileError> {
    let Tree::List(listed) = tree else { return Err(wrong("meters", tree, "a list of meters")) };
    if listed.len() > MAX_METERS {
        return Err(FileError::OutOfRange {
            path: "meters".to_owned(),
            found: format!("{} meters", listed.len()),
            wanted: format!("at most {MAX_METERS}"),
        });
    }
    listed.iter().enumerate().map(|(index, tree)| meter(bench, &format!("meters[{index}]"), tree)).collect()
}

fn meter(bench: &Bench, path: &str, tree: &Tree) -> Result<Meter, FileError> {
    let fields = Fields::of(path, tree)?;
    fields.only(&KEYS)?;
    let mut meter = Meter::default();
    // A word of a few under a key, if the key is there.
    let word = |key: &str| match fields.get(key) {
        Some(tree) => text_of(&format!("{path} {key}"), tree).map(Some),
        None => Ok(None),
    };
    if let Some(text) = word("kind")? {
        meter.kind = Kind::from_word(text)
            .ok_or_else(|| unknown_word(&format!("{path} kind"), text, Kind::ALL.map(Kind::word)))?;
    }
    if let Some(text) = word("dial")? {
        meter.dial = Dial::from_word(text)
            .ok_or_else(|| unknown_word(&format!("{path} dial"), text, Dial::ALL.map(Dial::word)))?;
    }
    for (lead, tip, socket) in
        [(&mut meter.red, "red", "red_socket"), (&mut meter.black, "black", "black_socket")]
    {
        if let Some(text) = word(socket)? {
            let path = format!("{path} {socket}");
            lead.socket = Socket::from_word(text)
                .ok_or_else(|| unknown_word(&path, text, Socket::ALL.map(Socket::word)))?;
        }
        match fields.get(tip) {
            None | Some(Tree::Null) => {}
            Some(tree) => {
                let path = format!("{path} {tip}");
                let text = text_of(&path, tree)?;
                lead.tip = Touch::parse(bench, text)
                    .ok_or_else(|| FileError::NoTip { path, word: text.to_owned() })?;
            }
        }
    }
    if meter.red.socket == meter.black.socket {
        let socket = meter.red.socket.word().to_owned();
        return Err(FileError::SameSocket { path: path.to_owned(), socket });
    }
    for (whole, key) in
        [(&mut meter.small_fuse_whole, "fuse_500ma"), (&mut meter.large_fuse_whole, "fuse_10a")]
    {
        if let Some(text) = word(key)? {
            let place = FUSES.iter().position(|&it| it == text);
            *whole = place.ok_or_else(|| unknown_word(&format!("{path} {key}"), text, FUSES))? == 0;
        }
    }
    if let Some(tree) = fields.get("battery_volts") {
        let (least, most) = BATTERY_VOLTS;
        let path = format!("{path} battery_volts");
        let wanted = format!("a number from {} to {}", number(least), number(most));
        meter.battery_volts = match tree {
            Tree::Number(volts) if (least..=most).contains(volts) => *volts,
            Tree::Number(volts) => {
                return Err(FileError::OutOfRange { path, found: number(*volts), wanted });
            }
            other => return Err(wrong(&path, other, &wanted)),
        };
    }
    Ok(meter)
}

/// What stands in a wiring list in the place of a part's kind.
pub(crate) const KIND: &str = "multimeter";

/// The line of a meter in a wiring list.
pub(crate) fn line(bench: &Bench, index: usize, meter: &Meter) -> String {
    let pairs = pairs(bench, meter).into_iter();
    let words = pairs.map(|(key, value)| format!(" {key}={}", value.trim_matches('"')));
    format!("meter{} {KIND}{}", index + 1, words.collect::<String>())
}

/// The meters of such lines, each with its number.
pub(crate) fn from_lines(bench: &Bench, lines: &[(usize, &str)]) -> Result<Vec<Meter>, FileError> {
    if let Some((number, _)) = lines.get(MAX_METERS) {
        return Err(FileError::OutOfRange {
            path: format!("line {number}"),
            found: format!("{} meters", lines.len()),
            wanted: format!("at most {MAX_METERS}"),
        });
    }
    lines.iter().map(|&(number, line)| from_line(bench, number, line)).collect()
}

fn from_line(bench: &Bench, number: usize, line: &str) -> Result<Meter, FileError> {
    let path = format!("line {number}");
    let mut pairs: Vec<(String, Tree)> = Vec::new();
    for word in line.split_whitespace().skip(2) {
        let (key, value) = word
            .split_once('=')
            .ok_or_else(|| FileError::NoEquals { path: path.clone(), word: word.to_owned() })?;
        if pairs.iter().any(|(own, _)| own == key) {
            return Err(FileError::SameKey { path, key: key.to_owned() });
        }
        let value = match read_bare(value).filter(|_| key == "battery_volts") {
            Some(volts) => Tree::Number(volts),
            None => Tree::Text(value.to_owned()),
        };
        pairs.push((key.to_owned(), value));
    }
    meter(bench, &path, &Tree::Object(pairs))
}

/// The keys of a meter with their values as JSON.
pub(crate) fn pairs(bench: &Bench, meter: &Meter) -> Vec<(&'static str, String)> {
    let usual = Meter::default();
    let mut pairs = vec![("kind", quoted(meter.kind.word())), ("dial", quoted(meter.dial.word()))];
    for (lead, usual, tip, socket) in
        [(&meter.red, &usual.red, "red", "red_socket"), (&meter.black, &usual.black, "black", "black_socket")]
    {
        let word = lead.tip.word(bench);
        if word != "air" {
            pairs.push((tip, quoted(&word)));
        }
        if lead.socket != usual.socket {
            pairs.push((socket, quoted(lead.socket.word())));
        }
    }
    for (whole, key) in [(meter.small_fuse_whole, "fuse_500ma"), (meter.large_fuse_whole, "fuse_10a")] {
        if !whole {
            pairs.push((key, quoted(FUSES[1])));
        }
    }
    if meter.battery_volts != usual.battery_volts {
        pairs.push(("battery_volts", number(meter.battery_volts)));
    }
    pairs
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wiring;
    use halfrow_core::board::BoardKind;

    #[test]
    fn meters_are_in_the_wiring_list_and_come_back_from_it() {
        let base = Bench::new(BoardKind::Half);
        let text = "R1 resistor ohms=220 1=L+5 2=b5\n\
                    meter1 multimeter kind=10m dial=dc-20ma red=c5 black=R1.2 fuse_500ma=blown\n\
                    meter2 multimeter kind=cheap dial=off red=air_is_left_out\n";
        assert!(wiring::from_text(text, &base).is_err());
        let text = text.replace(" red=air_is_left_out", " red_socket=10a battery_volts=6.5");
        let bench = wiring::from_text(&text, &base).unwrap();
        assert_eq!((bench.meters.len(), bench.meters[1].battery_volts), (2, 6.5));
        assert_eq!(wiring::to_text(&bench), text);
        // A list without meters leaves them where they are.
        let only_parts = "R1 resistor 1=L+5 2=b6\n";
        assert_eq!(wiring::from_text(only_parts, &bench).unwrap().meters, bench.meters);
    }

    #[test]
    fn a_meter_that_cannot_be_is_refused_with_its_line() {
        let base = Bench::new(BoardKind::Half);
        for (line, says) in [
            ("meter1 multimeter dial=dc-3v", "line 1"),
            ("meter1 multimeter red", "line 1"),
            ("meter1 multimeter red=a1 red=a2", "line 1"),
            ("meter1 multimeter colour=red", "line 1"),
            ("meter1 multimeter red=R9.1", "line 1"),
            ("m multimeter\nm multimeter\nm multimeter", "line 3"),
        ] {
            let error = wiring::from_text(line, &base).expect_err(line).to_string();
            assert!(error.contains(says), "{line}: {error}");
        }
    }
}
