//! Parts that mind which way round they stand, and supplies the wrong way round.

use halfrow_core::amount;
use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{Sign, StripPlace};
use halfrow_core::card::{Duty, Group};

use crate::colours::mismatches;
use crate::finding::{Code, Finding, Severity, tells_of};
use crate::flow::{Poles, Trip, backward_parts};
use crate::graph::{Change, Edge, Way, forward_volts};
use crate::judged::Judged;
use crate::rule::{Rule, on_paper};
use crate::words::{capital, free_hole, hole_if, hole_of, leg_again, leg_name, names, strip_name};

pub(crate) static SUPPLY_BACKWARDS: Rule = Rule {
    code: Code::SupplyBackwards,
    severity: Severity::Fault,
    what: on_paper("A supply’s + lead feeds a − rail and its − lead a + rail."),
    run: supply_backwards,
};

pub(crate) static WRONG_COMMON: Rule = Rule {
    code: Code::WrongCommon,
    severity: Severity::Fault,
    what: on_paper("The common leg of several lamps is at the other side of the supply."),
    run: wrong_common,
};

pub(crate) static BACKWARDS: Rule = Rule {
    code: Code::Backwards,
    severity: Severity::Fault,
    what: on_paper("An LED, a diode or another part that minds stands the wrong way round."),
    run: backwards,
};

pub(crate) static SUPPLY_TOO_LOW: Rule = Rule {
    code: Code::SupplyTooLow,
    severity: Severity::Fault,
    what: on_paper("An LED can’t light because the supply’s voltage is below its forward voltage."),
    run: supply_too_low,
};

/// The rail that a pole reaches through metal, if its sign is that one.
fn rail_with(judged: &Judged<'_>, at: usize, sign: Sign) -> Option<halfrow_core::board::Strip> {
    let graph = &judged.graph;
    graph.strips.iter().enumerate().find_map(|(vertex, strip)| {
        let fits = matches!(strip.place, StripPlace::Rail { sign: own, .. } if own == sign);
        (fits && judged.metal[vertex] == judged.metal[at]).then_some(*strip)
    })
}

fn is_backwards(judged: &Judged<'_>, poles: &Poles) -> bool {
    judged.metal[poles.plus] != judged.metal[poles.minus]
        && rail_with(judged, poles.plus, Sign::Minus).is_some()
        && rail_with(judged, poles.plus, Sign::Plus).is_none()
        && rail_with(judged, poles.minus, Sign::Plus).is_some()
        && rail_with(judged, poles.minus, Sign::Minus).is_none()
}

fn supply_backwards(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let bench = judged.bench;
    for poles in judged.graph.poles().iter().filter(|poles| is_backwards(judged, poles)) {
        if tells_of(findings, &[Code::SuppliesFight], poles.source) {
            continue;
        }
        let it = bench.part(poles.source);
        let Some(source) = it.card.source else { continue };
        let [plus, minus] =
            [source.plus, source.minus].map(|pin| LegId { part: poles.source, pin: usize::from(pin) });
        let (red, black) = (hole_of(bench, plus), hole_of(bench, minus));
        let minus_rail = rail_with(judged, poles.plus, Sign::Minus).expect("asked above");
        let plus_rail = rail_with(judged, poles.minus, Sign::Plus).expect("asked above");
        let dark = judged.backward();
        // What minds the direction is hurt, or will be.
        let minds = bench
            .parts
            .iter()
            .any(|it| it.card.chip || it.card.steers.is_some() || it.card.polarity.is_some());
        let mut parts = vec![poles.source];
        parts.extend(dark);
        let (is_direct_red, is_direct_black) =
            (bench.strip(red) == Some(minus_rail), bench.strip(black) == Some(plus_rail));
        let says = if is_direct_red && is_direct_black {
            format!(
                "{} is backwards: its red lead (+) is in {red}, {}, its black lead in {black}, {}.",
                it.id,
                crate::words::strip_name(bench, minus_rail),
                crate::words::strip_name(bench, plus_rail)
            )
        } else {
            format!(
                "{} is backwards: its red lead in {red} powers {}, its black lead in {black} {}.",
                it.id,
                crate::words::strip_name(bench, minus_rail),
                crate::words::strip_name(bench, plus_rail)
            )
        };
        findings.push(Finding {
            code: SUPPLY_BACKWARDS.code,
            severity: if minds { Severity::Fault } else { Severity::Risk },
            parts,
            holes: vec![red, black],
            symptom: if dark.is_empty() && minds {
                "Nothing works as it should, and parts get hot.".to_owned()
            } else if dark.is_empty() {
                "It works, but the signs beside the rails say the opposite of the truth.".to_owned()
            } else {
                crate::words::dead_symptom(bench, dark)
            },
            says,
            why: "LEDs and diodes let current through one way only, and other parts are hurt by power the wrong way round. Whoever reads the board trusts the signs.".to_owned(),
            remedy: format!("Swap the leads: red to {black}, black to {red}."),
        });
    }
}

