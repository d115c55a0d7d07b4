//! A mail's sentences as symptoms: “D2 stays dark, and I read 3.4 V across R2.”
//!
//! Names of parts, words for what they do and numbers with units are picked out of each piece of a sentence;
//! what is understood is handed back beside what was not, so that nothing is lost. Whole names of the plan's
//! parts only: “the red LED” is known where one part alone is a red LED.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::Hole;
use halfrow_core::card::{Group, Range};
use halfrow_core::meter::Kind;
use halfrow_core::number;
use halfrow_core::unit::Unit;

use crate::behaviour::Spot;
use crate::symptom::{Found, Probe, Reading, Sight, Symptom, Tried, ground, usual_error};

/// What a mail says.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Heard {
    /// The symptoms in it.
    pub symptoms: Vec<Symptom>,
    /// Pieces with a part's name or a number that weren't understood.
    pub unclear: Vec<String>,
}

/// Words for what a part does, the more telling ones first: each list is one meaning.
const SIGHTS: [(Sight, &[&str]); 15] = [
    (Sight::Smokes, &["smokes", "smoking", "smoke", "smells burnt", "burning smell", "burnt"]),
    (Sight::Swells, &["swells", "swelling", "swollen", "bulges", "bulging"]),
    (
        Sight::BlinksFast,
        &[
            "blinks too fast",
            "blinking too fast",
            "flickers",
            "flickering",
            "blinks fast",
            "too fast",
            "too quickly",
        ],
    ),
    (Sight::BlinksSlow, &["blinks too slowly", "blinks slowly", "too slow", "too slowly"]),
    (Sight::Blinks, &["blinks", "blinking", "flashes", "flashing"]),
    (
        Sight::Dim,
        &[
            "dim",
            "dimly",
            "faint",
            "faintly",
            "weak",
            "weakly",
            "hardly lit",
            "barely lit",
            "hardly glows",
            "barely glows",
        ],
    ),
    (Sight::Bright, &["too bright", "very bright", "brighter"]),
    (
        Sight::Dark,
        &[
            "dark",
            "not lit",
            "isn't lit",
            "is not lit",
            "aren't lit",
            "doesn't light",
            "does not light",
            "doesn't work",
            "does not work",
            "don't work",
            "do not work",
            "don't light",
            "do not light",
            "won't light",
            "off",
            "dead",
            "never lights",
            "not light up",
            "doesn't glow",
            "nothing lights",
        ],
    ),
    (Sight::Hot, &["hot", "warm", "overheats", "burns my finger"]),
    (
        Sight::Still,
        &[
            "stands still",
            "doesn't turn",
            "does not turn",
            "doesn't move",
            "does not move",
            "won't turn",
            "doesn't spin",
            "not turning",
        ],
    ),
    (Sight::Silent, &["silent", "no sound", "doesn't sound", "does not sound", "quiet", "no beep"]),
    (Sight::Moves, &["turns", "moves", "spins", "runs"]),
    (Sight::Sounds, &["sounds", "beeps", "hums", "buzzes", "sings"]),
    (Sight::Cool, &["cool", "stays cold"]),
    (
        Sight::Lit,
        &[
            "lit",
            "lights",
            "light up",
            "lights up",
            "shines",
            "glows",
            "is on",
            "are on",
            "works",
            "work",
            "is fine",
            "are fine",
        ],
    ),
];

