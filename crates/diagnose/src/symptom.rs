//! What somebody reports of a build that nobody else sees, as data and as words.
//!
//! `D2=dark`, `c16:g16=3.4V`, `R2=3.4V`, `R2.2=b13`: the words of the command line and of a case's file. A
//! place is a hole (`c16`: that hole, whatever is in it) or a leg (`R2.2`: that leg, wherever it is).

use std::fmt;

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::Hole;
use halfrow_core::meter::{Dial, Kind};
use halfrow_core::number;
use halfrow_core::unit::Unit;
use halfrow_instruments::range::{Range, ladder};

use crate::behaviour::Spot;

/// What is seen, heard or felt of a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[allow(missing_docs, reason = "each is its word")]
pub enum Sight {
    Lit,
    Dim,
    Bright,
    Dark,
    Blinks,
    BlinksFast,
    BlinksSlow,
    Moves,
    Still,
    Sounds,
    Silent,
    Hot,
    Cool,
    Smokes,
    Swells,
}

impl Sight {
    /// Every one with its word.
    pub const ALL: [(Sight, &'static str); 15] = [
        (Sight::Lit, "lit"),
        (Sight::Dim, "dim"),
        (Sight::Bright, "bright"),
        (Sight::Dark, "dark"),
        (Sight::Blinks, "blinks"),
        (Sight::BlinksFast, "blinks-fast"),
        (Sight::BlinksSlow, "blinks-slowly"),
        (Sight::Moves, "moves"),
        (Sight::Still, "still"),
        (Sight::Sounds, "sounds"),
        (Sight::Silent, "silent"),
        (Sight::Hot, "hot"),
        (Sight::Cool, "cool"),
        (Sight::Smokes, "smokes"),
        (Sight::Swells, "swells"),
    ];

    /// Its word.
    pub fn word(self) -> &'static str {
        Sight::ALL.iter().find(|it| it.0 == self).map_or("", |it| it.1)
    }

    /// Whether somebody may get hurt, so that the power goes off before anything else.
    pub fn is_danger(self) -> bool {
        matches!(self, Sight::Hot | Sight::Smokes | Sight::Swells)
    }
}

/// What is measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Probe {
    /// Volts from one place to another.
    Volts {
        /// The red tip.
        red: Spot,
        /// The black tip.
        black: Spot,
    },
    /// Volts from one leg of a part to the other, without a sign.
    Across(PartIx),
    /// The current through a part, with the meter in series, without a sign.
    Amps(PartIx),
    /// A part's resistance, out of the circuit.
    Ohms(PartIx),
}

/// A reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// Of what.
    pub probe: Probe,
    /// What was read, in volts, amperes or ohms.
    pub value: f64,
    /// Its standard deviation by the meter and by the digits told, in the same unit.
    pub error: f64,
    /// With which meter.
    pub meter: Kind,
}

/// What a look at a part finds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Found {
    /// It is as in the plan.
    Right,
    /// A leg is in this hole.
    Leg {
        /// Index of the pin.
        pin: usize,
        /// The hole.
        hole: Hole,
    },
    /// A leg is loose.
    Loose {
        /// Index of the pin.
        pin: usize,
    },
    /// It isn't there.
    Missing,
    /// It is in the other way round, or its legs are in another order.
    Turned,
    /// It is some rows off as a whole.
    Moved,
    /// It has another value.
    OtherValue,
}

/// What somebody has already done about it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Tried {
    /// Exchanged for another one.
    Exchanged,
    /// Turned round, and back again as it was no better.
    Turned,
    /// Pushed in.
    Pushed,
}

impl Tried {
    /// Every one with its word.
    pub const ALL: [(Tried, &'static str); 3] =
        [(Tried::Exchanged, "exchanged"), (Tried::Turned, "turned"), (Tried::Pushed, "pushed")];
}

/// One thing that is reported.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Symptom {
    /// What a part does.
    Seen {
        /// The part.
        part: PartIx,
        /// What it does.
        sight: Sight,
    },
    /// A reading.
    Read(Reading),
    /// What a look at a part found.
    Look {
        /// The part.
        part: PartIx,
        /// What was found.
        found: Found,
    },
    /// What was done.
    Tried {
        /// To which part.
        part: PartIx,
        /// What.
        what: Tried,
    },
}

/// Why words make no symptom of this plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unclear {
    /// They aren't built as a symptom is.
    Shape {
        /// The words.
        word: String,
        /// What they should look like.
        wanted: &'static str,
    },
    /// The plan has no such part.
    NoPart {
        /// The name.
        id: String,
        /// Those that it has.
        has: String,
    },
    /// The plan's boards have no such hole.
    NoHole {
        /// The name.
        hole: String,
        /// What the boards are.
        boards: String,
    },
    /// The part has no such leg.
    NoLeg {
        /// The words.
        word: String,
        /// The legs that it has.
        has: String,
    },
    /// A word that nobody knows.
    NoWord {
        /// The word.
        word: String,
        /// Those that are known.
        known: String,
    },
    /// A number without a unit, or with one that this can't have.
    NoUnit {
        /// The words.
        word: String,
    },
}

