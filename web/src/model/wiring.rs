//! The wiring list as a table: what its cells show, and what a cell that is written into does.
//!
//! A cell is read by the wiring list's own parser, so that table and text allow and refuse the same.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::Hole;
use halfrow_core::part::{Depth, Part};
use halfrow_core::parts::{CARDS, card};
use halfrow_file::title::visible;
use halfrow_file::wiring::{from_text, line};

use crate::model::state::{Action, Field, State};
use crate::model::words;

/// A column of the table: name, kind with values, then a pin each.
pub const NAME: usize = 0;
/// The column of the kind and the values.
pub const KIND: usize = 1;
/// The column of the first pin.
pub const PINS: usize = 2;

/// What has been written and not been built.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Drafts {
    /// The text, where it differs from the bench.
    pub text: Option<String>,
    /// Why the text could not be built.
    pub error: Option<String>,
}

/// What the table shows of a part, column by column.
pub fn cells(part: &Part) -> Vec<String> {
    let line = line(part);
    let values = line.split(' ').skip(1).filter(|word| {
        let key = word.split('=').next().unwrap_or_default();
        key != "pin1" && part.card.pin(key).is_none()
    });
    let mut cells = vec![part.id.clone(), values.collect::<Vec<_>>().join(" ")];
    for leg in &part.legs {
        let mut cell = leg.hole.map_or("-".to_owned(), |hole| hole.to_string());
        if leg.depth != Depth::Full {
            cell = cell + "/" + leg.depth.word();
        }
        cells.push(cell);
    }
    cells
}

/// A kind as people write it: its name on the screen stands for its name in files.
fn kind_named(text: &str) -> String {
    let text = text.trim();
    let named = |name: &str| {
        let rest = text.get(name.len()..).filter(|_| text[..name.len()].eq_ignore_ascii_case(name));
        rest.filter(|rest| rest.is_empty() || rest.starts_with(' '))
    };
    // The longest: “MOSFET” is the beginning of other names.
    let kinds = CARDS.iter().flat_map(|card| [(card.kind, card.kind), (card.name, card.kind)]);
    let found = kinds.filter_map(|(name, kind)| Some((name.len(), kind, named(name)?)));
    found.max_by_key(|it| it.0).map_or(text.to_owned(), |(_, kind, rest)| format!("{kind}{rest}"))
}

/// A hole and how far the leg is in, as people write it.
fn pin_named(text: &str) -> String {
    let (hole, depth) = text.split_once('/').map_or((text, ""), |(hole, depth)| (hole, depth));
    let hole = words::read_hole(hole).ok().flatten().map_or(hole.trim().to_owned(), |hole| hole.to_string());
    if depth.is_empty() { hole } else { format!("{hole}/{depth}") }
}

/// The bench with another text in a cell. `row` past the last part is a new part, whose legs are in
/// the air; an empty name takes the part away.
///
/// # Errors
/// What is wrong, in words.
pub fn with_cell(bench: &Bench, row: usize, column: usize, text: &str) -> Result<Bench, String> {
    let text = &match column {
        NAME => text.trim().to_owned(),
        KIND => kind_named(text),
        _ => pin_named(text),
    };
    let mut lines: Vec<String> = bench.parts.iter().map(line).collect();
    if let Some(part) = bench.parts.get(row) {
        let before = cells(part);
        let mut cells = before.clone();
        cells[column].clone_from(text);
        // The list's own check may blame the other part, which nobody has touched.
        let hole = Hole::parse(cells[column].split('/').next().unwrap_or_default());
        let other = hole.and_then(|hole| bench.occupant(hole)).filter(|leg| leg.part.0 != row);
        if let (true, Some(leg)) = (column >= PINS, other) {
            let other = bench.part(leg.part).leg_in_words(leg.pin);
            return Err(format!("{} is taken by {other}; only one leg fits in a hole", cells[column]));
        }
        if cells[NAME].is_empty() {
            lines.remove(row);
        } else {
            let kind = cells[KIND].split_whitespace().next().and_then(card).unwrap_or(part.card);
            let mut line = format!("{} {}", cells[NAME], cells[KIND]);
            for (pin, name) in kind.pins.iter().map(|pin| pin.name).enumerate().take(part.legs.len()) {
                let cell = &cells[PINS + pin];
                let (hole, depth) = cell.split_once('/').unwrap_or((cell, ""));
                let hole = if hole.is_empty() { "-" } else { hole };
                let slash = if depth.is_empty() { "" } else { "/" };
                if !part.is_rigid() {
                    line += &format!(" {name}={hole}{slash}{depth}");
                    continue;
                }
                if pin == 0 {
                    line += &format!(" pin1={hole}");
                } else if before[PINS + pin].split('/').next() != Some(hole) {
                    return Err(format!(
                        "{} is rigid: its other legs follow pin {}.",
                        part.id, kind.pins[0].name
                    ));
                }
                if !depth.is_empty() {
                    line += &format!(" {name}=/{depth}");
                }
            }
            lines[row] = line;
        }
    } else if let Some(card) = text.split_whitespace().next().and_then(card) {
        lines.push(format!("{} {text}", bench.next_id(card)));
    } else {
        return Err(format!("There’s no part called “{text}”."));
    }
    from_text(&lines.join("\n"), bench).map_err(|error| {
        let words = error.to_string();
        // The cell stands in its row: the line's number says nothing more.
        match words.split_once(": ") {
            Some((place, rest)) if place.starts_with("line ") => rest.to_owned(),
            _ => words,
        }
    })
}

