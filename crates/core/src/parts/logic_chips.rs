//! The 74HC family: gates, flip-flops, counters, a shift register, a decoder.
//!
//! Pins after the makers' tables (74HC00: Nexperia 74HC_HCT00 rev 7, table 2; 74HC595 and 4017 as
//! published; the others from memory). Levels after JESD7A. Outputs: 0.17 V low and 4.31 V high at 4 mA
//! and 4.5 V (Toshiba TC74HCT00A, typical), which makes two transistors that also meet 0.16 V and 5.81 V at
//! 5.2 mA and 6 V (74HC00, typical, from memory). Delay 9 ns at 4.5 V: from memory.

use crate::card::{Card, Limits, Pin, State, Wear, on_paper};
use crate::logic::{ACTS, Follows, Logic, Seen, is_awake, stamp};
use crate::readings::PinReading;
use crate::stamp::Stamp;

use super::dip::{CHIP, DIP14, DIP16, chip_pins};

const SOURCES: &[&str] = &[
    "Thresholds near half the supply, between 0.3 and 0.7 of it: JESD7A",
    "Outputs: transistors with the whole supply on their gates, from 0.17 V and 4.31 V at 4 mA, 4.5 V, TC74HCT00A typical",
    "At 6 V 0.16 V and 5.81 V at 5.2 mA typical: 74HC00, from memory; at 2 V follows, within 0.1 V at 20 µA (JESD7A)",
    "25 mA a pin, 7 V, clamps 20 mA: 74HC00 rev 7, table 4",
    "Delay 9 ns, Schmitt trigger at 0.4 and 0.6 of the supply: from memory",
];

/// What the logic chips have in common.
const LOGIC: Card = Card {
    supply_volts: Some((2.0, 6.0)),
    sources: on_paper(SOURCES),
    limits: |_| Limits { amps: Some(0.025), ..Limits::default() },
    acts: Some(ACTS),
    wear: Some(Wear {
        strain: |part, reading| {
            let Some(logic) = part.card.logic else { return 0.0 };
            let [power, ground] = [logic.power, logic.ground].map(|pin| reading.pins[usize::from(pin)]);
            let volts = power.volts - ground.volts;
            // 25 mA a pin, 50 mA for the supply's.
            let share = |(index, pin): (usize, &PinReading)| {
                let supply = [logic.power, logic.ground].map(usize::from).contains(&index);
                pin.amps.abs() / if supply { 0.05 } else { 0.025 }
            };
            let worst = reading.pins.iter().enumerate().map(share).fold(0.0, f64::max);
            let by_amps = worst * worst;
            if volts > 7.0 || power.amps < -0.1 { by_amps.max(20.0) } else { by_amps }
        },
        seconds: 1.5,
        burns_at: 3.0,
        says: "it is too hot to touch and no longer works",
    }),
    stamp: |part, it: &mut Stamp<'_>| stamp(part, it),
    state: |_, reading| State::plain(if is_awake(&reading.memory) { "works" } else { "without power" }),
    label: |part| part.card.name.to_owned(),
    ..CHIP
};

const fn plain(inputs: &'static [u8], outputs: &'static [u8], last: u8, step: fn(Seen) -> Follows) -> Logic {
    Logic {
        inputs,
        outputs,
        power: last - 1,
        ground: last / 2 - 1,
        amps_per_volt2: (6.42e-3, 5.76e-3),
        hysteresis_share: 0.01,
        delay_seconds: 9e-9,
        gates: false,
        step,
    }
}

const fn gates(inputs: &'static [u8], outputs: &'static [u8], step: fn(Seen) -> Follows) -> Logic {
    Logic { gates: true, ..plain(inputs, outputs, 14, step) }
}

/// Four gates with two inputs each.
fn pairs(seen: Seen, gate: fn(bool, bool) -> bool) -> Follows {
    let high = (0..4).map(|n| u32::from(gate(seen.is(2 * n), seen.is(2 * n + 1))) << n).sum();
    Follows { high, ..Follows::default() }
}

const QUAD_IN: &[u8] = &[0, 1, 3, 4, 8, 9, 11, 12];
const QUAD_OUT: &[u8] = &[2, 5, 7, 10];
const QUAD_PINS: &[Pin] = chip_pins!(1 "1A" 2 "1B" 3 "1Y" 4 "2A" 5 "2B" 6 "2Y" 7 "GND"
    8 "3Y" 9 "3A" 10 "3B" 11 "4Y" 12 "4A" 13 "4B" 14 "VCC");
