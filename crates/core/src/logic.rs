//! Logic chips: levels in, levels out, a little later.
//!
//! An input counts as high above half the supply and as low below it, with a little hysteresis and a
//! little offset of its own, as real inputs have. Two clamp junctions of equal leak tie it to the
//! rails, so that an input that nobody drives hangs near the middle and reads whatever its offset
//! makes of it: the same each time, and nonsense.

use crate::law::{Channel, Junction, Law};
use crate::memory::{Acts, Memory, View};
use crate::part::Part;
use crate::stamp::{Stamp, Terminal};

/// What a logic chip is.
#[derive(Debug)]
pub struct Logic {
    /// Indices of the inputs' pins; bit `i` of the levels is input `i`.
    pub inputs: &'static [u8],
    /// Indices of the outputs' pins.
    pub outputs: &'static [u8],
    /// Index of the pin for the supply's +.
    pub power: u8,
    /// Index of the pin for the supply's −.
    pub ground: u8,
    /// Strength of the transistors that pull an output low and high, A/V² (see [`Channel`]).
    pub amps_per_volt2: (f64, f64),
    /// Half the distance between the threshold upwards and the one downwards, as a share of the
    /// supply voltage.
    pub hysteresis_share: f64,
    /// From input to output, seconds.
    pub delay_seconds: f64,
    /// Whether its outputs are gates of their own, that hold nothing and never switch in the very same
    /// moment. Two gates of a latch that did would flip together for ever.
    pub gates: bool,
    /// What follows from the levels.
    pub step: fn(Seen) -> Follows,
}

/// What a chip goes by.
#[derive(Clone, Copy, Debug)]
pub struct Seen {
    /// Levels of the inputs.
    pub levels: u32,
    /// Levels as they were before this look.
    pub before: u32,
    /// What it holds: at most 20 bits.
    pub held: u32,
}

/// What a chip makes of it.
#[derive(Clone, Copy, Debug, Default)]
pub struct Follows {
    /// What it holds from now on.
    pub held: u32,
    /// Levels of the outputs.
    pub high: u32,
    /// Outputs that let go of their nets.
    pub off: u32,
}

impl Seen {
    /// The level of an input.
    pub fn is(&self, input: u32) -> bool {
        self.levels >> input & 1 == 1
    }

    /// Whether an input has just gone from low to high.
    pub fn rose(&self, input: u32) -> bool {
        self.is(input) && self.before >> input & 1 == 0
    }

    /// Whether an input has just gone from high to low.
    pub fn fell(&self, input: u32) -> bool {
        !self.is(input) && self.before >> input & 1 == 1
    }
}

/// The guard of a level with hysteresis: `above` is the voltage above the threshold's middle, `half`
/// half the hysteresis. Falls to zero when the level has to change from what it is.
pub fn level_guard(high: bool, above: f64, half: f64) -> f64 {
    if high { above + half } else { half - above }
}

/// Supply voltage from which a logic chip works, volts (74HC: 2 V by its datasheets; it wakes a little
/// earlier).
const WAKES_AT: f64 = 1.8;

/// How much later than its neighbour a gate switches when both are to switch at once, as a share of the
/// delay: no two are alike. A design choice; less is as good.
const APART: f64 = 0.05;

// Places in a memory. `held`: inputs' levels, then the register, then outputs to come (twelve high and
// twelve off, the most that any chip here needs), then whether it has power. Gates have no register;
// what stands there are the outputs that were told after the others on their way, and `kept[0]` is
// when they will show.
const REGISTER: u32 = 16;
const HIGH: u32 = 36;
const OFF: u32 = 48;
const AWAKE: u32 = 60;
// `shown`: outputs high, outputs off, awake.
const SHOWN_OFF: u32 = 16;
const SHOWN_AWAKE: u32 = 32;

/// What a logic chip does in time. Its guards are one for each input and one for the supply, and there
/// are as many as the largest chip needs.
pub const ACTS: Acts = Acts { guards: 17, guard, look, ..Acts::NONE };

