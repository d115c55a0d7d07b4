//! Legs and wire ends that have only changed places.

use super::{Task, Tasks};
use crate::ground::{Ground, NONE};

impl Ground<'_> {
    /// Joins two of the tasks into one where two legs have only changed places: every way to do so once.
    pub fn with_swaps(&self, tasks: &Tasks, labels: &[u16]) -> Option<Tasks> {
        let mut list = tasks.list.clone();
        let mut swapped = false;
        'again: loop {
            for index in 0..list.len() {
                for other in index + 1..list.len() {
                    let arcs = [index, other].map(|at| self.arcs(&list[at], labels));
                    for &(one, from, to) in &arcs[0] {
                        for &(two, here, there) in &arcs[1] {
                            if from == there && to == here && one.0 != two.0 {
                                list.remove(other);
                                list[index] = Task::Swap { one, other: two };
                                swapped = true;
                                continue 'again;
                            }
                        }
                    }
                }
            }
            return swapped.then(|| Tasks { list, free: tasks.free.clone() });
        }
    }

    /// From which net to which net a task could take a leg: part and pin, from, to.
    fn arcs(&self, task: &Task, labels: &[u16]) -> Vec<((usize, usize), u16, u16)> {
        let label = |strip: u16| labels[usize::from(strip)];
        match task {
            &Task::Stand { plan, build } => {
                let wrong = self.wrong_terminals(plan, build, labels);
                let [(terminal, Some(net))] = wrong[..] else { return vec![] };
                let Some(own) = self.standing.iter().find(|it| it.part == build) else { return vec![] };
                let [strip] = own.strips[terminal][..] else { return vec![] };
                if own.strips.len() != self.bench.parts[build].legs.len() || label(strip) >= NONE {
                    return vec![];
                }
                vec![((build, terminal), label(strip), net as u16)]
            }
            Task::End { part, .. } | Task::Cut { part } => {
                let wire = self.links.iter().position(|it| it.part == *part);
                wire.map_or(vec![], |wire| self.arcs_of_wire(wire, labels))
            }
            _ => vec![],
        }
    }

    fn arcs_of_wire(&self, wire: usize, labels: &[u16]) -> Vec<((usize, usize), u16, u16)> {
        let (a, b) = self.links[wire].ends;
        let (a, b) = (labels[usize::from(a)], labels[usize::from(b)]);
        if a >= NONE || b >= NONE {
            return vec![];
        }
        let part = self.links[wire].part;
        vec![((part, 0), a, b), ((part, 1), b, a)]
    }

    /// Two wires whose ends have changed places. What comes back are the strips that are joined then.
    pub(super) fn swap_tasks(
        &self,
        labels: &[u16],
        bad: &mut Vec<usize>,
        tasks: &mut Tasks,
    ) -> Vec<(u16, u16)> {
        let mut joined = Vec::new();
        'again: loop {
            for (index, &one) in bad.iter().enumerate() {
                for &other in &bad[index + 1..] {
                    for (first, second) in [(true, true), (true, false), (false, true), (false, false)] {
                        let end = |at: usize, second: bool| {
                            let (a, b) = self.links[at].ends;
                            if second { (a, b) } else { (b, a) }
                        };
                        let ((keep, moved), (stays, goes)) = (end(one, first), end(other, second));
                        let label = |strip: u16| labels[usize::from(strip)];
                        if label(keep) < NONE
                            && label(keep) == label(goes)
                            && label(stays) < NONE
                            && label(stays) == label(moved)
                        {
                            joined.push((keep, goes));
                            joined.push((stays, moved));
                            tasks.list.push(Task::Swap {
                                one: (self.links[one].part, usize::from(first)),
                                other: (self.links[other].part, usize::from(second)),
                            });
                            bad.retain(|&it| it != one && it != other);
                            continue 'again;
                        }
                    }
                }
            }
            return joined;
        }
    }
}
