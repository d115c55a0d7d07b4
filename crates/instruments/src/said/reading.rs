//! Findings about the number itself.

use halfrow_core::amount;
use halfrow_core::bench::PartIx;
use halfrow_core::meter::{Dial, Touch};

use super::words::{holes, leg_to_lift, names, value};
use super::{Finding, Severity, tells};
use crate::range::{self, Quantity, Range, ladder};
use crate::scene::{Inside, Scene};
use crate::watch::{BATTERY_FALSE, BATTERY_LOW};

/// Findings after which the number means nothing, so that no more is said of it.
const NO_NUMBER: [&str; 8] = [
    "meter-fuse-blew",
    "meter-fuse-blown",
    "meter-plug-in-10a",
    "meter-plug-not-in-10a",
    "meter-tip-alone",
    "meter-one-net",
    "meter-live",
    "meter-volts-in-series",
];

fn finding(scene: &Scene<'_>, code: &'static str, severity: Severity) -> Finding {
    Finding {
        code,
        severity,
        parts: Vec::new(),
        holes: holes(scene),
        symptom: String::new(),
        says: String::new(),
        why: String::new(),
        remedy: String::new(),
    }
}

/// Ohms, continuity or diode test while the circuit has power.
pub fn live(scene: &Scene<'_>, findings: &mut Vec<Finding>) {
    if scene.inside() != Inside::Source || !scene.is_live() {
        return;
    }
    let source = scene
        .nodes
        .iter()
        .flatten()
        .find_map(|node| scene.bare.islands[scene.bare.node_island[node.0]].source);
    let Some(source) = source else { return };
    let who = &scene.bench.part(source).id;
    findings.push(Finding {
        parts: vec![source],
        symptom: "The number is odd, and another one when you swap the tips.".to_owned(),
        says: format!("{who} is still connected: the circuit’s own voltage disturbs the measurement."),
        why: "At ohms the meter sends a small current of its own and looks at the voltage. Any other voltage falsifies that, and a large one can harm the meter.".to_owned(),
        remedy: format!("Disconnect {who} first, and let capacitors empty."),
        ..finding(scene, "meter-live", Severity::Fault)
    });
}

/// The meter's own battery is nearly empty.
pub fn battery_low(scene: &Scene<'_>, findings: &mut Vec<Finding>) {
    let volts = scene.meter.battery_volts;
    if volts >= BATTERY_LOW {
        return;
    }
    let falsifies = volts < BATTERY_FALSE;
    findings.push(Finding {
        holes: Vec::new(),
        symptom: "The battery sign is on.".to_owned(),
        says: if falsifies {
            "The meter’s battery is so low that volts and amperes read too high.".to_owned()
        } else {
            "The meter’s battery is low; it still reads right.".to_owned()
        },
        why: "The meter compares what it measures with a voltage made from its battery. When that sags, the number grows.".to_owned(),
        remedy: "Put in a new 9 V battery.".to_owned(),
        ..finding(scene, "meter-battery", if falsifies { Severity::Fault } else { Severity::Risk })
    });
}

/// The coarser ranges of the same quantity that would show a value.
fn fitting(dial: Dial, size: f64) -> Option<Dial> {
    let fits = |dial: &&Dial| Range::of(**dial).is_some_and(|range| size <= range.full());
    ladder(dial).iter().find(fits).copied()
}

/// The value doesn't fit.
pub fn over(scene: &Scene<'_>, findings: &mut Vec<Finding>) {
    let (Some(range), true) = (scene.range, scene.found.last().over) else { return };
    if tells(findings, &NO_NUMBER) {
        return;
    }
    let size = scene.found.last().mean.abs();
    let fits = fitting(scene.meter.dial, size);
    let amps = range.quantity == Quantity::Amps;
    let (says, remedy) = match (range.quantity, fits) {
        (Quantity::Diode, _) => return,
        (Quantity::Ohms | Quantity::Continuity, None) => return,
        (_, Some(dial)) => (
            format!("There is more than {} goes up to.", range::name(scene.meter.dial)),
            format!("Turn the dial to {}.", range::name(dial)),
        ),
        (_, None) => ("There is more than this meter can show.".to_owned(), "Take the tips off.".to_owned()),
    };
    findings.push(Finding {
        symptom: "The display shows “1” and nothing else.".to_owned(),
        says,
        why: if amps {
            "Too much current for the range heats the meter and can blow its fuse; for an unknown current, start at the highest range and step down.".to_owned()
        } else {
            "A lone 1 isn’t a reading: it says that the value doesn’t fit. For an unknown value, start at the highest range and step down.".to_owned()
        },
        remedy,
        ..finding(scene, if amps { "meter-start-high" } else { "meter-over" }, Severity::Risk)
    });
}

