//! Eight switches in a row.

use crate::card::{Card, Contact, Group, Limits, Param, Range, State, on_paper};
use crate::part::Part;
use crate::shape::{Anchor, Glance, Point, Sketch, Style};
use crate::stamp::Terminal;

use super::dip::{DIP16, chip_pins};
use super::rigid_frame;

const fn switch(key: &'static str, name: &'static str) -> Param {
    Param { key, name, range: Range::Flag { default: false }, live: true }
}

/// The two pins of each switch.
const SWITCHES: &[&[u8]] = &[&[0, 15], &[1, 14], &[2, 13], &[3, 12], &[4, 11], &[5, 10], &[6, 9], &[7, 8]];

/// The card.
pub static CARD: Card = Card {
    kind: "dip-switch",
    name: "Eight switches",
    also: &["dip switch"],
    what: "Eight small switches across the channel: each joins its left pin to its right pin.",
    prefix: "SW",
    group: Group::Switch,
    pins: chip_pins!(1 "1, left" 2 "2, left" 3 "3, left" 4 "4, left" 5 "5, left" 6 "6, left" 7 "7, left" 8 "8, left"
        9 "8, right" 10 "7, right" 11 "6, right" 12 "5, right" 13 "4, right" 14 "3, right" 15 "2, right" 16 "1, right"),
    footprint: DIP16,
    params: &[
        switch("on1", "Switch 1"),
        switch("on2", "Switch 2"),
        switch("on3", "Switch 3"),
        switch("on4", "Switch 4"),
        switch("on5", "Switch 5"),
        switch("on6", "Switch 6"),
        switch("on7", "Switch 7"),
        switch("on8", "Switch 8"),
    ],
    equation: on_paper("each switch: closed 50 mΩ, open nothing"),
    sources: on_paper(&["50 mΩ, 25 mA: from memory"]),
    alike: SWITCHES,
    gates: SWITCHES,
    contacts: &[
        Contact::of(0, 15),
        Contact::of(1, 14),
        Contact::of(2, 13),
        Contact::of(3, 12),
        Contact::of(4, 11),
        Contact::of(5, 10),
        Contact::of(6, 9),
        Contact::of(7, 8),
    ],
    limits: |_| Limits { amps: Some(0.025), ..Limits::default() },
    stamp: |part, stamp| {
        for index in 0..8 {
            let closed = part.index(index) == 1;
            stamp.contact(Terminal::Pin(index), Terminal::Pin(15 - index), closed, 0.05);
        }
    },
    state: |part, _| {
        State::plain(if (0..8).any(|index| part.index(index) == 1) { "some on" } else { "all off" })
    },
    draw: |part: &Part, glance: &Glance<'_>, sketch: &mut Sketch| {
        rigid_frame(part, glance, sketch, |body| {
            body.rect(4.0, -10.0, 52.0, 160.0, 3.0, Style::fill("#a83226").outlined("#5f1710", 1.2));
            for index in 0..8 {
                let y = 20.0 * index as f32;
                body.rect(16.0, y - 5.5, 30.0, 11.0, 2.0, Style::fill("#6b1c13"));
                let x = if part.index(index) == 1 { 32.0 } else { 18.0 };
                body.rect(x, y - 4.5, 12.0, 9.0, 1.5, Style::fill("#f4efe2"));
                let words = ["1", "2", "3", "4", "5", "6", "7", "8"][index];
                let style = Style::fill("#ffe9e2");
                body.text(Point::new(10.0, y + 3.5), 9.0, Anchor::Middle, true, words, style);
                body.lead_end(Point::new(0.0, y));
                body.lead_end(Point::new(60.0, y));
            }
        });
    },
    ..Card::BLANK
};
