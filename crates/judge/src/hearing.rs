//! What pins hear and what places are held at: whether anything tells them high or low.

use halfrow_core::bench::{LegId, PartIx};
use halfrow_core::card::Duty;
use halfrow_core::part::Part;

use crate::gates::gates;
use crate::graph::Way;
use crate::judged::Judged;

/// What a place is held at, its own switch left open.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub(crate) struct Held {
    pub plus: bool,
    pub minus: bool,
    /// An output, another supply, or anything else that may change.
    pub moves: bool,
}

/// The inputs of a part that nothing tells anything.
#[derive(Default)]
pub(crate) struct Unheard {
    pub floating: Vec<usize>,
    pub let_go: Vec<usize>,
    pub unused: Vec<usize>,
}

impl Unheard {
    pub(crate) fn of(judged: &Judged<'_>, part: PartIx) -> Unheard {
        let it = judged.bench.part(part);
        let gate = gate_of(it);
        let groups = gate.map_or_else(|| gates(it.card), |gate| vec![vec![gate]]);
        let mut found = Unheard::default();
        for group in groups {
            let used = gate.is_some() || group.iter().any(|&pin| judged.is_joined(part, pin));
            for pin in group {
                let duty = it.card.duty(pin);
                let rests = duty == Duty::Resting;
                if gate.is_none() && duty != Duty::Input && !(rests && judged.is_joined(part, pin)) {
                    continue;
                }
                match (used, judged.is_told(part, pin, false), judged.is_told(part, pin, true)) {
                    (true, false, _) if !rests => found.floating.push(pin),
                    (true, true, false) => found.let_go.push(pin),
                    (false, false, _) if !rests => found.unused.push(pin),
                    _ => {}
                }
            }
        }
        found
    }
}

/// The gate of a transistor that takes no current into it.
pub(crate) fn gate_of(it: &Part) -> Option<usize> {
    it.card.steers.filter(|steers| !steers.base).map(|steers| usize::from(steers.control))
}

impl Judged<'_> {
    /// Whether anything but wires is joined to a leg by metal.
    pub(crate) fn is_joined(&self, part: PartIx, pin: usize) -> bool {
        let (bench, own) = (self.bench, self.metal_at(part, pin));
        bench.legs().any(|(leg, at)| {
            (leg.part != part || leg.pin != pin)
                && at.hole.is_some()
                && !bench.part(leg.part).card.is_wire()
                && self.metal_at(leg.part, leg.pin) == own
        })
    }

    /// Whether something tells a pin high or low: a supply, an output, a transistor, over whatever lets a
    /// steady current through. With `open`, all contacts are open but those of changeover switches, which have
    /// one of their two sides at any time.
    pub(crate) fn is_told(&self, part: PartIx, pin: usize, open: bool) -> bool {
        let (bench, graph) = (self.bench, &self.graph);
        let (mut pole, mut driven) = (false, false);
        let company = graph.company();
        graph.walk(
            vec![graph.at(LegId { part, pin })],
            &mut |at| {
                pole |= self.pole(at) != (false, false);
                !pole
            },
            &mut |edge, at| {
                let Some(it) = bench.parts.get(edge.part.0) else { return true };
                let own_pin = edge.from - graph.first_end[edge.part.0];
                if it.card.chip {
                    let duty = it.card.duty(own_pin);
                    driven |= matches!(duty, Duty::Output | Duty::OpenOutput | Duty::Power | Duty::Ground);
                    return false;
                }
                if let Some(steers) = it.card.steers {
                    driven |= own_pin != usize::from(steers.control);
                    return false;
                }
                // A changeover switch tells its middle leg in both positions, if something is at both sides.
                let changes = edge.common.is_some_and(|common| graph.ends[common] == at)
                    && graph.edges.iter().all(|it| {
                        it.part != edge.part
                            || it.common != edge.common
                            || [it.from, it.to].iter().all(|&end| company[graph.ends[end]] > 1)
                    });
                !edge.stores && (!open || edge.way != Way::Contact || changes)
            },
        );
        pole || driven
    }

    /// Where current could come from to a vertex, through anything but the contacts of one switch, chips
    /// and the controls of transistors.
    pub(crate) fn held(&self, from: usize, switch: PartIx) -> Held {
        let (bench, graph) = (self.bench, &self.graph);
        let mut held = Held::default();
        let mut moves = false;
        graph.walk(
            vec![from],
            &mut |at| {
                let (plus, minus) = self.pole(at);
                held.plus |= plus;
                held.minus |= minus;
                !plus && !minus
            },
            &mut |edge, _| {
                if let Some(it) = bench.parts.get(edge.part.0).filter(|it| it.card.chip) {
                    moves |= it.card.duty(edge.from - graph.first_end[edge.part.0]) != Duty::Input;
                    return false;
                }
                let own = edge.part == switch && edge.way == Way::Contact;
                edge.way != Way::Source && !edge.stores && !graph.is_control(bench, edge) && !own
            },
        );
        Held { moves, ..held }
    }

    /// What the inputs of an output's gate are joined to by metal; nothing where the chip has no gates.
    pub(crate) fn hears(&self, part: PartIx, output: usize) -> Result<Vec<usize>, usize> {
        let card = self.bench.part(part).card;
        let mut groups = gates(card);
        if groups.len() < 2 {
            return Err(output);
        }
        groups.retain(|group| group.contains(&output));
        let mut heard: Vec<usize> = groups
            .concat()
            .into_iter()
            .filter(|&pin| card.duty(pin) == Duty::Input)
            .map(|pin| self.metal_at(part, pin))
            .collect();
        heard.sort_unstable();
        Ok(heard)
    }

    /// Whether outputs that are joined are gates of one chip that are told the same: side by side they give
    /// more.
    pub(crate) fn is_doubled(&self, part: PartIx, pin: usize) -> bool {
        let own = self.metal_at(part, pin);
        let others = self.bench.legs().map(|it| it.0).filter(|leg| {
            self.bench.part(leg.part).card.duty(leg.pin) == Duty::Output
                && self.metal[self.graph.at(*leg)] == own
        });
        self.pole(self.graph.at(LegId { part, pin })) == (false, false)
            && others
                .into_iter()
                .all(|it| it.part == part && self.hears(part, it.pin) == self.hears(part, pin))
    }
}