impl State {
    /// Takes over what was written into a cell, or keeps it beside the reason why not.
    pub(crate) fn set_cell(&mut self, row: usize, column: usize, text: &str) {
        let part = self.bench().parts.get(row);
        let id = part.map_or(String::new(), |part| part.id.clone());
        let now = part.map_or(String::new(), |part| cells(part).swap_remove(column));
        self.writing.allow(&id, Field::Cell(column));
        if now == text.trim() {
            return;
        }
        match with_cell(self.bench(), row, column, text) {
            Ok(bench) => {
                let says = match column {
                    _ if id.is_empty() => {
                        self.screen.go_to(&cell_id(row, PINS));
                        format!("{} is new. Its legs are still in the air.", bench.parts[row].id)
                    }
                    NAME if text.trim().is_empty() => format!("{id} removed."),
                    NAME => format!("{id} is now called {}.", bench.parts[row].id),
                    KIND => format!("{id}: {}.", cells(&bench.parts[row])[KIND]),
                    _ => {
                        let pin = column - PINS;
                        words::leg_put(
                            &bench,
                            LegId { part: PartIx(row), pin },
                            bench.parts[row].legs[pin].hole,
                        )
                    }
                };
                self.change(bench, says, None);
            }
            Err(why) => self.refuse(id, Field::Cell(column), text, why),
        }
    }

    /// Builds the list that was written as text, or says why not.
    pub(crate) fn build_text(&mut self) {
        let Some(text) = &self.writing.drafts.text else { return };
        match from_text(text, self.bench()) {
            Ok(bench) => {
                let tab = self.screen.tab;
                self.apply(Action::Open(Box::new(bench), "Built from the wiring list.".into()));
                self.screen.tab = tab;
            }
            Err(why) => self.writing.drafts.error = Some(visible(&why.to_string())),
        }
    }
}

/// The place of a cell in the page.
pub fn cell_id(row: usize, column: usize) -> String {
    format!("cell-{row}-{column}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use halfrow_core::board::BoardKind;

    const LIST: &str =
        "R1 resistor ohms=470 1=L+5 2=b5\nD1 led A=e5/barely K=f5\nS1 slide-switch pin1=c10 turn=90\n";

    fn bench() -> Bench {
        from_text(LIST, &Bench::new(BoardKind::Half)).unwrap()
    }

    #[test]
    fn cells_hold_all_of_the_list() {
        let bench = bench();
        let rows: Vec<String> = bench.parts.iter().map(|part| cells(part).join(" | ")).collect();
        assert_eq!(rows[0], "R1 | resistor ohms=470 | L+5 | b5");
        assert_eq!(rows[1], "D1 | led colour=red | e5/barely | f5");
        assert!(rows[2].starts_with("S1 | slide-switch turn=90 | c10 | "), "{}", rows[2]);
        for (row, part) in bench.parts.iter().enumerate() {
            for (column, text) in cells(part).iter().enumerate() {
                assert_eq!(with_cell(&bench, row, column, text).as_ref(), Ok(&bench), "{row} {column}");
            }
        }
    }

    #[test]
    fn a_cell_changes_its_part_alone() {
        for (row, column, text, line) in [
            (0, NAME, "R7", "R7 resistor ohms=470 1=L+5 2=b5"),
            (0, KIND, "resistor ohms=220", "R1 resistor ohms=220 1=L+5 2=b5"),
            (0, PINS + 1, "b9", "R1 resistor ohms=470 1=L+5 2=b9"),
            (0, PINS, "", "R1 resistor ohms=470 1=- 2=b5"),
            (0, KIND, "wire", "R1 wire 1=L+5 2=b5"),
            (1, PINS, "e5", "D1 led A=e5 K=f5"),
            (2, PINS, "c12/out", "S1 slide-switch turn=90 pin1=c12 1=/out"),
            (3, KIND, "led", "D2 led"),
            (3, KIND, "LED colour=green", "D2 led colour=green"),
            (3, KIND, "Jumper wire", "W1 wire"),
            (3, KIND, "push button", "SB1 push-button"),
            (0, PINS + 1, "B9", "R1 resistor ohms=470 1=L+5 2=b9"),
            (0, PINS, "l+7", "R1 resistor ohms=470 1=L+7 2=b5"),
        ] {
            let changed = with_cell(&bench(), row, column, text).unwrap();
            let mut lines: Vec<&str> = LIST.lines().collect();
            lines.truncate(row);
            let rest = LIST.lines().skip(row + 1);
            let wanted = lines.into_iter().chain([line]).chain(rest).collect::<Vec<_>>().join("\n");
            assert_eq!(Ok(changed), from_text(&wanted, &bench()).map_err(|e| e.to_string()), "{text}");
        }
        assert_eq!(with_cell(&bench(), 1, NAME, "").unwrap().parts.len(), 2);
    }

    #[test]
    fn what_is_refused_is_told_without_its_line() {
        for (row, column, text, words) in [
            (0, PINS, "z99", "z99"),
            (0, PINS, "e5", "taken"),
            (0, KIND, "teapot", "teapot"),
            (0, NAME, "D1", "two parts are called D1"),
            (2, PINS + 1, "a1", "rigid"),
            (3, KIND, "teapot", "teapot"),
        ] {
            let why = with_cell(&bench(), row, column, text).unwrap_err();
            assert!(why.contains(words) && !why.contains("line"), "{why}");
        }
    }
}