fn backwards(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let bench = judged.bench;
    let mut wrong: Vec<PartIx> = judged.backward().to_vec();
    // With the supplies turned that stand the wrong way round, what is still wrong?
    let mut graph = judged.meant().clone();
    let mut turned = false;
    for poles in judged.graph.poles().iter().filter(|poles| is_backwards(judged, poles)) {
        for edge in graph.edges.iter_mut().filter(|edge| edge.way == Way::Source && edge.part == poles.source)
        {
            std::mem::swap(&mut edge.from, &mut edge.to);
            turned = true;
        }
    }
    if turned {
        let live = graph.live_parts();
        let still = backward_parts(&graph, &live);
        wrong.retain(|part| still.contains(part));
    }
    wrong.retain(|&part| bench.part(part).card.group != Group::OneWay || !judged.catches(part));
    by_colour(judged, &mut wrong, findings);
    wrong.extend(into_outputs(judged).into_iter().filter(|part| !judged.backward().contains(part)));
    for part in wrong {
        let it = bench.part(part);
        let Some(polarity) = it.card.polarity else { continue };
        let (anode, cathode) = (
            LegId { part, pin: usize::from(polarity.anode) },
            LegId { part, pin: usize::from(polarity.cathode) },
        );
        let (Some(a), Some(k)) = (hole_if(bench, anode), hole_if(bench, cathode)) else { continue };
        let says = |leg: LegId| it.card.pins[leg.pin].says;
        let mut dark = vec![part];
        dark.extend(judged.fed_through(part));
        let stores = it.card.group == Group::Store;
        // What stands across it the wrong way may have been too much.
        let across = judged.point.part(part).volts_across(cathode.pin, anode.pin).unwrap_or(0.0);
        let limit = (it.card.limits)(it).reverse_volts.filter(|&limit| across > limit);
        findings.push(Finding {
            code: BACKWARDS.code,
            severity: BACKWARDS.severity,
            parts: vec![part],
            holes: vec![a, k],
            symptom: if stores && judged.point.part(part).memory.burnt {
                format!("A new {} will burst as well.", it.id)
            } else if stores {
                format!("{} gets warm, swells and may burst.", it.id)
            } else {
                crate::words::dead_symptom(bench, &dark)
            },
            says: format!(
                "{} is backwards: its {} is in {a}, towards −, its {} in {k}, towards +.",
                it.id,
                says(anode),
                says(cathode)
            ),
            why: if stores {
                "The film inside that insulates is made by the voltage. The wrong way round it dissolves, and the capacitor heats up from within.".to_owned()
            } else {
                format!(
                    "{} lets current through one way only: in at its {}, out at its {}.",
                    it.id,
                    says(anode),
                    says(cathode)
                )
            },
            remedy: format!(
                "{}urn {} round: {} to {k}, {} to {a}.{}",
                if stores { "Disconnect the power. Then t" } else { "T" },
                it.id,
                says(anode),
                says(cathode),
                limit.map_or_else(String::new, |_| format!(
                    " {} backwards may have damaged it.",
                    amount::with_prefix(across, "V")
                ))
            ),
        });
    }
}