const QUAD_GATES: &[&[u8]] = &[&[0, 1, 2], &[3, 4, 5], &[8, 9, 7], &[11, 12, 10]];
const QUAD_ALIKE: &[&[u8]] = &[&[0, 1], &[3, 4], &[8, 9], &[11, 12]];
const HEX_IN: &[u8] = &[0, 2, 4, 8, 10, 12];
const HEX_OUT: &[u8] = &[1, 3, 5, 7, 9, 11];
const HEX_GATES: &[&[u8]] = &[&[0, 1], &[2, 3], &[4, 5], &[8, 7], &[10, 9], &[12, 11]];
const HEX_PINS: &[Pin] = chip_pins!(1 "1A" 2 "1Y" 3 "2A" 4 "2Y" 5 "3A" 6 "3Y" 7 "GND"
    8 "4Y" 9 "4A" 10 "5Y" 11 "5A" 12 "6Y" 13 "6A" 14 "VCC");

static NAND: Logic = gates(QUAD_IN, QUAD_OUT, |seen| pairs(seen, |a, b| !(a && b)));
static NOR: Logic = gates(&[1, 2, 4, 5, 7, 8, 10, 11], &[0, 3, 9, 12], |seen| pairs(seen, |a, b| !(a || b)));
static AND: Logic = gates(QUAD_IN, QUAD_OUT, |seen| pairs(seen, |a, b| a && b));
static OR: Logic = gates(QUAD_IN, QUAD_OUT, |seen| pairs(seen, |a, b| a || b));
static XOR: Logic = gates(QUAD_IN, QUAD_OUT, |seen| pairs(seen, |a, b| a != b));
static NOT: Logic = gates(HEX_IN, HEX_OUT, not);
static SCHMITT: Logic = Logic { hysteresis_share: 0.1, ..gates(HEX_IN, HEX_OUT, not) };

fn not(seen: Seen) -> Follows {
    Follows { high: !seen.levels & 0x3f, ..Follows::default() }
}

/// 74HC00.
pub static HC00: Card = Card {
    kind: "74hc00",
    name: "74HC00",
    also: &["7400", "nand"],
    what: "Four NAND gates: an output is low only while both of its inputs are high.",
    pins: QUAD_PINS,
    footprint: DIP14,
    equation: on_paper("Y = not (A and B)"),
    gates: QUAD_GATES,
    alike: QUAD_ALIKE,
    logic: Some(&NAND),
    ..LOGIC
};

/// 74HC02.
pub static HC02: Card = Card {
    kind: "74hc02",
    name: "74HC02",
    also: &["7402", "nor"],
    what: "Four NOR gates: an output is high only while both of its inputs are low. Unlike other gate chips, each gate has its output pin first.",
    pins: chip_pins!(1 "1Y" 2 "1A" 3 "1B" 4 "2Y" 5 "2A" 6 "2B" 7 "GND"
        8 "3A" 9 "3B" 10 "3Y" 11 "4A" 12 "4B" 13 "4Y" 14 "VCC"),
    footprint: DIP14,
    equation: on_paper("Y = not (A or B)"),
    gates: &[&[1, 2, 0], &[4, 5, 3], &[7, 8, 9], &[10, 11, 12]],
    alike: &[&[1, 2], &[4, 5], &[7, 8], &[10, 11]],
    logic: Some(&NOR),
    ..LOGIC
};

/// 74HC04.
pub static HC04: Card = Card {
    kind: "74hc04",
    name: "74HC04",
    also: &["7404", "inverter", "not gate"],
    what: "Six inverters: an output is high while its input is low.",
    pins: HEX_PINS,
    footprint: DIP14,
    equation: on_paper("Y = not A"),
    gates: HEX_GATES,
    logic: Some(&NOT),
    ..LOGIC
};

/// 74HC08.
pub static HC08: Card = Card {
    kind: "74hc08",
    name: "74HC08",
    also: &["7408", "and gate"],
    what: "Four AND gates: an output is high only while both of its inputs are high.",
    pins: QUAD_PINS,
    footprint: DIP14,
    equation: on_paper("Y = A and B"),
    gates: QUAD_GATES,
    alike: QUAD_ALIKE,
    logic: Some(&AND),
    ..LOGIC
};

/// 74HC14.
pub static HC14: Card = Card {
    kind: "74hc14",
    name: "74HC14",
    also: &["7414", "schmitt", "inverter"],
    what: "Six inverters that can’t be undecided: they switch at one voltage on the way up and at a lower one on the way down. With a resistor and a capacitor, one of them can blink a lamp.",
    pins: HEX_PINS,
    footprint: DIP14,
    equation: on_paper("Y = not A; up at 0.6, down at 0.4 of the supply"),
    gates: HEX_GATES,
    logic: Some(&SCHMITT),
    ..LOGIC
};

