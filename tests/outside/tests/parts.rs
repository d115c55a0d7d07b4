//! Boards, codes, wires, cells, lamps and sensors against published figures.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{Board, BoardKind, Hole};
use halfrow_core::card::Value;
use halfrow_core::circuit::{Circuit, Law};
use halfrow_core::part::Part;
use halfrow_core::parts;
use halfrow_core::preferred::{E12, E24, bands, read_bands};

fn part(kind: &str, values: &[(&str, Value)]) -> Part {
    let mut part = Part::new("X1", parts::card(kind).expect("a kind"));
    for &(key, value) in values {
        assert!(part.set(key, value), "{kind} {key}");
    }
    part
}

/// The law of a part with its legs in the air, without contacts.
fn law(part: Part) -> Law {
    let mut bench = Bench::new(BoardKind::Mini);
    bench.parts.push(part);
    Circuit::of(&bench, halfrow_outside::book::IDEAL).elements[0].law
}

#[test]
fn boards_have_170_400_and_830_tie_points_in_columns_of_five() {
    // Sizes and columns of five: McComb, Robot Builder's Bonanza, chapter 32; 830 = 63·10 + 4·50,
    // 400 = 30·10 + 4·25, 170 = 17·10: from memory, the sums check.
    for (kind, points, rows, rail) in
        [(BoardKind::Mini, 170, 17, 0), (BoardKind::Half, 400, 30, 25), (BoardKind::Full, 830, 63, 50)]
    {
        let board = Board { kind, split_rails: false };
        assert_eq!(board.holes(0).count(), points);
        assert_eq!((kind.rows(), kind.rail_holes()), (rows, rail));
        assert_eq!(board.holes_of(board.strip(Hole::grid(0, 'c', 3))).len(), 5);
    }
}

#[test]
fn rails_of_some_boards_are_split_midway() {
    // That some are: a maker's documentation (Circuit Rocks); where: common practice, no source.
    for (kind, holes) in [(BoardKind::Half, [12, 13]), (BoardKind::Full, [25, 25])] {
        let board = Board { kind, split_rails: true };
        let strip = |n| board.strip(Hole::parse(&format!("L+{n}")).expect("a hole"));
        let last = u32::from(kind.rail_holes());
        assert_eq!([strip(1), strip(last)].map(|s| board.holes_of(s).len()), holes);
        assert_ne!(strip(1), strip(last));
    }
}

#[test]
fn colour_codes_of_iec_60062_read_as_a_textbook_reads_them() {
    // Test strings: Kuphaldt, Lessons in Electric Circuits, volume V, chapter 2, "Color codes".
    for (colours, ohms, tolerance) in [
        ("yellow violet orange gold", 47e3, 5.0),
        ("green red gold silver", 5.2, 10.0),
        ("white violet black", 97.0, 20.0),
        ("orange orange black brown violet", 3.3e3, 0.1),
        ("brown green grey silver red", 1.58, 2.0),
        ("blue brown green silver blue", 6.15, 0.25),
    ] {
        let words: Vec<&str> = colours.split(' ').collect();
        let (read, percent) = read_bands(&words).expect(colours);
        assert!((read / ohms - 1.0).abs() < 1e-12 && percent == tolerance, "{colours}: {read} {percent}");
        // Written back, it means the same again (3.3 kΩ takes two digits where the book has three).
        let written = bands(ohms, tolerance).expect(colours);
        let again = read_bands(&written).expect(colours);
        assert!((again.0 / ohms - 1.0).abs() < 1e-12 && again.1 == tolerance, "{written:?}");
        assert_eq!(written == words, ohms != 3.3e3, "{written:?}");
    }
}

#[test]
fn preferred_values_are_those_of_iec_60063() {
    // The lists: qsl.net/g4usp, "Component preferred values". E24 is E12 and twelve more.
    assert_eq!(E12, [10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82]);
    let more = [11, 13, 16, 20, 24, 30, 36, 43, 51, 62, 75, 91];
    let mut both = [E12, more].concat();
    both.sort_unstable();
    assert_eq!(E24.to_vec(), both);
    // "Several values do not follow" the rounded powers of ten (reaylabs.com): 27 to 47, and 82.
    let off: Vec<u8> = (0..12)
        .filter(|&i| (10.0 * 10f64.powf(i as f64 / 12.0)).round() != f64::from(E12[i]))
        .map(|i| E12[i])
        .collect();
    assert_eq!(off, [27, 33, 39, 47, 82]);
}

