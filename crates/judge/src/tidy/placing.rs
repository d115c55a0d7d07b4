//! Parts: stretched over the board, turned, cramped, far from what they serve; and which way signals run.

use halfrow_core::bench::PartIx;
use halfrow_core::board::Hole;
use halfrow_core::card::{Card, Duty, Footprint};
use halfrow_core::part::Turn;

use super::Point;
use super::layout::{Area, Layout};
use crate::finding::Severity;
use crate::words::{list, names};

/// A part is bent over four holes at the least, and one that spans more than twice of what would do, and this
/// much more, is stretched.
const LEAST_MM: f64 = 10.16;
const SLACK_MM: f64 = 12.0;

/// Parts that bridge far rows where near ones are free.
pub(super) fn stretched(layout: &Layout<'_>) -> Vec<Point> {
    let bench = layout.bench;
    let mut far: Vec<(PartIx, f64, f64, [Hole; 2])> = Vec::new();
    for (part, line) in layout.bridges() {
        let span_mm = line.length_mm();
        if span_mm <= 2.0 * LEAST_MM {
            continue;
        }
        let Some((way_mm, from, to)) = layout.shortest(part) else { continue };
        if span_mm > 2.0 * way_mm.max(LEAST_MM) + SLACK_MM {
            far.push((part, span_mm, way_mm, [from, to]));
        }
    }
    far.sort_by(|a, b| (b.1 - b.2).total_cmp(&(a.1 - a.2)));
    let Some(&(worst, span_mm, way_mm, [from, to])) = far.first() else { return vec![] };
    let id = &bench.part(worst).id;
    let others: Vec<PartIx> = far[1..].iter().map(|it| it.0).collect();
    let more = if others.is_empty() {
        String::new()
    } else {
        format!(" {} too could lie shorter.", names(bench, &others))
    };
    vec![Point {
        code: "part-stretched",
        severity: Severity::Habit,
        parts: far.iter().map(|it| it.0).collect(),
        holes: layout.holes(worst).unwrap_or_default(),
        symptom: "A part on long bare legs hangs over others.".to_owned(),
        says: format!(
            "{id} spans {span_mm:.0} mm; {from} and {to} are {way_mm:.0} mm apart in the same nets.{more}"
        ),
        why: "Short legs lie still, and what belongs together stays together.".to_owned(),
        remedy: format!("Put {id} nearer, at {from} and {to} for instance."),
        costs: (3 * far.len() as u32).min(12),
    }]
}

fn straddles(card: &Card) -> bool {
    matches!(card.footprint, Footprint::Rigid { straddles: true, .. })
}

/// Chips that face different ways.
pub(super) fn turned(layout: &Layout<'_>) -> Vec<Point> {
    let bench = layout.bench;
    let chips: Vec<PartIx> = (0..bench.parts.len())
        .map(PartIx)
        .filter(|&it| {
            bench.part(it).card.chip && straddles(bench.part(it).card) && layout.holes(it).is_some()
        })
        .collect();
    let with = |turn: Turn| -> Vec<PartIx> {
        chips.iter().copied().filter(|&it| bench.part(it).turn == turn).collect()
    };
    let mut ways: Vec<Vec<PartIx>> = Turn::ALL.iter().map(|&turn| with(turn)).collect();
    ways.sort_by_key(|it| std::cmp::Reverse(it.len()));
    let others: Vec<PartIx> = ways[1..].concat();
    if others.is_empty() {
        return vec![];
    }
    let one = others.len() == 1;
    vec![Point {
        code: "chips-turned",
        severity: Severity::Habit,
        holes: layout.first_holes(&others),
        symptom: "Pin 1 is at the top of one chip and at the bottom of another.".to_owned(),
        says: format!(
            "{} {} the other way round than {}.",
            names(bench, &others),
            if one { "is" } else { "are" },
            names(bench, &ways[0])
        ),
        why: "Where all notches point one way, nobody counts pins from the wrong end.".to_owned(),
        remedy: format!(
            "When you build it again, turn {} so that all notches point the same way.",
            names(bench, &others)
        ),
        costs: (3 * others.len() as u32).min(9),
        parts: others,
    }]
}

