//! Wires: past the rails, a long way round, over parts and over each other.

use halfrow_core::bench::PartIx;
use halfrow_core::board::{Hole, Sign, StripPlace};

use super::Point;
use super::layout::Layout;
use crate::finding::Severity;
use crate::words::names;

/// Supply that goes from row to row although a rail is there for it.
pub(super) fn past_the_rails(layout: &Layout<'_>) -> Vec<Point> {
    let bench = layout.bench;
    let mut points = Vec::new();
    for sign in [Sign::Plus, Sign::Minus] {
        let is_own = |net: usize| match sign {
            Sign::Plus => layout.is_plus(net),
            Sign::Minus => layout.is_minus(net),
        };
        let wires: Vec<PartIx> = layout.wires().into_iter().map(|it| it.0).collect();
        let own: Vec<PartIx> =
            wires.into_iter().filter(|&wire| layout.net(wire, 0).is_some_and(is_own)).collect();
        let past: Vec<PartIx> = own
            .iter()
            .copied()
            .filter(|&it| bench.part(it).legs.iter().all(|leg| is_row(layout, leg.hole)))
            .collect();
        // One wire from row to row is a short cut; several are a chain, which one loose end breaks.
        if past.len() < 2 {
            continue;
        }
        let Some(rail) = usable_rail(layout, sign, &is_own) else { continue };
        points.push(Point {
            code: "rails-unused",
            severity: Severity::Habit,
            holes: layout.first_holes(&past),
            symptom: "Nobody sees at a glance where the supply goes.".to_owned(),
            says: format!(
                "{} goes from row to row by {}: {} of its {} wires.",
                sign.symbol(),
                names(bench, &past),
                past.len(),
                own.len()
            ),
            why: "On a rail each part has a wire of its own; in a chain one loose end takes the supply from all that follow.".to_owned(),
            remedy: format!("Use the {rail} {} rail, with one short wire from it to each row.", sign.symbol()),
            costs: (4 * past.len() as u32).min(20),
            parts: past,
        });
    }
    points
}

/// Whether a hole is in a row rather than in a rail.
fn is_row(layout: &Layout<'_>, hole: Option<Hole>) -> bool {
    let strip = hole.and_then(|hole| layout.bench.strip(hole));
    matches!(strip.map(|it| it.place), Some(StripPlace::HalfRow { .. }))
}