/// A small number between −1 and 1 that belongs to a part's pin: its own offset, not near zero.
fn offset(part: &Part, pin: u8) -> f64 {
    let mut hash: u32 = 0x811c_9dc5;
    for byte in part.id.bytes().chain([pin]) {
        hash = (hash ^ u32::from(byte)).wrapping_mul(0x0100_0193);
    }
    // The last byte has hardly reached the upper bits: they decide, so they are mixed once more.
    hash = (hash ^ hash >> 15).wrapping_mul(0x2c1b_3c6d);
    hash ^= hash >> 13;
    let share = 0.3 + 0.7 * f64::from(hash >> 17) / 32768.0;
    if hash >> 16 & 1 == 1 { share } else { -share }
}

fn logic(part: &Part) -> &'static Logic {
    part.card.logic.expect("a logic chip's card says what it computes")
}

fn supply(logic: &Logic, view: View<'_>) -> (f64, f64) {
    let ground = view.pins[usize::from(logic.ground)];
    (ground, view.pins[usize::from(logic.power)] - ground)
}

fn guard(part: &Part, memory: &Memory, view: View<'_>, guards: &mut [f64]) {
    let logic = logic(part);
    let (ground, volts) = supply(logic, view);
    guards.fill(1.0);
    guards[16] = level_guard(memory.holds(AWAKE), volts - WAKES_AT, 0.1);
    if !memory.holds(AWAKE) {
        return;
    }
    let half = logic.hysteresis_share * volts;
    for (input, &pin) in logic.inputs.iter().enumerate() {
        let middle = ground + volts * (0.5 + 0.03 * offset(part, pin));
        guards[input] = level_guard(memory.holds(input as u32), view.pins[usize::from(pin)] - middle, half);
    }
}

fn look(part: &Part, memory: &mut Memory, view: View<'_>) {
    let logic = logic(part);
    let (_, volts) = supply(logic, view);
    let mut guards = [1.0; 17];
    guard(part, memory, view, &mut guards);
    if guards[16] <= 0.0 {
        let awake = volts > WAKES_AT;
        memory.held = u64::from(awake) << AWAKE;
        memory.shown = 0;
        memory.due = f64::INFINITY;
        if !awake {
            return;
        }
        guard(part, memory, view, &mut guards);
        // Levels are taken as they are: a power-up is no edge.
        for (input, guard) in guards[..logic.inputs.len()].iter().enumerate() {
            memory.held |= u64::from(*guard <= 0.0) << input;
        }
        let levels = (memory.held & 0xffff) as u32;
        follow(part, memory, levels, view.time);
        return;
    }
    if !memory.holds(AWAKE) {
        return;
    }
    let before = (memory.held & 0xffff) as u32;
    let mut levels = before;
    for (input, guard) in guards[..logic.inputs.len()].iter().enumerate() {
        levels ^= u32::from(*guard <= 0.0) << input;
    }
    memory.held = memory.held & !0xffff | u64::from(levels);
    if levels != before {
        follow(part, memory, before, view.time);
    } else if memory.due == f64::INFINITY {
        show(part, memory, view.time);
    }
}

/// The outputs on their way, as they will be shown.
fn to_show(memory: &Memory) -> u64 {
    let (high, off) = (memory.held >> HIGH & 0xfff, memory.held >> OFF & 0xfff);
    high | off << SHOWN_OFF | 1 << SHOWN_AWAKE
}

/// From input to output of this very chip, seconds: no two chips are alike either.
fn delay(part: &Part) -> f64 {
    logic(part).delay_seconds * (1.0 + 0.04 * offset(part, u8::MAX))
}

/// Gates whose outputs are on their way: the first to show, and those told after them.
fn on_their_way(memory: &Memory) -> (u64, u64) {
    let all = (memory.held >> HIGH ^ memory.shown) & 0xfff;
    let later = all & memory.held >> REGISTER;
    (all & !later, later)
}

