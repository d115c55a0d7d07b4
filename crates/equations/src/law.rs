//! The laws of elements: what current flows at what voltage.
//!
//! Two-ended laws depend on the voltage between an element's ends; steered laws (transistors,
//! amplifiers) on the voltages of other nodes too. Capacitance and inductance carry a state from one
//! moment to the next, which [`crate::system`] keeps; at rest a capacitor is a leak and an inductor a wire.

use crate::math;
pub use pair::Pair;

mod pair;

/// Conductance in parallel to each junction, siemens. A real junction leaks far more than its
/// exponential law says; this also keeps the equations regular. 5 pA at 5 V: below any reading.
pub const LEAK_SIEMENS: f64 = 1e-12;

/// The exponential law of a pn junction with a resistance in series.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Junction {
    /// Saturation current, amperes.
    pub saturation_amps: f64,
    /// Emission coefficient times thermal voltage, volts.
    pub emission_volts: f64,
    /// Resistance in series, ohms.
    pub series_ohms: f64,
}

/// What an element does. `v` is the voltage from its first node to its second, current counts
/// from the first through the element to the second.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Law {
    /// i = v / ohms.
    Resistance {
        /// Ohms.
        ohms: f64,
    },
    /// i = (v − volts) / ohms: a voltage with an internal resistance, + at the first node.
    Source {
        /// Open-circuit volts.
        volts: f64,
        /// Internal ohms.
        ohms: f64,
    },
    /// A source that gives no more than its limit and takes next to nothing back.
    LimitedSource {
        /// Open-circuit volts.
        volts: f64,
        /// Internal ohms.
        ohms: f64,
        /// Limit, amperes.
        limit_amps: f64,
    },
    /// A junction, anode at the first node.
    Junction(Junction),
    /// Nothing but a leak of [`LEAK_SIEMENS`]: a contact that is open, a part that is burnt out.
    Open,
    /// A capacitor with a resistance in series; at rest a leak.
    Capacitance {
        /// Farads, above 0.
        farads: f64,
        /// Resistance in series, ohms, above 0: it bounds the current of a sudden change.
        ohms: f64,
    },
    /// An inductor with a resistance in series; at rest that resistance.
    Inductance {
        /// Henries, above 0.
        henries: f64,
        /// Resistance of the winding, ohms, above 0.
        ohms: f64,
    },
    /// A source of offset + amplitude · sin(2π · hertz · (t − since)), + at the first node; at rest the
    /// offset.
    Sine {
        /// Mean volts.
        offset: f64,
        /// Volts from the mean to the peak.
        amplitude: f64,
        /// Periods a second.
        hertz: f64,
        /// When a period began, seconds.
        since: f64,
        /// Internal ohms.
        ohms: f64,
    },
    /// A source of volts + rise · (t − since), + at the first node; at rest its `volts`.
    Ramp {
        /// Volts at the time `since`.
        volts: f64,
        /// Volts a second.
        rise: f64,
        /// When it began, seconds.
        since: f64,
        /// Internal ohms.
        ohms: f64,
    },
    /// The current that a transistor's base steers from collector to emitter.
    Transport(Transport),
    /// The channel of a field-effect transistor.
    Channel(Channel),
    /// A current that a voltage steers in proportion, up to a limit.
    Gain {
        /// Slope at zero volts from control to control, siemens.
        siemens: f64,
        /// The most that flows either way, amperes.
        limit_amps: f64,
    },
    /// The first stage of an amplifier.
    Pair(Pair),
    /// A current that stands still as soon as there are some hundredths of a volt.
    Tail {
        /// Amperes.
        amps: f64,
    },
    /// Half of an output stage: from a rail to the output, or from the output to a rail.
    Drive(Drive),
}

