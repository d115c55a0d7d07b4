//! Short circuits, supplies against each other, supplies that give more than they should.

use halfrow_core::amount;
use halfrow_core::bench::{LegId, PartIx};
use halfrow_core::board::{Hole, Sign, Strip, StripPlace};
use halfrow_core::card::{Duty, Group};
use halfrow_core::circuit::Law;
use halfrow_core::nets::shortest_way;

use crate::finding::{Code, Finding, Severity, tells, tells_of};
use crate::graph::Way;
use crate::judged::Judged;
use crate::places::near;
use crate::rule::{Rule, on_paper};
use crate::words::{capital, hole_if, lower, move_leg, names, part_name, places, strip_name, wire_sign};

pub(crate) static SHORT: Rule = Rule {
    code: Code::ShortCircuit,
    severity: Severity::Fault,
    what: on_paper("A supply’s + and − are joined through nothing but metal."),
    run: short,
};

pub(crate) static FIGHT: Rule = Rule {
    code: Code::SuppliesFight,
    severity: Severity::Fault,
    what: on_paper("Supplies are joined in a loop and push against each other or around in a circle."),
    run: fight,
};

pub(crate) static SHORT_WHEN_SWITCHED: Rule = Rule {
    code: Code::ShortWhenSwitched,
    severity: Severity::Risk,
    what: on_paper("A supply would be short-circuited as soon as a switch or button is worked."),
    run: short_when_switched,
};

pub(crate) static OVERLOADED: Rule = Rule {
    code: Code::SourceOverloaded,
    severity: Severity::Fault,
    what: on_paper("A supply gives more current than it is built for, or is held at its limit."),
    run: overloaded,
};

/// A resistance that counts as bare metal, ohms. A contact that is barely in has 15, the smallest
/// resistor on offer that anybody puts into a path on purpose has 1.
const METAL_OHMS: f64 = 0.5;

/// Voltage around a loop of supplies that is no mistake but a difference between cells, volts.
const FAIR_VOLTS: f64 = 0.2;

/// A step along a path: through a part, in at one pin and out at another.
struct Step {
    part: PartIx,
    came_in: Option<Hole>,
    went_out: Option<Hole>,
}

/// The path from one pin of a part to another through metal and, where allowed, other sources.
/// The second value is the voltage that those sources add up to along the path.
fn metal_path(judged: &Judged<'_>, source: PartIx, sources_too: bool) -> Option<(Vec<Step>, f64)> {
    let circuit = &judged.point.circuit;
    let it = judged.bench.part(source).card.source?;
    let joins = &circuit.joins[source.0];
    let (from, to) = (joins[usize::from(it.plus)].strip?, joins[usize::from(it.minus)].strip?);
    // Few elements are metal: list them once, then look along.
    let metal: Vec<usize> = (0..circuit.elements.len())
        .filter(|&index| {
            let element = &circuit.elements[index];
            match element.law {
                Law::Resistance { ohms } => {
                    ohms < METAL_OHMS && judged.bench.part(element.part).card.source.is_none()
                }
                Law::Source { .. } | Law::LimitedSource { .. } => sources_too && element.part != source,
                _ => false,
            }
        })
        .collect();
    let links: Vec<(usize, usize)> =
        metal.iter().map(|&index| (circuit.elements[index].a.0, circuit.elements[index].b.0)).collect();
    let way = shortest_way(circuit.nodes, &links, from.0, to.0)?;
    let mut steps: Vec<Step> = Vec::new();
    let (mut at, mut volts) = (to, 0.0);
    for link in way.into_iter().rev() {
        let element = &circuit.elements[metal[link]];
        let hole = |pin: Option<usize>| hole_if(judged.bench, LegId { part: element.part, pin: pin? });
        let (at_pin, before_pin) =
            if element.a == at { (element.pin_a, element.pin_b) } else { (element.pin_b, element.pin_a) };
        if let Law::Source { volts: v, .. } | Law::LimitedSource { volts: v, .. } = element.law {
            volts += if element.a == at { v } else { -v };
        }
        match steps.last_mut() {
            Some(step) if step.part == element.part && step.came_in.is_none() => {
                step.came_in = hole(before_pin)
            }
            _ => steps.push(Step { part: element.part, came_in: hole(before_pin), went_out: hole(at_pin) }),
        }
        at = if element.a == at { element.b } else { element.a };
    }
    steps.reverse();
    Some((steps, volts))
}