/// Diodes over which one output drives another: its current comes in by one diode and goes out by the
/// next. Where a resistor pulls their common place up the one that leads in is the wrong way round, else
/// the one that leads out.
fn into_outputs(judged: &Judged<'_>) -> Vec<PartIx> {
    let (bench, graph, metal) = (judged.bench, &judged.graph, &judged.metal);
    let outputs: Vec<usize> = bench
        .legs()
        .filter(|&(leg, at)| at.hole.is_some() && bench.part(leg.part).card.duty(leg.pin) == Duty::Output)
        .map(|(leg, _)| metal[graph.at(leg)])
        .collect();
    let ends = |edge: &Edge| {
        let (a, b) = graph.vertices_of(edge);
        (metal[a], metal[b])
    };
    let plus: Vec<usize> = graph.poles().iter().map(|it| metal[it.plus]).collect();
    let is_pulled_up = |place: usize| {
        graph.edges.iter().filter(|edge| edge.way == Way::Load).any(|edge| {
            let (a, b) = ends(edge);
            let resists = bench.parts.get(edge.part.0).is_some_and(|it| it.card.group == Group::Resist);
            resists && (a == place && plus.contains(&b) || b == place && plus.contains(&a))
        })
    };
    let diodes = || {
        let one_way =
            |edge: &&Edge| edge.way == Way::Forward && bench.part(edge.part).card.group == Group::OneWay;
        graph.edges.iter().filter(one_way)
    };
    let mut wrong = Vec::new();
    for leads_in in diodes().filter(|edge| outputs.contains(&ends(edge).0)) {
        let (from, common) = ends(leads_in);
        let leads_on = |edge: &&Edge| {
            let (anode, into) = ends(edge);
            anode == common && into != from && outputs.contains(&into)
        };
        for leads_out in diodes().filter(leads_on) {
            wrong.push(if is_pulled_up(common) { leads_in.part } else { leads_out.part });
        }
    }
    wrong.sort_unstable();
    wrong.dedup();
    wrong
}

/// Where a wire is in the rail that its colour speaks against, and in the other everything would stand
/// the right way round, the wire is what slipped.
fn by_colour(judged: &Judged<'_>, wrong: &mut Vec<PartIx>, findings: &mut Vec<Finding>) {
    let bench = judged.bench;
    for it in mismatches(judged.bench) {
        let Some(to) = judged.meant().vertex(it.beside) else { continue };
        let mut graph = judged.meant().clone();
        graph.apply(&Change::Move(vec![(graph.end(it.leg), Some(to))]));
        let live = graph.live_parts();
        let still = backward_parts(&graph, &live);
        let cured: Vec<PartIx> =
            wrong.iter().copied().filter(|part| live[part.0] && !still.contains(part)).collect();
        if cured.is_empty() || !judged.is_safe(it.leg, it.beside) {
            continue;
        }
        wrong.retain(|part| !cured.contains(part));
        let free = free_hole(bench, it.beside, it.hole, Some(it.leg));
        let mut parts = vec![it.leg.part];
        parts.extend(&cured);
        findings.push(Finding {
            code: Code::WrongRail,
            severity: Severity::Fault,
            parts,
            holes: vec![it.hole],
            symptom: crate::words::dead_symptom(bench, &cured),
            says: format!(
                "{} is in {}; with it there, current would have to go through {} the wrong way.",
                capital(&leg_name(bench, it.leg)),
                it.hole,
                names(bench, &cured)
            ),
            why: "Red stands for + and black for −: a wire in the other rail turns round what hangs at it."
                .to_owned(),
            remedy: format!(
                "Move {} from {} to {}{}.",
                leg_again(bench, it.leg),
                it.hole,
                strip_name(bench, it.beside),
                free.map_or_else(String::new, |free| format!(", {free} for instance"))
            ),
        });
    }
}

impl Judged<'_> {
    /// Lights that get their current through a part alone.
    fn fed_through(&self, part: PartIx) -> Vec<PartIx> {
        let mut graph = self.meant().clone();
        let before = graph.live_parts();
        graph.edges.retain(|edge| edge.part != part);
        let after = graph.live_parts();
        (0..before.len())
            .map(PartIx)
            .filter(|other| *other != part && self.bench.part(*other).card.group == Group::Light)
            .filter(|other| before[other.0] && !after[other.0])
            .collect()
    }
}