/// The side of a rail of this sign that carries the net already, or nothing yet.
fn usable_rail(layout: &Layout<'_>, sign: Sign, is_own: &dyn Fn(usize) -> bool) -> Option<&'static str> {
    let bench = layout.bench;
    let boards = bench.boards.iter().enumerate();
    let rails =
        boards.flat_map(|(index, board)| board.strips(index as u8)).filter_map(|strip| match strip.place {
            StripPlace::Rail { side, sign: own, .. } if own == sign => Some((strip, side)),
            _ => None,
        });
    let mut usable = None;
    for (strip, side) in rails {
        let mut legs =
            bench.legs().filter(|(_, leg)| leg.hole.and_then(|hole| bench.strip(hole)) == Some(strip));
        let fed = legs.next().is_none_or(|(leg, _)| layout.net(leg.part, leg.pin).is_some_and(is_own));
        if fed {
            usable = usable.or(Some(side.word()));
        }
    }
    usable
}

/// A wire is long where it is more than twice as long as it could be, and this much more: room for a bend on
/// each side. Less, and tidy benches are told off for a wire that leaves room for a finger.
const SLACK_MM: f64 = 12.0;

/// Wires much longer than their way.
pub(super) fn long(layout: &Layout<'_>) -> Vec<Point> {
    let bench = layout.bench;
    let mut long: Vec<(PartIx, f64, f64, [Hole; 2])> = Vec::new();
    for (wire, line) in layout.wires() {
        let length_mm = line.length_mm();
        // From rail to rail a wire belongs at the end of the board, however long that is.
        let is_rail = |hole: Option<Hole>| !is_row(layout, hole);
        if length_mm <= SLACK_MM || bench.part(wire).legs.iter().all(|leg| is_rail(leg.hole)) {
            continue;
        }
        let Some((way_mm, from, to)) = layout.shortest(wire) else { continue };
        if length_mm > 2.0 * way_mm + SLACK_MM {
            long.push((wire, length_mm, way_mm, [from, to]));
        }
    }
    long.sort_by(|a, b| (b.1 - b.2).total_cmp(&(a.1 - a.2)));
    let Some(&(worst, length_mm, way_mm, [from, to])) = long.first() else { return vec![] };
    let others = match long.len() {
        1 => String::new(),
        2 => " One more wire is as roundabout.".to_owned(),
        n => format!(" {} more wires are as roundabout.", n - 1),
    };
    vec![Point {
        code: "wire-long",
        severity: Severity::Habit,
        parts: long.iter().map(|it| it.0).collect(),
        holes: bench.part(worst).legs.iter().filter_map(|leg| leg.hole).collect(),
        symptom: "Long wires stand up like a nest and hide what is under them.".to_owned(),
        says: format!(
            "{} spans {length_mm:.0} mm; from {from} to {to} are {way_mm:.0} mm.{others}",
            bench.part(worst).id
        ),
        why: "A short wire lies flat, catches on nothing and can be followed by eye.".to_owned(),
        remedy: format!("Put {} between {from} and {to}, cut to that length.", bench.part(worst).id),
        costs: (3 * long.len() as u32).min(15),
    }]
}

/// Wires over chips, switches and other stiff parts.
pub(super) fn over_parts(layout: &Layout<'_>) -> Vec<Point> {
    let bench = layout.bench;
    let bodies = layout.bodies();
    let mut wires: Vec<PartIx> = Vec::new();
    let mut covered: Vec<PartIx> = Vec::new();
    for (wire, line) in layout.wires() {
        let mut under = bodies.iter().filter(|it| it.1.lies_under(line)).peekable();
        if under.peek().is_some() {
            wires.push(wire);
        }
        for (body, _) in under {
            if !covered.contains(body) {
                covered.push(*body);
            }
        }
    }
    if wires.is_empty() {
        return vec![];
    }
    let one = wires.len() == 1;
    vec![Point {
        code: "wire-over-part",
        severity: Severity::Habit,
        holes: layout.first_holes(&wires),
        symptom: "A part under wires can’t be read, pressed or pulled out.".to_owned(),
        says: format!(
            "{} {} over {}.",
            names(bench, &wires),
            if one { "runs" } else { "run" },
            names(bench, &covered)
        ),
        why: "A chip comes out straight only if nothing lies across it, and its marking says which it is."
            .to_owned(),
        remedy: format!(
            "Lead {} around the ends of {}.",
            if one { "it" } else { "them" },
            names(bench, &covered)
        ),
        costs: (3 * wires.len() as u32).min(15),
        parts: [wires, covered].concat(),
    }]
}

/// Crossings that are let pass: a flat board has room for one.
const FREE_CROSSINGS: usize = 1;

/// Wires that cross each other.
pub(super) fn crossing(layout: &Layout<'_>) -> Vec<Point> {
    let bench = layout.bench;
    let wires = layout.wires();
    let mut counts = vec![0_usize; wires.len()];
    let mut crossings = 0;
    for one in 0..wires.len() {
        for other in one + 1..wires.len() {
            if wires[one].1.crosses(wires[other].1) {
                counts[one] += 1;
                counts[other] += 1;
                crossings += 1;
            }
        }
    }
    if crossings <= FREE_CROSSINGS {
        return vec![];
    }
    let mut order: Vec<usize> = (0..wires.len()).filter(|&it| counts[it] > 0).collect();
    order.sort_by_key(|&it| (std::cmp::Reverse(counts[it]), it));
    let worst = bench.part(wires[order[0]].0);
    vec![Point {
        code: "wires-cross",
        severity: Severity::Habit,
        parts: order.iter().map(|&it| wires[it].0).collect(),
        holes: worst.legs.iter().filter_map(|leg| leg.hole).collect(),
        symptom: "The eye loses a wire where others cross it.".to_owned(),
        says: format!("Wires cross {crossings} times; {} crosses {} others.", worst.id, counts[order[0]]),
        why: "A mistake is found by following wires, and each crossing is a chance to follow the wrong one."
            .to_owned(),
        remedy: format!("Begin with {}: the same rows can often be joined on their outer sides.", worst.id),
        costs: (crossings as u32).min(10),
    }]
}