/// 74HC32.
pub static HC32: Card = Card {
    kind: "74hc32",
    name: "74HC32",
    also: &["7432", "or gate"],
    what: "Four OR gates: an output is high while one or both of its inputs are high.",
    pins: QUAD_PINS,
    footprint: DIP14,
    equation: on_paper("Y = A or B"),
    gates: QUAD_GATES,
    alike: QUAD_ALIKE,
    logic: Some(&OR),
    ..LOGIC
};

/// 74HC86.
pub static HC86: Card = Card {
    kind: "74hc86",
    name: "74HC86",
    also: &["7486", "xor"],
    what: "Four exclusive-OR gates: an output is high while its two inputs differ.",
    pins: QUAD_PINS,
    footprint: DIP14,
    equation: on_paper("Y = A xor B"),
    gates: QUAD_GATES,
    alike: QUAD_ALIKE,
    logic: Some(&XOR),
    ..LOGIC
};

/// Two D flip-flops. Inputs of each half: clear (low), D, clock, preset (low).
static FLIP_FLOPS: Logic = plain(&[0, 1, 2, 3, 12, 11, 10, 9], &[4, 5, 8, 7], 14, |seen| {
    let mut held = seen.held;
    let mut high = 0;
    for half in 0..2 {
        let [clear, data, clock, preset] = [0, 1, 2, 3].map(|input| 4 * half + input);
        let bit = 1 << half;
        if !seen.is(clear) {
            held &= !bit;
        } else if !seen.is(preset) {
            held |= bit;
        } else if seen.rose(clock) {
            held = held & !bit | if seen.before >> data & 1 == 1 { bit } else { 0 };
        }
        let q = held & bit != 0;
        // Both told at once: both outputs are high.
        let both = !seen.is(clear) && !seen.is(preset);
        high |= u32::from(q || both) << (2 * half) | u32::from(!q || both) << (2 * half + 1);
    }
    Follows { held, high, off: 0 }
});

/// 74HC74.
pub static HC74: Card = Card {
    kind: "74hc74",
    name: "74HC74",
    also: &["7474", "flip-flop", "d latch"],
    what: "Two memories of one bit each: at each rising edge of the clock, Q takes the value of D.",
    pins: chip_pins!(1 "1CLR" 2 "1D" 3 "1CLK" 4 "1PRE" 5 "1Q" 6 "1Q\u{305}" 7 "GND"
        8 "2Q\u{305}" 9 "2Q" 10 "2PRE" 11 "2CLK" 12 "2D" 13 "2CLR" 14 "VCC"),
    footprint: DIP14,
    equation: on_paper("Q := D at the clock’s rise; CLR low: Q low; PRE low: Q high"),
    gates: &[&[0, 1, 2, 3, 4, 5], &[12, 11, 10, 9, 8, 7]],
    logic: Some(&FLIP_FLOPS),
    ..LOGIC
};

/// A four-bit counter. Inputs: clear (low), clock, A to D, ENP, load (low), ENT.
static COUNTER: Logic = plain(&[0, 1, 2, 3, 4, 5, 6, 8, 9], &[13, 12, 11, 10, 14], 16, |seen| {
    let mut held = seen.held & 0xf;
    if seen.rose(1) {
        let was = Seen { levels: seen.before, ..seen };
        held = if !was.is(0) {
            0
        } else if !was.is(7) {
            seen.before >> 2 & 0xf
        } else if was.is(6) && was.is(8) {
            (held + 1) & 0xf
        } else {
            held
        };
    }
    let carry = held == 15 && seen.is(8);
    Follows { held, high: held | u32::from(carry) << 4, off: 0 }
});

/// 74HC163.
pub static HC163: Card = Card {
    kind: "74hc163",
    name: "74HC163",
    also: &["74163", "counter"],
    what: "Counts from 0 to 15 in binary: one more at each rising edge of the clock while both enable pins are high.",
    pins: chip_pins!(1 "CLR" 2 "CLK" 3 "A" 4 "B" 5 "C" 6 "D" 7 "ENP" 8 "GND"
        9 "LOAD" 10 "ENT" 11 "QD" 12 "QC" 13 "QB" 14 "QA" 15 "RCO" 16 "VCC"),
    footprint: DIP16,
    equation: on_paper("at the clock’s rise: CLR low: 0; LOAD low: DCBA; else + 1"),
    logic: Some(&COUNTER),
    ..LOGIC
};

