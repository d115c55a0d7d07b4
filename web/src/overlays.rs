//! What lies under and over the parts: the traced net, potentials, currents, the cursor.

use halfrow_core::amount;
use halfrow_core::bench::{Bench, PartIx};
use halfrow_core::board::Hole;
use halfrow_core::shape::{Point, Sketch};
use halfrow_draw::{board, layout, scene};
use yew::prelude::*;

use crate::board_view::net_areas;
use crate::shapes;
use crate::state::{Hand, State};
use crate::words;

fn rect(area: layout::Area, class: &'static str, fill: Option<String>) -> Html {
    html! {
        <rect {class} x={area.x.to_string()} y={area.y.to_string()} width={area.width.to_string()}
            height={area.height.to_string()} rx="8" {fill} />
    }
}

/// A colour of a scale from dark blue (0) to yellow (1): even in lightness and told apart by people
/// who don't see red or green (after cividis, Nuñez, Anderton and Renslow, PLOS ONE 13, 2018).
pub fn scale(share: f64) -> String {
    const STOPS: [(f64, f64, f64); 6] = [
        (0.0, 34.0, 78.0),
        (53.0, 69.0, 108.0),
        (102.0, 105.0, 112.0),
        (148.0, 142.0, 119.0),
        (200.0, 184.0, 102.0),
        (254.0, 232.0, 56.0),
    ];
    let x = share.clamp(0.0, 1.0) * 5.0;
    let i = (x.floor() as usize).min(4);
    let t = x - i as f64;
    let mix = |a: f64, b: f64| (a + (b - a) * t).round() as u8;
    let (a, b) = (STOPS[i], STOPS[i + 1]);
    format!("#{:02x}{:02x}{:02x}", mix(a.0, b.0), mix(a.1, b.1), mix(a.2, b.2))
}

/// Lowest and highest potential of the bench, volts.
pub fn span(state: &State) -> (f64, f64) {
    let readings = state.solved.point.net_readings.iter().filter(|r| !r.floating);
    let low = readings.clone().map(|r| r.low).fold(0.0, f64::min);
    let high = readings.map(|r| r.high).fold(0.0, f64::max);
    (low, if high - low < 1e-3 { low + 1.0 } else { high })
}

/// Ribbons and shading below the parts.
pub fn under(state: &State) -> Html {
    let solved = &state.solved;
    let bench = &solved.bench;
    let mut out: Vec<Html> = Vec::new();
    if state.overlays.volts {
        let (low, high) = span(state);
        for &strip in &solved.point.circuit.strips {
            let holes = bench.boards[usize::from(strip.board)].holes_of(strip);
            let Some(area) = board::strip_area(bench, &holes) else { continue };
            match solved.point.strip_volts(strip) {
                Some(volts) => out.push(rect(area, "potential", Some(scale((volts - low) / (high - low))))),
                None => out.push(rect(area, "potential floating", None)),
            }
        }
    }
    if let (true, Some(hole)) = (state.overlays.trace, state.cursor) {
        for area in net_areas(solved, hole) {
            out.push(rect(area, "trace", Some("url(#hatch)".to_owned())));
        }
    }
    html! { <g>{ for out }</g> }
}

