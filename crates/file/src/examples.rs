//! Benches to start from: fourteen parts of a model harbour, and of each a twin with one mistake to
//! find.
//!
//! The simple ones stand on one half board and run on four AA cells that are 70 % full; those with
//! 74HC logic, which stands 6 V at most, run on USB. The tests of the command line hold each of them
//! against the engine and the judge.

use std::sync::OnceLock;

use crate::questions::{self, Question};

/// One example.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Example {
    /// Its name in addresses and on the command line: `harbour-mouth`.
    pub slug: &'static str,
    /// Its title, the same as in its bench file.
    pub title: &'static str,
    /// What it does, or what to look for, in a sentence or two.
    pub about: &'static str,
    /// Of a bench with a mistake: the slug of the right one.
    pub twin: Option<&'static str>,
    /// Of a bench with a mistake: the part at fault.
    pub mistake: Option<&'static str>,
    /// The bench file, where it is part of the program.
    embedded: &'static str,
}

impl Example {
    /// The bench file. A program that is built without the feature `embed`, as the page is, must have been
    /// given it ([`give`]); else it is empty.
    pub fn text(&self) -> &'static str {
        let given = GIVEN.get().and_then(|all| all.iter().find(|(slug, _)| *slug == self.slug));
        given.map_or(self.embedded, |(_, text)| text)
    }

    /// What is asked about measuring on it.
    pub fn questions(&self) -> &'static [Question] {
        questions::of(self.slug)
    }
}

/// What [`give`] was given: slugs and bench files.
static GIVEN: OnceLock<Vec<(&str, &str)>> = OnceLock::new();

/// The character before each example in the file of all of them: the record separator of RFC 7464.
pub const SEPARATOR: char = '\u{1e}';

/// Gives the bench files to a program that does not hold them: for each of them [`SEPARATOR`], the slug on
/// a line, the file. Only the first giving counts.
pub fn give(all: String) {
    let all: &'static str = all.leak();
    let _ = GIVEN.set(all.split(SEPARATOR).filter_map(|it| it.split_once('\n')).collect());
}

/// A bench file of an example.
macro_rules! embedded {
    ($slug:literal) => {{
        #[cfg(feature = "embed")]
        {
            include_str!(concat!("examples/", $slug, ".json"))
        }
        #[cfg(not(feature = "embed"))]
        ""
    }};
}

/// A bench that works.
const fn right(
    slug: &'static str,
    title: &'static str,
    about: &'static str,
    embedded: &'static str,
) -> Example {
    Example { slug, title, about, twin: None, mistake: None, embedded }
}

/// A bench with one mistake.
const fn wrong(
    slug: &'static str,
    title: &'static str,
    about: &'static str,
    (twin, mistake): (&'static str, &'static str),
    embedded: &'static str,
) -> Example {
    Example { slug, title, about, twin: Some(twin), mistake: Some(mistake), embedded }
}