/// The transport current of a bipolar transistor after Ebers and Moll (Proc. IRE 42, 1761-1772,
/// 1954), divided by its base charge after Gummel and Poon (Bell Syst. Tech. J. 49, 827-852, 1970): that
/// grows at high currents, so that the gain falls, and shrinks as the collector's voltage rises, which is
/// the Early effect. Its base currents are not part of it; they are [`Junction`]s. The control is the base.
/// An NPN's element goes from collector to emitter, a PNP's from emitter to collector.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Transport {
    /// Saturation current, amperes.
    pub saturation_amps: f64,
    /// Emission coefficient times thermal voltage, volts.
    pub emission_volts: f64,
    /// Collector current at which the base charge has doubled, so that the gain is half of what it would
    /// be, amperes; infinite for one whose gain doesn't fall.
    pub knee_amps: f64,
    /// Early voltage: the voltage from collector to base that doubles the current, volts; infinite for none.
    pub early_volts: f64,
    /// Whether it is a PNP.
    pub pnp: bool,
}

/// A field-effect transistor's channel by one formula for all regions (the charge-sheet form of Enz,
/// Krummenacher and Vittoz, Analog Integrated Circuits and Signal Processing 8, 83-114, 1995),
/// symmetric in drain and source. The control is the gate. An N channel's element goes from drain to
/// source, a P channel's from source to drain.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Channel {
    /// Gate-source voltage at which it begins to conduct, volts, without sign.
    pub threshold_volts: f64,
    /// Twice the saturation current at one volt above threshold, A/V².
    pub amps_per_volt2: f64,
    /// How gently it begins: slope factor times thermal voltage, volts.
    pub slope_volts: f64,
    /// Whether it is a P channel.
    pub p: bool,
}

/// Half of an output stage. It pulls its output towards a target (the voltage of the control plus an
/// offset) through a resistance, gives no more than its limit and gets no nearer to its rail than a
/// drop. As a source the element goes from rail to output, as a sink from output to rail.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drive {
    /// Added to the control's voltage, volts.
    pub offset_volts: f64,
    /// Resistance towards the target, ohms.
    pub ohms: f64,
    /// Least voltage between rail and output, volts, without current.
    pub drop_volts: f64,
    /// Resistance between rail and output when the drop is at its least, ohms.
    pub drop_ohms: f64,
    /// The most that it gives, amperes.
    pub limit_amps: f64,
    /// Whether it is the half that sinks.
    pub sinks: bool,
    /// How far beyond its rail the target goes when the control has come to the rail, volts: a stage that
    /// is told to go all the way pulls harder than one that has arrived.
    pub reach_volts: f64,
}

/// Current of a steered element and its slopes over the voltages of first node, second node and the
/// two controls. The slopes add up to zero: only differences of voltages count.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pull {
    /// Amperes from the first node to the second.
    pub amps: f64,
    /// d amps / d volts of the first node, the second and the controls, siemens.
    pub siemens: [f64; 4],
}

/// Current and its slope at a voltage.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Flow {
    /// Amperes from the first node to the second.
    pub amps: f64,
    /// d amps / d volts, siemens.
    pub siemens: f64,
}

impl Junction {
    /// The same with so many volts more at the same current.
    pub fn shifted(self, volts: f64) -> Junction {
        if volts == 0.0 {
            return self;
        }
        Junction { saturation_amps: self.saturation_amps * math::exp(-volts / self.emission_volts), ..self }
    }

    /// Current and slope at a voltage across the junction proper (without the series resistance).
    fn at_inner(&self, volts: f64) -> Flow {
        let e = math::exp(volts / self.emission_volts);
        Flow {
            amps: self.saturation_amps * (e - 1.0) + LEAK_SIEMENS * volts,
            siemens: self.saturation_amps / self.emission_volts * e + LEAK_SIEMENS,
        }
    }