/// Works out what follows, and when it will show.
fn follow(part: &Part, memory: &mut Memory, before: u32, time: f64) {
    let logic = logic(part);
    let was = on_their_way(memory);
    let seen = Seen {
        levels: (memory.held & 0xffff) as u32,
        before,
        held: (memory.held >> REGISTER & 0xf_ffff) as u32,
    };
    let Follows { held, high, off } = (logic.step)(seen);
    memory.held = u64::from(seen.levels)
        | u64::from(held & 0xf_ffff) << REGISTER
        | u64::from(high & 0xfff) << HIGH
        | u64::from(off & 0xfff) << OFF
        | 1 << AWAKE;
    if to_show(memory) == memory.shown {
        memory.due = f64::INFINITY;
    } else if memory.due == f64::INFINITY {
        memory.due = time + delay(part);
    } else if logic.gates {
        let all = on_their_way(memory).0;
        let new = all & !(was.0 | was.1);
        if new != 0 {
            memory.kept[0] = time + delay(part);
        }
        let later = all & was.1 | new;
        if later == all {
            memory.due = memory.kept[0];
        } else {
            memory.held |= later << REGISTER;
        }
    }
}

/// The time has come for outputs to show: all at once, but of gates one after the other.
fn show(part: &Part, memory: &mut Memory, time: f64) {
    if !logic(part).gates {
        memory.shown = to_show(memory);
        return;
    }
    let (first, later) = on_their_way(memory);
    let one = first & first.wrapping_neg();
    memory.shown = (memory.shown ^ one) | 1 << SHOWN_AWAKE;
    if first != one {
        memory.due = time + APART * delay(part);
    } else if later != 0 {
        memory.held &= !(0xfff << REGISTER);
        memory.due = memory.kept[0].max(time + APART * delay(part));
    }
}

/// Clamp of an input, from memory: a small silicon junction.
const CLAMP: Junction = Junction { saturation_amps: 1e-14, emission_volts: 0.026, series_ohms: 50.0 };

/// Quiescent current, as a resistance: some microamperes at 5 V (74HC: at most 20 µA at 6 V).
const QUIESCENT_OHMS: f64 = 2e6;

/// Gate voltage at which the transistors of an output begin to conduct: with it one strength meets the data
/// sheets' typical levels at 4.5 V and 6 V.
const OUTPUT_THRESHOLD_VOLTS: f64 = 0.75;

/// One of the two transistors of an output. The whole supply is on its gate while it conducts, so that it is
/// as strong as the supply allows at this very moment: a chip that pulls its own supply down has one answer.
fn output_channel(conducts: bool, amps_per_volt2: f64, p: bool) -> Law {
    Law::Channel(Channel {
        threshold_volts: OUTPUT_THRESHOLD_VOLTS,
        amps_per_volt2: if conducts { amps_per_volt2 } else { 0.0 },
        slope_volts: 0.04,
        p,
    })
}

/// A logic chip's elements.
pub fn stamp(part: &Part, stamp: &mut Stamp<'_>) {
    let logic = logic(part);
    let memory = stamp.memory;
    let pin = |index: u8| Terminal::Pin(usize::from(index));
    let (power, ground) = (pin(logic.power), pin(logic.ground));
    stamp.resistance(power, ground, QUIESCENT_OHMS);
    // What happens when the supply is the wrong way round: the substrate conducts.
    stamp.element(ground, power, Law::Junction(Junction { series_ohms: 5.0, ..CLAMP }));
    for &input in logic.inputs {
        stamp.element(pin(input), power, Law::Junction(CLAMP));
        stamp.element(ground, pin(input), Law::Junction(CLAMP));
    }
    for (index, &output) in logic.outputs.iter().enumerate() {
        let index = index as u32;
        let drives = memory.shows(SHOWN_AWAKE) && !memory.shows(SHOWN_OFF + index);
        let high = memory.shows(index);
        let (low_side, high_side) = logic.amps_per_volt2;
        let up = output_channel(drives && high, high_side, true);
        stamp.steered(power, pin(output), [ground; 2], up);
        let down = output_channel(drives && !high, low_side, false);
        stamp.steered(pin(output), ground, [power; 2], down);
    }
}

/// The level that an output shows: `None` while it lets go or sleeps.
pub fn output(memory: &Memory, output: u32) -> Option<bool> {
    (memory.shows(SHOWN_AWAKE) && !memory.shows(SHOWN_OFF + output)).then(|| memory.shows(output))
}

/// Whether the chip has power enough.
pub fn is_awake(memory: &Memory) -> bool {
    memory.holds(AWAKE)
}