/// All examples: the right ones in the order in which a class meets them, then their twins.
pub static ALL: [Example; 28] = [
    right(
        "harbour-mouth",
        "Harbour mouth",
        "A red and a green light mark the entrance, two white lamps the quay. Each has a resistor that suits its colour. All four are lit.",
        embedded!("harbour-mouth"),
    ),
    right(
        "lighthouse",
        "Lighthouse",
        "A potentiometer dims the lamp; a fixed resistor still protects it when the knob is turned all the way up.",
        embedded!("lighthouse"),
    ),
    right(
        "fog-lamp",
        "Fog lamp",
        "It lights when it gets dark: in daylight the light sensor leads the current past the lamp.",
        embedded!("fog-lamp"),
    ),
    right(
        "harbour-gate",
        "Harbour gate",
        "The green lamp lights only while the keeper’s switch is slid towards leg 1 and the skipper presses the button.",
        embedded!("harbour-gate"),
    ),
    right(
        "stair-light",
        "Stair light",
        "Two slide switches, one at each end of the stairs. Either of them turns the lamp on and off.",
        embedded!("stair-light"),
    ),
    right(
        "frost-warning",
        "Frost warning",
        "The blue lamp glows weakly when it gets cold: the heat sensor then leads less current past it.",
        embedded!("frost-warning"),
    ),
    right(
        "blinking-lighthouse",
        "Blinking lighthouse",
        "A 555 lets the white lamp shine for two thirds of a second and rest for one third, over and over. Two resistors and a capacitor set the time.",
        embedded!("blinking-lighthouse"),
    ),
    right(
        "fog-horn",
        "Fog horn",
        "While the button is pressed, a 555 moves the piezo disc to and fro some 320 times a second: a deep tone.",
        embedded!("fog-horn"),
    ),
    right(
        "crane-motor",
        "Crane motor",
        "A button switches the crane’s motor through a MOSFET. A diode catches the kick when the motor is switched off.",
        embedded!("crane-motor"),
    ),
    right(
        "tide-gauge",
        "Tide gauge",
        "The float turns the knob; a comparator lights the red lamp while the water stands higher than half.",
        embedded!("tide-gauge"),
    ),
    right(
        "traffic-light",
        "Traffic light of the harbour gate",
        "A 555 beats once a second and a counter passes that on: two beats red, one yellow, two green, one yellow. Diodes let two outputs share a lamp.",
        embedded!("traffic-light"),
    ),
    right(
        "quiz-buzzer",
        "Quiz buzzer",
        "Two players, a button and a lamp each: who presses first locks the other out, until the third button is pressed.",
        embedded!("quiz-buzzer"),
    ),
    right(
        "dice",
        "Dice",
        "While the button is pressed a counter runs from 1 to 6 a hundred times a second and more; let go, it shows what was thrown.",
        embedded!("dice"),
    ),
    right(
        "night-light",
        "Night light",
        "When it gets dark the phototransistor lets go of the transistor’s base, and the white lamp lights.",
        embedded!("night-light"),
    ),
    wrong(
        "harbour-mouth-find-it",
        "Harbour mouth: find the mistake",
        "The red light and both quay lamps are lit; the green light stays dark. One thing is wrong.",
        ("harbour-mouth", "R4"),
        embedded!("harbour-mouth-find-it"),
    ),
    wrong(
        "lighthouse-find-it",
        "Lighthouse: find the mistake",
        "The lamp stays dark wherever the knob stands. One thing is wrong.",
        ("lighthouse", "D1"),
        embedded!("lighthouse-find-it"),
    ),
    wrong(
        "fog-lamp-find-it",
        "Fog lamp: find the mistake",
        "It is dark outside, and so is the lamp. One thing is wrong.",
        ("fog-lamp", "W2"),
        embedded!("fog-lamp-find-it"),
    ),
    wrong(
        "harbour-gate-find-it",
        "Harbour gate: find the mistake",
        "The lamp is lit though nobody presses the button. One thing is wrong.",
        ("harbour-gate", "SB1"),
        embedded!("harbour-gate-find-it"),
    ),
    wrong(
        "stair-light-find-it",
        "Stair light: find the mistake",
        "The lamp stays dark in every position of the switches. One thing is wrong.",
        ("stair-light", "W4"),
        embedded!("stair-light-find-it"),
    ),
    wrong(
        "frost-warning-find-it",
        "Frost warning: find the mistake",
        "It is freezing, and the lamp stays dark. One thing is wrong.",
        ("frost-warning", "R1"),
        embedded!("frost-warning-find-it"),
    ),
    wrong(
        "blinking-lighthouse-find-it",
        "Blinking lighthouse: find the mistake",
        "The lighthouse does not blink as it should, and something on the board begins to swell. One thing is wrong.",
        ("blinking-lighthouse", "C3"),
        embedded!("blinking-lighthouse-find-it"),
    ),
    wrong(
        "fog-horn-find-it",
        "Fog horn: find the mistake",
        "The fog horn stays silent however long you press. One thing is wrong.",
        ("fog-horn", "U1"),
        embedded!("fog-horn-find-it"),
    ),
    wrong(
        "crane-motor-find-it",
        "Crane motor: find the mistake",
        "The crane does not lift, and two parts get hot when the button is pressed. One thing is wrong.",
        ("crane-motor", "D1"),
        embedded!("crane-motor-find-it"),
    ),
    wrong(
        "tide-gauge-find-it",
        "Tide gauge: find the mistake",
        "The lamp does what it likes, whatever the water does. One thing is wrong.",
        ("tide-gauge", "W7"),
        embedded!("tide-gauge-find-it"),
    ),
    wrong(
        "traffic-light-find-it",
        "Traffic light of the harbour gate: find the mistake",
        "Red turns to green without yellow, while green still turns to red as it should. One thing is wrong.",
        ("traffic-light", "D3"),
        embedded!("traffic-light-find-it"),
    ),
    wrong(
        "quiz-buzzer-find-it",
        "Quiz buzzer: find the mistake",
        "One player can press as much as they like. One thing is wrong.",
        ("quiz-buzzer", "W11"),
        embedded!("quiz-buzzer-find-it"),
    ),
    wrong(
        "dice-find-it",
        "Dice: find the mistake",
        "The middle row of lamps never lights, some throws show nothing at all, and a chip gets hot. One thing is wrong.",
        ("dice", "W28"),
        embedded!("dice-find-it"),
    ),
    wrong(
        "night-light-find-it",
        "Night light: find the mistake",
        "It is night, and the lamp hardly glows. One thing is wrong.",
        ("night-light", "Q2"),
        embedded!("night-light-find-it"),
    ),
];