    /// The voltage of the junction proper when `volts` stands across it and its series resistance.
    ///
    /// The equation u + R·i(u) = volts rises and is convex, so Newton's method from a point to the
    /// right of the root falls to it without overshoot. Both `volts` and the voltage at which the
    /// exponential alone would drop all of it over R lie to the right.
    pub fn inner_volts(&self, volts: f64) -> f64 {
        let r = self.series_ohms;
        let mut u = volts;
        if volts > 0.0 && r > 0.0 {
            u = u.min(self.emission_volts * math::ln(1.0 + volts / (r * self.saturation_amps)));
        }
        // Each step squares the error once near the root, and far from it takes off one emission
        // voltage; the start is never more than a few of those away. 60 can't be reached.
        for _ in 0..60 {
            let flow = self.at_inner(u);
            let step = (u + r * flow.amps - volts) / (1.0 + r * flow.siemens);
            u -= step;
            if step.abs() <= 1e-15 + 1e-15 * u.abs() {
                break;
            }
        }
        u
    }

    /// Current and slope at the terminals, series resistance included, for an inner voltage: and
    /// the terminal voltage that belongs to it.
    pub fn at(&self, inner_volts: f64) -> (f64, Flow) {
        let flow = self.at_inner(inner_volts);
        let outer = inner_volts + self.series_ohms * flow.amps;
        (outer, Flow { amps: flow.amps, siemens: flow.siemens / (1.0 + self.series_ohms * flow.siemens) })
    }

    /// The inner voltage above which a Newton step on the exponential may overshoot by so much that
    /// the next one takes many small steps back: where the curve bends most (Nagel's critical
    /// voltage).
    pub fn critical_volts(&self) -> f64 {
        self.emission_volts
            * math::ln(self.emission_volts / (core::f64::consts::SQRT_2 * self.saturation_amps))
    }
}

/// Width of the rounded corners of a limited source, as a share of its limit. Wider and the limit
/// is soft, narrower and Newton's method meets a kink.
const CORNER: f64 = 1e-3;

/// The same for the corner between giving and being pushed back. The whole straight piece is off by
/// half of this share, so that it is narrower: a 3 A supply is 15 µA off.
const BACK_CORNER: f64 = 1e-5;

/// Resistance against current that is pushed back into a limited source, ohms: the bleeder of a
/// bench supply's output. A design choice.
const BLEEDER_OHMS: f64 = 2000.0;

impl Law {
    /// Current and slope at a voltage. For a resistance or source of zero ohms the slope is infinite: no
    /// part has so little, not even the shortest wire.
    pub fn flow(&self, volts: f64) -> Flow {
        match *self {
            Law::Resistance { ohms } => Flow { amps: volts / ohms, siemens: 1.0 / ohms },
            Law::Source { volts: open, ohms } => Flow { amps: (volts - open) / ohms, siemens: 1.0 / ohms },
            Law::LimitedSource { volts: open, ohms, limit_amps } => {
                limited_flow(volts - open, ohms, limit_amps)
            }
            Law::Junction(junction) => junction.at(junction.inner_volts(volts)).1,
            Law::Sine { offset, ohms, .. } => Flow { amps: (volts - offset) / ohms, siemens: 1.0 / ohms },
            Law::Ramp { volts: at, ohms, .. } => Flow { amps: (volts - at) / ohms, siemens: 1.0 / ohms },
            Law::Inductance { ohms, .. } => Flow { amps: volts / ohms, siemens: 1.0 / ohms },
            Law::Tail { amps } => pair::tail(amps, volts),
            Law::Open
            | Law::Capacitance { .. }
            | Law::Transport(_)
            | Law::Channel(_)
            | Law::Gain { .. }
            | Law::Pair(_)
            | Law::Drive(_) => Flow { amps: LEAK_SIEMENS * volts, siemens: LEAK_SIEMENS },
        }
    }

    /// Whether other nodes than its ends steer it.
    pub fn is_steered(&self) -> bool {
        matches!(self, Law::Transport(_) | Law::Channel(_) | Law::Gain { .. } | Law::Pair(_) | Law::Drive(_))
    }

    /// Whether it carries a state from one moment to the next or changes with time.
    pub fn is_timed(&self) -> bool {
        matches!(self, Law::Capacitance { .. } | Law::Inductance { .. } | Law::Sine { .. } | Law::Ramp { .. })
    }

