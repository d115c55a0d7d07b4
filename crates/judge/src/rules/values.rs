//! What values let through: too much in another position, too little to see, a pack that is all but
//! empty.

use halfrow_core::amount;
use halfrow_core::bench::{LegId, PartIx};
use halfrow_core::board::Hole;
use halfrow_core::card::VISIBLE_AMPS;
use halfrow_core::card::{Group, Unit};

use crate::finding::{Code, Finding, Severity, tells, tells_of};
use crate::flow::Trip;
use crate::graph::{Adjacency, Edge, Way};
use crate::judged::Judged;
use crate::lamps::good_resistor;
use crate::rule::{Rule, on_paper};
use crate::words::{holes, names, places};

pub(crate) static TOO_MUCH_WHEN_WORKED: Rule = Rule {
    code: Code::TooMuchWhenWorked,
    severity: Severity::Risk,
    what: on_paper("In another position of a switch, knob or sensor an LED would get too much current."),
    run: too_much,
};

pub(crate) static TOO_LITTLE: Rule = Rule {
    code: Code::TooLittleCurrent,
    severity: Severity::Risk,
    what: on_paper("The resistors in an LED's path let too little through to see."),
    run: too_little,
};

pub(crate) static PACK_EMPTY: Rule = Rule {
    code: Code::PackEmpty,
    severity: Severity::Risk,
    what: on_paper("A battery that is used is all but empty."),
    run: empty,
};

/// The paths of an LED in volts at a current, each part at the least that it can hold back.
struct Paths<'a> {
    judged: &'a Judged<'a>,
    adjacency: Adjacency,
}

impl<'a> Paths<'a> {
    fn of(judged: &'a Judged<'a>) -> Paths<'a> {
        Paths { judged, adjacency: judged.graph.adjacency() }
    }

    /// The volts along an edge; `None` where there is no way, or where it can't be told.
    fn price(&self, edge: &Edge, forward: bool, amps: f64, without: Option<PartIx>) -> Option<f64> {
        let (bench, graph) = (self.judged.bench, &self.judged.graph);
        let Some(it) = bench.parts.get(edge.part.0) else { return Some(0.0) };
        match edge.way {
            Way::Metal | Way::Contact => Some(0.0),
            Way::Source => None,
            Way::Forward => forward.then(|| it.card.forward_volts.map_or(0.0, |volts| volts(it, amps))),
            Way::Load if it.card.steers.is_some() => (!graph.is_control(bench, edge)).then_some(0.0),
            Way::Load if without == Some(edge.part) => Some(0.0),
            Way::Load => it.card.least_ohms.map(|ohms| ohms(it) * amps),
        }
    }

    /// What is left over of a supply's volts along the cheapest path through an LED at a current;
    /// `None` without a path.
    fn left(&self, led: &Edge, amps: f64, without: Option<PartIx>) -> Option<f64> {
        let judged = self.judged;
        let price = |edge: &Edge, forward: bool| self.price(edge, forward, amps, without);
        let trip =
            Trip { graph: &judged.graph, adjacency: &self.adjacency, metal: &judged.metal, price: &price };
        let (anode, cathode) = judged.graph.vertices_of(led);
        let own = price(led, true)?;
        let left = judged.graph.poles_both_ways().into_iter().filter_map(|poles| {
            let source = judged.bench.part(poles.source);
            let volts =
                source.card.source.map(|it| (it.open_volts)(source) - amps * (it.own_ohms)(source))?;
            let plus = trip.prices(poles.plus, poles.minus, false)[anode];
            let minus = trip.prices(poles.minus, poles.plus, true)[cathode];
            let need = plus + own + minus;
            need.is_finite().then_some(volts - need)
        });
        left.max_by(f64::total_cmp)
    }
}

/// LEDs that current can come to.
fn lamps<'a>(judged: &'a Judged<'_>) -> impl Iterator<Item = &'a Edge> {
    judged.graph.edges.iter().filter(|edge| {
        edge.way == Way::Forward
            && judged.live[edge.part.0]
            && judged.bench.part(edge.part).card.forward_volts.is_some()
            && judged.bench.part(edge.part).card.group == Group::Light
    })
}

/// Whether something is told that comes first: a fault, or anything about this part.
fn is_told(findings: &[Finding], part: PartIx) -> bool {
    let first = |it: &Finding| {
        it.severity == Severity::Fault || it.severity == Severity::Risk && it.parts.contains(&part)
    };
    findings.iter().any(first)
}

/// Whether an output has a say in what flows through an LED: then the supply's paths don't tell all.
fn is_driven(judged: &Judged<'_>, led: &Edge) -> bool {
    let (bench, graph) = (judged.bench, &judged.graph);
    let (anode, cathode) = graph.vertices_of(led);
    let mut driven = false;
    graph.walk(vec![anode, cathode], &mut |at| judged.pole(at) == (false, false), &mut |edge, _| {
        driven |= edge.signal;
        bench.parts.get(edge.part.0).is_none_or(|it| it.card.steers.is_none())
    });
    driven
}

