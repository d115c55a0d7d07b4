//! The parts drawer: one file a part, one line here.

use crate::card::Card;
use crate::part::Part;
use crate::shape::{Glance, Sketch};

pub mod battery;
pub mod diode;
pub mod led;
pub mod photoresistor;
pub mod potentiometer;
pub mod push_button;
pub mod resistor;
pub mod slide_switch;
pub mod supply;
pub mod thermistor;
pub mod usb;
pub mod wire;

/// Every kind of part, in the order in which the drawer lists them.
pub static CARDS: [&Card; 12] = [
    &battery::CARD,
    &usb::CARD,
    &supply::CARD,
    &wire::CARD,
    &led::CARD,
    &resistor::CARD,
    &potentiometer::CARD,
    &photoresistor::CARD,
    &thermistor::CARD,
    &push_button::CARD,
    &slide_switch::CARD,
    &diode::CARD,
];

/// The card of a kind, by the word that stands in files.
pub fn card(kind: &str) -> Option<&'static Card> {
    CARDS.into_iter().find(|card| card.kind == kind)
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
            assert!(!card.what.is_empty() && !card.equation.is_empty() && !card.sources.is_empty());
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
