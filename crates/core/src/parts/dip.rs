//! Dual in-line packages: where their pins stand and what they look like.

use crate::card::{Card, Footprint, Group};
use crate::part::Part;
use crate::shape::{Anchor, Glance, Point, Sketch, Style};

use super::rigid_frame;

/// Eight pins, 0.3 inch between the rows (JEDEC MS-001).
pub(super) const DIP8: Footprint = Footprint::Rigid {
    offsets: &[(0, 0), (0, 1), (0, 2), (0, 3), (3, 3), (3, 2), (3, 1), (3, 0)],
    straddles: true,
};

/// Fourteen pins.
pub(super) const DIP14: Footprint = Footprint::Rigid {
    offsets: &[
        (0, 0),
        (0, 1),
        (0, 2),
        (0, 3),
        (0, 4),
        (0, 5),
        (0, 6),
        (3, 6),
        (3, 5),
        (3, 4),
        (3, 3),
        (3, 2),
        (3, 1),
        (3, 0),
    ],
    straddles: true,
};

/// Sixteen pins.
pub(super) const DIP16: Footprint = Footprint::Rigid {
    offsets: &[
        (0, 0),
        (0, 1),
        (0, 2),
        (0, 3),
        (0, 4),
        (0, 5),
        (0, 6),
        (0, 7),
        (3, 7),
        (3, 6),
        (3, 5),
        (3, 4),
        (3, 3),
        (3, 2),
        (3, 1),
        (3, 0),
    ],
    straddles: true,
};

/// What all chips have in common.
pub(super) const CHIP: Card = Card { prefix: "U", group: Group::Chip, chip: true, draw, ..Card::BLANK };

/// The pins of a chip by their numbers and what they are for.
macro_rules! chip_pins {
    ($($number:literal $what:literal)*) => {
        &[$(crate::card::Pin {
            name: stringify!($number),
            says: concat!("pin ", stringify!($number), " (", $what, ")"),
        }),*]
    };
}
pub(super) use chip_pins;

/// A body with a notch at the end of pin 1, a dot beside it, legs, and the type printed on it.
pub(super) fn draw(part: &Part, glance: &Glance<'_>, sketch: &mut Sketch) {
    let rows = part.legs.len() / 2;
    let height = 20.0 * (rows as f32 - 1.0);
    rigid_frame(part, glance, sketch, |body| {
        for row in 0..rows {
            let y = 20.0 * row as f32;
            for (x, from) in [(0.0, -1.0), (60.0, 50.0)] {
                body.rect(from, y - 3.6, 11.0, 7.2, 1.0, Style::fill("#b9bdc0").outlined("#6b6e70", 0.6));
                body.lead_end(Point::new(x, y));
            }
        }
        let (top, bottom) = (-11.0, height + 11.0);
        let d = format!("M7 {top}H23Q30 {} 37 {top}H53V{bottom}H7Z", crate::shape::n(top + 12.0));
        let fill = if glance.burnt { "#4a3a30" } else { "#2b2f33" };
        body.path(d, Style::fill(fill).outlined("#0d0f10", 1.2));
        body.circle(14.0, -1.0, 2.4, Style::fill("#c9ccd0"));
        body.rect(9.5, top + 3.0, 2.0, height + 16.0, 1.0, Style::fill("#ffffff").faint(0.14));
        let words = (part.card.label)(part);
        // A bold letter is about two thirds as wide as it is high; 41 of the body's 46 units are for them.
        let size = (60.0 / words.chars().count() as f32).min(11.5);
        let middle = Point::new(31.0, height / 2.0 + 4.0);
        body.text(middle, size, Anchor::Middle, true, words, Style::fill("#e8e6df"));
        // The numbers of the pins at the four corners: enough to count from.
        let corners = [(20.0, 0, 1), (14.0, rows - 1, rows), (46.0, rows - 1, rows + 1), (46.0, 0, 2 * rows)];
        for (x, row, number) in corners {
            let at = Point::new(x, 20.0 * row as f32 + 2.0);
            body.text(at, 8.7, Anchor::Middle, false, number.to_string(), Style::fill("#c9ccd0"));
        }
        if glance.burnt {
            cracked(body, 30.0, height / 2.0);
        }
    });
}

/// The crack and the soot of something that has burnt out.
pub(super) fn cracked(body: &mut Sketch, x: f32, y: f32) {
    body.circle(x, y, 15.0, Style::fill("#120c08").faint(0.55));
    let d = format!("M{} {}l5 7l-4 5l7 9", x - 4.0, y - 11.0);
    body.path(d, Style::line("#f0b070", 1.6));
}
