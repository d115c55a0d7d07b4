//! `halfrow measure`: a multimeter is put on a bench and its display is read.

use clap::Args;
use halfrow_core::amount;
use halfrow_core::bench::{Bench, LegId};
use halfrow_core::board::Hole;
use halfrow_core::meter::{Dial, Kind, Lead, Meter, Socket, Touch};
use halfrow_instruments::measure::{Measurement, fuse_in_use, measure};
use halfrow_instruments::range::{self, Quantity, Range};
use halfrow_instruments::{Figures, Finding, Scene, findings, meaning};
use serde_json::{Value, json};

use super::run::seconds;
use super::{Answer, BenchFile, lines};
use crate::Output;
use crate::failure::Failure;
use crate::layout::{paragraph, title};
use crate::told;

/// Puts a multimeter on a bench and reads its display
///
/// The bench’s own meter is used where it has one; what is given here comes before what its file says.
#[derive(Args)]
pub struct Measure {
    #[command(flatten)]
    bench: BenchFile,
    /// Where the dial points: off, dc-200mv to dc-600v, ac-200v, ac-600v, dc-200ua to dc-200ma, dc-10a, ohm-200 to ohm-2m, continuity, diode
    #[arg(long, value_name = "DIAL", value_parser = dial)]
    dial: Option<Dial>,
    /// What the red tip touches: a hole (c16), free or not, or a leg (R1.1)
    #[arg(long, value_name = "TIP")]
    red: Option<String>,
    /// What the black tip touches
    #[arg(long, value_name = "TIP")]
    black: Option<String>,
    /// Where the red plug is: vom, 10a or com
    #[arg(long, value_name = "SOCKET", value_parser = socket)]
    red_socket: Option<Socket>,
    /// Where the black plug is
    #[arg(long, value_name = "SOCKET", value_parser = socket)]
    black_socket: Option<Socket>,
    /// A leg to lift out of its hole; without tips the meter takes its place, red on the hole
    #[arg(long, value_name = "LEG")]
    lift: Option<String>,
    /// Which meter: 10m (10 MΩ at volts) or cheap (1 MΩ, no 10 A fuse)
    #[arg(long, value_name = "KIND", value_parser = kind)]
    kind: Option<Kind>,
    /// Read for so long from when the power comes on; otherwise the bench has been on for long
    #[arg(long = "for", value_name = "TIME", value_parser = seconds, allow_hyphen_values = true)]
    seconds: Option<f64>,
}

fn dial(word: &str) -> Result<Dial, String> {
    Dial::from_word(word).ok_or_else(|| "no position".to_owned())
}

fn socket(word: &str) -> Result<Socket, String> {
    Socket::from_word(word).ok_or_else(|| "no socket".to_owned())
}

fn kind(word: &str) -> Result<Kind, String> {
    Kind::from_word(word).ok_or_else(|| "no kind".to_owned())
}

impl Answer for Measure {
    const NAME: &'static str = "measure";

    fn answer(&self, json: bool) -> Result<Output, Failure> {
        let mut bench = self.bench.read()?;
        self.place(&mut bench)?;
        let measured = measure(&bench, 0, self.seconds);
        let scene = Scene::of(&bench, 0, &measured);
        let said = findings(&scene);
        let text = if json { lines(&value(&scene, &said)) } else { text(&scene, &said) };
        Ok(Output { text, findings: !said.is_empty() })
    }
}

impl Measure {
    /// Puts the meter on the bench as it was asked.
    fn place(&self, bench: &mut Bench) -> Result<(), Failure> {
        if bench.meters.is_empty() {
            if self.dial.is_none() {
                let says =
                    "the bench has no meter on it. Say what to measure: --dial dc-20v --red c16 --black g16";
                return Err(Failure::Refused(says.to_owned()));
            }
            bench.meters.push(Meter::default());
        }
        let lifted = self.lift.as_deref().map(|word| lift(bench, word)).transpose()?;
        let tips = [("--red", &self.red), ("--black", &self.black)]
            .map(|(option, word)| word.as_deref().map(|word| tip(bench, option, word)).transpose());
        let [red, black] = tips;
        let (mut red, mut black) = (red?, black?);
        if let (Some((leg, hole)), None, None) = (&lifted, &red, &black) {
            (red, black) = (Some(Touch::Hole(*hole)), Some(leg.clone()));
        }
        let meter = &mut bench.meters[0];
        meter.dial = self.dial.unwrap_or(meter.dial);
        meter.kind = self.kind.unwrap_or(meter.kind);
        let place = |lead: &mut Lead, tip: Option<Touch>, socket: Option<Socket>| {
            lead.tip = tip.unwrap_or_else(|| lead.tip.clone());
            lead.socket = socket.unwrap_or(lead.socket);
        };
        place(&mut meter.red, red, self.red_socket);
        place(&mut meter.black, black, self.black_socket);
        if meter.red.socket == meter.black.socket {
            return Err(Failure::Refused(format!(
                "both plugs are in the socket {}, which takes one. Say where the other is: --black-socket com",
                meter.red.socket.word()
            )));
        }
        Ok(())
    }
}

