//! Findings about plugs, tips and fuses.

use halfrow_core::amount;
use halfrow_core::bench::PartIx;
use halfrow_core::board::{Hole, Place};
use halfrow_core::meter::{Dial, Socket, Touch};

use super::words::{COLOURS, holes, names, tip};
use super::{Finding, Severity, tells};
use crate::range::{self, Quantity};
use crate::scene::{Inside, Scene};

/// A current that matters, amperes: more than most parts of a class take.
const MUCH_AMPS: f64 = 0.2;

/// A voltage between the tips that would drive something, volts.
const SOME_VOLTS: f64 = 0.02;

/// The name of the fuse that melted or is blown: `500 mA`.
fn fuse_name(small: bool) -> &'static str {
    if small { "500 mA" } else { "10 A" }
}

fn blown_now(scene: &Scene<'_>) -> Option<bool> {
    let meter = scene.meter;
    if meter.small_fuse_whole && !scene.found.small_fuse_whole {
        return Some(true);
    }
    (meter.large_fuse_whole && !scene.found.large_fuse_whole).then_some(false)
}

/// A fuse of the meter has just melted.
pub fn fuse_blew(scene: &Scene<'_>, findings: &mut Vec<Finding>) {
    let Some(small) = blown_now(scene) else { return };
    let fuse = fuse_name(small);
    let amps = scene.amps(scene.found.most_amps);
    findings.push(Finding {
        code: "meter-fuse-blew",
        severity: Severity::Fault,
        parts: scene.across.clone(),
        holes: holes(scene),
        symptom: "The number is gone: the meter shows zero.".to_owned(),
        says: format!("{amps} flowed through the meter, and its {fuse} fuse has melted."),
        why: format!(
            "At a current range the meter is nearly a piece of wire. A fuse for {fuse} melts before the meter does; from outside you can’t see it."
        ),
        remedy: format!("Take the tips off, put in a new {fuse} fuse, then measure current in series."),
    });
}

/// A fuse in the way of the current was blown before.
pub fn fuse_blown(scene: &Scene<'_>, findings: &mut Vec<Finding>) {
    let sockets = [scene.meter.red.socket, scene.meter.black.socket];
    let small = !scene.meter.small_fuse_whole
        && sockets.contains(&Socket::Vom)
        && scene.figures.shunt(scene.meter.dial).is_some();
    let large = !scene.meter.large_fuse_whole
        && scene.figures.large_fuse.is_some()
        && sockets.contains(&Socket::TenAmps)
        && scene.meter.dial == Dial::Dc10A;
    if !small && !large {
        return;
    }
    let fuse = fuse_name(small);
    let remedy = if small {
        "Open the case and touch both ends of the fuse with the dial at ohms: whole it reads under 1 Ω, blown it shows “1”. Then replace it."
    } else {
        "With the red plug in V Ω mA and the dial at ohms, touch the red tip into the 10 A socket: “1” means blown. Then replace the fuse."
    };
    findings.push(Finding {
        code: "meter-fuse-blown",
        severity: Severity::Fault,
        parts: Vec::new(),
        holes: holes(scene),
        symptom: "The meter shows zero, and what it is in series with stays off.".to_owned(),
        says: format!("The meter’s {fuse} fuse is blown, so that nothing flows through it."),
        why: "A blown fuse looks like a whole one. Zero on a current range can mean no current, or no fuse."
            .to_owned(),
        remedy: remedy.to_owned(),
    });
}

/// A lead sits in the 10 A socket while the dial is elsewhere.
pub fn lead_in_10a(scene: &Scene<'_>, findings: &mut Vec<Finding>) {
    let meter = scene.meter;
    let sockets = [meter.red.socket, meter.black.socket];
    let Some(lead) = sockets.iter().position(|&it| it == Socket::TenAmps) else { return };
    if meter.dial == Dial::Dc10A {
        return;
    }
    let colour = COLOURS[lead];
    let amps = scene.found.most_amps;
    let says = if amps > 1e-3 {
        format!(
            "The {colour} plug is in the 10 A socket: the meter joins its tips like a wire, and {} flowed.",
            scene.amps(amps)
        )
    } else {
        format!(
            "The {colour} plug is in the 10 A socket, where the dial ({}) can’t see it.",
            range::name(meter.dial)
        )
    };
    findings.push(Finding {
        code: "meter-plug-in-10a",
        severity: if amps > MUCH_AMPS { Severity::Fault } else { Severity::Risk },
        parts: scene.across.clone(),
        holes: holes(scene),
        symptom: "The meter shows zero, whatever you touch.".to_owned(),
        says,
        why: "Behind that socket there’s only a hundredth of an ohm to COM, at every position of the dial. Whoever measured current last often leaves the plug there.".to_owned(),
        remedy: format!("Move the {colour} plug to V Ω mA."),
    });
}

/// The dial is at 10 A and no lead is in its socket.
pub fn lead_not_in_10a(scene: &Scene<'_>, findings: &mut Vec<Finding>) {
    let sockets = [scene.meter.red.socket, scene.meter.black.socket];
    if scene.meter.dial != Dial::Dc10A || sockets.contains(&Socket::TenAmps) {
        return;
    }
    findings.push(Finding {
        code: "meter-plug-not-in-10a",
        severity: Severity::Risk,
        parts: Vec::new(),
        holes: holes(scene),
        symptom: "The meter shows 0.00, and what it is in series with stays off.".to_owned(),
        says: "The dial is at 10 A, and the red plug is in V Ω mA: nothing joins the two inside.".to_owned(),
        why: "The 10 A range has a socket of its own, because its current mustn’t go through the small fuse."
            .to_owned(),
        remedy: "Take the tips off, move the red plug to 10 A, and put them back.".to_owned(),
    });
}

