//! Twelve benches to start from: six parts of a model harbour, and of each a twin with one mistake
//! to find.
//!
//! Every bench stands on one half board and runs on four AA cells that are 70 % full. The tests of
//! the command line hold each of them against the engine and the judge.

/// One example.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Example {
    /// Its name in addresses and on the command line: `pier-lights`.
    pub slug: &'static str,
    /// Its title, the same as in its bench file.
    pub title: &'static str,
    /// What it does, or what to look for, in a sentence or two.
    pub about: &'static str,
    /// Of a bench with a mistake: the slug of the right one.
    pub twin: Option<&'static str>,
    /// Of a bench with a mistake: the part at fault.
    pub mistake: Option<&'static str>,
    /// The bench file.
    pub text: &'static str,
}

/// A bench that works.
const fn right(slug: &'static str, title: &'static str, about: &'static str, text: &'static str) -> Example {
    Example { slug, title, about, twin: None, mistake: None, text }
}

/// A bench with one mistake.
const fn wrong(
    slug: &'static str,
    title: &'static str,
    about: &'static str,
    (twin, mistake): (&'static str, &'static str),
    text: &'static str,
) -> Example {
    Example { slug, title, about, twin: Some(twin), mistake: Some(mistake), text }
}

/// All examples: the right ones in the order in which a class meets them, then their twins.
pub static ALL: [Example; 12] = [
    right(
        "pier-lights",
        "Pier lights",
        "Three LEDs along the pier, each with a resistor of its own. All three are lit.",
        include_str!("examples/pier-lights.json"),
    ),
    right(
        "lighthouse",
        "Lighthouse",
        "A potentiometer dims the lamp; a fixed resistor still protects it when the knob is turned all the way up.",
        include_str!("examples/lighthouse.json"),
    ),
    right(
        "fog-lamp",
        "Fog lamp",
        "It lights when it gets dark: in daylight the light sensor leads the current past the lamp.",
        include_str!("examples/fog-lamp.json"),
    ),
    right(
        "harbour-gate",
        "Harbour gate",
        "The green lamp lights only while the keeper’s switch is slid towards leg 1 and the skipper presses the button.",
        include_str!("examples/harbour-gate.json"),
    ),
    right(
        "stair-light",
        "Stair light",
        "Two slide switches, one at each end of the stairs. Either of them turns the lamp on and off.",
        include_str!("examples/stair-light.json"),
    ),
    right(
        "frost-warning",
        "Frost warning",
        "The blue lamp glows weakly when it gets cold: the heat sensor then leads less current past it.",
        include_str!("examples/frost-warning.json"),
    ),
    wrong(
        "pier-lights-find-it",
        "Pier lights: find the mistake",
        "Two lamps of the pier are lit and the middle one stays dark. One thing is wrong.",
        ("pier-lights", "D2"),
        include_str!("examples/pier-lights-find-it.json"),
    ),
    wrong(
        "lighthouse-find-it",
        "Lighthouse: find the mistake",
        "The lamp stays dark wherever the knob stands. One thing is wrong.",
        ("lighthouse", "D1"),
        include_str!("examples/lighthouse-find-it.json"),
    ),
    wrong(
        "fog-lamp-find-it",
        "Fog lamp: find the mistake",
        "It is dark outside, and so is the lamp. One thing is wrong.",
        ("fog-lamp", "W2"),
        include_str!("examples/fog-lamp-find-it.json"),
    ),
    wrong(
        "harbour-gate-find-it",
        "Harbour gate: find the mistake",
        "The lamp is lit though nobody presses the button. One thing is wrong.",
        ("harbour-gate", "SB1"),
        include_str!("examples/harbour-gate-find-it.json"),
    ),
    wrong(
        "stair-light-find-it",
        "Stair light: find the mistake",
        "The lamp stays dark in every position of the switches. One thing is wrong.",
        ("stair-light", "W4"),
        include_str!("examples/stair-light-find-it.json"),
    ),
    wrong(
        "frost-warning-find-it",
        "Frost warning: find the mistake",
        "It is freezing, and the lamp stays dark. One thing is wrong.",
        ("frost-warning", "R1"),
        include_str!("examples/frost-warning-find-it.json"),
    ),
];

/// The example of that name.
pub fn find(slug: &str) -> Option<&'static Example> {
    ALL.iter().find(|example| example.slug == slug)
}