/// Reads a mail about a plan.
pub fn read(plan: &Bench, mail: &str) -> Heard {
    let mut heard = Heard::default();
    let mut before: Vec<PartIx> = Vec::new();
    let mail = mail.replace(['’', '‘'], "'").replace('\u{2212}', "-");
    for sentence in sentences(&mail) {
        // What a sentence is about goes on to its next piece: “D2 stays dark and gets hot”.
        let mut about: Vec<PartIx> = Vec::new();
        for piece in pieces(&sentence) {
            let words = Words::of(&piece);
            let named = parts_in(plan, &words);
            let found = one(plan, &words, &named, if named.is_empty() { &about } else { &named }, &before);
            if found.is_empty() && (!named.is_empty() || words.number(plan).is_some()) {
                heard.unclear.push(piece.trim().to_owned());
            }
            if !named.is_empty() {
                about.clone_from(&named);
                before = named;
            }
            for symptom in found {
                if !heard.symptoms.contains(&symptom) {
                    heard.symptoms.push(symptom);
                }
            }
        }
    }
    heard
}

/// Sentences end where a point, a question mark or a line does; a point between digits ends nothing.
fn sentences(mail: &str) -> Vec<String> {
    let signs: Vec<char> = mail.chars().collect();
    let mut all = vec![String::new()];
    for (at, &sign) in signs.iter().enumerate() {
        let digit = |it: Option<&char>| it.is_some_and(char::is_ascii_digit);
        let inside = sign == '.' && signs.get(at + 1).is_some_and(|it| !it.is_whitespace());
        let decimal =
            matches!(sign, '.' | ',') && digit(signs.get(at + 1)) && at > 0 && digit(signs.get(at - 1));
        if matches!(sign, '.' | '!' | '?' | ';' | '\n') && !decimal && !inside {
            all.push(String::new());
        } else if let Some(last) = all.last_mut() {
            last.push(sign);
        }
    }
    all.retain(|it| !it.trim().is_empty());
    all
}

/// Pieces of a sentence: at “but”, “while”, and at commas or “and” before something new is said.
fn pieces(sentence: &str) -> Vec<String> {
    let mut text = format!(" {sentence} ");
    for cut in [" but ", " while ", " whereas ", " although ", " however "] {
        text = text.replace(cut, "\u{1}");
    }
    let mut pieces: Vec<String> = Vec::new();
    for part in text.split('\u{1}') {
        // A list of names belongs together: “D1, D3 and D4 are lit”.
        let mut open = String::new();
        for (at, item) in part.replace(" and ", ", \u{2}").split(", ").enumerate() {
            let item = item.replace('\u{2}', " ");
            let says_something = Words::of(&open).says_something();
            if at > 0 && says_something {
                pieces.push(std::mem::take(&mut open));
            }
            open.push(' ');
            open.push_str(&item);
        }
        pieces.push(open);
    }
    pieces.retain(|it| !it.trim().is_empty());
    pieces
}

/// A piece as words, and as one text with single spaces in lower case.
struct Words {
    words: Vec<String>,
    text: String,
}

impl Words {
    fn of(piece: &str) -> Words {
        let trim = |word: &str| {
            word.trim_matches(|c: char| ",:;!?()\"“”".contains(c)).trim_end_matches('.').to_owned()
        };
        let words: Vec<String> = piece.split_whitespace().map(trim).filter(|it| !it.is_empty()).collect();
        let text = format!(" {} ", words.join(" ").to_lowercase());
        Words { words, text }
    }

    fn has(&self, phrase: &str) -> bool {
        self.text.contains(&format!(" {phrase} "))
    }

    fn has_any(&self, phrases: &[&str]) -> bool {
        phrases.iter().any(|phrase| self.has(phrase))
    }

    fn sight(&self) -> Option<Sight> {
        SIGHTS.iter().find(|it| self.has_any(it.1)).map(|it| it.0)
    }

    fn says_something(&self) -> bool {
        self.sight().is_some() || self.quantity().is_some() || self.has_any(&TRIED) || self.has_any(&LOOKS)
    }