/// A current range across something instead of in series.
pub fn current_across(scene: &Scene<'_>, findings: &mut Vec<Finding>) {
    let is_amps = scene.quantity() == Some(Quantity::Amps) && scene.sockets_fit();
    let driven = scene.bare_volts().is_some_and(|volts| volts.abs() > SOME_VOLTS);
    if !is_amps || scene.inside() != Inside::Low || scene.across.is_empty() || !driven {
        return;
    }
    let is_source = |part: &PartIx| scene.bench.part(*part).card.source.is_some();
    let source = scene.across.iter().find(|part| is_source(part));
    let what = names(scene.bench, &source.map_or(scene.across.clone(), |&part| vec![part]));
    let amps = scene.amps(scene.found.most_amps);
    let (severity, says) = match source {
        Some(_) => (
            Severity::Fault,
            format!(
                "The meter is across {what} at a current range: that is a short circuit, and {amps} flowed."
            ),
        ),
        None => (
            Severity::Risk,
            format!("The meter is across {what}: the current goes around {what} through the meter ({amps})."),
        ),
    };
    findings.push(Finding {
        code: "meter-current-across",
        severity,
        parts: scene.across.clone(),
        holes: holes(scene),
        symptom: "The number is far too large, or zero, and the circuit changes when you touch it.".to_owned(),
        says,
        why: "To count what flows through a wire, the meter has to take the wire’s place. Across a part it is a piece of wire beside it.".to_owned(),
        remedy: format!("Lift one leg of {what} and put the meter between that leg and its hole."),
    });
}

/// A voltage range in the place of a leg or a wire.
pub fn volts_in_series(scene: &Scene<'_>, findings: &mut Vec<Finding>) {
    let Some((_, leg)) = scene.lifted() else { return };
    if scene.inside() != Inside::High {
        return;
    }
    let who = scene.bench.part(leg.part).leg_in_words(leg.pin);
    let ohms = amount::value(scene.figures.input_ohms, halfrow_core::unit::Unit::Ohm);
    findings.push(Finding {
        code: "meter-volts-in-series",
        severity: Severity::Risk,
        parts: vec![leg.part],
        holes: holes(scene),
        symptom: "The meter shows nearly the whole supply, and the circuit is off.".to_owned(),
        says: format!("The meter is in the place of {who} at volts, where it is {ohms}: it stops the circuit."),
        why: "Hardly anything flows through so much resistance, so that nothing drops elsewhere and the meter gets all of it.".to_owned(),
        remedy: "Put the leg back and measure volts across the part; or turn the dial to a current range.".to_owned(),
    });
}

/// The nearest hole of a row over or across the channel that has a leg.
fn neighbour(scene: &Scene<'_>, hole: Hole) -> Option<Hole> {
    let Place::Grid { column, row } = hole.place else { return None };
    let here = |column: char, row: u8| Hole::grid(hole.board, column, row);
    let letter = char::from(b'a' + column);
    let across = if column < 5 { 'f' } else { 'e' };
    let candidates = [
        row.checked_sub(1).filter(|&row| row > 0).map(|row| here(letter, row)),
        Some(here(letter, row + 1)),
        Some(here(across, row)),
    ];
    candidates
        .into_iter()
        .flatten()
        .find(|&at| scene.bench.strip(at).is_some_and(|strip| scene.bare.circuit.node_of(strip).is_some()))
}

/// A tip in a row with no leg, or in the air.
pub fn tip_on_nothing(scene: &Scene<'_>, findings: &mut Vec<Finding>) {
    for (index, touched) in scene.tips().into_iter().enumerate() {
        let colour = COLOURS[index];
        let (says, holes, remedy) = match touched {
            Touch::Air => (
                format!("The {colour} tip touches nothing."),
                Vec::new(),
                format!("Put the {colour} tip on a hole of the row, or on a leg."),
            ),
            Touch::Hole(hole) if scene.nodes[index].is_none() => {
                let near = neighbour(scene, *hole);
                (
                    format!("The {colour} tip is in {hole}, and no leg is in that half row."),
                    vec![*hole],
                    match near {
                        Some(near) => {
                            format!("Count the row again: {near} is next to a leg. Move the tip there.")
                        }
                        None => format!("Move the {colour} tip to a row with a leg in it."),
                    },
                )
            }
            _ => continue,
        };
        findings.push(Finding {
            code: "meter-tip-alone",
            severity: Severity::Risk,
            parts: Vec::new(),
            holes,
            symptom: "The number stays at zero, or at “1”.".to_owned(),
            says,
            why: "A meter needs both tips on the circuit. Only the five holes of one half row are joined."
                .to_owned(),
            remedy,
        });
    }
}

/// Both tips on one net.
pub fn one_net(scene: &Scene<'_>, findings: &mut Vec<Finding>) {
    if !scene.on_one_net() || tells(findings, &["meter-plug-in-10a"]) {
        return;
    }
    // To hear that two places are joined is what continuity is for.
    if matches!(scene.quantity(), Some(Quantity::Continuity | Quantity::Ohms)) {
        return;
    }
    let [red, black] = scene.tips().map(|it| tip(scene.bench, it));
    findings.push(Finding {
        code: "meter-one-net",
        severity: Severity::Risk,
        parts: Vec::new(),
        holes: holes(scene),
        symptom: "The meter shows zero.".to_owned(),
        says: format!("Both tips are on the same net: {red} and {black} are joined by metal."),
        why: "Between two places of one piece of metal there is no voltage, whatever flows through it."
            .to_owned(),
        remedy: "Put one tip on the other side of the part that you want to measure.".to_owned(),
    });
}
