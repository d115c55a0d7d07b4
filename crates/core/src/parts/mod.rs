//! The parts drawer: one file a part, one line here.

use crate::card::Card;
use crate::part::Part;
use crate::shape::{Glance, Sketch};

pub mod battery;
pub mod capacitor;
mod cells;
pub mod comparator;
pub mod diode;
mod dip;
pub mod dip_switch;
pub mod fuse;
pub mod inductor;
pub mod lamps;
pub mod led;
pub mod logic_chips;
pub mod mosfet;
pub mod motor;
pub mod op_amp;
pub mod photoresistor;
pub mod phototransistor;
pub mod potentiometer;
pub mod push_button;
pub mod regulator;
pub mod relay;
pub mod resistor;
pub mod signal;
pub mod slide_switch;
pub mod sounders;
pub mod supply;
pub mod thermistor;
pub mod timer_555;
pub mod transistor;
pub mod usb;
pub mod wire;
pub mod zener;

/// What a hand leaves out most often, since most benches are made of it: a wire, a resistor, a lamp.
pub static STAPLES: [&Card; 3] = [&wire::CARD, &resistor::CARD, &led::CARD];

/// Every kind of part, in the order in which the drawer lists them.
pub static CARDS: &[&Card] = &[
    &battery::CARD,
    &usb::CARD,
    &supply::CARD,
    &signal::CARD,
    &wire::CARD,
    &led::CARD,
    &lamps::RGB,
    &lamps::SEVEN_SEGMENTS,
    &resistor::CARD,
    &potentiometer::CARD,
    &potentiometer::KNOB,
    &fuse::CARD,
    &photoresistor::CARD,
    &thermistor::CARD,
    &phototransistor::CARD,
    &push_button::CARD,
    &slide_switch::CARD,
    &dip_switch::CARD,
    &relay::CARD,
    &diode::CARD,
    &zener::CARD,
    &capacitor::CAPACITOR,
    &capacitor::ELECTROLYTIC,
    &inductor::CARD,
    &transistor::EBC,
    &transistor::CBE,
    &mosfet::SMALL,
    &mosfet::LARGE,
    &motor::CARD,
    &sounders::BUZZER,
    &sounders::PIEZO,
    &timer_555::CARD,
    &op_amp::CARD,
    &comparator::CARD,
    &regulator::CARD,
    &logic_chips::HC00,
    &logic_chips::HC02,
    &logic_chips::HC04,
    &logic_chips::HC08,
    &logic_chips::HC14,
    &logic_chips::HC32,
    &logic_chips::HC86,
    &logic_chips::HC74,
    &logic_chips::HC163,
    &logic_chips::HC595,
    &logic_chips::HC4017,
    &logic_chips::HC4511,
];

/// The card of a kind, by the word that stands in files.
pub fn card(kind: &str) -> Option<&'static Card> {
    CARDS.iter().copied().find(|card| card.kind == kind)
}

/// Draws a stiff part: `body` draws it at turn 0 with pin 1 at the origin.
fn rigid_frame(part: &Part, glance: &Glance<'_>, sketch: &mut Sketch, body: impl FnOnce(&mut Sketch)) {
    sketch.group(glance.leg(0), f32::from(part.turn.degrees()), body);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::card::{Footprint, Range};

    #[test]
    fn every_card_is_complete_and_its_words_are_unique() {
        for (index, card) in CARDS.iter().enumerate() {
            assert!(CARDS[index + 1..].iter().all(|other| other.kind != card.kind), "{}", card.kind);
            assert!(!card.what.is_empty() && card.equation.is_some_and(|it| !it.is_empty()));
            assert!(card.sources.is_some_and(|it| !it.is_empty()));
            assert!(card.pins.len() >= 2);
            for (i, pin) in card.pins.iter().enumerate() {
                assert!(card.pins[i + 1..].iter().all(|other| other.name != pin.name));
            }
            if let Footprint::Rigid { offsets, .. } = card.footprint {
                assert_eq!(offsets.len(), card.pins.len(), "{}", card.kind);
                assert_eq!(offsets[0], (0, 0));
            }
            for param in card.params {
                assert!(param.range.allows(param.range.default_value()), "{} {}", card.kind, param.key);
                if let Range::Number { min, max, by_ratio, .. } = param.range {
                    assert!(min < max && (!by_ratio || min > 0.0));
                }
            }
            let keys: Vec<char> = CARDS.iter().filter_map(|card| card.key).collect();
            assert!(keys.iter().enumerate().all(|(i, key)| !keys[i + 1..].contains(key)));
        }
    }
}