/// Figures and the cursor above the parts, with no type smaller than `least`.
pub fn over(state: &State, least: f32) -> Html {
    let size = least.max(11.5);
    let solved = &state.solved;
    let bench = &solved.bench;
    let mut out: Vec<Html> = Vec::new();
    if state.overlays.volts {
        let mut sketch = Sketch::default();
        for (net, reading) in solved.point.nets.all.iter().zip(&solved.point.net_readings) {
            let strip = net.strips[0];
            let holes = bench.boards[usize::from(strip.board)].holes_of(strip);
            let Some(at) = holes.get(2).and_then(|&h| layout::hole(bench, h)) else { continue };
            let words = if reading.floating { "floating".to_owned() } else { amount::volts(reading.volts) };
            scene::chip(&mut sketch, Point::new(at.x, at.y + 4.0), &words, size, true);
        }
        out.push(html! { <g>{ shapes::view(&sketch.shapes) }</g> });
    }
    if state.overlays.currents {
        out.extend((0..bench.parts.len()).filter_map(|i| current(state, PartIx(i), size)));
    }
    if let Some(at) = state.cursor.and_then(|hole| layout::hole(bench, hole)) {
        out.push(html! {
            <rect class="cursor" x={(at.x - 8.0).to_string()} y={(at.y - 8.0).to_string()} width="16" height="16" rx="3" />
        });
        if let (true, Some(hole), Hand::Empty) = (state.overlays.trace, state.cursor, &state.hand) {
            let reading = solved.point.nets.of_hole(bench, hole);
            if let Some(net) = reading {
                let name = &solved.point.nets.net(net).name;
                let volts = solved.point.net_readings[net.0];
                let volts = if volts.floating { "floating".to_owned() } else { amount::volts(volts.volts) };
                let mut sketch = Sketch::default();
                scene::chip(
                    &mut sketch,
                    Point::new(at.x, at.y - 15.0),
                    &format!("{hole} · {name} · {volts}"),
                    size,
                    true,
                );
                out.push(shapes::view(&sketch.shapes));
            }
        }
    }
    for (part, hertz) in &state.clock.blinking {
        let centre = layout::centre(bench, *part);
        let mut sketch = Sketch::default();
        let words = amount::with_prefix(*hertz, "Hz");
        scene::chip(&mut sketch, Point::new(centre.x + 4.0, centre.y + 34.0), &words, size, true);
        out.push(shapes::view(&sketch.shapes));
    }
    html! { <g class="over">{ for out }</g> }
}

/// An arrowhead on a two-legged part that carries current: its weight follows the size, the figure
/// stands beside it.
fn current(state: &State, ix: PartIx, size: f32) -> Option<Html> {
    let solved = &state.solved;
    let bench = &solved.bench;
    let reading = solved.point.part(ix);
    let legs = layout::legs(bench, ix);
    if layout::is_off_board(bench, ix) || reading.pins.len() != 2 || reading.largest_amps() < 1e-7 {
        return None;
    }
    let (from, to) = (legs[0]?, legs[1]?);
    let amps = reading.pins[0].amps;
    let (from, to) = if amps >= 0.0 { (from, to) } else { (to, from) };
    let middle = from.towards(to, 0.72);
    let weight = (4.0 + 2.0 * halfrow_core::math::log10(amps.abs() / 1e-5).max(0.0)).min(13.0);
    let transform = format!("translate({} {}) rotate({})", middle.x, middle.y, from.bearing(to));
    let d = format!("M{} {}L0 0L{} {}", -weight, -weight, -weight, weight);
    let mut sketch = Sketch::default();
    let beside = Point::new(middle.x, middle.y + 22.0);
    scene::chip(&mut sketch, beside, &amount::amps(amps.abs()), size, false);
    Some(html! { <g><path class="current" {d} {transform} />{ shapes::view(&sketch.shapes) }</g> })
}

/// A hole that won't take what is in hand: a crossed ring.
pub fn refused(bench: &Bench, hole: Hole) -> Html {
    let Some(at) = layout::hole(bench, hole) else { return html! {} };
    let d = format!("M{} {}l16 16m0 -16l-16 16", at.x - 8.0, at.y - 8.0);
    html! { <path class="refused" {d} /> }
}

/// The foot line: the hole under the cursor in words.
pub fn foot(state: &State) -> (String, String) {
    match state.cursor {
        Some(hole) => {
            let leg = state.bench().occupant(hole).map(|leg| {
                let part = state.bench().part(leg.part);
                format!("{} {} · ", part.title(), part.card.pins[leg.pin].says)
            });
            let words = format!(
                "{} · {}{}",
                hole.place_in_words(),
                leg.unwrap_or_default(),
                words::net(&state.solved, hole)
            );
            (hole.to_string(), words)
        }
        None => (String::new(), String::new()),
    }
}