impl fmt::Display for Unclear {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Unclear::Shape { word, wanted } => write!(f, "“{word}” isn’t clear. Write it as {wanted}."),
            Unclear::NoPart { id, has } => write!(f, "the plan has no part called “{id}”. It has {has}."),
            Unclear::NoHole { hole, boards } => {
                write!(f, "the plan has no hole {hole} ({boards}). Holes are called c16 or L+7.")
            }
            Unclear::NoLeg { word, has } => write!(f, "there’s no leg “{word}”. Its legs are {has}."),
            Unclear::NoWord { word, known } => write!(f, "“{word}” isn’t known here. Say {known}."),
            Unclear::NoUnit { word } => {
                write!(f, "“{word}” has no unit that fits. Write volts, amperes or ohms: 3.4V, 12mA, 150Ω.")
            }
        }
    }
}

impl std::error::Error for Unclear {}

const READING: &str = "c16:g16=3.4V, R2=3.4V, R2=12mA or R2=150Ω";

/// Somebody's words as a message may quote them.
fn shown(word: &str) -> String {
    word.chars().take(40).map(|c| if c.is_control() { '\u{fffd}' } else { c }).collect()
}

/// The part of that name.
fn part_of(plan: &Bench, id: &str) -> Result<PartIx, Unclear> {
    plan.find(id).ok_or_else(|| {
        let ids: Vec<&str> = plan.parts.iter().map(|part| part.id.as_str()).collect();
        Unclear::NoPart { id: shown(id), has: ids.join(", ") }
    })
}

fn hole_of(plan: &Bench, word: &str) -> Option<Result<Hole, Unclear>> {
    let hole = Hole::parse(word)?;
    Some(match plan.board_of(hole) {
        Some(_) => Ok(hole),
        None => Err(Unclear::NoHole { hole: hole.to_string(), boards: plan.boards_in_words() }),
    })
}

fn leg_of(plan: &Bench, word: &str) -> Option<Result<LegId, Unclear>> {
    let (id, pin) = word.split_once('.')?;
    Some(part_of(plan, id).and_then(|part| {
        let card = plan.part(part).card;
        let pin = card.pin(pin).ok_or_else(|| {
            let legs: Vec<String> = card.pins.iter().map(|pin| format!("{id}.{}", pin.name)).collect();
            Unclear::NoLeg { word: shown(word), has: legs.join(", ") }
        })?;
        Ok(LegId { part, pin })
    }))
}

/// A place that a tip touches.
///
/// # Errors
/// When the plan has no such place.
pub fn spot(plan: &Bench, word: &str) -> Result<Spot, Unclear> {
    if let Some(hole) = hole_of(plan, word) {
        return hole.map(Spot::Hole);
    }
    match leg_of(plan, word) {
        Some(leg) => leg.map(Spot::Leg),
        None => Err(Unclear::Shape { word: shown(word), wanted: "a hole such as c16 or a leg such as R2.2" }),
    }
}

/// The word of a place.
pub fn spot_word(plan: &Bench, spot: Spot) -> String {
    match spot {
        Spot::Hole(hole) => hole.to_string(),
        Spot::Leg(leg) => {
            let part = plan.part(leg.part);
            format!("{}.{}", part.id, part.card.pins[leg.pin].name)
        }
    }
}

