//! Questions of the examples about measuring: what is asked, how it is answered.
//!
//! The answer to a question about a reading is not written down here: whoever asks carries its [`Setup`]
//! out on the example and measures.

/// A question.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Question {
    /// What is asked.
    pub ask: &'static str,
    /// What answers it.
    pub answer: Answer,
    /// What is told when it has been answered.
    pub told: &'static str,
}

/// What answers a question.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Answer {
    /// A reading that is written down: what the meter shows there.
    Reading(Setup),
    /// One of some sentences.
    Choice {
        /// All of them.
        options: &'static [&'static str],
        /// The place of the right one.
        right: usize,
    },
}

/// How a meter is put on the example's bench.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Setup {
    /// Its kind, as files write it.
    pub kind: &'static str,
    /// Where the dial points.
    pub dial: &'static str,
    /// What the red tip touches.
    pub red: &'static str,
    /// What the black tip touches.
    pub black: &'static str,
    /// The leg that is lifted before, if one is.
    pub lift: Option<&'static str>,
}

/// A reading with nothing lifted, by the 10 MΩ meter.
const fn reading(dial: &'static str, red: &'static str, black: &'static str) -> Answer {
    Answer::Reading(Setup { kind: "10m", dial, red, black, lift: None })
}

/// A reading in the place of a leg: the red tip where it was.
const fn in_series(dial: &'static str, hole: &'static str, leg: &'static str) -> Answer {
    Answer::Reading(Setup { kind: "10m", dial, red: hole, black: leg, lift: Some(leg) })
}

const LIGHTHOUSE: &[Question] = &[
    Question {
        ask: "Put the tips on the two legs of D1, the dial at DC volts. How many volts does the lamp take?",
        answer: reading("dc-20v", "D1.A", "D1.K"),
        told: "A lamp like this takes about as much whatever the knob does; the resistors get the rest.",
    },
    Question {
        ask: "Now across R1, the resistor that protects the lamp. How many volts?",
        answer: reading("dc-2v", "R1.1", "R1.2"),
        told: "Divide that by 180 Ω and you know the current, without lifting a leg.",
    },
    Question {
        ask: "How many volts does the battery give while the lamp is lit?",
        answer: reading("dc-20v", "BT1.+", "BT1.-"),
        told: "",
    },
    Question {
        ask: "The knob takes a share too. What do the shares of knob, R1 and D1 come to?",
        answer: Answer::Choice {
            options: &[
                "More than the battery gives",
                "Just what the battery gives",
                "It depends on the knob",
            ],
            right: 1,
        },
        told: "Around a loop all shares together are the battery’s volts. Turn the knob: they change, and their sum hardly does.",
    },
];

const QUAY: &[Question] = &[
    Question {
        ask: "Predict first: R1 is 150 Ω and has some 2 V across it. Then lift R1’s leg, put the meter in its place (In series) and read the first lamp’s current.",
        answer: in_series("dc-20ma", "L+10", "R1.1"),
        told: "That’s what flows through R1, D1 and W1 alike.",
    },
    Question {
        ask: "Put the leg back (Undo). Both lamps share W3: lift it and measure what they take together.",
        answer: in_series("dc-200ma", "R-25", "W3.2"),
        told: "Side by side, currents add up.",
    },
    Question {
        ask: "Is there less current after a lamp than before it?",
        answer: Answer::Choice {
            options: &[
                "Yes, the lamp uses some of it up",
                "No, it’s the same all the way around",
                "Only if the lamp is bright",
            ],
            right: 1,
        },
        told: "What goes in comes out again. A lamp takes energy, not current; measure on its other side and see.",
    },
];