/// `L+25 – the red wire W4 – R-25 – SB1 – j4`, and the holes in that order.
fn path_in_words(judged: &Judged<'_>, source: PartIx, steps: &[Step]) -> (String, Vec<Hole>) {
    let bench = judged.bench;
    let it = bench.part(source);
    let pins = it.card.source.map_or((0, 1), |source| (usize::from(source.plus), usize::from(source.minus)));
    let hole = |pin| hole_if(bench, LegId { part: source, pin });
    let mut holes: Vec<Hole> = hole(pins.0).into_iter().collect();
    let mut words = vec![format!("{}’s red lead", it.id)];
    words.extend(hole(pins.0).map(|hole| hole.to_string()));
    for step in steps {
        if let (Some(last), Some(next)) = (holes.last().copied(), step.came_in)
            && last != next
        {
            words.push(next.to_string());
        }
        words.push(part_name(bench, step.part));
        words.extend(step.went_out.map(|hole| hole.to_string()));
        holes.extend([step.came_in, step.went_out].into_iter().flatten());
    }
    words.extend(hole(pins.1).map(|hole| hole.to_string()));
    words.push("its black lead".to_owned());
    holes.extend(hole(pins.1));
    (words.join(" – "), holes)
}

fn sources<'a>(judged: &'a Judged<'_>) -> impl Iterator<Item = PartIx> + 'a {
    (0..judged.bench.parts.len()).map(PartIx).filter(|&part| judged.bench.part(part).card.source.is_some())
}

/// How much speaks against a wire on a path of metal from + to −, and where an end of it was meant to be,
/// if that can be told: beside a leg that waits.
fn suspicion(judged: &Judged<'_>, wire: PartIx) -> (u32, Option<(LegId, Strip)>) {
    let (bench, graph) = (judged.bench, &judged.graph);
    let own = wire_sign(bench, wire);
    let mut against = 0;
    let mut meant = None;
    for leg in [0, 1].map(|pin| LegId { part: wire, pin }) {
        let Some(hole) = hole_if(bench, leg) else { continue };
        let Some(strip) = bench.strip(hole) else { continue };
        if let (Some(own), StripPlace::Rail { side, sign, lower }) = (own, strip.place)
            && sign != own
        {
            let beside = StripPlace::Rail { side, sign: own, lower };
            (against, meant) = (against + 4, Some((leg, Strip { place: beside, ..strip })));
        }
        let at = graph.at(leg);
        let opposed = bench.legs().any(|(other, _)| {
            let duty = bench.part(other.part).card.duty(other.pin);
            graph.at(other) == at
                && (own == Some(Sign::Plus) && duty == Duty::Ground
                    || own == Some(Sign::Minus) && duty == Duty::Power)
        });
        against += 3 * u32::from(opposed);
        let waits = |strip: &Strip| {
            let legs = || (0..graph.legs()).filter(|&end| graph.vertex(*strip) == Some(graph.ends[end]));
            let listens = |leg: LegId| {
                let it = bench.part(leg.part);
                !it.card.chip || it.card.duty(leg.pin) == Duty::Input
            };
            legs().count() == 1 && legs().filter_map(|end| graph.leg(end)).any(listens)
        };
        let beside = near(bench, hole).into_iter().filter(|it| it.1 <= 4).map(|it| it.0).find(waits);
        if let Some(to) = beside.filter(|to| matches!(to.place, StripPlace::HalfRow { .. })) {
            against += 2;
            meant = meant.or(Some((leg, to)));
        }
    }
    (against, meant)
}