    /// Current and slopes at the voltages of first node, second node and the controls.
    pub fn pull(&self, [a, b, c, d]: [f64; 4]) -> Pull {
        match *self {
            Law::Transport(it) => {
                let [forward, reverse] = it.junction_volts([a, b, c, d]);
                it.pull_at(forward, reverse)
            }
            Law::Channel(it) => it.pull([a, b, c]),
            Law::Drive(it) => it.pull([a, b, c]),
            Law::Pair(it) => it.pull([a, b, c, d]),
            Law::Gain { siemens, limit_amps } => {
                let x = siemens * (c - d) / limit_amps;
                let root = (1.0 + x * x).sqrt();
                let slope = siemens / (root * root * root);
                Pull { amps: limit_amps * x / root, siemens: [0.0, 0.0, slope, -slope] }
            }
            _ => {
                let Flow { amps, siemens } = self.flow(a - b);
                Pull { amps, siemens: [siemens, -siemens, 0.0, 0.0] }
            }
        }
    }

    /// The law with a resistance in series.
    pub fn with_series(self, extra: f64) -> Law {
        match self {
            Law::Resistance { ohms } => Law::Resistance { ohms: ohms + extra },
            Law::Source { volts, ohms } => Law::Source { volts, ohms: ohms + extra },
            Law::LimitedSource { volts, ohms, limit_amps } => {
                Law::LimitedSource { volts, ohms: ohms + extra, limit_amps }
            }
            Law::Junction(junction) => {
                Law::Junction(Junction { series_ohms: junction.series_ohms + extra, ..junction })
            }
            Law::Capacitance { farads, ohms } => Law::Capacitance { farads, ohms: ohms + extra },
            Law::Inductance { henries, ohms } => Law::Inductance { henries, ohms: ohms + extra },
            Law::Sine { offset, amplitude, hertz, since, ohms } => {
                Law::Sine { offset, amplitude, hertz, since, ohms: ohms + extra }
            }
            Law::Ramp { volts, rise, since, ohms } => Law::Ramp { volts, rise, since, ohms: ohms + extra },
            // Nothing worth telling drops over a contact in series with these.
            Law::Open
            | Law::Transport(_)
            | Law::Channel(_)
            | Law::Gain { .. }
            | Law::Pair(_)
            | Law::Tail { .. }
            | Law::Drive(_) => self,
        }
    }

    /// Whether the current is a straight line over the voltage.
    pub fn is_linear(&self) -> bool {
        matches!(
            self,
            Law::Resistance { .. }
                | Law::Source { .. }
                | Law::Open
                | Law::Capacitance { .. }
                | Law::Inductance { .. }
                | Law::Sine { .. }
                | Law::Ramp { .. }
        )
    }
}

impl Transport {
    /// The voltages over the two junctions that steer it, the one that drives the current first.
    pub fn junction_volts(&self, [a, b, c, _]: [f64; 4]) -> [f64; 2] {
        if self.pnp { [a - c, b - c] } else { [c - b, c - a] }
    }

    /// Current and slopes when these voltages stand over the two junctions.
    pub fn pull_at(&self, forward: f64, reverse: f64) -> Pull {
        let (with, against) =
            (math::exp(forward / self.emission_volts), math::exp(reverse / self.emission_volts));
        let plain = self.saturation_amps * (with - against);
        // How much thinner the base gets as the collector's voltage rises. A collector never drives the base
        // as far as the Early voltage; a guess on the way to the answer may, and must not turn the current
        // round.
        let thinner = 1.0 - reverse / self.early_volts;
        let (thinner, by_reverse) =
            if thinner > 0.1 { (thinner, -1.0 / self.early_volts) } else { (0.1, 0.0) };
        // The base charge at no collector voltage, as a multiple of what is there without current. With
        // I(plain) = knee · c this is (1 + √(1 + 4 · c)) / 2. The knee is where the current itself, plain
        // over charge, reaches it: charge² − charge = c gives charge = 1 + current / knee.
        let crowd = self.saturation_amps * (with - 1.0) / self.knee_amps;
        let root = (1.0 + 4.0 * crowd).sqrt();
        let charge = 0.5 * (1.0 + root);
        let unit = self.saturation_amps / self.emission_volts;
        let charge_slope = unit * with / (self.knee_amps * root);
        let amps = plain * thinner / charge;
        let gf = (unit * with - plain / charge * charge_slope) * thinner / charge;
        let gr = (unit * against * thinner - plain * by_reverse) / charge;
        let siemens = if self.pnp { [gf, -gr, gr - gf, 0.0] } else { [gr, -gf, gf - gr, 0.0] };
        Pull { amps, siemens }
    }