#[test]
fn a_wire_has_the_resistance_of_22_awg_copper() {
    // 52.94 Ω/km at 20 °C: wire table at wp.1728.org. Lessons in Electric Circuits, volume I, chapter
    // 12 gives 10.09 Ω·cmil/ft and 642.5 cmil, so 15.70 Ω per 1000 ft, 3 % less: hence 3 %.
    let Law::Resistance { ohms } = law(part("wire", &[("length_mm", Value::Number(100.0))])) else {
        panic!("a wire is a resistance")
    };
    let metre = ohms * 10.0;
    for published in [0.05294, 15.70 / 304.8] {
        assert!((metre / published - 1.0).abs() < 0.03, "{metre} {published}");
    }
}

#[test]
fn cells_have_the_voltage_and_resistance_that_makers_measure() {
    // Cell, cells, lowest and highest open volts, lowest and highest ohms of a full one.
    for (cell, volts, ohms, source) in [
        (
            0,
            (1.57, 1.60),
            (0.15, 0.30),
            "GP14AU specification §4.1; Energizer bulletin (2005): 0.214 Ω; E91 sheet from memory",
        ),
        (
            1,
            (1.35, 1.45),
            (0.019, 0.10),
            "about 1.4 V after charge; 19 mΩ of a larger cell at 1 kHz, Panasonic NiMH handbook (2005)",
        ),
        (
            3,
            (9.0, 9.6),
            (1.7, 1.7),
            "Duracell MN1604: 9 V nominal, 1.7 Ω at 1 kHz; six cells of 1.6 V at most",
        ),
        (4, (3.0, 3.3), (10.0, 40.0), "CR2032: 3.0 V nominal (encyclopaedia), 10 to 40 Ω (published tables)"),
    ] {
        let full = part(
            "battery",
            &[("cell", Value::Choice(cell)), ("cells", Value::Whole(1)), ("charge", Value::Number(1.0))],
        );
        let Law::Source { volts: v, ohms: r } = law(full) else { panic!("a battery is a source") };
        assert!((volts.0..=volts.1).contains(&v), "{source}: {v} V");
        assert!((ohms.0 - 1e-9..=ohms.1 + 1e-9).contains(&r), "{source}: {r} Ω");
    }
}

/// Voltage over a two-legged part that carries a current: a long look for it by bisection, with the
/// part's own law.
fn volts_at(law: Law, amps: f64) -> f64 {
    let (mut low, mut high) = (0.0, 20.0);
    for _ in 0..80 {
        let middle = 0.5 * (low + high);
        if law.flow(middle).amps < amps { low = middle } else { high = middle }
    }
    high
}

#[test]
fn lamps_have_the_forward_voltage_of_their_datasheets() {
    // Colour, amperes, typical volts, highest volts, source.
    for (colour, amps, typical, highest, source) in [
        (0, 0.020, 2.0, 3.0, "Vishay TLHR5400, document 83012 rev 2.3"),
        (1, 0.020, 2.4, 3.0, "Vishay TLHY6400"),
        (2, 0.020, 2.4, 3.0, "Vishay TLPG5600, document 83043"),
        (3, 0.020, 3.4, 4.0, "Cree LC503TBL1-30Q-A1"),
        (4, 0.020, 3.2, 4.0, "Cree LC513FWH1-60Q-A0, CLD-CT208"),
    ] {
        let volts = volts_at(law(part("led", &[("colour", Value::Choice(colour))])), amps);
        assert!((volts - typical).abs() < 0.005 && volts < highest, "{source}: {volts}");
    }
    // Bands: Lessons in Electric Circuits, volume III, chapter 3: red 1.5 to 2.4 V, yellow and green
    // 1.7 to 2.8 V, blue and white 3 to 4 V.
    for (colour, low, high) in [(0, 1.5, 2.4), (1, 1.7, 2.8), (2, 1.7, 2.8), (3, 3.0, 4.0), (4, 3.0, 4.0)] {
        let volts = volts_at(law(part("led", &[("colour", Value::Choice(colour))])), 0.020);
        assert!((low..=high).contains(&volts), "colour {colour}: {volts}");
    }
}

