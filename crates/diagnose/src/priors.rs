//! How likely each mistake is before anybody has looked: one table.
//!
//! Nobody has published counts of slips on breadboards (methods read for this crate: none found), so that the
//! weights are common practice, no source: a leg a row off is the commonest, then what isn't pushed in, then
//! what is turned round, then the rail, then the value, and a broken part is the rarest. They are shrunk
//! toward each other (the commonest is ten times the rarest or so), because a prior that misleads costs more
//! readings than a prior that says little. `tests/laws/tests/diagnose.rs` draws truths from other weights too.

/// A class of mistakes that are about as likely as each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Class {
    /// A leg or a wire's end one row up or down.
    Row,
    /// Two rows.
    TwoRows,
    /// A leg in the row's other half.
    Across,
    /// A leg in the rail of the other sign.
    WrongRail,
    /// A leg in the rail of the same sign on the other side of the board.
    FarRail,
    /// A leg that isn't pushed in.
    Out,
    /// A leg where another leg of its own part belongs.
    BothInOne,
    /// A part or wire that is missing.
    Missing,
    /// A part turned round, a supply with its leads exchanged, a chip with its notch at the wrong end.
    Turned,
    /// The legs of a part with three of them in another order.
    Order,
    /// A stiff part or a whole loose one a row off.
    Shifted,
    /// The ends of two wires exchanged.
    Swapped,
    /// A value a decade off.
    Decade,
    /// A value a step of its series off.
    Step,
    /// A part that is broken inside and lets nothing through.
    Open,
    /// A part that is broken inside and joins its legs.
    Short,
    /// A battery that is nearly empty.
    Worn,
}

/// The table: how often a mistake of a class is made on one leg, one part or one pair, against the others.
pub const TABLE: [(Class, f64); 17] = [
    (Class::Row, 10.0),
    (Class::TwoRows, 2.0),
    (Class::Across, 3.0),
    (Class::WrongRail, 6.0),
    (Class::FarRail, 2.0),
    (Class::Out, 6.0),
    (Class::BothInOne, 2.0),
    (Class::Missing, 4.0),
    (Class::Turned, 8.0),
    (Class::Order, 2.0),
    (Class::Shifted, 4.0),
    (Class::Swapped, 1.5),
    (Class::Decade, 2.0),
    (Class::Step, 1.0),
    (Class::Open, 1.0),
    (Class::Short, 1.0),
    (Class::Worn, 3.0),
];

/// The weight of a class.
pub fn weight(class: Class) -> f64 {
    TABLE.iter().find(|it| it.0 == class).map_or(1.0, |it| it.1)
}

/// That nothing is wrong with the build and somebody misread, or the plan's reader expects too much. Larger,
/// and every first symptom is doubted; smaller, and two misreadings of a right build are taken for a fault.
/// Common practice, no source, as the two that follow.
pub const RIGHT: f64 = 0.04;

/// That what is wrong is nothing of what is known here. Larger, and known faults with a misreading are given
/// up; smaller, and what isn't known is forced into what is.
pub const UNKNOWN: f64 = 0.03;

/// That two things are wrong at once.
pub const DOUBLE: f64 = 0.12;

/// That one reading is wrong: misread, the tip a row off, red and black exchanged. Between the 2 and 5 % of
/// careful people and the one in ten of a class in a hurry.
pub const MISREAD: f64 = 0.06;

/// Of the readings that are wrong: those with the leads exchanged, those where a tip touched nothing; the
/// rest may show anything.
pub const EXCHANGED_LEADS: f64 = 0.3;
/// See [`EXCHANGED_LEADS`].
pub const TOUCHED_NOTHING: f64 = 0.3;

/// That somebody says what a part does and is wrong, whatever it does.
pub const MISSEEN: f64 = 0.02;

/// That somebody looks where a leg is and says it is right though it is a row off: "it looks just like the
/// drawing".
pub const OVERLOOKED: f64 = 0.12;

/// The same for something that can be seen from afar: a part that is missing, turned, of other bands.
pub const OVERLOOKED_LARGE: f64 = 0.06;

/// The same for a leg that isn't pushed in: seen from above it looks right.
pub const OVERLOOKED_OUT: f64 = 0.5;

/// That somebody finds something wrong where all is right.
pub const INVENTED: f64 = 0.02;

/// What is left of the chance of a fault once somebody says to have put it right ("I changed the battery").
pub const TRIED_IN_VAIN: f64 = 0.08;