fn short(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let bench = judged.bench;
    for source in sources(judged) {
        let Some((steps, _)) = metal_path(judged, source, false) else { continue };
        let it = bench.part(source);
        let amps = judged.point.part(source).largest_amps();
        let (_, mut holes) = path_in_words(judged, source, &steps);
        let mut parts = vec![source];
        for step in &steps {
            if !parts.contains(&step.part) {
                parts.push(step.part);
            }
        }
        let says = match holes.first().and_then(|&hole| bench.strip(hole)) {
            Some(strip) if steps.is_empty() => format!(
                "{} is short-circuited: both of its leads are in {} ({}).",
                it.id,
                strip_name(bench, strip),
                places(&holes)
            ),
            // The holes of the path are marked; its parts say enough.
            _ => {
                let through: Vec<PartIx> = steps.iter().map(|step| step.part).collect();
                format!("{} is short-circuited through {}: nothing but metal.", it.id, names(bench, &through))
            }
        };
        // The wire to look at first: the one that something speaks against, else the one that was put
        // down last.
        let wires = steps.iter().map(|step| step.part).filter(|&part| bench.part(part).card.is_wire());
        let suspect = wires.map(|wire| (suspicion(judged, wire), wire)).max_by_key(|it| (it.0.0, it.1));
        let (culprit, meant) = suspect.map_or((None, None), |((_, meant), wire)| (Some(wire), meant));
        if let Some(wire) = culprit {
            parts.sort_by_key(|&part| meant.is_none() || part != wire);
            let own = crate::words::holes(bench, wire);
            holes.retain(|hole| !own.contains(hole));
            holes.splice(0..0, own);
        }
        let switch =
            steps.iter().map(|step| step.part).find(|&part| bench.part(part).card.group == Group::Switch);
        let remedy = match (culprit, switch) {
            _ if steps.is_empty() => {
                format!("Take a lead of {} out first. Red belongs into a + rail, black into a − rail.", it.id)
            }
            (Some(_), _) if meant.is_some() => {
                let (leg, strip) = meant.expect("asked for");
                format!("Take a lead of {} out first. Then: {}", it.id, lower(&move_leg(bench, leg, strip)))
            }
            (Some(wire), _) => format!(
                "Take a lead of {} out first. Then move one end of {} ({}) to the row that it is meant for.",
                it.id,
                part_name(bench, wire),
                places(&crate::words::holes(bench, wire))
            ),
            (None, Some(switch)) => format!(
                "Take a lead of {} out first. Then move {}: not across + and −, but in line with a lamp or the like.",
                it.id,
                bench.part(switch).id
            ),
            (None, None) => {
                format!("Take a lead of {} out first, then move one of the legs on that path.", it.id)
            }
        };
        holes.dedup();
        findings.push(Finding {
            code: SHORT.code,
            severity: SHORT.severity,
            parts,
            holes,
            symptom: format!("Nothing works, and {} gets hot.", it.id),
            says,
            why: format!(
                "The current goes straight from + to −, {} here. A shorted pack gets hot and can be ruined.",
                amount::with_prefix(amps, "A")
            ),
            remedy,
        });
    }
}

fn fight(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let bench = judged.bench;
    let mut said: Vec<PartIx> = Vec::new();
    let all: Vec<PartIx> = sources(judged).collect();
    if all.len() < 2 {
        return;
    }
    for source in all {
        if said.contains(&source) || tells_of(findings, &[SHORT.code], source) {
            continue;
        }
        let Some((steps, volts)) = metal_path(judged, source, true) else { continue };
        let own = bench.part(source).card.source.map_or(0.0, |it| (it.open_volts)(bench.part(source)));
        // Along the path from + to − the others' voltages add to `volts`; a fair loop falls by what
        // this one rises.
        let around = own + volts;
        if around.abs() < FAIR_VOLTS {
            continue;
        }
        let mut parts = vec![source];
        for step in &steps {
            if !parts.contains(&step.part) {
                parts.push(step.part);
            }
        }
        let packs: Vec<PartIx> =
            parts.iter().copied().filter(|&part| bench.part(part).card.source.is_some()).collect();
        said.extend(&packs);
        let (path, holes) = path_in_words(judged, source, &steps);
        let amps = judged.point.part(source).largest_amps();
        let last = &bench.part(packs[packs.len() - 1]).id;
        findings.push(Finding {
            code: FIGHT.code,
            severity: if amps > 0.02 { FIGHT.severity } else { Severity::Risk },
            symptom: format!("{} get warm and empty each other.", names(bench, &packs)),
            says: format!(
                "{} are joined in a loop with nothing but metal between them: {path}. Around it {} is left over.",
                names(bench, &packs),
                amount::with_prefix(around.abs(), "V")
            ),
            why: format!("The difference between supplies drives {} around the loop; the weaker one is charged by force.", amount::with_prefix(amps, "A")),
            remedy: if around.abs() > own.abs() + FAIR_VOLTS {
                format!("Take {last} out of the loop, or swap its leads: side by side, all packs have their red leads in one rail.")
            } else {
                format!("Take {last} out of the loop. One circuit needs one supply; for more volts put packs in series, + to −.")
            },
            parts,
            holes,
        });
    }
}

/// The most switches whose positions are tried in all combinations.
const MAX_SWITCHES: usize = 6;