/// `D2=dark`.
///
/// # Errors
/// When the plan has no such part, or the word isn't known.
pub fn seen(plan: &Bench, words: &str) -> Result<Symptom, Unclear> {
    let shape = || Unclear::Shape { word: shown(words), wanted: "D2=dark" };
    let (id, word) = words.split_once('=').ok_or_else(shape)?;
    let part = part_of(plan, id.trim())?;
    let word = word.trim();
    let found = Sight::ALL.iter().find(|it| it.1 == word);
    let sight = found.map(|it| it.0).ok_or_else(|| Unclear::NoWord {
        word: shown(word),
        known: listed(Sight::ALL.iter().map(|it| it.1)),
    })?;
    Ok(Symptom::Seen { part, sight })
}

fn listed<'a>(words: impl Iterator<Item = &'a str>) -> String {
    let words: Vec<&str> = words.collect();
    match words.as_slice() {
        [all @ .., last] if !all.is_empty() => format!("{} or {last}", all.join(", ")),
        _ => words.concat(),
    }
}

/// `c16:g16=3.4V`, with `±0.1V` where the tolerance is told, and `@cheap` for another meter.
///
/// # Errors
/// When the plan lacks the place, or the number has no unit that fits.
pub fn read(plan: &Bench, words: &str) -> Result<Symptom, Unclear> {
    let shape = || Unclear::Shape { word: shown(words), wanted: READING };
    let (place, rest) = words.split_once('=').ok_or_else(shape)?;
    let (rest, meter) = match rest.split_once('@') {
        None => (rest, Kind::default()),
        Some((rest, kind)) => {
            let known = || listed(Kind::ALL.iter().map(|kind| kind.word()));
            let meter = Kind::from_word(kind.trim());
            (rest, meter.ok_or_else(|| Unclear::NoWord { word: shown(kind), known: known() })?)
        }
    };
    let (text, off) = match rest.split_once('±').or_else(|| rest.split_once("+-")) {
        Some((text, off)) => (text.trim(), Some(off.trim())),
        None => (rest.trim(), None),
    };
    let no_unit = || Unclear::NoUnit { word: shown(rest) };
    let (unit, value) = quantity(text).ok_or_else(no_unit)?;
    let told = match off {
        Some(off) => {
            Some(number::read(off, unit).filter(|it| it.is_finite() && *it > 0.0).ok_or_else(no_unit)?)
        }
        None => None,
    };
    let place = place.trim();
    let probe = match (place.split_once(':'), unit) {
        // A board's letter stands before a colon too: `B:c4`.
        (Some(_), Unit::Volt) if Hole::parse(place).is_none() => {
            let (red, black) = tips(place).ok_or_else(shape)?;
            Probe::Volts { red: spot(plan, red)?, black: spot(plan, black)? }
        }
        (_, Unit::Volt) if Hole::parse(place).is_some() || place.contains('.') => {
            let black = ground(plan).ok_or_else(shape)?;
            Probe::Volts { red: spot(plan, place)?, black }
        }
        (_, Unit::Volt) => Probe::Across(part_of(plan, place)?),
        (_, Unit::Amp) => Probe::Amps(part_of(plan, place.split('.').next().unwrap_or(place))?),
        (_, _) => Probe::Ohms(part_of(plan, place)?),
    };
    let error = told.unwrap_or_else(|| usual_error(unit, value, text));
    Ok(Symptom::Read(Reading { probe, value, error, meter }))
}

/// The two tips of `c16:g16`, of which either may have a board's letter.
fn tips(place: &str) -> Option<(&str, &str)> {
    let colons = place.match_indices(':').map(|it| it.0);
    let is_board = |at: usize| at == 1 && place.as_bytes()[0].is_ascii_uppercase();
    let at = colons.filter(|&at| !is_board(at)).find(|&at| {
        let (red, black) = (&place[..at], &place[at + 1..]);
        !red.is_empty() && !black.is_empty()
    })?;
    Some((&place[..at], &place[at + 1..]))
}

/// The hole of the − leg of the plan's first source: what voltages are read against.
pub fn ground(plan: &Bench) -> Option<Spot> {
    let (part, source) = plan.parts.iter().find_map(|part| Some((part, part.card.source?)))?;
    part.legs[usize::from(source.minus)].hole.map(Spot::Hole)
}

/// A number with its unit.
fn quantity(text: &str) -> Option<(Unit, f64)> {
    let text = text.trim().replace('\u{2212}', "-");
    [Unit::Volt, Unit::Amp, Unit::Ohm].into_iter().find_map(|unit| {
        let named = match unit {
            Unit::Ohm => text.ends_with(['Ω', '\u{2126}']) || text.ends_with("ohm") || text.ends_with("ohms"),
            unit => text.ends_with(unit.symbol()),
        };
        let value = number::read(&text, unit).filter(|value| value.is_finite())?;
        named.then_some((unit, value))
    })
}