/// Room that a fingertip needs beside what it works: half of its width of some 16 mm (common practice, no
/// source), less the body of the part itself.
const FINGER_MM: f64 = 4.0;

/// Buttons, switches and knobs with other parts close beside them.
pub(super) fn no_room(layout: &Layout<'_>) -> Vec<Point> {
    let bench = layout.bench;
    let bodies = layout.bodies();
    let is_worked = |part: PartIx| {
        let card = bench.part(part).card;
        card.kicks.is_none() && (!card.contacts.is_empty() || !card.handed.is_empty())
    };
    let mut points = Vec::new();
    for &(hand, area) in bodies.iter().filter(|it| is_worked(it.0)) {
        let bridges = layout.bridges();
        let lying =
            bridges.iter().map(|&(part, line)| (area.to_spot_mm(line.from.towards(line.to, 0.5)), part));
        let standing =
            bodies.iter().filter(|it| it.0 != hand).map(|&(part, other)| (gap_mm(area, other), part));
        let mut near: Vec<(f64, PartIx)> = lying.chain(standing).filter(|it| it.0 < FINGER_MM).collect();
        near.sort_by(|a, b| a.0.total_cmp(&b.0));
        let Some(&(nearest_mm, _)) = near.first() else { continue };
        let others: Vec<PartIx> = near.iter().map(|it| it.1).collect();
        points.push(Point {
            code: "no-room",
            severity: Severity::Habit,
            holes: bench.part(hand).legs[0].hole.into_iter().collect(),
            symptom: "There is no room for fingers.".to_owned(),
            says: format!(
                "{} has {} beside it, {nearest_mm:.0} mm away.",
                bench.part(hand).id,
                names(bench, &others)
            ),
            why: "Whoever works it bends what is beside it.".to_owned(),
            remedy: format!("Keep two rows free on each side of {}.", bench.part(hand).id),
            costs: 2,
            parts: std::iter::once(hand).chain(others).collect(),
        });
    }
    points
}

/// The free way between two areas.
fn gap_mm(one: Area, other: Area) -> f64 {
    let beyond = |a: (f64, f64), b: (f64, f64)| (b.0 - a.1).max(a.0 - b.1).max(0.0);
    let x = beyond((one.min.x_mm, one.max.x_mm), (other.min.x_mm, other.max.x_mm));
    let y = beyond((one.min.y_mm, one.max.y_mm), (other.min.y_mm, other.max.y_mm));
    (x * x + y * y).sqrt()
}

/// The farthest that a capacitor does much for a chip.
const CLOSE_MM: f64 = 20.0;

/// Chips without a capacitor close to their supply pins.
pub(super) fn decoupling(layout: &Layout<'_>) -> Vec<Point> {
    let bench = layout.bench;
    let mut far: Vec<(PartIx, Option<f64>)> = Vec::new();
    for chip in (0..bench.parts.len()).map(PartIx).filter(|&it| bench.part(it).card.chip) {
        let card = bench.part(chip).card;
        let pin = |duty: Duty| (0..card.pins.len()).find(|&pin| card.duty(pin) == duty);
        let (Some(power), Some(ground)) = (pin(Duty::Power), pin(Duty::Ground)) else { continue };
        let nets = [power, ground].map(|pin| layout.net(chip, pin));
        let spot = bench.part(chip).legs[power].hole.and_then(|hole| layout.spot(hole));
        let ([Some(plus), Some(minus)], Some(spot)) = (nets, spot) else { continue };
        let serves = |part: PartIx| {
            let own = [layout.net(part, 0), layout.net(part, 1)];
            bench.part(part).card.decouples
                && (own == [Some(plus), Some(minus)] || own == [Some(minus), Some(plus)])
        };
        let bridges = layout.bridges();
        let nearest_mm = bridges
            .iter()
            .filter(|it| serves(it.0))
            .map(|&(_, line)| line.from.distance_mm(spot).min(line.to.distance_mm(spot)))
            .min_by(f64::total_cmp);
        if nearest_mm.is_none_or(|it| it > CLOSE_MM) {
            far.push((chip, nearest_mm));
        }
    }
    if far.is_empty() {
        return vec![];
    }
    let says = |&(chip, nearest_mm): &(PartIx, Option<f64>)| match nearest_mm {
        Some(far_mm) => format!("{}: {far_mm:.0} mm", bench.part(chip).id),
        None => format!("{}: none", bench.part(chip).id),
    };
    let chips: Vec<PartIx> = far.iter().map(|it| it.0).collect();
    vec![Point {
        code: "decoupling-far",
        severity: Severity::Habit,
        holes: layout.first_holes(&chips),
        symptom: "Chips act up when others switch.".to_owned(),
        says: format!(
            "From the supply pin to the nearest capacitor between + and −: {}.",
            list(&far.iter().map(says).collect::<Vec<_>>())
        ),
        why: "Each time a chip switches it takes a gulp of current, and long wires hold that back."
            .to_owned(),
        remedy: format!(
            "Give {} a 100 nF capacitor within {CLOSE_MM:.0} mm of the supply pins.",
            names(bench, &chips)
        ),
        costs: (2 * far.len() as u32).min(8),
        parts: chips,
    }]
}