fn short_when_switched(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let graph = &judged.graph;
    let bench = judged.bench;
    let poles = graph.poles();
    let mut switches: Vec<(PartIx, Vec<usize>)> = Vec::new();
    for (index, edge) in graph.edges.iter().enumerate().filter(|(_, edge)| edge.way == Way::Contact) {
        match switches.last_mut() {
            Some((part, edges)) if *part == edge.part => edges.push(index),
            _ => switches.push((edge.part, vec![index])),
        }
    }
    if poles.is_empty()
        || switches.is_empty()
        || switches.len() > MAX_SWITCHES
        || tells(findings, &[SHORT.code])
    {
        return;
    }
    // First with every contact closed at once: where even that makes no short circuit, none of the
    // positions does.
    let all = graph.joined_by(|way| matches!(way, Way::Metal | Way::Contact));
    if !poles.iter().any(|poles| all[poles.plus] == all[poles.minus]) {
        return;
    }
    let combinations: usize = switches.iter().map(|(_, edges)| edges.len() + 1).product();
    for poles in poles {
        let mut least: Option<Vec<(PartIx, usize)>> = None;
        for mut number in 0..combinations {
            let mut sets = halfrow_core::nets::DisjointSets::new(graph.vertices);
            for vertex in 0..graph.vertices {
                sets.join(vertex, judged.metal[vertex]);
            }
            let mut closed = Vec::new();
            for (part, edges) in &switches {
                let position = number % (edges.len() + 1);
                number /= edges.len() + 1;
                if let Some(&edge) = position.checked_sub(1).and_then(|at| edges.get(at)) {
                    let (a, b) = graph.vertices_of(&graph.edges[edge]);
                    sets.join(a, b);
                    closed.push((*part, edge));
                }
            }
            if sets.root(poles.plus) == sets.root(poles.minus)
                && least.as_ref().is_none_or(|least| closed.len() < least.len())
            {
                least = Some(closed);
            }
        }
        let Some(closed) = least.filter(|closed| !closed.is_empty()) else { continue };
        let worked: Vec<PartIx> = closed.iter().map(|&(part, _)| part).collect();
        let holes = closed
            .iter()
            .flat_map(|&(_, edge)| [graph.edges[edge].from, graph.edges[edge].to])
            .filter_map(|end| hole_if(bench, graph.leg(end)?))
            .collect::<Vec<_>>();
        let it = &bench.part(poles.source).id;
        let mut parts = worked.clone();
        parts.push(poles.source);
        findings.push(Finding {
            code: SHORT_WHEN_SWITCHED.code,
            severity: SHORT_WHEN_SWITCHED.severity,
            parts,
            symptom: format!("Working {} would make {it} hot.", names(bench, &worked)),
            says: format!(
                "{} can short-circuit {it}: in one position the path from + to − goes through {} ({}) and metal alone.",
                capital(&names(bench, &worked)),
                names(bench, &worked),
                places(&holes)
            ),
            why: "A shorted pack gets hot and can be ruined.".to_owned(),
            remedy: format!(
                "Put {} in one path with the part that it is to switch, so that a resistor is always on the way from + to −.",
                names(bench, &worked)
            ),
            holes,
        });
    }
}

fn overloaded(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let bench = judged.bench;
    if tells(findings, &[Code::SupplyBackwards]) {
        return;
    }
    for part in sources(judged) {
        if tells_of(findings, &[SHORT.code, FIGHT.code], part)
            || tells(
                findings,
                &[Code::LedNoResistor, Code::ChipTurned, Code::ChipReversed, Code::FlybackBackwards],
            )
        {
            continue;
        }
        let it = bench.part(part);
        let Some(source) = it.card.source else { continue };
        let amps = judged.point.part(part).pins[usize::from(source.minus)].amps;
        let safe = (source.safe_amps)(it);
        // A supply with a limit of its own stays a hair below it.
        let limited = judged
            .point
            .circuit
            .elements
            .iter()
            .any(|element| element.part == part && matches!(element.law, Law::LimitedSource { .. }));
        if amps <= if limited { 0.98 * safe } else { safe } {
            continue;
        }
        let holes = crate::words::holes(bench, part);
        let (gives, limit) = (amount::with_prefix(amps, "A"), amount::with_prefix(safe, "A"));
        findings.push(Finding {
            code: OVERLOADED.code,
            severity: if limited { Severity::Risk } else { OVERLOADED.severity },
            parts: vec![part],
            holes,
            symptom: if limited {
                format!("{} is at its limit, and everything gets less than it should.", it.id)
            } else {
                format!("{} gets warm and empties fast.", it.id)
            },
            says: if limited {
                format!("{} is at its current limit of {limit}; the circuit would take more.", it.id)
            } else {
                format!("{} gives {gives}; it is built for {limit} at most.", it.id)
            },
            why: "A supply that gives more than it is built for sags, gets warm and does not last."
                .to_owned(),
            remedy: "Give the part that takes most of the current more resistance, or use a stronger supply."
                .to_owned(),
        });
    }
}
