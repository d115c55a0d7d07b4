//! The page's board and parts, as a hand finds them: holes by their names, kinds of parts by theirs.

use crate::page::Page;
use crate::wire::{Result, Trouble};
use serde_json::json;
use std::cmp::Ordering;

/// The board's picture.
pub const BOARD: &str = "svg.board";

/// Where a hole of a half board is drawn. Written down here once more rather than asked of the
/// engine, so that a board drawn askew is noticed.
///
/// # Errors
/// For a name that is no hole.
pub fn hole(name: &str) -> Result<(f64, f64)> {
    let unknown = || Trouble(format!("there is no hole {name}"));
    let number = |digits: &str| digits.parse::<u32>().map_err(|_| unknown());
    for (rail, x) in [("L+", -60.0), ("L-", -40.0), ("R+", 260.0), ("R-", 280.0)] {
        if let Some(digits) = name.strip_prefix(rail) {
            // Rail holes stand in groups of five with a pitch left free between.
            let before = number(digits)?.checked_sub(1).ok_or_else(unknown)?;
            return Ok((x, 30.0 + 20.0 * f64::from(before + before / 5)));
        }
    }
    let column = name.chars().next().and_then(|letter| "abcdefghij".find(letter)).ok_or_else(unknown)?;
    // The trench between e and f is three pitches wide.
    let pitches = if column < 5 { column } else { column + 2 };
    Ok((20.0 * pitches as f64, 20.0 * f64::from(number(&name[1..])?)))
}

impl Page {
    /// Clicks a hole.
    ///
    /// # Errors
    /// When there is none of that name or it is out of sight.
    pub fn click_hole(&mut self, name: &str) -> Result {
        let (x, y) = hole(name)?;
        self.click_in(BOARD, x, y)
    }

    /// Drags from one hole to another.
    ///
    /// # Errors
    /// When one of them is not there or out of sight.
    pub fn drag_holes(&mut self, from: &str, to: &str) -> Result {
        self.drag_in(BOARD, hole(from)?, hole(to)?)
    }

    /// Takes a part by its name in the drawer and clicks a hole for each leg.
    ///
    /// # Errors
    /// When the drawer has no part of that name.
    pub fn put_part(&mut self, kind: &str, holes: &[&str]) -> Result {
        let names = "[...document.querySelectorAll('.drawer button.kind')].map((b) => b.querySelector('span').innerText)";
        let place = self.evaluate(&format!("{names}.indexOf({})", json!(kind)))?;
        let place = place.as_u64().ok_or_else(|| Trouble(format!("the drawer has no {kind}")))?;
        let button = format!(".drawer button.kind:nth-of-type({})", place + 1);
        if self.place(&button)?[2] == 0.0 {
            return Err(Trouble(format!("the drawer with the {kind} is not in sight")));
        }
        self.click(&button)?;
        holes.iter().try_for_each(|hole| self.click_hole(hole))
    }

    /// The hole that the focused cell of the board says.
    ///
    /// # Errors
    /// When the focus is elsewhere.
    pub fn hole_in_focus(&mut self) -> Result<String> {
        // The page moves the focus to another row's cell a moment after the key.
        self.wait_for("document.activeElement.role === 'gridcell'")?;
        let label = self.evaluate(
            "document.activeElement.role === 'gridcell' ? document.activeElement.ariaLabel.split(',')[0] : null",
        )?;
        label.as_str().map(str::to_owned).ok_or_else(|| Trouble("no hole has the focus".into()))
    }

