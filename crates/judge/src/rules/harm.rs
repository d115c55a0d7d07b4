//! What the clock has done: parts that have burnt out, and a clock that has stopped.

use halfrow_core::bench::PartIx;
use halfrow_core::time::Stall;

use crate::finding::{Code, Finding, Severity};
use crate::judged::Judged;
use crate::rule::{Rule, on_paper};
use crate::words::holes;

pub(crate) static BURNT: Rule = Rule {
    code: Code::BurntOut,
    severity: Severity::Fault,
    what: on_paper("A part was overloaded for so long that it has burnt out."),
    run: burnt,
};

pub(crate) static CLOCK_STOPPED: Rule = Rule {
    code: Code::ClockStopped,
    severity: Severity::Fault,
    what: on_paper(
        "The clock can’t go on: no voltages fit together, or parts change each other without end.",
    ),
    run: clock_stopped,
};

fn burnt(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    for (index, part) in judged.bench.parts.iter().enumerate() {
        let reading = judged.point.part(PartIx(index));
        let (Some(wear), true) = (part.card.wear, reading.memory.burnt) else { continue };
        findings.push(Finding {
            code: BURNT.code,
            severity: BURNT.severity,
            parts: vec![PartIx(index)],
            holes: holes(judged.bench, PartIx(index)),
            symptom: format!("{} does nothing any more.", part.id),
            says: format!("{} has burnt out: {}.", part.id, wear.says),
            why: "More went through it than it bears, for too long. A new one goes the same way if nothing else is changed.".to_owned(),
            remedy: format!("Disconnect the power, mend what was too much for {}, then choose it and replace it.", part.id),
        });
    }
}

fn clock_stopped(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let Some(stall) = judged.point.stall else { return };
    let part = judged.bench.part(stall.part());
    findings.push(Finding {
        code: CLOCK_STOPPED.code,
        severity: CLOCK_STOPPED.severity,
        parts: vec![stall.part()],
        holes: holes(judged.bench, stall.part()),
        symptom: "The clock of the bench stands still.".to_owned(),
        says: match stall {
            Stall::NoConvergence { .. } => {
                format!("No voltages fit together around {}; the clock has stopped there.", part.id)
            }
            Stall::Restless { .. } => format!(
                "{} and what it is joined to change each other without end in one moment; the clock has stopped there.",
                part.id
            ),
        },
        why: "What is shown is the last moment that could be worked out.".to_owned(),
        remedy: format!("Change something at {}: the clock goes on by itself.", part.id),
    });
}
