//! Parts as text, between benches and tabs: a bench file with only the copied parts. A wiring list is
//! read as well.

use crate::model::chosen::Chosen;
use halfrow_core::bench::{Bench, Lesson, MAX_PARTS, PartIx, PlaceError};
use halfrow_core::board::HalfPitches;
use halfrow_file::{FileError, wiring};

/// The chosen parts as the text of a bench file.
pub fn copy(bench: &Bench, chosen: &Chosen) -> String {
    let parts = chosen.iter().filter_map(|&i| bench.parts.get(i).cloned()).collect();
    halfrow_file::write(&Bench { parts, meters: Vec::new(), lesson: Lesson::default(), ..bench.clone() })
}

/// The bench with the copied parts put down where there is room: first where they were, then row by
/// row below and above. Gives the bench and the new parts.
///
/// # Errors
/// A sentence, when the text is no bench or there is no room.
pub fn paste(bench: &Bench, text: &str) -> Result<(Bench, Chosen), String> {
    let copied = match text.trim() {
        "" => Ok(Bench { parts: Vec::new(), ..bench.clone() }),
        text if text.starts_with('{') => {
            halfrow_file::read(text).map_err(|error| format!("You didn’t copy a part: {error}"))
        }
        list => wiring::from_text(list, bench).map_err(|error| match error {
            // A list it is, and only too long.
            FileError::Place { error: PlaceError::TooManyParts { found }, .. }
                if begins_as_a_list(list, bench) =>
            {
                format!("A bench holds at most {MAX_PARTS} parts; the copied list has {found}.")
            }
            _ => "You didn’t copy a part, a wiring list, a bench or a link.".to_owned(),
        }),
    }?;
    if copied.parts.is_empty() {
        return Err("You haven’t copied anything yet.".to_owned());
    }
    if bench.parts.len() + copied.parts.len() > MAX_PARTS {
        return Err(format!("A bench holds at most {MAX_PARTS} parts."));
    }
    for distance in 0..63_i16 {
        for dy in [distance, -distance] {
            if let Some(done) = put(bench, &copied, 2 * dy) {
                return Ok(done);
            }
        }
    }
    Err("There’s no room for the copy on this board.".to_owned())
}

/// Whether the first line is a part's.
fn begins_as_a_list(text: &str, bench: &Bench) -> bool {
    text.lines().next().is_some_and(|line| wiring::from_text(line, bench).is_ok_and(|it| it.parts.len() == 1))
}

fn put(bench: &Bench, copied: &Bench, dy: i16) -> Option<(Bench, Chosen)> {
    let mut out = bench.clone();
    let mut new = Chosen::new();
    for part in &copied.parts {
        let mut part = part.clone();
        part.id = out.next_id(part.card);
        for leg in &mut part.legs {
            if let Some(hole) = leg.hole {
                let at = copied.position(hole)?;
                leg.hole = Some(out.hole_at(HalfPitches { x: at.x, y: at.y + dy })?);
            }
        }
        out.parts.push(part);
        let index = out.parts.len() - 1;
        out.check_part(PartIx(index)).ok()?;
        new.insert(index);
    }
    Some((out, new))
}