/// A direct-voltage range on something that swings.
pub fn dc_for_ac(scene: &Scene<'_>, findings: &mut Vec<Finding>) {
    let Some((low, high)) = scene.found.swing else { return };
    let swings = high - low > 0.2 && low < 0.0 && high > 0.0;
    let mean = scene.found.last().mean.abs();
    if scene.quantity() != Some(Quantity::Volts) || !swings || mean > 0.1 * (high - low) {
        return;
    }
    findings.push(Finding {
        symptom: "The number is near zero, or jumps.".to_owned(),
        says: format!(
            "The voltage swings from {} to {}: its mean is what DC shows.",
            scene.volts(low),
            scene.volts(high)
        ),
        why: "A DC range shows the mean over a reading, and what goes as far down as up has none.".to_owned(),
        remedy: "Turn the dial to AC volts.".to_owned(),
        ..finding(scene, "meter-dc-for-ac", Severity::Risk)
    });
}

/// An alternating-voltage range on a steady voltage.
pub fn ac_for_dc(scene: &Scene<'_>, findings: &mut Vec<Finding>) {
    let (Some(Quantity::AcVolts), Some(volts)) = (scene.quantity(), scene.bare_volts()) else { return };
    let shown = scene.found.last().value.unwrap_or(0.0);
    if tells(findings, &NO_NUMBER) || volts.abs() < 0.1 || shown > 0.1 * volts.abs() {
        return;
    }
    findings.push(Finding {
        symptom: "The number is zero, though the circuit works.".to_owned(),
        says: "The voltage here is steady, and AC volts shows only what swings.".to_owned(),
        why: "A capacitor inside the meter blocks what is steady, so that a battery reads zero.".to_owned(),
        remedy: "Turn the dial to DC volts, 20 V.".to_owned(),
        ..finding(scene, "meter-ac-for-dc", Severity::Risk)
    });
}

/// A part measured while others lie beside it.
pub fn in_circuit(scene: &Scene<'_>, findings: &mut Vec<Finding>) {
    let ohms = matches!(scene.quantity(), Some(Quantity::Ohms));
    let (true, Some(shown)) = (ohms, scene.found.last().value) else { return };
    if tells(findings, &NO_NUMBER) {
        return;
    }
    let own = scene.across.iter().find_map(|&part| {
        let it = scene.bench.part(part);
        Some((part, (it.card.least_ohms?)(it)))
    });
    let Some((part, own)) = own else { return };
    if (shown - own).abs() <= 0.01 * own + 1.0 {
        return;
    }
    let [red, black] = [scene.parts_at(0), scene.parts_at(1)];
    let mut beside: Vec<PartIx> = scene.across.iter().copied().filter(|&it| it != part).collect();
    if beside.is_empty() {
        beside = red.iter().chain(&black).copied().filter(|&it| it != part).collect();
        beside.sort();
        beside.dedup();
        beside.truncate(3);
    }
    if beside.is_empty() {
        return;
    }
    let id = &scene.bench.part(part).id;
    let ohm = |ohms| value(Quantity::Ohms, ohms);
    let remedy = match leg_to_lift(scene.bench, part) {
        Some((leg, hole)) => {
            let leg = scene.bench.part(part).leg_in_words(leg.pin);
            format!("Lift {leg} out of {hole} and measure again.")
        }
        None => format!("Take {id} out and measure again."),
    };
    let mut parts = vec![part];
    parts.extend(&beside);
    findings.push(Finding {
        symptom: format!("{id} reads {}, and its value is {}.", ohm(shown), ohm(own)),
        says: format!("{} gives the meter’s current another way beside {id}.", names(scene.bench, &beside)),
        why: "The meter measures everything between its tips. Two ways side by side have less resistance than either alone.".to_owned(),
        remedy,
        parts,
        ..finding(scene, "meter-in-circuit", Severity::Risk)
    });
}