    /// The number with a unit in it: `3.4 V`, `3.4V`, `3.4 volts`.
    fn quantity(&self) -> Option<(Unit, f64, String)> {
        for (at, word) in self.words.iter().enumerate() {
            let next = self.words.get(at + 1).map_or("", String::as_str);
            for (text, from) in [(word.clone(), word.as_str()), (format!("{word} {next}"), word.as_str())] {
                if !from.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '-' | '+' | '.')) {
                    continue;
                }
                for unit in [Unit::Volt, Unit::Amp, Unit::Ohm] {
                    if let Some(value) = in_unit(&text, unit) {
                        return Some((unit, value, text));
                    }
                }
            }
        }
        None
    }

    fn number(&self, plan: &Bench) -> Option<f64> {
        let holes = self.words.iter().any(|word| hole(plan, word).is_some());
        self.quantity().map(|it| it.1).filter(|_| !holes || self.quantity().is_some())
    }
}

const TRIED: [&str; 8] =
    ["changed", "replaced", "swapped", "exchanged", "new battery", "turned", "pushed", "pressed in"];
const LOOKS: [&str; 7] =
    ["is in", "sits in", "goes into", "missing", "backwards", "loose", "the wrong way round"];

/// Words before a hole.
const PLACED: [&str; 12] =
    ["in", "into", "from", "to", "at", "on", "of", "and", "hole", "between", "with", "row"];

/// A number in a unit that is written out or short.
fn in_unit(text: &str, unit: Unit) -> Option<f64> {
    let lower = text.to_lowercase();
    let names: &[(&str, &str)] = match unit {
        Unit::Volt => &[("millivolts", "m"), ("millivolt", "m"), ("volts", ""), ("volt", "")],
        Unit::Amp => &[
            ("milliamps", "m"),
            ("milliamperes", "m"),
            ("milliamp", "m"),
            ("amperes", ""),
            ("amps", ""),
            ("amp", ""),
        ],
        _ => &[("kiloohms", "k"), ("kilohms", "k"), ("ohms", ""), ("ohm", "")],
    };
    for (name, prefix) in names {
        if let Some(number) = lower.strip_suffix(name) {
            return number::read_bare(&format!("{}{prefix}", number.trim())).filter(|it| it.is_finite());
        }
    }
    let symbol = match unit {
        Unit::Ohm => text.ends_with(['Ω', '\u{2126}']),
        unit => text.ends_with(unit.symbol()) || (unit == Unit::Volt && text.ends_with('v')),
    };
    let text = if unit == Unit::Volt { text.replace('v', "V") } else { text.to_owned() };
    symbol.then(|| number::read(&text, unit)).flatten().filter(|it| it.is_finite())
}

fn hole(plan: &Bench, word: &str) -> Option<Hole> {
    Hole::parse(word).filter(|&hole| plan.board_of(hole).is_some())
}

