//! A plan: a bench, or a requirement on paper that says which parts there are and what is joined, wherever
//! things are put.
//!
//! A requirement is a file with `joints` in place of `boards`; its parts have values but no places:
//!
//! ```json
//! { "halfrow": 1, "title": "A lamp",
//!   "parts": [
//!     { "id": "BT1", "kind": "battery" },
//!     { "id": "R1", "kind": "resistor", "ohms": 220 },
//!     { "id": "D1", "kind": "led" }
//!   ],
//!   "joints": [["BT1 +", "R1 1"], ["R1 2", "D1 A"], ["D1 K", "BT1 -"]] }
//! ```

use halfrow_core::bench::{Bench, MAX_PARTS, PlaceError};
use halfrow_core::board::BoardKind;
use halfrow_core::part::Part;

use crate::error::FileError;
use crate::read::{Fields, part, text_of, version, wrong};
use crate::title;
use crate::tree::Tree;

/// What a plan's file holds.
#[derive(Clone, Debug, PartialEq)]
pub enum Planned {
    /// A bench.
    Bench(Bench),
    /// Parts and joints.
    Joints {
        /// What it is called.
        title: String,
        /// The parts, with all legs in the air.
        parts: Vec<Part>,
        /// What is joined: lists of part and pin, by their indices.
        joints: Vec<Vec<(usize, usize)>>,
    },
}

/// Reads a plan.
///
/// # Errors
/// The first thing that is wrong with it.
pub fn read(text: &str) -> Result<Planned, FileError> {
    if text.len() > crate::MAX_TEXT_BYTES {
        return Err(FileError::TooLong { bytes: text.len() });
    }
    let tree = Tree::parse(text)?;
    let file = Fields::of("the file", &tree)?;
    version(file.need("halfrow")?)?;
    let Some(joints) = file.get("joints") else { return crate::read(text).map(Planned::Bench) };
    file.only(&["halfrow", "title", "parts", "joints"])?;
    let mut words = String::new();
    if let Some(tree) = file.get("title") {
        let text = text_of("title", tree)?;
        title::check(text)?;
        text.clone_into(&mut words);
    }
    let Tree::List(listed) = file.need("parts")? else {
        return Err(wrong("parts", file.need("parts")?, "a list of parts"));
    };
    if listed.len() > MAX_PARTS {
        let error = PlaceError::TooManyParts { found: listed.len() };
        return Err(FileError::Place { path: "parts".to_owned(), error });
    }
    // On no board in particular: a part of a requirement has no place.
    let nowhere = Bench::new(BoardKind::Half);
    let mut parts: Vec<Part> = Vec::with_capacity(listed.len());
    for (index, tree) in listed.iter().enumerate() {
        let (path, part) = part(&nowhere, index, tree)?;
        if part.legs.iter().any(|leg| leg.hole.is_some()) {
            return Err(wrong(&path, tree, "a part without places: the joints say what is joined"));
        }
        if parts.iter().any(|other| other.id == part.id) {
            return Err(FileError::Place { path, error: PlaceError::SameId { id: part.id } });
        }
        parts.push(part);
    }
    let Tree::List(lists) = joints else { return Err(wrong("joints", joints, "a list of joints")) };
    let joints = lists.iter().enumerate().map(|(index, tree)| joint(&parts, index, tree));
    let joints = joints.collect::<Result<Vec<_>, _>>()?;
    Ok(Planned::Joints { title: words, parts, joints })
}

/// One joint: `["BT1 +", "R1 1"]`.
fn joint(parts: &[Part], index: usize, tree: &Tree) -> Result<Vec<(usize, usize)>, FileError> {
    let path = format!("joints[{index}]");
    let Tree::List(ends) = tree else {
        return Err(wrong(&path, tree, "a list of legs, such as [\"R1 2\", \"D1 A\"]"));
    };
    ends.iter()
        .enumerate()
        .map(|(at, tree)| {
            let path = format!("{path}[{at}]");
            let text = text_of(&path, tree)?;
            let known = text.split_once(' ').and_then(|(id, pin)| {
                let part = parts.iter().position(|part| part.id == id)?;
                Some((part, parts[part].card.pin(pin.trim())?))
            });
            known.ok_or_else(|| wrong(&path, tree, "a part and a pin of this plan, such as \"R1 2\""))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const LAMP: &str = r#"{ "halfrow": 1, "title": "A lamp", "parts": [
        { "id": "BT1", "kind": "battery" }, { "id": "R1", "kind": "resistor", "ohms": 220 },
        { "id": "D1", "kind": "led" }],
        "joints": [["BT1 +", "R1 1"], ["R1 2", "D1 A"], ["D1 K", "BT1 -"]] }"#;

    #[test]
    fn a_requirement_is_parts_and_joints() {
        let Ok(Planned::Joints { title, parts, joints }) = read(LAMP) else { panic!("{:?}", read(LAMP)) };
        assert_eq!((title.as_str(), parts.len()), ("A lamp", 3));
        assert_eq!(joints, [[(0, 0), (1, 0)], [(1, 1), (2, 0)], [(2, 1), (0, 1)]]);
    }

    #[test]
    fn what_is_wrong_is_named() {
        let says = |text: &str| read(text).unwrap_err().to_string();
        assert!(says(&LAMP.replace("R1 2", "R1 3")).contains("joints[1][0]"));
        assert!(says(&LAMP.replace("\"R1\", \"kind\"", "\"BT1\", \"kind\"")).contains("BT1"));
        let placed = LAMP.replace("\"kind\": \"led\"", "\"kind\": \"led\", \"pins\": { \"A\": \"a1\" }");
        assert!(says(&placed).contains("without places"));
        assert!(matches!(
            read(r#"{"halfrow":1,"boards":[{"id":"A","kind":"half"}],"parts":[]}"#),
            Ok(Planned::Bench(_))
        ));
    }
}