/// The standard deviation of a reading: half of what the meter may be off by on the finest range that holds
/// it, and what the digits leave open (an even distribution over the last digit told).
pub fn usual_error(unit: Unit, value: f64, text: &str) -> f64 {
    let finest = match unit {
        Unit::Volt => Dial::Dc200Mv,
        Unit::Amp => Dial::Dc200Ua,
        _ => Dial::Ohm200,
    };
    let ranges = ladder(finest).iter().filter_map(|&dial| Range::of(dial));
    let fits = ranges.into_iter().find(|range| range.full() >= value.abs());
    let meter = fits.map_or(0.01 * value.abs(), |range| 0.5 * range.off_by(value));
    // The last digit told, in the unit: 3.4V leaves 0.1 V open.
    let digits = text.trim_start_matches(['-', '+', '\u{2212}']);
    let numeral: String =
        digits.chars().take_while(|c| c.is_ascii_digit() || matches!(c, '.' | ',')).collect();
    let decimals = numeral.split_once(['.', ',']).map_or(0, |(_, after)| after.len());
    let plain: f64 = numeral.replace(',', ".").parse().unwrap_or(0.0);
    let scale = if plain != 0.0 { (value / plain).abs() } else { 1.0 };
    let step = (0..decimals).fold(scale, |step, _| step / 10.0);
    (meter * meter + step * step / 12.0).sqrt()
}

/// `R2.2=b13`, `R2=right`, `R2=missing`, `D2=backwards`, `R2=moved`, `R2=other-value`, `W2.1=loose`.
///
/// # Errors
/// When the plan lacks the part, leg or hole, or the word isn't known.
pub fn look(plan: &Bench, words: &str) -> Result<Symptom, Unclear> {
    let shape =
        || Unclear::Shape { word: shown(words), wanted: "R2.2=b13, R2.2=loose, R2=right or D2=backwards" };
    let (place, word) = words.split_once('=').ok_or_else(shape)?;
    let (place, word) = (place.trim(), word.trim());
    if let Some(leg) = leg_of(plan, place) {
        let leg = leg?;
        let found = match hole_of(plan, word) {
            Some(hole) => Found::Leg { pin: leg.pin, hole: hole? },
            None if word == "loose" => Found::Loose { pin: leg.pin },
            None => return Err(shape()),
        };
        return Ok(Symptom::Look { part: leg.part, found: as_plan(plan, leg.part, found) });
    }
    let part = part_of(plan, place)?;
    let known = [
        ("right", Found::Right),
        ("missing", Found::Missing),
        ("backwards", Found::Turned),
        ("moved", Found::Moved),
        ("other-value", Found::OtherValue),
    ];
    let found = known.iter().find(|it| it.0 == word).map(|it| it.1);
    let found = found
        .ok_or_else(|| Unclear::NoWord { word: shown(word), known: listed(known.iter().map(|it| it.0)) })?;
    Ok(Symptom::Look { part, found })
}

/// A leg in the strip where the plan has it is right.
fn as_plan(plan: &Bench, part: PartIx, found: Found) -> Found {
    match found {
        Found::Leg { pin, hole } => {
            let planned = plan.part(part).legs[pin].hole.and_then(|hole| plan.strip(hole));
            if planned.is_some() && plan.strip(hole) == planned { Found::Right } else { found }
        }
        other => other,
    }
}

/// `BT1=exchanged`, `D2=turned`, `W2=pushed`.
///
/// # Errors
/// When the plan lacks the part, or the word isn't known.
pub fn tried(plan: &Bench, words: &str) -> Result<Symptom, Unclear> {
    let shape = || Unclear::Shape { word: shown(words), wanted: "BT1=exchanged" };
    let (id, word) = words.split_once('=').ok_or_else(shape)?;
    let part = part_of(plan, id.trim())?;
    let what = Tried::ALL.iter().find(|it| it.1 == word.trim()).map(|it| it.0);
    let what = what.ok_or_else(|| Unclear::NoWord {
        word: shown(word),
        known: listed(Tried::ALL.iter().map(|it| it.1)),
    })?;
    Ok(Symptom::Tried { part, what })
}

#[cfg(test)]
mod tests;