/// The parts that are named, in the order of the words; “all lamps”, “nothing”, “the motor”, “the red LED”.
fn parts_in(plan: &Bench, words: &Words) -> Vec<PartIx> {
    let mut named: Vec<PartIx> = Vec::new();
    let add = |part: PartIx, named: &mut Vec<PartIx>| {
        if !named.contains(&part) {
            named.push(part);
        }
    };
    for (at, word) in words.words.iter().enumerate() {
        let bare = word.trim_end_matches("'s");
        let id = bare.split('.').next().unwrap_or(bare);
        let found = plan.parts.iter().position(|part| part.id.eq_ignore_ascii_case(id));
        // “d2” is a hole after such a word and otherwise a part that somebody wrote small.
        let placed = at > 0 && PLACED.contains(&words.words[at - 1].to_lowercase().as_str());
        let is_hole = placed && hole(plan, word).is_some();
        if let Some(at) = found.filter(|_| !is_hole) {
            add(PartIx(at), &mut named);
        }
    }
    if !named.is_empty() {
        return named;
    }
    let lamps = || (0..plan.parts.len()).map(PartIx).filter(|&it| plan.part(it).card.group == Group::Light);
    if words.has_any(&[
        "nothing",
        "all lamps",
        "all the lamps",
        "all leds",
        "all the leds",
        "every lamp",
        "everything",
        "no lamp",
        "none of the lamps",
        "no led",
    ]) {
        return lamps().collect();
    }
    // By kind, where only one part is of that kind.
    let kinds = |part: PartIx| {
        let it = plan.part(part);
        let mut names = vec![it.card.name.to_lowercase()];
        names.extend(it.card.also.iter().map(|name| (*name).to_owned()));
        if it.card.source.is_some() {
            names.extend(["pack".to_owned(), "batteries".to_owned()]);
        }
        let colours =
            it.card.params.iter().enumerate().filter(|(_, own)| matches!(own.range, Range::Choice { .. }));
        let colours: Vec<String> = colours.map(|(param, _)| it.choice_name(param).to_lowercase()).collect();
        if it.card.group == Group::Light {
            let lamps: Vec<String> = colours
                .iter()
                .flat_map(|colour| ["led", "lamp", "light"].map(|lamp| format!("{colour} {lamp}")))
                .collect();
            names.extend(lamps);
            names.extend(["lamp".to_owned(), "light".to_owned()]);
        }
        names
    };
    let mut best: Vec<(usize, PartIx)> = Vec::new();
    for part in (0..plan.parts.len()).map(PartIx) {
        let longest = kinds(part).iter().filter(|name| words.has(name)).map(String::len).max();
        best.extend(longest.map(|length| (length, part)));
    }
    let most = best.iter().map(|it| it.0).max().unwrap_or(0);
    best.retain(|it| it.0 == most);
    if best.len() == 1 { vec![best[0].1] } else { Vec::new() }
}

/// The symptoms of one piece. `about` are the parts it speaks of.
fn one(plan: &Bench, words: &Words, named: &[PartIx], about: &[PartIx], before: &[PartIx]) -> Vec<Symptom> {
    if let Some((unit, value, text)) = words.quantity()
        && let Some(probe) = probe(plan, words, named, before, unit)
    {
        let error = usual_error(unit, value, &text);
        return vec![Symptom::Read(Reading { probe, value, error, meter: Kind::default() })];
    }
    let looks = looks(plan, words, named);
    if !looks.is_empty() {
        return looks;
    }
    let tried = [
        (
            Tried::Exchanged,
            &["changed", "replaced", "exchanged", "new battery", "fresh batteries", "another"][..],
        ),
        (Tried::Turned, &["turned", "turned round", "flipped", "reversed"][..]),
        (Tried::Pushed, &["pushed", "pressed in", "pushed in"][..]),
    ];
    if words.has_any(&["i", "i've", "we", "we've", "i have"])
        && words.sight().is_none_or(|it| it == Sight::Moves)
    {
        let what = tried.iter().find(|it| words.has_any(it.1)).map(|it| it.0);
        if let Some(what) = what {
            return about.iter().map(|&part| Symptom::Tried { part, what }).collect();
        }
    }
    let Some(sight) = words.sight() else { return Vec::new() };
    about.iter().filter_map(|&part| seen(plan, part, sight, words)).collect()
}

/// What is said of a part, as far as such a part does that: a motor that “is dead” stands still.
fn seen(plan: &Bench, part: PartIx, sight: Sight, words: &Words) -> Option<Symptom> {
    let card = plan.part(part).card;
    let negated = words
        .has_any(&["not", "never", "no", "nothing", "none", "doesn't", "don't", "isn't", "aren't", "won't"]);
    let sight = match (sight, card.group) {
        (Sight::Dark, _) if card.sounds => Sight::Silent,
        (Sight::Dark, Group::Move) => Sight::Still,
        (Sight::Lit | Sight::Blinks, Group::Light) if negated => Sight::Dark,
        (Sight::Lit, _) if card.sounds => Sight::Sounds,
        (Sight::Lit, Group::Move) => Sight::Moves,
        (Sight::Moves, Group::Move) if negated => Sight::Still,
        (Sight::Sounds, _) if negated => Sight::Silent,
        (Sight::Hot, _) if negated => Sight::Cool,
        (other, _) => other,
    };
    let is_lamp = card.group == Group::Light;
    let fits = match sight {
        Sight::Lit | Sight::Dim | Sight::Bright | Sight::Dark => is_lamp,
        Sight::Blinks | Sight::BlinksFast | Sight::BlinksSlow => is_lamp,
        Sight::Moves | Sight::Still => card.group == Group::Move && !card.sounds,
        Sight::Sounds | Sight::Silent => card.sounds,
        _ => true,
    };
    fits.then_some(Symptom::Seen { part, sight })
}