    /// Goes by arrow keys to a hole: first sideways, then up or down.
    ///
    /// # Errors
    /// When sixty arrow keys do not lead there, or the board does not have the focus.
    pub fn walk_to(&mut self, to: &str) -> Result {
        let cell = |name: &str| -> Result<(usize, i32)> {
            let unknown = || Trouble(format!("there is no hole {name}"));
            let digits = name.find(|letter: char| letter.is_ascii_digit()).ok_or_else(unknown)?;
            let columns = ["L+", "L-", "a", "b", "c", "d", "e", "f", "g", "h", "i", "j", "R+", "R-"];
            let column = columns.iter().position(|it| *it == &name[..digits]).ok_or_else(unknown)?;
            Ok((column, name[digits..].parse().map_err(|_| unknown())?))
        };
        let aim = cell(to)?;
        for _ in 0..60 {
            let at = cell(&self.hole_in_focus()?)?;
            let key = match (at.0.cmp(&aim.0), at.1.cmp(&aim.1)) {
                (Ordering::Equal, Ordering::Equal) => return Ok(()),
                (Ordering::Less, _) => "ArrowRight",
                (Ordering::Greater, _) => "ArrowLeft",
                (_, Ordering::Less) => "ArrowDown",
                (_, Ordering::Greater) => "ArrowUp",
            };
            self.keys(key)?;
        }
        Err(Trouble(format!("sixty arrow keys do not lead to {to}, but to {}", self.hole_in_focus()?)))
    }

    /// Builds a pier light with the mouse: battery, resistor, LED and wire, one after the other.
    ///
    /// # Errors
    /// When a part or a hole is not there.
    pub fn build_pier_light(&mut self) -> Result {
        self.put_part("Battery pack", &["L+1", "L-1"])?;
        self.put_part("Resistor", &["L+5", "b7"])?;
        self.put_part("LED", &["e7", "f7"])?;
        self.put_part("Jumper wire", &["h7", "L-5"])
    }

    /// Opens a page of the side panel.
    ///
    /// # Errors
    /// When there is no such tab.
    pub fn open_tab(&mut self, name: &str) -> Result {
        self.click(&format!("#tab-{name}"))?;
        self.wait_for(&format!("document.querySelector('#tab-{name}').ariaSelected === 'true'"))
    }

    /// The row of the table of readings that begins with this part: volts, current, power, now.
    ///
    /// # Errors
    /// When the table has no such part.
    pub fn reading(&mut self, id: &str) -> Result<[String; 4]> {
        self.open_tab("Readings")?;
        let row = self.evaluate(&format!(
            "[...document.querySelectorAll('.readings tbody tr')].map((row) => [...row.cells].map((c) => c.innerText)) \
             .find(([title]) => title.split(' ')[0] === {})?.slice(1)",
            json!(id)
        ))?;
        let cells = row.as_array().ok_or_else(|| Trouble(format!("{id} is not among the readings")))?;
        Ok(std::array::from_fn(|i| cells.get(i).and_then(|c| c.as_str()).unwrap_or_default().to_owned()))
    }

    /// The bench as the wiring list has it, a part a line.
    ///
    /// # Errors
    /// When there is no such tab.
    pub fn wiring(&mut self) -> Result<String> {
        self.open_tab("Wiring")?;
        let text = self.evaluate("document.querySelector('#wiring-text').value")?;
        Ok(text.as_str().unwrap_or_default().to_owned())
    }

    /// The words of the first finding.
    ///
    /// # Errors
    /// When there is no finding.
    pub fn first_finding(&mut self) -> Result<String> {
        self.open_tab("Findings")?;
        // What was just changed is judged in the frames after its picture.
        self.wait_for("document.querySelector('.finding')")?;
        self.text(".finding")
    }
}

#[cfg(test)]
mod tests {
    use super::hole;

    #[test]
    fn holes_have_their_places() {
        for (name, place) in [
            ("a1", (0.0, 20.0)),
            ("e30", (80.0, 600.0)),
            ("f7", (140.0, 140.0)),
            ("j1", (220.0, 20.0)),
            ("L+1", (-60.0, 30.0)),
            ("L-6", (-40.0, 150.0)),
            ("R-25", (280.0, 590.0)),
        ] {
            assert_eq!(hole(name).unwrap(), place, "{name}");
        }
        for name in ["", "k1", "a", "L+0", "L+", "é1"] {
            assert!(hole(name).is_err(), "{name}");
        }
    }
}
