//! What a bench holds of a hand-held multimeter: its kind, its dial, where its leads are.
//!
//! Nothing here measures. The wiring inside and what the display shows are an instrument's, which
//! stands above this crate. [`crate::tips`] finds what a tip touches on a bench.

use crate::board::Hole;

/// Which meter.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Kind {
    /// 10 MΩ at volts, both current sockets fused.
    #[default]
    TenMegohm,
    /// A cheap one: 1 MΩ at volts, its 10 A socket has no fuse.
    Cheap,
}

impl Kind {
    /// Both kinds.
    pub const ALL: [Kind; 2] = [Kind::TenMegohm, Kind::Cheap];

    /// The word in files and on the command line.
    pub fn word(self) -> &'static str {
        match self {
            Kind::TenMegohm => "10m",
            Kind::Cheap => "cheap",
        }
    }

    /// The kind that a word means.
    pub fn from_word(word: &str) -> Option<Kind> {
        Self::ALL.into_iter().find(|kind| kind.word() == word)
    }
}

/// A position of the dial, in the order in which they follow each other around it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[allow(missing_docs, reason = "each is named after its range, and Dial::word writes it out")]
pub enum Dial {
    #[default]
    Off,
    Dc600V,
    Dc200V,
    Dc20V,
    Dc2V,
    Dc200Mv,
    Ac200V,
    Ac600V,
    Ohm200,
    Ohm2K,
    Ohm20K,
    Ohm200K,
    Ohm2M,
    Diode,
    Continuity,
    Dc10A,
    Dc200Ma,
    Dc20Ma,
    Dc2Ma,
    Dc200Ua,
}

impl Dial {
    /// Every position, clockwise from off.
    pub const ALL: [Dial; 20] = [
        Dial::Off,
        Dial::Dc600V,
        Dial::Dc200V,
        Dial::Dc20V,
        Dial::Dc2V,
        Dial::Dc200Mv,
        Dial::Ac200V,
        Dial::Ac600V,
        Dial::Ohm200,
        Dial::Ohm2K,
        Dial::Ohm20K,
        Dial::Ohm200K,
        Dial::Ohm2M,
        Dial::Diode,
        Dial::Continuity,
        Dial::Dc10A,
        Dial::Dc200Ma,
        Dial::Dc20Ma,
        Dial::Dc2Ma,
        Dial::Dc200Ua,
    ];

    /// Its place in [`Dial::ALL`].
    pub fn place(self) -> usize {
        Dial::ALL.iter().position(|&dial| dial == self).unwrap_or(0)
    }

    /// The position some steps further clockwise (back where below zero). At both ends it stops.
    pub fn turned(self, steps: i32) -> Dial {
        let last = Dial::ALL.len() as i32 - 1;
        Dial::ALL[(self.place() as i32).saturating_add(steps).clamp(0, last) as usize]
    }

    /// The word in files and on the command line.
    pub fn word(self) -> &'static str {
        match self {
            Dial::Off => "off",
            Dial::Dc600V => "dc-600v",
            Dial::Dc200V => "dc-200v",
            Dial::Dc20V => "dc-20v",
            Dial::Dc2V => "dc-2v",
            Dial::Dc200Mv => "dc-200mv",
            Dial::Ac200V => "ac-200v",
            Dial::Ac600V => "ac-600v",
            Dial::Ohm200 => "ohm-200",
            Dial::Ohm2K => "ohm-2k",
            Dial::Ohm20K => "ohm-20k",
            Dial::Ohm200K => "ohm-200k",
            Dial::Ohm2M => "ohm-2m",
            Dial::Diode => "diode",
            Dial::Continuity => "continuity",
            Dial::Dc10A => "dc-10a",
            Dial::Dc200Ma => "dc-200ma",
            Dial::Dc20Ma => "dc-20ma",
            Dial::Dc2Ma => "dc-2ma",
            Dial::Dc200Ua => "dc-200ua",
        }
    }

    /// The position that a word means.
    pub fn from_word(word: &str) -> Option<Dial> {
        Self::ALL.into_iter().find(|dial| dial.word() == word)
    }
}

/// A socket of the meter.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Socket {
    /// V Ω mA.
    Vom,
    /// 10 A.
    TenAmps,
    /// COM.
    Com,
}

impl Socket {
    /// All three.
    pub const ALL: [Socket; 3] = [Socket::TenAmps, Socket::Com, Socket::Vom];

    /// The word in files and on the command line.
    pub fn word(self) -> &'static str {
        match self {
            Socket::Vom => "vom",
            Socket::TenAmps => "10a",
            Socket::Com => "com",
        }
    }

    /// The socket that a word means.
    pub fn from_word(word: &str) -> Option<Socket> {
        Self::ALL.into_iter().find(|socket| socket.word() == word)
    }

    /// What stands beside it on the meter.
    pub fn name(self) -> &'static str {
        match self {
            Socket::Vom => "V Ω mA",
            Socket::TenAmps => "10 A",
            Socket::Com => "COM",
        }
    }
}

/// What the tip of a lead touches.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash)]
pub enum Touch {
    /// Nothing.
    #[default]
    Air,
    /// A hole of the board, beside a leg that may be in it.
    Hole(Hole),
    /// A leg, by the part's name, so that it goes on touching that leg when other parts come and go.
    Leg {
        /// The part's name.
        part: String,
        /// Index of the pin.
        pin: usize,
    },
    /// The metal inside one of the meter's own sockets.
    Socket(Socket),
    /// One end (0 or 1) of the 500 mA fuse, with the case open.
    Fuse(usize),
}

/// A lead of the meter.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Lead {
    /// Where its plug is.
    pub socket: Socket,
    /// What its tip touches.
    pub tip: Touch,
}

/// A meter beside the board.
#[derive(Clone, Debug, PartialEq)]
pub struct Meter {
    /// Which.
    pub kind: Kind,
    /// Where its dial points.
    pub dial: Dial,
    /// The red lead.
    pub red: Lead,
    /// The black lead.
    pub black: Lead,
    /// Whether the fuse behind V Ω mA, 500 mA, is whole.
    pub small_fuse_whole: bool,
    /// Whether the fuse behind 10 A is whole, where the kind has one.
    pub large_fuse_whole: bool,
    /// Voltage of its own 9 V battery.
    pub battery_volts: f64,
}

/// Battery voltages that a bench file may give.
pub const BATTERY_VOLTS: (f64, f64) = (0.0, 10.0);

impl Default for Meter {
    /// Fresh from the cupboard: off, its leads where they belong, its tips in the air.
    fn default() -> Meter {
        Meter {
            kind: Kind::default(),
            dial: Dial::Off,
            red: Lead { socket: Socket::Vom, tip: Touch::Air },
            black: Lead { socket: Socket::Com, tip: Touch::Air },
            small_fuse_whole: true,
            large_fuse_whole: true,
            battery_volts: 9.0,
        }
    }
}