    /// The junction that limits how far each of the two voltages may jump.
    pub fn junction(&self) -> Junction {
        Junction {
            saturation_amps: self.saturation_amps,
            emission_volts: self.emission_volts,
            series_ohms: 0.0,
        }
    }
}

impl Channel {
    /// ln²(1 + e^(v / 2u)) and its slope over v.
    fn charge(&self, volts: f64) -> (f64, f64) {
        let x = (volts - self.threshold_volts) / (2.0 * self.slope_volts);
        // Beyond 30 the exponential is all there is, to the last bit.
        let (log, share) = if x > 30.0 {
            (x, 1.0)
        } else {
            let e = math::exp(x);
            (math::ln(1.0 + e), e / (1.0 + e))
        };
        (log * log, log * share / self.slope_volts)
    }

    fn pull(&self, [a, b, gate]: [f64; 3]) -> Pull {
        let (at_source, at_drain) = if self.p { (a - gate, b - gate) } else { (gate - b, gate - a) };
        if self.amps_per_volt2 == 0.0 {
            let leak = LEAK_SIEMENS;
            return Pull { amps: leak * (a - b), siemens: [leak, -leak, 0.0, 0.0] };
        }
        let unit = 2.0 * self.amps_per_volt2 * self.slope_volts * self.slope_volts;
        let ((source, source_slope), (drain, drain_slope)) = (self.charge(at_source), self.charge(at_drain));
        let (gs, gd) = (unit * source_slope, unit * drain_slope);
        // A leak beside it, so that one that is off leaves nothing without a tie.
        let leak = LEAK_SIEMENS;
        let siemens = if self.p {
            [gs + leak, -gd - leak, gd - gs, 0.0]
        } else {
            [gd + leak, -gs - leak, gs - gd, 0.0]
        };
        Pull { amps: unit * (source - drain) + leak * (a - b), siemens }
    }
}

/// Width of the rounded corners of an output stage, as a share of its limit: a 20 mA stage rests with
/// 2 µA. Wider and the stage wastes current, narrower and Newton's method meets a kink.
const DRIVE_CORNER: f64 = 1e-4;

impl Drive {
    fn pull(&self, [a, b, control]: [f64; 3]) -> Pull {
        let width = DRIVE_CORNER * self.limit_amps;
        let out = if self.sinks { a } else { b };
        let (sign, rail) = if self.sinks { (-1.0, b) } else { (1.0, a) };
        let (reach, reach_slope) = self.reach(sign * (rail - control));
        let towards = (sign * (control + self.offset_volts - out) + reach) / self.ohms;
        let room = (a - b - self.drop_volts) / self.drop_ohms;
        let (least, by_towards) = soft_min(towards, room, width);
        let (least, by_least) = soft_min(least, self.limit_amps, width);
        let (negative, by_positive) = soft_min(-least, 0.0, width);
        // A leak beside it, so that an idle stage leaves nothing without a tie.
        let leak = LEAK_SIEMENS * (a - b);
        let by_towards_siemens = by_positive * by_least * by_towards / self.ohms;
        let by_room = by_positive * by_least * (1.0 - by_towards) / self.drop_ohms;
        let (g, r) = (by_towards_siemens, by_room + LEAK_SIEMENS);
        // By how much more the control counts, and the rail in its place.
        let more = g * reach_slope;
        let siemens =
            if self.sinks { [g + r, more - r, -g - more, 0.0] } else { [r - more, -g - r, g + more, 0.0] };
        Pull { amps: leak - negative, siemens }
    }

