//! Bare leads that can touch.

use halfrow_core::bench::PartIx;
use halfrow_core::board::Hole;

use super::Point;
use super::layout::{Layout, Line};
use crate::finding::Severity;
use crate::words::names;

/// The body between the leads of a small part that lies flat, millimetres (from memory: quarter-watt
/// resistors are 6 to 7 mm long). A part whose legs are nearer than this stands upright, on short leads.
const BODY_MM: f64 = 7.0;

/// A bare lead longer than this bends when it is brushed against; a shorter one is held by its hole.
const BENDS_MM: f64 = 6.0;

/// Metal nearer than this touches when a lead bends a little: less than half a hole's distance, with leads
/// 0.6 mm thick.
const TOUCHES_MM: f64 = 1.2;

/// A bare lead: its part, its pin, its net and where it lies.
struct Lead {
    part: PartIx,
    hole: Hole,
    net: usize,
    line: Line,
}

fn leads(layout: &Layout<'_>) -> Vec<Lead> {
    let mut leads = Vec::new();
    for (part, line) in layout.bridges() {
        let bare_mm = (line.length_mm() - BODY_MM) / 2.0;
        let Some(holes) = layout.holes(part) else { continue };
        if bare_mm <= 0.0 {
            continue;
        }
        let share = bare_mm / line.length_mm();
        for (pin, from, to) in [(0, line.from, line.to), (1, line.to, line.from)] {
            let Some(net) = layout.net(part, pin) else { continue };
            let line = Line { from, to: from.towards(to, share) };
            leads.push(Lead { part, hole: holes[pin], net, line });
        }
    }
    leads
}

/// Long bare leads beside other bare metal of another net.
pub(super) fn near(layout: &Layout<'_>) -> Vec<Point> {
    let bench = layout.bench;
    let leads = leads(layout);
    let mut pairs: Vec<(f64, &Lead, &Lead)> = Vec::new();
    for (at, one) in leads.iter().enumerate() {
        for other in &leads[at + 1..] {
            let bends = one.line.length_mm().max(other.line.length_mm()) > BENDS_MM;
            if one.part == other.part || one.net == other.net || !bends {
                continue;
            }
            let apart_mm = one.line.apart_mm(other.line);
            if apart_mm < TOUCHES_MM {
                pairs.push((apart_mm, one, other));
            }
        }
    }
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut told: Vec<[PartIx; 2]> = Vec::new();
    let mut points = Vec::new();
    for (apart_mm, one, other) in pairs {
        if told.contains(&[one.part, other.part]) {
            continue;
        }
        told.push([one.part, other.part]);
        let parts = vec![one.part, other.part];
        let cross = apart_mm < 0.05;
        points.push(Point {
            code: "leads-near",
            severity: Severity::Risk,
            holes: vec![one.hole, other.hole],
            symptom: "It works until somebody brushes against it.".to_owned(),
            says: format!(
                "Bare leads of {} {}, at {} and {}; they belong to different nets.",
                names(bench, &parts),
                if cross { "cross".to_owned() } else { format!("run {apart_mm:.1} mm from each other") },
                one.hole,
                other.hole
            ),
            why: "Bare metal that touches is a short circuit which comes and goes.".to_owned(),
            remedy: format!(
                "Cut the leads of {} short, or put the two parts in rows further apart.",
                bench.part(one.part).id
            ),
            costs: 6,
            parts,
        });
    }
    points
}