/// A shift register with a latch. Inputs: SER, SRCLK, SRCLR (low), RCLK, OE (low).
static SHIFT: Logic = plain(&[13, 10, 9, 11, 12], &[14, 0, 1, 2, 3, 4, 5, 6, 8], 16, |seen| {
    let (mut shift, mut latch) = (seen.held & 0xff, seen.held >> 8 & 0xff);
    if seen.rose(3) {
        latch = shift;
    }
    if !seen.is(2) {
        shift = 0;
    } else if seen.rose(1) {
        shift = (shift << 1 | seen.before & 1) & 0xff;
    }
    let off = if seen.is(4) { 0xff } else { 0 };
    Follows { held: shift | latch << 8, high: latch | (shift >> 7) << 8, off }
});

/// 74HC595.
pub static HC595: Card = Card {
    kind: "74hc595",
    name: "74HC595",
    also: &["74595", "shift register"],
    what: "Takes bits one by one and shows eight at once: it reads SER when SRCLK rises and shows the bits when RCLK rises.",
    pins: chip_pins!(1 "QB" 2 "QC" 3 "QD" 4 "QE" 5 "QF" 6 "QG" 7 "QH" 8 "GND"
        9 "QH’" 10 "SRCLR" 11 "SRCLK" 12 "RCLK" 13 "OE" 14 "SER" 15 "QA" 16 "VCC"),
    footprint: DIP16,
    equation: on_paper("SRCLK’s rise: QA ← SER, QB ← QA …; RCLK’s rise: shown; OE high: outputs let go"),
    logic: Some(&SHIFT),
    ..LOGIC
};

/// A decade counter with ten outputs. Inputs: clock, clock inhibit, reset.
static DECADE: Logic = plain(&[13, 12, 14], &[2, 1, 3, 6, 9, 0, 4, 5, 8, 10, 11], 16, |seen| {
    let mut held = seen.held % 10;
    if seen.is(2) {
        held = 0;
    } else if (seen.rose(0) && !seen.is(1)) || (seen.fell(1) && seen.is(0)) {
        held = (held + 1) % 10;
    }
    Follows { held, high: 1 << held | u32::from(held < 5) << 10, off: 0 }
});

/// 74HC4017.
pub static HC4017: Card = Card {
    kind: "74hc4017",
    name: "74HC4017",
    also: &["4017", "decade counter"],
    what: "Counts to ten with ten outputs: one of them is high, and each rising edge of the clock moves on to the next.",
    pins: chip_pins!(1 "Q5" 2 "Q1" 3 "Q0" 4 "Q2" 5 "Q6" 6 "Q7" 7 "Q3" 8 "GND"
        9 "Q8" 10 "Q4" 11 "Q9" 12 "carry" 13 "inhibit" 14 "CLK" 15 "RESET" 16 "VCC"),
    footprint: DIP16,
    equation: on_paper("at the clock’s rise: next output; RESET high: Q0; carry is low in 5 to 9"),
    logic: Some(&DECADE),
    ..LOGIC
};

/// Segments a to g of the digits 0 to 9, bit 0 is a. A 4511 draws 6 and 9 without their tails (from
/// memory).
const DIGITS: [u32; 10] = [0x3f, 0x06, 0x5b, 0x4f, 0x66, 0x6d, 0x7c, 0x07, 0x7f, 0x67];

/// A decoder for seven segments. Inputs: A to D, lamp test (low), blanking (low), latch enable.
static DECODER: Logic = plain(&[6, 0, 1, 5, 2, 3, 4], &[12, 11, 10, 9, 8, 14, 13], 16, |seen| {
    let held = if seen.is(6) { seen.held & 0xf } else { seen.levels & 0xf };
    let high = if !seen.is(4) {
        0x7f
    } else if !seen.is(5) {
        0
    } else {
        DIGITS.get(held as usize).copied().unwrap_or(0)
    };
    Follows { held, high, off: 0 }
});

/// 74HC4511.
pub static HC4511: Card = Card {
    kind: "74hc4511",
    name: "74HC4511",
    also: &["4511", "bcd decoder"],
    what: "Turns a binary number from 0 to 9 into the segments of a digit, for displays with a common cathode.",
    pins: chip_pins!(1 "B" 2 "C" 3 "LT" 4 "BI" 5 "LE" 6 "D" 7 "A" 8 "GND"
        9 "e" 10 "d" 11 "c" 12 "b" 13 "a" 14 "g" 15 "f" 16 "VCC"),
    footprint: DIP16,
    equation: on_paper("segments of DCBA; LT low: all; BI low: none; LE high: holds"),
    logic: Some(&DECODER),
    ..LOGIC
};

