//! What a hand does: one move, as data. `words` says it.

use halfrow_core::board::Hole;

/// The kinds of moves. Each costs 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Kind {
    /// A leg to another strip.
    Leg,
    /// A part turned round, or its legs put in another order.
    Turned,
    /// A part to other rows as a whole.
    Shifted,
    /// A leg pushed in.
    Push,
    /// A part that is missing.
    Missing,
    /// A part that is too many.
    Extra,
    /// A part of another kind in its place.
    OtherKind,
    /// A part of another value.
    Value,
    /// One end of a wire to another strip.
    WireEnd,
    /// A wire to another place, both ends.
    WireMoved,
    /// A wire that is missing.
    WireMissing,
    /// A wire between two rails that is missing.
    RailsApart,
    /// A wire that is too many.
    WireExtra,
    /// Two legs or ends that have changed places.
    Swapped,
}

impl Kind {
    /// Every kind in the order in which moves are done where one needs another (what is in the way comes out
    /// first, what joins goes in last), with the fields that a move of this kind has besides `kind`, `part`,
    /// `says` and `because`. An order that burns something on the way gives way to one that does not.
    pub const ALL: [(Kind, &'static str, &'static [&'static str]); 14] = [
        (Kind::Extra, "extra", &["from"]),
        (Kind::WireExtra, "wire-extra", &["from"]),
        (Kind::OtherKind, "kind", &["is", "plan", "to"]),
        (Kind::Value, "value", &["is", "plan"]),
        (Kind::Turned, "turned", &["to"]),
        (Kind::Shifted, "shifted", &["from", "to"]),
        (Kind::Leg, "leg", &["pin", "from", "to"]),
        (Kind::WireEnd, "wire", &["pin", "from", "to"]),
        (Kind::WireMoved, "wire-moved", &["ends"]),
        (Kind::Swapped, "swapped", &["pin", "other", "other_pin"]),
        (Kind::Missing, "missing", &["plan", "to"]),
        (Kind::WireMissing, "wire-missing", &["ends"]),
        (Kind::RailsApart, "rails", &["ends"]),
        (Kind::Push, "push", &["pin", "from"]),
    ];

    /// The word that stands in JSON.
    pub fn word(self) -> &'static str {
        Kind::ALL.iter().find(|it| it.0 == self).map_or("", |it| it.1)
    }
}

/// One move of the hand.
#[derive(Clone, Debug, PartialEq)]
pub struct Move {
    /// What sort of move.
    pub kind: Kind,
    /// The build's name of the part; the plan's for one that is missing.
    pub part: String,
    /// The pin that moves, where one does.
    pub pin: Option<&'static str>,
    /// The other part and pin of an exchange.
    pub other: Option<(String, &'static str)>,
    /// Where it is now: the hole of the leg, or of pin 1.
    pub from: Option<Hole>,
    /// Where it goes: holes that all do, the nearest first; for a whole part a hole for each pin.
    pub to: Vec<Hole>,
    /// Of a wire that is missing or moves as a whole: holes for each end.
    pub ends: [Vec<Hole>; 2],
    /// What it is, and what the plan has, of a value or kind.
    pub is: Option<String>,
    /// See `is`.
    pub plan: Option<String>,
    /// What to do, in a sentence.
    pub says: String,
    /// Why: what it meets in the plan, how far off it is.
    pub because: String,
    /// The bench after this move and all before it is not kept: how little it looks like a slip of the hand
    /// is, for choosing among repairs that are equally short.
    pub(crate) oddity: i32,
}