/// By how much the meter changes what it measures, if that can be seen: value with it, without it.
fn changed(scene: &Scene<'_>, findings: &[Finding]) -> Option<(f64, f64)> {
    if tells(findings, &NO_NUMBER) || tells(findings, &["meter-current-across"]) {
        return None;
    }
    let (with, without) = (scene.found.last().value?, scene.without_meter?);
    // What the accuracy hides teaches nothing.
    let hidden = scene.found.last().accuracy?.max(0.01 * without.abs());
    ((with - without).abs() > hidden).then_some((with, without))
}

/// The meter takes so much at volts that the voltage falls.
pub fn loading(scene: &Scene<'_>, findings: &mut Vec<Finding>) {
    let (Some(Quantity::Volts), Some((with, without))) = (scene.quantity(), changed(scene, findings)) else {
        return;
    };
    let ohms = amount::value(scene.figures.input_ohms, halfrow_core::unit::Unit::Ohm);
    findings.push(Finding {
        parts: scene.across.clone(),
        symptom: "The number is lower than you worked out.".to_owned(),
        says: format!(
            "The meter changes the circuit: {} with it, {} without.",
            amount::volts(with),
            scene.volts(without)
        ),
        why: format!("At volts the meter is a resistor of {ohms} beside what you measure. Beside resistors of that size it counts."),
        remedy: if scene.figures.input_ohms < 5e6 {
            "Use the 10 MΩ meter here, or work with smaller resistors.".to_owned()
        } else {
            "Allow for it: put the meter’s 10 MΩ in your calculation.".to_owned()
        },
        ..finding(scene, "meter-loading", Severity::Habit)
    });
}

/// The meter holds the current back.
pub fn burden(scene: &Scene<'_>, findings: &mut Vec<Finding>) {
    let (Some(Quantity::Amps), Some((with, without))) = (scene.quantity(), changed(scene, findings)) else {
        return;
    };
    findings.push(Finding {
        symptom: "The circuit is a little weaker with the meter in it.".to_owned(),
        says: format!(
            "The meter holds the current back: {} with it, {} without.",
            amount::amps(with),
            scene.amps(without)
        ),
        why: "To measure current the meter drops a little voltage over a resistor inside, a shunt; coarser ranges have smaller ones.".to_owned(),
        remedy: "Use the next coarser range, and compare.".to_owned(),
        ..finding(scene, "meter-burden", Severity::Habit)
    });
}

/// A minus sign.
pub fn reversed(scene: &Scene<'_>, findings: &mut Vec<Finding>) {
    let direct = matches!(scene.quantity(), Some(Quantity::Volts | Quantity::Amps));
    if !direct || !scene.found.last().shown.starts_with('-') || tells(findings, &NO_NUMBER) {
        return;
    }
    findings.push(Finding {
        symptom: "There is a minus sign before the number.".to_owned(),
        says: if scene.plugs_swapped() {
            "Red is in COM, so that every sign is turned around.".to_owned()
        } else {
            "The red tip is on the more negative side. That does no harm, and the number is right.".to_owned()
        },
        why: "The sign tells which side is higher, or which way the current goes. Keep it when you add voltages around a loop.".to_owned(),
        remedy: "Swap the tips if you want it without the minus.".to_owned(),
        ..finding(scene, "meter-reversed", Severity::Habit)
    });
}

/// A finer range would show more digits.
pub fn coarse(scene: &Scene<'_>, findings: &mut Vec<Finding>) {
    let (Some(range), Some(shown)) = (scene.range, scene.found.last().value) else { return };
    let touches = scene.tips().into_iter().all(|tip| *tip != Touch::Air);
    if tells(findings, &NO_NUMBER)
        || tells(findings, &["meter-current-across"])
        || !touches
        || shown.abs() < range.step
    {
        return;
    }
    // With some room: a reading at the very end of a range jumps over it.
    let Some(finer) = fitting(scene.meter.dial, 1.02 * shown.abs()) else { return };
    let Some(better) = Range::of(finer).filter(|better| better.step < range.step) else { return };
    findings.push(Finding {
        symptom: "The number has few digits.".to_owned(),
        says: format!(
            "A finer range would do: here the last digit is {}, at {} it would be {}.",
            value(range.quantity, range.step),
            range::name(finer),
            value(range.quantity, better.step)
        ),
        why: "The finest range that holds the value shows most of it, and is off by the least.".to_owned(),
        remedy: format!("Turn the dial to {}.", range::name(finer)),
        ..finding(scene, "meter-coarse", Severity::Habit)
    });
}