fn tip(bench: &Bench, option: &str, word: &str) -> Result<Touch, Failure> {
    Touch::parse(bench, word).ok_or_else(|| {
        Failure::Refused(format!(
            "{option} {}: there’s no such hole or leg on this bench. Holes are called c16 or L+7, legs R1.1.",
            shown(word)
        ))
    })
}

/// Takes a leg out of its hole; says what is touched then, and where the leg was.
fn lift(bench: &mut Bench, word: &str) -> Result<(Touch, Hole), Failure> {
    let refused = |says: &str| Failure::Refused(format!("--lift {}: {says}", shown(word)));
    let touch = Touch::parse(bench, word);
    let leg: LegId = touch
        .as_ref()
        .and_then(|touch| touch.leg(bench))
        .ok_or_else(|| refused("there’s no such leg on this bench. Legs are called R1.1."))?;
    let part = bench.part(leg.part);
    if part.is_rigid() {
        return Err(refused(
            "the part is stiff, its legs don’t lift one by one. Take a wire’s place instead.",
        ));
    }
    let hole = part.legs[leg.pin].hole.ok_or_else(|| refused("the leg isn’t in a hole."))?;
    bench.put_leg(leg, None).map_err(|error| refused(&error.to_string()))?;
    Ok((touch.unwrap_or_default(), hole))
}

/// Somebody’s word as a message may quote it.
fn shown(word: &str) -> String {
    word.chars().take(32).map(|c| if c.is_control() { '\u{fffd}' } else { c }).collect()
}

/// `1.93 V`, or what stands there instead.
fn display(measured: &Measurement, range: Option<Range>) -> String {
    let reading = measured.last();
    match range {
        _ if reading.shown.is_empty() => "nothing: the display is dark".to_owned(),
        Some(range) if !reading.over => format!("{} {}", reading.shown.replace('-', "−"), range.unit),
        _ => format!("{} (over range)", reading.shown.replace('-', "−")),
    }
}

/// The answer for people.
fn text(scene: &Scene<'_>, said: &[Finding]) -> String {
    let (bench, measured) = (scene.bench, scene.found);
    let mut text = format!("{}\n\n", title(bench));
    text += &paragraph("  Dial:            ", range::name(scene.meter.dial));
    let tips = scene.tips().map(|tip| tip.word(bench));
    let sockets = [scene.meter.red.socket, scene.meter.black.socket].map(Socket::name);
    text += &paragraph("  Red:             ", &format!("{} ({})", tips[0], sockets[0]));
    text += &paragraph("  Black:           ", &format!("{} ({})", tips[1], sockets[1]));
    text += &paragraph("  Shown:           ", &display(measured, scene.range));
    if let (Some(range), Some(accuracy)) = (scene.range, measured.last().accuracy) {
        let words = format!(
            "± {} ({} % of the reading and {} in the last digit)",
            said_amount(range.quantity, accuracy),
            range.accuracy.percent,
            range.accuracy.digits
        );
        text += &paragraph("  Off by:          ", &words);
    }
    let meaning = meaning(scene);
    text += &paragraph("  What it means:   ", &meaning.says);
    if !meaning.why.is_empty() {
        text += &paragraph("                   ", &meaning.why);
        text += &paragraph("                   ", &meaning.next);
    }
    if let (Some(range), Some(value)) = (scene.range, scene.without_meter) {
        text += &paragraph("  Without meter:   ", &said_amount(range.quantity, value));
    }
    text + &told::text(said)
}

fn said_amount(quantity: Quantity, value: f64) -> String {
    match quantity {
        Quantity::Amps => amount::amps(value),
        Quantity::Ohms | Quantity::Continuity => amount::value(value, halfrow_core::unit::Unit::Ohm),
        _ => amount::volts(value),
    }
}

/// The answer for programs: numbers in SI units.
fn value(scene: &Scene<'_>, said: &[Finding]) -> Value {
    let measured = scene.found;
    let last = measured.last();
    let fuse = match fuse_in_use(scene.meter, &Figures::of(scene.meter.kind)) {
        None => "none",
        Some((Socket::Vom, ..)) if measured.small_fuse_whole => "whole",
        Some((Socket::TenAmps, ..)) if measured.large_fuse_whole => "whole",
        Some(_) => "blown",
    };
    let reading = |it: &halfrow_instruments::Reading| json!({ "time": it.time, "shown": it.shown, "over": it.over, "value": it.value });
    let meaning = meaning(scene);
    json!({
        "shown": last.shown,
        "over": last.over,
        "value": last.value,
        "unit": scene.range.map_or("", |range| range.quantity.unit()),
        "shown_unit": scene.range.map_or("", |range| range.unit),
        "accuracy": last.accuracy,
        "without_meter": scene.without_meter,
        "fuse": fuse,
        "means": meaning.says,
        "complete": measured.complete,
        "readings": measured.readings.iter().map(reading).collect::<Vec<Value>>(),
        "findings": told::value(scene.bench, said),
    })
}
