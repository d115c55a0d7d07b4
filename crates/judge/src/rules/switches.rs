//! Switches and buttons that stand so that they switch nothing.

use halfrow_core::bench::{LegId, PartIx};
use halfrow_core::board::Hole;
use halfrow_core::card::Group;

use crate::finding::{Code, Finding, Severity};
use crate::graph::Way;
use crate::judged::Judged;
use crate::rule::{Rule, on_paper};
use crate::words::{hole_if, list};

pub(crate) static ALWAYS_ON: Rule = Rule {
    code: Code::AlwaysOn,
    severity: Severity::Fault,
    what: on_paper(
        "A button or switch is joined across, by a half row, by metal or by its own pair of legs.",
    ),
    run: always_on,
};

fn always_on(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let (bench, graph) = (judged.bench, &judged.graph);
    for (index, part) in bench.parts.iter().enumerate() {
        let part_ix = PartIx(index);
        if part.card.group != Group::Switch || part.legs.iter().all(|leg| leg.hole.is_none()) {
            continue;
        }
        if judged.diagnosis().bypassed.iter().any(|&(it, _)| it == part_ix) {
            continue;
        }
        let hole = |end: usize| graph.leg(end).and_then(|leg| hole_if(bench, leg));
        // A contact whose two sides are metal already; named by two legs in one strip, where there
        // are such.
        let contact =
            graph.edges.iter().filter(|edge| edge.part == part_ix && edge.way == Way::Contact).find(|edge| {
                let (a, b) = graph.vertices_of(edge);
                judged.metal[a] == judged.metal[b]
            });
        if let Some(contact) = contact {
            let ends = graph.first_end[index]..graph.first_end[index + 1];
            let is_metal = |a: usize, b: usize| {
                let (a, b) = (a - ends.start, b - ends.start);
                part.card.metal.iter().any(|&(x, y)| {
                    let (x, y) = (usize::from(x), usize::from(y));
                    (x, y) == (a, b) || (y, x) == (a, b)
                })
            };
            let pair = ends
                .clone()
                .flat_map(|a| (a + 1..ends.end).map(move |b| (a, b)))
                .find(|&(a, b)| graph.ends[a] == graph.ends[b] && !is_metal(a, b));
            let (a, b) = pair.unwrap_or((contact.from, contact.to));
            let holes: Vec<Hole> = [hole(a), hole(b)].into_iter().flatten().collect();
            let legs: Vec<String> = [a, b]
                .into_iter()
                .filter_map(|end| graph.leg(end))
                .map(|leg: LegId| part.card.pins[leg.pin].says.to_owned())
                .collect();
            let names: Vec<String> = holes.iter().map(Hole::to_string).collect();
            let how = if pair.is_some() { "are in one strip" } else { "are joined by wire" };
            findings.push(Finding {
                code: ALWAYS_ON.code,
                severity: ALWAYS_ON.severity,
                parts: vec![part_ix],
                holes,
                symptom: format!("Working {} changes nothing.", part.id),
                says: format!("{} is always on: its {} {how} ({}).", part.id, list(&legs), list(&names)),
                why: "What the switch is to join is joined already, so that working it changes nothing."
                    .to_owned(),
                remedy: if pair.is_some() {
                    format!(
                        "Give {} a quarter turn, so that the legs that it joins stand in different rows.",
                        part.id
                    )
                } else {
                    format!("Take away the wire that joins {}.", list(&names))
                },
            });
            continue;
        }
        own_pair(judged, part_ix, findings);
    }
}

/// The circuit uses both legs of one pair, which are one piece of metal, and not the other pair.
fn own_pair(judged: &Judged<'_>, part_ix: PartIx, findings: &mut Vec<Finding>) {
    let (bench, graph) = (judged.bench, &judged.graph);
    let part = bench.part(part_ix);
    let pairs: Vec<[usize; 2]> =
        part.card.metal.iter().map(|&(a, b)| [usize::from(a), usize::from(b)]).collect();
    let [first, second] = pairs.as_slice() else { return };
    let used = |pin: usize| {
        let at = graph.at(LegId { part: part_ix, pin });
        graph.ends[..graph.legs()].iter().filter(|&&other| other == at).count() > 1
    };
    for (mine, other) in [(first, second), (second, first)] {
        if !(mine.iter().all(|&pin| used(pin))
            && !other.iter().any(|&pin| used(pin))
            && judged.live[part_ix.0])
        {
            continue;
        }
        let hole = |pin: usize| hole_if(bench, LegId { part: part_ix, pin });
        let holes: Vec<Hole> = mine.iter().filter_map(|&pin| hole(pin)).collect();
        let (Some(spare), [a, b]) = (hole(other[1]), holes.as_slice()) else { continue };
        findings.push(Finding {
            code: ALWAYS_ON.code,
            severity: ALWAYS_ON.severity,
            parts: vec![part_ix],
            symptom: format!("Working {} changes nothing.", part.id),
            says: format!(
                "{} is always on: the circuit uses {a} and {b}, which are one piece of metal inside.",
                part.id
            ),
            why: "A push button has two pairs of legs. Each pair is joined all the time; pressing joins one pair to the other.".to_owned(),
            remedy: format!(
                "Move what is joined to {b} to the row of {spare}, or give {} a quarter turn.",
                part.id
            ),
            holes: holes.clone(),
        });
    }
}