fn too_much(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let bench = judged.bench;
    let paths = Paths::of(judged);
    let mut found = Vec::new();
    for led in lamps(judged).filter(|led| !is_told(findings, led.part) && !is_driven(judged, led)) {
        let it = bench.part(led.part);
        let Some(limit) = (it.card.limits)(it).amps else { continue };
        // A tenth above: what the contacts take is left out here.
        let mut amps = 1.1 * limit;
        if paths.left(led, amps, None).is_none_or(|left| left <= 0.0) {
            continue;
        }
        // Only what it would be elsewhere: what flows now is told where it is too much.
        while amps < 2.0 && paths.left(led, 1.02 * amps, None).is_some_and(|left| left > 0.0) {
            amps *= 1.02;
        }
        found.push((led.part, amps, limit));
    }
    let Some(&(worst, amps, limit)) = found.iter().max_by(|a, b| a.1.total_cmp(&b.1)) else { return };
    let parts: Vec<PartIx> = found.iter().map(|it| it.0).collect();
    let marks: Vec<Hole> = parts.iter().flat_map(|&part| holes(judged.bench, part)).collect();
    findings.push(Finding {
        code: TOO_MUCH_WHEN_WORKED.code,
        severity: TOO_MUCH_WHEN_WORKED.severity,
        symptom: format!("{} will burn out in another position.", names(bench, &parts)),
        says: format!(
            "A switch, knob or sensor can let {} through {} ({}); it takes {} at most.",
            amount::with_prefix(
                if amps < 0.1 { (amps * 1e3).round() * 1e-3 } else { (amps * 1e2).round() * 1e-2 },
                "A"
            ),
            bench.part(worst).id,
            places(&holes(judged.bench, worst)),
            amount::with_prefix(limit, "A")
        ),
        why: "A circuit must be safe in every position of what somebody can turn or press.".to_owned(),
        remedy: format!("Use a fixed resistor of {} in all in its path.", good_resistor(bench, worst)),
        holes: marks,
        parts,
    });
}

fn too_little(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let bench = judged.bench;
    let paths = Paths::of(judged);
    for led in lamps(judged).collect::<Vec<_>>() {
        if is_told(findings, led.part)
            || is_driven(judged, led)
            || !paths.left(led, VISIBLE_AMPS, None).is_some_and(|left| left < 0.0)
        {
            continue;
        }
        // The resistor without which it would be bright.
        let large = (0..bench.parts.len()).map(PartIx).find(|&part| {
            let it = bench.part(part);
            it.card.group == Group::Resist
                && it.card.least_ohms.is_some_and(|ohms| ohms(it) > 0.0)
                && paths.left(led, VISIBLE_AMPS, Some(part)).is_some_and(|left| left > 0.0)
        });
        let Some(large) = large else { continue };
        let (it, ohms) = (bench.part(led.part), bench.part(large));
        let value = ohms.card.least_ohms.map_or(0.0, |least| least(ohms));
        let amps = judged.point.part(led.part).largest_amps();
        findings.push(Finding {
            code: TOO_LITTLE.code,
            severity: TOO_LITTLE.severity,
            parts: vec![large, led.part],
            holes: [holes(judged.bench, large), holes(judged.bench, led.part)].concat(),
            symptom: format!("{} is dark, or so faint that nobody sees it.", it.id),
            says: format!(
                "{} has {}: {} that lets through to {} is too little to see.",
                ohms.id,
                amount::value(value, Unit::Ohm),
                if amps > 1e-9 { format!("the {}", amount::with_prefix(amps, "A")) } else { "what".to_owned() },
                it.id
            ),
            why: "The larger the resistor, the smaller the current; an LED needs some milliamperes to be bright.".to_owned(),
            remedy: format!(
                "Read the colour rings of {} again; {} in its place would be bright.",
                ohms.id,
                good_resistor(bench, led.part)
            ),
        });
    }
}

fn empty(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let bench = judged.bench;
    for poles in judged.graph.poles() {
        let it = bench.part(poles.source);
        let Some(source) = it.card.source.filter(|source| (source.is_spent)(it)) else { continue };
        let used = bench.legs().any(|(LegId { part, pin }, _)| {
            let at = judged.metal[judged.graph.at(LegId { part, pin })];
            part != poles.source && judged.live[part.0] && at == judged.metal[poles.plus]
        });
        let told = tells(findings, &[Code::ChipSupply]);
        if !used
            || told
            || tells_of(
                findings,
                &[Code::SupplyTooLow, Code::ShortCircuit, Code::SuppliesFight],
                poles.source,
            )
        {
            continue;
        }
        findings.push(Finding {
            code: PACK_EMPTY.code,
            severity: PACK_EMPTY.severity,
            parts: vec![poles.source],
            holes: holes(judged.bench, poles.source),
            symptom: "Everything is weak, or nothing happens at all.".to_owned(),
            says: format!(
                "{} is all but empty: {} are left, and they sag as soon as something draws current.",
                it.id,
                amount::volts((source.open_volts)(it))
            ),
            why: "An empty cell still shows some volts on a meter and gives next to no current.".to_owned(),
            remedy: format!("Put fresh cells into {}.", it.id),
        });
    }
}