#[test]
fn diodes_keep_below_their_datasheets_highest_forward_voltage() {
    let diode = |kind| law(part("diode", &[("type", Value::Choice(kind))]));
    // 1N4148: at most 1.0 V at 10 mA, Panjit rev 0.2; sister type 1N4448: 0.62 to 0.72 V at 5 mA, Diotec.
    assert!(volts_at(diode(0), 0.010) <= 1.0);
    assert!((0.62..=0.72).contains(&volts_at(diode(0), 0.005)));
    // 1N4001: at most 1.1 V at 1 A, Comchip; at most 1.0 V by another maker.
    assert!(volts_at(diode(1), 1.0) <= 1.0);
    // Typical points, from memory, ± 0.05 V.
    for (kind, amps, volts) in [
        (0, 0.001, 0.60),
        (0, 0.010, 0.72),
        (0, 0.100, 0.87),
        (1, 0.010, 0.65),
        (1, 0.100, 0.75),
        (1, 1.0, 0.93),
    ] {
        let is = volts_at(diode(kind), amps);
        assert!((is - volts).abs() <= 0.05, "type {kind} at {amps} A: {is}");
    }
    // Reverse: 25 nA at 20 V and 5 µA at 75 V at most, Panjit; 5 µA of a 1N4001 at 50 V, Comchip. A 1N4001
    // drops 1.3 V at 3 A at most, another maker.
    assert!(-diode(0).flow(-20.0).amps <= 25e-9 && -diode(0).flow(-75.0).amps <= 5e-6);
    assert!(-diode(1).flow(-50.0).amps <= 5e-6 && volts_at(diode(1), 3.0) <= 1.3);
}

#[test]
fn the_heat_sensor_follows_the_published_10k3_table() {
    // Campbell 109SS manual, table C-1, ± 0.5 %; Taylor 8751 and Fronius TransSteel manual page 14,
    // ± 0.5 % as printed, at 100 °C ± 4.7 %.
    for (celsius, ohms, share) in [
        (-20.0, 97_006.9, 0.005),
        (0.0, 32_650.9, 0.005),
        (1.0, 31_030.8, 0.005),
        (10.0, 19_900.0, 0.005),
        (20.0, 12_490.0, 0.005),
        (25.0, 10_000.0, 0.001),
        (30.0, 8057.0, 0.005),
        (55.0, 2986.0, 0.005),
        (60.0, 2488.0, 0.005),
        (90.0, 917.7, 0.005),
        (100.0, 680.0, 0.047),
    ] {
        let is = parts::thermistor::ohms(celsius);
        assert!((is / ohms - 1.0).abs() <= share, "{celsius} °C: {is}, table {ohms}");
    }
}

#[test]
fn the_light_sensor_falls_by_its_gamma_and_stays_within_the_makers_range() {
    let ohms = |lux| parts::photoresistor::ohms(&part("photoresistor", &[("lux", Value::Number(lux))]));
    // GL5528: 10 to 20 kΩ at 10 lx, 1 MΩ dark, table at piandmore.wordpress.com.
    assert!((10e3..=20e3).contains(&ohms(10.0)));
    assert_eq!(ohms(0.01), 1e6);
    // γ = log10(R10 / R100) ± 0.1, Token photocell note; 0.6 or 0.7 by maker, from memory.
    let gamma = (ohms(10.0) / ohms(100.0)).log10();
    assert!((0.6..=0.7 + 1e-9).contains(&gamma), "{gamma}");
}

#[test]
fn a_usb_port_stays_within_its_voltage_up_to_five_unit_loads() {
    // USB 2.0: 4.75 to 5.25 V at the port, 500 mA at most (primidi.com, "Universal Serial Bus power").
    let mut bench = Bench::new(BoardKind::Half);
    bench.parts.push(part("usb", &[]));
    bench.parts.push(Part { id: "R1".into(), ..part("resistor", &[]) });
    for (part, pin, hole) in [(0, 0, "L+1"), (0, 1, "L-1"), (1, 0, "L+2"), (1, 1, "L-2")] {
        bench.put_leg(LegId { part: PartIx(part), pin }, Hole::parse(hole)).expect("free");
    }
    for ohms in [1000.0, 100.0, 10.0] {
        assert!(bench.parts[1].set("ohms", Value::Number(ohms)));
        let volts = halfrow_core::solve::solve(&bench).part(PartIx(1)).volts_across(0, 1).expect("tied");
        assert!((4.75..=5.25).contains(&volts), "{ohms} Ω: {volts} V");
    }
    assert!(bench.parts[1].set("ohms", Value::Number(0.1)));
    let amps = halfrow_core::solve::solve(&bench).part(PartIx(1)).largest_amps();
    assert!(amps < 0.505, "{amps}");
}
