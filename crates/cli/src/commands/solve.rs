//! `halfrow solve`: the operating point of a bench, as tables and as JSON.

use clap::Args;
use halfrow_core::amount;
use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::Hole;
use halfrow_core::solve::{OperatingPoint, solve};
use halfrow_instruments::wired;
use serde_json::{Map, Value, json};

use super::{Answer, BenchFile, lines};
use crate::Output;
use crate::failure::Failure;
use crate::layout::{Table, paragraph, title};

/// Works out the voltages and currents of a bench
#[derive(Args)]
pub struct Solve {
    #[command(flatten)]
    bench: BenchFile,
}

impl Answer for Solve {
    const NAME: &'static str = "solve";

    fn answer(&self, json: bool) -> Result<Output, Failure> {
        let bench = self.bench.read()?;
        let point = solve(&wired(&bench).bench);
        let text = if json { lines(&value(&bench, &point)) } else { text(&bench, &point) };
        // Without an answer there is something to put right, if only in Halfrow.
        Ok(Output { text, findings: !point.settled })
    }
}

/// The tables for people.
fn text(bench: &Bench, point: &OperatingPoint) -> String {
    if bench.parts.is_empty() {
        return format!("{}: no parts on it yet.\n", title(bench));
    }
    let mut nets = Table::new(&["Net", ">Voltage", "Legs in"]);
    let mut floats = false;
    for (net, reading) in point.nets.all.iter().zip(&point.net_readings) {
        floats |= reading.floating;
        let holes: Vec<String> = net.taken_holes(bench).iter().map(Hole::to_string).collect();
        nets.row([net.name.clone(), volts(reading.volts, reading.floating), holes.join(" ")]);
    }
    let mut parts = Table::new(&["Part", "Pin", "Hole", ">Voltage", ">Current in", ">Power", "State"]);
    for (index, part) in bench.parts.iter().enumerate() {
        let reading = point.part(PartIx(index));
        for (pin, it) in reading.pins.iter().enumerate() {
            floats |= it.floating;
            let first = pin == 0;
            let hole = part.legs[pin].hole.map_or("–".to_owned(), |hole| {
                if it.touches { hole.to_string() } else { format!("({hole})") }
            });
            parts.row([
                if first { part.title() } else { String::new() },
                part.card.pins[pin].name.to_owned(),
                hole,
                volts(it.volts, it.floating),
                amount::amps(it.amps),
                if first { amount::watts(reading.watts) } else { String::new() },
                if first { (part.card.state)(part, reading).word.to_owned() } else { String::new() },
            ]);
        }
    }
    let mut text = format!("{}\n\n{}\n{}", title(bench), nets.text(), parts.text());
    if floats {
        text += "\n–: nothing ties it to a supply, so that it has no voltage to tell.\n";
    }
    if bench.legs().any(|(leg, at)| at.hole.is_some() && !point.leg(leg).touches) {
        text += "\n(hole): the leg rests over that hole and touches nothing.\n";
    }
    for (index, part) in bench.parts.iter().enumerate() {
        if let Some(seconds) = point.lasts_seconds(bench, PartIx(index)) {
            text += &format!("\n{} lasts {} at this current.\n", part.id, amount::about(seconds));
        }
    }
    if let Some(number) = bench.as_bought {
        text +=
            &format!("\nParts are as bought, from bag {number}: each is off by a part of its tolerance.\n");
    }
    if point.restless {
        text.push('\n');
        text += &paragraph(
            "",
            "This bench never comes to rest; the figures are means over a short run from when its power came on. “halfrow run” shows what it does over time.",
        );
    }
    if point.cut_short {
        text.push('\n');
        text += &paragraph(
            "",
            "That run takes long to work out, so it was cut short: what comes later is not in these figures.",
        );
    }
    if !point.settled {
        text.push('\n');
        text += &paragraph(
            "",
            &format!(
                "The voltages could not be worked out{}; what stands here is the last guess and no answer. Take out the part that was put in last, and tell us about this bench.",
                worst(point)
            ),
        );
    }
    text
}

fn volts(volts: f64, floating: bool) -> String {
    if floating { "–".to_owned() } else { amount::volts(volts) }
}

fn worst(point: &OperatingPoint) -> String {
    let strip = point.worst.and_then(|(node, _)| point.circuit.strips.get(node.0));
    strip.map_or_else(String::new, |strip| format!(" (furthest off in {strip})"))
}

/// The answer for programs: amps count into the part; `volts` is null where nothing ties a net or
/// a pin to a supply.
fn value(bench: &Bench, point: &OperatingPoint) -> Value {
    let known = |volts: f64, floating: bool| if floating { Value::Null } else { json!(volts) };
    let nets: Vec<Value> = point
        .nets
        .all
        .iter()
        .zip(&point.net_readings)
        .map(|(net, reading)| {
            let holes: Vec<String> = net.holes(bench).iter().map(Hole::to_string).collect();
            json!({ "id": net.name, "holes": holes, "volts": known(reading.volts, reading.floating) })
        })
        .collect();
    let mut parts = Map::new();
    for (index, part) in bench.parts.iter().enumerate() {
        let reading = point.part(PartIx(index));
        let mut pins = Map::new();
        for (pin, name) in part.card.pins.iter().enumerate() {
            let it = point.leg(LegId { part: PartIx(index), pin });
            let read = json!({ "volts": known(it.volts, it.floating), "amps": it.amps });
            pins.insert(name.name.to_owned(), read);
        }
        let state = (part.card.state)(part, reading).word;
        let mut told = json!({ "pins": pins, "watts": reading.watts, "state": state });
        if let Some(seconds) = point.lasts_seconds(bench, PartIx(index)) {
            told["lasts_seconds"] = json!(seconds);
        }
        parts.insert(part.id.clone(), told);
    }
    json!({ "nets": nets, "parts": parts, "settled": point.settled, "restless": point.restless, "cut_short": point.cut_short })
}