    /// How far the target goes beyond the control, which is so far from the rail; and its slope (less
    /// with distance), without sign.
    fn reach(&self, from_rail: f64) -> (f64, f64) {
        if self.reach_volts == 0.0 {
            return (0.0, 0.0);
        }
        let x = from_rail / REACH_ROUND_VOLTS;
        if x > 40.0 {
            return (0.0, 0.0);
        }
        // Half of it at the rail, all of it beyond.
        let share = 1.0 / (1.0 + math::exp(x.max(-40.0)));
        (self.reach_volts * share, self.reach_volts * share * (1.0 - share) / REACH_ROUND_VOLTS)
    }
}

/// How near to its rail a control of a [`Drive`] reaches beyond it, volts. Less, and Newton's method meets a
/// cliff; with more an output reaches out before it is asked to.
const REACH_ROUND_VOLTS: f64 = 0.01;

/// How much more a limited source gives at its limit, as a share of the limit for each volt that its
/// terminals are pulled down beyond its own drop. Without it two equal limited sources in a ring could
/// share the voltage between them in any way; with it a 24 V supply into a short gives 0.24 % more than its limit.
const LIMIT_SHARE_PER_VOLT: f64 = 1e-4;

/// The limited source: delivered current is the lesser of drop / ohms and the limit, with a round
/// corner; pushed back, it is a bleeder resistance, which must not add to the limit. `over` is the
/// terminal voltage minus the open-circuit voltage.
fn limited_flow(over: f64, ohms: f64, limit: f64) -> Flow {
    let drop = -over;
    let width = CORNER * limit;
    let (given, slope) = soft_min(drop / ohms, limit, width);
    // For reverse current the slope falls from 1/ohms to the bleeder's over one corner's width.
    let back_width = BACK_CORNER * limit;
    let (lost, lost_slope) = soft_min(given, 0.0, back_width / 2.0);
    // At 0 the corner takes off half its width; put back, so that an idle source gives nothing.
    let lost = lost + back_width / 2.0;
    let bled = ohms / BLEEDER_OHMS;
    let tilt = LIMIT_SHARE_PER_VOLT * limit;
    let amps = given - lost + lost * bled + tilt * (drop - given * ohms);
    let siemens = ((1.0 - lost_slope) + lost_slope * bled) * slope / ohms + tilt * (1.0 - slope);
    Flow { amps: -amps, siemens }
}

/// The lesser of two numbers with a round corner (a hyperbola) and its slope over the first; written
/// so that neither loses digits far from the corner.
fn soft_min(x: f64, limit: f64, width: f64) -> (f64, f64) {
    let apart = x - limit;
    let root = (apart * apart + 4.0 * width * width).sqrt();
    let rest = 2.0 * width * width / (root + apart.abs());
    if apart > 0.0 { (limit - rest, rest / root) } else { (x - rest, 1.0 - rest / root) }
}

/// Limits how far a junction's voltage may rise in one step: freely up to two emission voltages
/// above its critical voltage (or above where it was), by the logarithm beyond, so that the
/// exponential never runs away. Falling is free: the curve only flattens.
pub fn limited_step(wanted: f64, before: f64, junction: &Junction) -> f64 {
    let unit = junction.emission_volts;
    let free = before.max(junction.critical_volts()) + 2.0 * unit;
    if wanted <= free { wanted } else { free + unit * math::ln(1.0 + (wanted - free) / unit) }
}

/// A limited source has three nearly straight pieces: at its limit, holding its voltage, and pushed
/// back. A step that jumps over the middle one stops there instead, or the next would jump back.
pub fn unskipped(volts: f64, before: f64, open: f64, widest_drop: f64) -> f64 {
    let (corner_low, corner_high) = (open - widest_drop, open);
    let skips = (before < corner_low && volts > corner_high) || (before > corner_high && volts < corner_low);
    if skips { 0.5 * (corner_low + corner_high) } else { volts }
}

#[cfg(test)]
mod tests;