const IN_CIRCUIT: &[Question] = &[
    Question {
        ask: "R1 says 10 kΩ. Dial at ohms, tips on its two legs: what do you read?",
        answer: reading("ohm-20k", "R1.1", "R1.2"),
        told: "That’s R1 with R2 and R3 beside it.",
    },
    Question {
        ask: "Lift one leg of R1 and measure it alone.",
        answer: Answer::Reading(Setup {
            kind: "10m",
            dial: "ohm-20k",
            red: "R1.1",
            black: "R1.2",
            lift: Some("R1.2"),
        }),
        told: "Now the meter’s current has only one way to go.",
    },
    Question {
        ask: "Why was the first reading so much lower?",
        answer: Answer::Choice {
            options: &[
                "R1 has the wrong bands",
                "Part of the meter’s current went through R2 and R3",
                "The meter’s battery is low",
            ],
            right: 1,
        },
        told: "Parts side by side let more through than each alone, so together they’re fewer ohms than the smallest of them.",
    },
];

const DIVIDER: &[Question] = &[
    Question {
        ask: "Two equal resistors share 9 V, so half should be left between row 5 and the − rail. What does the meter read there?",
        answer: reading("dc-20v", "b5", "L-5"),
        told: "A little less than half.",
    },
    Question {
        ask: "Take the cheap meter (Kind, fuses, battery) and measure again.",
        answer: Answer::Reading(Setup { kind: "cheap", dial: "dc-20v", red: "b5", black: "L-5", lift: None }),
        told: "1 MΩ of meter beside 1 MΩ of resistor: together they’re 500 kΩ.",
    },
    Question {
        ask: "What happened?",
        answer: Answer::Choice {
            options: &[
                "The cheap meter reads wrong",
                "The meter itself pulls the voltage down",
                "The battery sags",
            ],
            right: 1,
        },
        told: "It reads what’s really there, and what’s there changed when the meter came. With 10 kΩ resistors you wouldn’t notice.",
    },
];

const SHARED: &[Question] = &[
    Question {
        ask: "Someone had this meter before you. Look at it before you use it: what has to be put right?",
        answer: Answer::Choice {
            options: &[
                "Nothing, only the dial",
                "The red plug is in the 10 A socket",
                "The tips are swapped",
            ],
            right: 1,
        },
        told: "From that socket to COM the meter is nearly a piece of wire, wherever the dial points. Across a battery that’s a short circuit.",
    },
    Question {
        ask: "Put it right, and measure the battery’s volts.",
        answer: reading("dc-20v", "BT1.+", "BT1.-"),
        told: "",
    },
];

const FUSE: &[Question] = &[
    Question {
        ask: "The meter is in R1’s way at 20 mA. It reads zero and the lamp is dark. What would explain both?",
        answer: Answer::Choice {
            options: &["The range is too coarse", "The meter’s fuse is blown", "The tips are swapped"],
            right: 1,
        },
        told: "Through a blown fuse nothing flows, so the meter stops the circuit and reads zero.",
    },
    Question {
        ask: "Prove it: open the case (Kind, fuses, battery), tips on both ends of the 500 mA fuse, dial at 200 Ω. What stands on the display?",
        answer: Answer::Choice { options: &["0.2 to 0.5", "1, and nothing else", "000.0"], right: 1 },
        told: "Nothing conducts between its ends. A whole fuse reads less than an ohm.",
    },
    Question {
        ask: "Put in a new fuse and measure the lamp’s current.",
        answer: Answer::Reading(Setup {
            kind: "10m",
            dial: "dc-20ma",
            red: "R1.2",
            black: "b7",
            lift: Some("R1.2"),
        }),
        told: "",
    },
];

/// The questions of an example, by its name.
pub(crate) fn of(slug: &str) -> &'static [Question] {
    match slug {
        "measure-lighthouse" => LIGHTHOUSE,
        "quay-current" => QUAY,
        "resistor-in-circuit" => IN_CIRCUIT,
        "two-megohm-divider" => DIVIDER,
        "shared-meter" => SHARED,
        "blown-fuse" => FUSE,
        _ => &[],
    }
}
