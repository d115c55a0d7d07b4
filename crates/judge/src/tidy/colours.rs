//! Colours that say nothing, or the opposite.

use halfrow_core::bench::PartIx;

use super::Point;
use super::layout::Layout;
use crate::finding::Severity;
use crate::words::{list, names};

const EXPECTED: &str = "Red for + and black for − is what everyone expects, including whoever comes to help.";

/// The wires with a net each.
fn wires(layout: &Layout<'_>) -> Vec<(PartIx, usize)> {
    layout.wires().into_iter().filter_map(|(wire, _)| Some((wire, layout.net(wire, 0)?))).collect()
}

/// The colours of some wires, each once, in the order of the alphabet.
fn colours(layout: &Layout<'_>, wires: &[PartIx]) -> Vec<String> {
    let mut colours: Vec<String> = wires.iter().map(|&wire| layout.colour(wire)).collect();
    colours.sort();
    colours.dedup();
    colours
}

/// The nets of some wires, each once.
fn nets(wires: &[(PartIx, usize)]) -> Vec<usize> {
    let mut nets: Vec<usize> = wires.iter().map(|it| it.1).collect();
    nets.sort_unstable();
    nets.dedup();
    nets
}

/// Whether a net is the one that a colour is for.
fn is_meant(layout: &Layout<'_>, colour: &str, net: usize) -> bool {
    if colour == "red" { layout.is_plus(net) } else { layout.is_minus(net) }
}

/// Red where there is no +, black where there is no −.
pub(super) fn opposite(layout: &Layout<'_>) -> Vec<Point> {
    if !layout.has_supply() {
        return vec![];
    }
    let mut points = Vec::new();
    for (colour, sign) in [("red", "+"), ("black", "−")] {
        let wrong: Vec<PartIx> = wires(layout)
            .into_iter()
            .filter(|&(wire, net)| layout.colour(wire) == colour && !is_meant(layout, colour, net))
            .map(|it| it.0)
            .collect();
        if wrong.is_empty() {
            continue;
        }
        let one = wrong.len() == 1;
        points.push(Point {
            code: "colour-opposite",
            severity: Severity::Habit,
            holes: layout.first_holes(&wrong),
            symptom: "The colours mislead whoever reads the board.".to_owned(),
            says: format!(
                "{} {} {colour} and {} not at {sign}.",
                names(layout.bench, &wrong),
                if one { "is" } else { "are" },
                if one { "is" } else { "are" }
            ),
            why: EXPECTED.to_owned(),
            remedy: format!("Keep {colour} for {sign}, and use any other colour for signals."),
            costs: (3 * wrong.len() as u32).min(12),
            parts: wrong,
        });
    }
    points
}

/// Supply in a colour of signals.
pub(super) fn of_supply(layout: &Layout<'_>) -> Vec<Point> {
    if !layout.has_supply() {
        return vec![];
    }
    let mut points = Vec::new();
    for (colour, other, sign) in [("red", "black", "+"), ("black", "red", "−")] {
        // The opposite colour is told of above.
        let plain = |wire: PartIx| ![colour, other].contains(&layout.colour(wire).as_str());
        let wrong: Vec<PartIx> = wires(layout)
            .into_iter()
            .filter(|&(wire, net)| is_meant(layout, colour, net) && plain(wire))
            .map(|it| it.0)
            .collect();
        if wrong.is_empty() {
            continue;
        }
        let colours = colours(layout, &wrong);
        points.push(Point {
            code: "supply-colour",
            severity: Severity::Habit,
            holes: layout.first_holes(&wrong),
            symptom: "Supply looks like a signal.".to_owned(),
            says: format!(
                "{} {} {sign} in {}.",
                names(layout.bench, &wrong),
                if wrong.len() == 1 { "carries" } else { "carry" },
                list(&colours)
            ),
            why: EXPECTED.to_owned(),
            remedy: format!("Use {colour} wires for {sign}."),
            costs: (2 * wrong.len() as u32).min(10),
            parts: wrong,
        });
    }
    points
}

/// So many colours in one net say nothing any more.
const MANY_COLOURS: usize = 3;

/// A signal whose wires have three colours or more.
pub(super) fn of_nets(layout: &Layout<'_>) -> Vec<Point> {
    let wires = wires(layout);
    let mut points = Vec::new();
    for net in nets(&wires).into_iter().filter(|&net| !layout.is_plus(net) && !layout.is_minus(net)) {
        let own: Vec<PartIx> = wires.iter().filter(|it| it.1 == net).map(|it| it.0).collect();
        let colours = colours(layout, &own);
        if colours.len() < MANY_COLOURS {
            continue;
        }
        points.push(Point {
            code: "net-colours",
            severity: Severity::Habit,
            holes: layout.first_holes(&own),
            symptom: "One signal looks like several.".to_owned(),
            says: format!(
                "{} carry one signal in {} colours: {}.",
                names(layout.bench, &own),
                colours.len(),
                list(&colours)
            ),
            why: "A colour that stays with its signal shows where that goes.".to_owned(),
            remedy: format!("Use one colour for all of them, {} for instance.", colours[0]),
            costs: 3,
            parts: own,
        });
    }
    points
}

/// So many wires of one colour tell no net from another.
const MANY_WIRES: usize = 5;

/// All wires of one colour.
pub(super) fn all_one(layout: &Layout<'_>) -> Vec<Point> {
    let wires = wires(layout);
    let nets = nets(&wires);
    let parts: Vec<PartIx> = wires.iter().map(|it| it.0).collect();
    let colours = colours(layout, &parts);
    let [colour] = &colours[..] else { return vec![] };
    if wires.len() < MANY_WIRES || nets.len() < 3 {
        return vec![];
    }
    vec![Point {
        code: "one-colour",
        severity: Severity::Habit,
        parts,
        holes: vec![],
        symptom: "The colours say nothing.".to_owned(),
        says: format!("All {} wires are {colour}, in {} different nets.", wires.len(), nets.len()),
        why: "Colours show at a glance which wires belong together.".to_owned(),
        remedy: "Use red for +, black for −, and another colour for each signal.".to_owned(),
        costs: 8,
    }]
}