#[cfg(test)]
mod tests {
    use super::*;

    /// Lets a chip see levels one after the other, and says what is high at the end.
    fn after(logic: &Logic, levels: &[u32]) -> Follows {
        let mut follows = Follows::default();
        let mut before = levels[0];
        for &levels in levels {
            follows = (logic.step)(Seen { levels, before, held: follows.held });
            before = levels;
        }
        follows
    }

    #[test]
    fn gates_follow_their_truth_tables() {
        let tables: [(&Logic, [u32; 4]); 5] = [
            (&NAND, [1, 1, 1, 0]),
            (&NOR, [1, 0, 0, 0]),
            (&AND, [0, 0, 0, 1]),
            (&OR, [0, 1, 1, 1]),
            (&XOR, [0, 1, 1, 0]),
        ];
        for (logic, table) in tables {
            for (levels, high) in table.into_iter().enumerate() {
                for gate in 0..4 {
                    let told = after(logic, &[(levels as u32) << (2 * gate)]).high >> gate & 1;
                    assert_eq!(told, high, "{levels:b} at gate {gate}");
                }
            }
        }
        assert_eq!(after(&NOT, &[0b010101]).high, 0b101010);
    }

    #[test]
    fn a_flip_flop_takes_d_at_the_rise_and_obeys_clear_and_preset() {
        let (clear, data, clock, preset) = (1, 2, 4, 8);
        let idle = clear | preset;
        let q = |levels: &[u32]| after(&FLIP_FLOPS, levels).high & 0b11;
        assert_eq!(q(&[idle, idle | data, idle | data | clock, idle]), 0b01);
        assert_eq!(q(&[idle | clock, idle | clock | data]), 0b10, "no edge, no change");
        assert_eq!(q(&[idle | data, idle | data | clock, preset]), 0b10, "cleared");
        assert_eq!(q(&[idle, clear]), 0b01, "preset");
    }

    #[test]
    fn the_counter_counts_loads_clears_and_carries() {
        let (clear, clock, p, load, t) = (1, 2, 0x40, 0x80, 0x100);
        let go = clear | p | load | t;
        let mut pulses = vec![go];
        for _ in 0..15 {
            pulses.extend([go | clock, go]);
        }
        assert_eq!(after(&COUNTER, &pulses).high, 0b1_1111);
        pulses.extend([go | clock, go]);
        assert_eq!(after(&COUNTER, &pulses).high, 0);
        let loads = [clear | 0x28, clear | 0x28 | clock];
        assert_eq!(after(&COUNTER, &loads).high, 0b1010);
        assert_eq!(after(&COUNTER, &[go, go | clock, load, load | clock]).high, 0);
    }

    #[test]
    fn the_shift_register_shifts_latches_and_lets_go() {
        let (data, clock, keep, show) = (1, 2, 4, 8);
        let mut pulses = vec![keep];
        for bit in [1, 0, 1, 1, 0, 0, 1, 0] {
            let d = if bit == 1 { data } else { 0 };
            pulses.extend([keep | d, keep | d | clock, keep]);
        }
        assert_eq!(after(&SHIFT, &pulses).high & 0xff, 0, "not shown yet");
        pulses.push(keep | show);
        let follows = after(&SHIFT, &pulses);
        assert_eq!(follows.high, 0b1011_0010 | 1 << 8);
        pulses.push(keep | 16);
        assert_eq!(after(&SHIFT, &pulses).off, 0xff);
    }

    #[test]
    fn the_decade_counter_passes_its_one_on_and_carries() {
        let mut pulses = vec![0];
        for count in 0..12 {
            let high = after(&DECADE, &pulses).high;
            let n = count % 10;
            // Nexperia HEF4017B rev 9: the carry is low in 5 to 9.
            assert_eq!(high, 1 << n | u32::from(n < 5) << 10);
            pulses.extend([1, 0]);
        }
        pulses.push(4);
        assert_eq!(after(&DECADE, &pulses).high, 1 | 1 << 10, "reset");
    }

    #[test]
    fn the_decoder_draws_digits_holds_tests_and_blanks() {
        let go = 0x30;
        assert_eq!(after(&DECODER, &[go | 2]).high, 0x5b);
        assert_eq!(after(&DECODER, &[go | 11]).high, 0);
        assert_eq!(after(&DECODER, &[go | 4, go | 4 | 0x40, go | 9 | 0x40]).high, 0x66, "held");
        assert_eq!(after(&DECODER, &[0x20]).high, 0x7f, "lamp test");
        assert_eq!(after(&DECODER, &[0x10 | 8]).high, 0, "blanked");
    }
}
