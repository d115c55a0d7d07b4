//! The meters of a bench in its file.
//!
//! `{ "kind": "10m", "dial": "dc-20v", "red": "c16", "black": "R1.2" }`: what is as a meter from the
//! cupboard has it is left out. A file with meters is of version 2.

use halfrow_core::bench::{Bench, MAX_METERS};
use halfrow_core::meter::{BATTERY_VOLTS, Dial, Kind, Meter, Socket, Touch};

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