/// What a reading was of.
fn probe(plan: &Bench, words: &Words, named: &[PartIx], before: &[PartIx], unit: Unit) -> Option<Probe> {
    let spots: Vec<Spot> = words.words.iter().filter_map(|word| spot(plan, word)).collect();
    let part = named.first().or_else(|| {
        // “across it”
        before.first().filter(|_| words.has("it"))
    });
    match unit {
        Unit::Volt => match (spots.as_slice(), part) {
            ([red, black, ..], _) => Some(Probe::Volts { red: *red, black: *black }),
            ([red], None) => Some(Probe::Volts { red: *red, black: ground(plan)? }),
            ([red @ Spot::Leg(_)], Some(_)) => Some(Probe::Volts { red: *red, black: ground(plan)? }),
            (_, Some(&part)) => Some(Probe::Across(part)),
            _ => None,
        },
        Unit::Amp => part.map(|&part| Probe::Amps(part)),
        _ => part.map(|&part| Probe::Ohms(part)),
    }
}

fn spot(plan: &Bench, word: &str) -> Option<Spot> {
    if let Some(hole) = hole(plan, word) {
        return Some(Spot::Hole(hole));
    }
    let (id, pin) = word.split_once('.')?;
    let part = plan.parts.iter().position(|part| part.id.eq_ignore_ascii_case(id))?;
    let pin = plan.parts[part].card.pin(pin)?;
    Some(Spot::Leg(LegId { part: PartIx(part), pin }))
}

/// “R2's second leg is in b13”, “W2 is missing”, “D2 is backwards”, “R2.2 is loose”.
fn looks(plan: &Bench, words: &Words, named: &[PartIx]) -> Vec<Symptom> {
    let Some(&part) = named.first() else { return Vec::new() };
    let card = plan.part(part).card;
    let by_name = words.words.iter().find_map(|word| match spot(plan, word) {
        Some(Spot::Leg(leg)) if leg.part == part => Some(leg.pin),
        _ => None,
    });
    // “second leg”, “cathode”, “long leg”: words of the card.
    let by_words = || {
        card.pins.iter().position(|pin| {
            let said = pin.says.to_lowercase();
            let (whole, inner) = said.split_once('(').unwrap_or((&said, ""));
            let inner = inner.trim_end_matches(')');
            words.has(whole.trim()) || (inner.len() > 1 && words.has(inner))
        })
    };
    let pin = by_name.or_else(by_words);
    let hole = words.words.iter().find_map(|word| hole(plan, word));
    let found = if words.has_any(&["missing", "not there", "isn't there"]) {
        Found::Missing
    } else if words.has_any(&["backwards", "the wrong way round", "the other way round", "reversed"]) {
        Found::Turned
    } else {
        match (pin, hole) {
            (Some(pin), Some(hole)) => {
                let planned = plan.part(part).legs[pin].hole.and_then(|hole| plan.strip(hole));
                if planned.is_some() && plan.strip(hole) == planned {
                    Found::Right
                } else {
                    Found::Leg { pin, hole }
                }
            }
            (Some(pin), None) if words.has_any(&["loose", "not pushed in", "falls out"]) => {
                Found::Loose { pin }
            }
            _ => return Vec::new(),
        }
    };
    vec![Symptom::Look { part, found }]
}

#[cfg(test)]
mod tests;