/// Benches to learn measuring on, in the order in which a class meets them; each has its questions.
pub static MEASURING: [Example; 6] = [
    right(
        "measure-lighthouse",
        "Measure the lighthouse",
        "How the battery’s volts are shared between the knob, the resistor and the lamp.",
        embedded!("measure-lighthouse"),
    ),
    right(
        "quay-current",
        "Current of the quay lamps",
        "To count what flows, the meter takes the place of a leg. One lamp, then both together.",
        embedded!("quay-current"),
    ),
    right(
        "resistor-in-circuit",
        "A resistor in circuit",
        "A resistor of 10 kΩ that doesn’t read 10 kΩ, until one of its legs is lifted.",
        embedded!("resistor-in-circuit"),
    ),
    right(
        "two-megohm-divider",
        "The two-megohm divider",
        "A voltage that changes when you measure it.",
        embedded!("two-megohm-divider"),
    ),
    right(
        "shared-meter",
        "The shared meter",
        "Whoever had this meter before you left it as it is. Look before you touch anything with it.",
        embedded!("shared-meter"),
    ),
    right(
        "blown-fuse",
        "The blown fuse",
        "The meter is in series and reads zero, and the lamp is dark. Find out why.",
        embedded!("blown-fuse"),
    ),
];

/// All examples, then those to measure on and the untidy ones.
pub fn all() -> impl Iterator<Item = &'static Example> {
    ALL.iter().chain(&MEASURING).chain(&UNTIDY)
}

/// Three of the right benches once more, laid out as untidily as they still work: for `halfrow check --tidy`
/// and for a lesson on layout. They are the same circuits, and nothing is wrong with them.
pub static UNTIDY: [Example; 3] = [
    right(
        "harbour-mouth-messy",
        "Harbour mouth, untidy",
        "The four lights of the harbour mouth work as ever, on a board that nobody can read.",
        embedded!("harbour-mouth-messy"),
    ),
    right(
        "fog-horn-messy",
        "Fog horn, untidy",
        "The fog horn sounds as ever, on a board that nobody can read.",
        embedded!("fog-horn-messy"),
    ),
    right(
        "traffic-light-messy",
        "Traffic light of the harbour gate, untidy",
        "The traffic light changes as ever, on a board that nobody can read.",
        embedded!("traffic-light-messy"),
    ),
];

/// Names that examples had before, and what opens in their place: links to them are on worksheets.
const FORMER_NAMES: [(&str, &str); 2] =
    [("pier-lights", "harbour-mouth"), ("pier-lights-find-it", "harbour-mouth-find-it")];

/// The example of that name, or of the one that it had before.
pub fn find(slug: &str) -> Option<&'static Example> {
    let former = FORMER_NAMES.iter().find(|(former, _)| *former == slug);
    let slug = former.map_or(slug, |(_, now)| *now);
    all().find(|example| example.slug == slug)
}

/// The example that has this title, which its bench keeps however it is saved, shared and changed.
pub fn titled(title: &str) -> Option<&'static Example> {
    all().find(|example| example.title == title)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_former_name_opens_what_took_its_place() {
        for (former, now) in FORMER_NAMES {
            assert_eq!(find(former).map(|it| it.slug), Some(now));
        }
    }

    #[test]
    fn what_is_given_takes_the_place_of_what_is_embedded() {
        assert!(find("fog-lamp").is_some_and(|it| it.text().contains("Fog lamp")));
        give(format!("{SEPARATOR}fog-lamp\n{{}}\n{SEPARATOR}nobody\n{{}}"));
        assert_eq!(find("fog-lamp").map(|it| it.text()), Some("{}\n"));
        assert!(find("lighthouse").is_some_and(|it| it.text().contains("Lighthouse")));
    }
}