/// How far down or up a signal has to go to count, millimetres: two rows.
const STEP_MM: f64 = 5.08;

/// The least number of signals between chips that can have a direction, and the share that may run back.
const FEW_SIGNALS: usize = 4;
const BACK_SHARE: f64 = 0.34;

/// Signals that run up and down the board.
pub(super) fn signal_back(layout: &Layout<'_>) -> Vec<Point> {
    let bench = layout.bench;
    let bodies = layout.bodies();
    let mut ends: Vec<(usize, bool, PartIx, Area)> = Vec::new();
    for &(part, area) in bodies.iter().filter(|it| bench.part(it.0).card.chip) {
        let card = bench.part(part).card;
        for pin in 0..card.pins.len() {
            let drives = match card.duty(pin) {
                Duty::Output | Duty::OpenOutput => true,
                Duty::Input => false,
                _ => continue,
            };
            let net = layout.net(part, pin).filter(|&net| !layout.is_plus(net) && !layout.is_minus(net));
            ends.extend(net.map(|net| (net, drives, part, area)));
        }
    }
    let (mut down, mut up): (Vec<[PartIx; 2]>, Vec<[PartIx; 2]>) = (vec![], vec![]);
    for from in ends.iter().filter(|it| it.1) {
        for to in ends.iter().filter(|it| !it.1 && it.0 == from.0 && it.2 != from.2) {
            let step_mm = to.3.middle().y_mm - from.3.middle().y_mm;
            if step_mm > STEP_MM {
                down.push([from.2, to.2]);
            } else if step_mm < -STEP_MM {
                up.push([from.2, to.2]);
            }
        }
    }
    // Two chips that answer each other have no first and second.
    let pairs = [down.clone(), up.clone()].concat();
    let one_way = |it: &[PartIx; 2]| !pairs.contains(&[it[1], it[0]]);
    down.retain(one_way);
    up.retain(one_way);
    let all = down.len() + up.len();
    let (back, way) = if up.len() <= down.len() { (up, "down") } else { (down, "up") };
    if all < FEW_SIGNALS || (back.len() as f64) < BACK_SHARE * all as f64 {
        return vec![];
    }
    let mut parts: Vec<PartIx> = back.iter().flatten().copied().collect();
    parts.sort_unstable_by_key(|it| it.0);
    parts.dedup();
    vec![Point {
        code: "signal-back",
        severity: Severity::Habit,
        holes: layout.first_holes(&parts),
        symptom: "The plan can’t be seen in what is built.".to_owned(),
        says: format!(
            "Of {all} signals between chips {} run back, between {}; the others run {way} the board.",
            back.len(),
            names(bench, &parts)
        ),
        why: "A board reads like a page where each stage follows the one before.".to_owned(),
        remedy: "Put the chips in the order in which the signal passes them.".to_owned(),
        costs: 5,
        parts,
    }]
}