fn supply_too_low(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let bench = judged.bench;
    let graph = &judged.graph;
    let lights: Vec<&crate::graph::Edge> = graph
        .edges
        .iter()
        .filter(|edge| {
            edge.way == Way::Forward && judged.live[edge.part.0] && forward_volts(bench, edge.part) > 0.0
        })
        .filter(|edge| judged.point.part(edge.part).largest_amps() < halfrow_core::card::VISIBLE_AMPS)
        .collect();
    if lights.is_empty() {
        return;
    }
    // What each vertex needs at least, in forward voltages of what lies on the way.
    let price = |edge: &crate::graph::Edge, forward: bool| match edge.way {
        Way::Forward => forward.then(|| forward_volts(bench, edge.part)),
        _ => Some(0.0),
    };
    let adjacency = graph.adjacency();
    let trip = Trip { graph, adjacency: &adjacency, metal: &judged.metal, price: &price };
    let mut low: Vec<(PartIx, f64, f64)> = Vec::new();
    let poles = graph.poles_both_ways();
    // Supplies of circuits that nothing joins don't help each other.
    let circuit = graph.joined_by(|_| true);
    let open_volts = |source: PartIx| {
        let it = bench.part(source);
        it.card.source.map_or(0.0, |source| (source.open_volts)(it))
    };
    let trips: Vec<_> = poles
        .iter()
        .map(|poles| {
            (trip.prices(poles.plus, poles.minus, false), trip.prices(poles.minus, poles.plus, true))
        })
        .collect();
    for edge in lights {
        let (anode, cathode) = graph.vertices_of(edge);
        let needs = trips
            .iter()
            .map(|(plus, minus)| plus[anode] + forward_volts(bench, edge.part) + minus[cathode])
            .fold(f64::INFINITY, f64::min);
        let available: f64 = graph
            .poles()
            .iter()
            .filter(|poles| circuit[poles.plus] == circuit[anode])
            .map(|poles| open_volts(poles.source))
            .sum();
        if needs.is_finite() && needs > available {
            low.push((edge.part, needs, available));
        }
    }
    let Some(&(nearest, least, available)) = low.iter().min_by(|a, b| a.1.total_cmp(&b.1)) else { return };
    let home = circuit[graph.at(LegId { part: nearest, pin: 0 })];
    let dark: Vec<PartIx> = low
        .iter()
        .map(|&(part, ..)| part)
        .filter(|&part| circuit[graph.at(LegId { part, pin: 0 })] == home)
        .collect();
    let sources: Vec<PartIx> =
        graph.poles().iter().filter(|it| circuit[it.plus] == home).map(|it| it.source).collect();
    // A finding for each circuit would say the same again: the one that needs least goes first.
    findings.push(too_few_volts(bench, dark, &sources, least, available));
}

fn too_few_volts(
    bench: &Bench,
    dark: Vec<PartIx>,
    sources: &[PartIx],
    least: f64,
    available: f64,
) -> Finding {
    let [has, needs] = [available, least].map(|volts| amount::with_prefix(volts, "V"));
    let holes = dark.iter().flat_map(|&part| crate::words::holes(bench, part)).collect();
    let mut parts = dark.clone();
    parts.extend(sources);
    Finding {
        code: SUPPLY_TOO_LOW.code,
        severity: SUPPLY_TOO_LOW.severity,
        parts,
        holes,
        symptom: crate::words::dead_symptom(bench, &dark),
        says: format!(
            "{} can’t light: the path through {} needs {needs} at least, and {} {} only {has}.",
            names(bench, &dark),
            if dark.len() == 1 { "it" } else { "them" },
            names(bench, sources),
            if sources.len() == 1 { "has" } else { "have" }
        ),
        why: "An LED passes hardly any current until its forward voltage is reached; LEDs in a row need the sum of theirs.".to_owned(),
        remedy: "Use more cells, fresh cells or a higher voltage, or fewer LEDs in a row, or a colour that needs less (red needs least).".to_owned(),
    }
}

fn wrong_common(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let bench = judged.bench;
    let fed = judged.fed();
    for (index, it) in bench.parts.iter().enumerate() {
        let part = PartIx(index);
        let Some(&common) = it.card.shared.first() else { continue };
        let common = usize::from(common);
        // Its first parameter says which of their ends the lamps share.
        let anode = it.index(0) == 1;
        let reading = judged.point.part(part);
        let across =
            |pin: usize| reading.volts_across(pin, common).unwrap_or(0.0) * if anode { -1.0 } else { 1.0 };
        let own = || (0..it.legs.len()).filter(|pin| !it.card.shared.contains(&(*pin as u8))).map(across);
        let at = judged.graph.at(LegId { part, pin: common });
        if !fed[usize::from(anode)][at] || own().all(|volts| volts > -1.0) || own().any(|volts| volts > 1.0) {
            continue;
        }
        let (is, wants, other) = if anode { ("−", "+", "cathode") } else { ("+", "−", "anode") };
        let says = it.card.pins[common].says;
        findings.push(Finding {
            code: WRONG_COMMON.code,
            severity: WRONG_COMMON.severity,
            parts: vec![part],
            holes: crate::words::hole_if(bench, LegId { part, pin: common }).into_iter().collect(),
            symptom: format!("{} is dark.", it.id),
            says: format!("{}’s {says} is at {is}; this sort has it at {wants}.", it.id),
            why: "All of its lamps share one end. With that at the wrong side every one of them blocks.".to_owned(),
            remedy: format!("Join {says} to {wants} and what goes to the other legs to {is}, or take the sort with a common {other}."),
        });
    }
}
