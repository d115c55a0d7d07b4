//! What lies under and over the parts: the traced net, potentials, currents, the cursor.

use std::cell::LazyCell;

use halfrow_core::amount;
use halfrow_core::bench::{Bench, PartIx};
use halfrow_core::board::Hole;
use halfrow_core::readings::NetReading;
use halfrow_core::shape::{Point, Sketch, n};
use halfrow_draw::labels::{LARGEST, Placer};
use halfrow_draw::{board, chip, layout, scene};
use yew::prelude::*;

use crate::model::state::{Hand, Help, Solved, State, Tab};
use crate::model::words;
use crate::ui::shapes;

fn rect(area: layout::Area, class: &'static str, fill: Option<String>) -> Html {
    html! {
        <rect {class} x={n(area.x)} y={n(area.y)} width={n(area.width)}
            height={n(area.height)} rx="8" {fill} />
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
    let readings = state.document.solved.point.net_readings.iter().filter(|r| !r.floating);
    let low = readings.clone().map(|r| r.low_volts).fold(0.0, f64::min);
    let high = readings.map(|r| r.high_volts).fold(0.0, f64::max);
    (low, if high - low < 1e-3 { low + 1.0 } else { high })
}

/// The strips that a hole's net runs through, as rectangles.
fn net_areas(solved: &Solved, hole: Hole) -> Vec<layout::Area> {
    let bench = &solved.bench;
    let strips = match solved.point.nets.of_hole(bench, hole) {
        Some(net) => solved.point.nets.net(net).strips.clone(),
        None => bench.strip(hole).into_iter().collect(),
    };
    strips
        .into_iter()
        .filter_map(|strip| board::strip_area(bench, &bench.boards[usize::from(strip.board)].holes_of(strip)))
        .collect()
}

/// Ribbons and shading below the parts, with the net under a cursor.
pub fn under(state: &State, cursor: Option<Hole>) -> Html {
    let solved = &state.document.solved;
    let bench = &solved.bench;
    let mut out: Vec<Html> = Vec::new();
    if state.overlays().volts {
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
    if let (true, Some(hole)) = (state.overlays().trace, cursor) {
        for area in net_areas(solved, hole) {
            out.push(rect(area, "trace", Some("url(#hatch)".to_owned())));
        }
        let net = solved.point.nets.of_hole(bench, hole);
        for leg in net.map_or(&[][..], |net| &solved.point.nets.net(net).legs) {
            if let Some(d) = scene::run(bench, *leg) {
                out.push(html! { <><path class="traced-edge" d={d.clone()} /><path class="traced" {d} stroke="url(#hatch)" /></> });
            }
        }
    }
    html! { <g>{ for out }</g> }
}

/// Figures and the cursor above the parts, with no type smaller than `least`, where `placer` finds room.
pub fn over(state: &State, cursor: Option<Hole>, least: f32, placer: &dyn Fn() -> Placer) -> Html {
    let solved = &state.document.solved;
    let bench = &solved.bench;
    let size = least.max(11.5);
    let mut sketch = Sketch::default();
    // Made only where there is something to place.
    let mut placer = LazyCell::new(placer);
    let mut arrows: Vec<Html> = Vec::new();
    let legible = size <= LARGEST;
    if state.overlays().volts && legible {
        for (net, reading) in solved.point.nets.all.iter().zip(&solved.point.net_readings) {
            let words = volts(reading);
            for (index, &strip) in net.strips.iter().enumerate() {
                let holes = bench.boards[usize::from(strip.board)].holes_of(strip);
                let used = holes.iter().any(|&hole| bench.occupant(hole).is_some());
                let places: Vec<Point> = [2, 1, 3, 0, 4, 7, 12, 17, 22]
                    .into_iter()
                    .filter_map(|at| layout::hole(bench, *holes.get(at)?))
                    .map(|at| Point::new(at.x, at.y + 4.0))
                    .collect();
                if places.is_empty() || (index > 0 && (!used || holes.len() > 5)) {
                    continue;
                }
                // As wide as the widest figure, so that it stays in its place while it changes.
                let (at, covered) = placer.put(&places, &format!("{words:7}"));
                if index == 0 || covered < CROWDED {
                    chip::draw(&mut sketch, at, &words, size, true);
                }
            }
        }
    }
    if state.overlays().currents {
        for part in (0..bench.parts.len()).map(PartIx) {
            for (from, to, amps) in flows(state, part) {
                let weight = (4.0 + 2.0 * halfrow_core::math::log10(amps / 1e-5).max(0.0)).min(13.0);
                let transform = format!("translate({} {}) rotate({})", to.x, to.y, from.bearing(to));
                let d = format!("M{} {}L0 0L{} {}", -weight, -weight, -weight, weight);
                arrows.push(html! { <path class="current" {d} {transform} /> });
                if !legible {
                    continue;
                }
                let words = amount::amps(amps);
                let half = 0.3 * size * 7.0 + 12.0;
                let mut places = vec![Point::new(to.x, to.y + 22.0), Point::new(to.x, to.y - 14.0)];
                for y in [4.0, 22.0, -14.0, 42.0, -34.0] {
                    places.extend([half, -half].map(|x| Point::new(to.x + x, to.y + y)));
                }
                let (at, _) = placer.put(&places, &format!("{words:7}"));
                chip::draw(&mut sketch, at, &words, size, false);
            }
        }
    }
    if let (true, Some(hole), Hand::Empty) = (state.overlays().trace, cursor, &state.selection.hand)
        && let (Some(at), Some(net)) = (layout::hole(bench, hole), solved.point.nets.of_hole(bench, hole))
    {
        let name = &solved.point.nets.net(net).name;
        let volts = words::net_volts(solved, net).map_or(String::new(), |volts| format!(" · {volts}"));
        let words = format!("{hole} · {name}{volts}");
        let half = chip::area(at, &words, size).width / 2.0 + 14.0;
        let mut places = vec![Point::new(at.x, at.y - 15.0), Point::new(at.x, at.y + 15.0 + size)];
        for y in [4.0, 26.0, -18.0, 48.0, -40.0] {
            places.extend([half, -half].map(|x| Point::new(at.x + x, at.y + y)));
        }
        let (at, _) = placer.put(&places, &words);
        chip::draw(&mut sketch, at, &words, size, true);
    }
    for (part, hertz) in &state.clock.blinking {
        let centre = layout::centre(bench, *part);
        let words = amount::with_prefix(*hertz, "Hz");
        let places = [(4.0, 34.0), (4.0, -26.0), (44.0, 4.0), (-44.0, 4.0)];
        let (at, _) = placer.put(&places.map(|(x, y)| Point::new(centre.x + x, centre.y + y)), &words);
        chip::draw(&mut sketch, at, &words, size, true);
    }
    let cursor = cursor.and_then(|hole| layout::hole(bench, hole)).map(|at| {
        html! { <rect class="cursor" x={n(at.x - 8.0)} y={n(at.y - 8.0)} width="16" height="16" rx="3" /> }
    });
    // Each in a group of its own: what comes and goes moves no neighbour.
    html! { <g class="over"><g>{ for arrows }</g><g>{ shapes::view(&sketch.shapes) }</g><g>{ cursor }</g></g> }
}

/// The moves that are missing: a ring where something is, one where it belongs, an arrow between them, and
/// the number that stands in the list. Only where as much is to be told.
pub fn moves(state: &State, least: f32) -> Html {
    let told = state.screen.tab == Tab::Plan && state.screen.help >= Help::Place;
    let Some(answer) = state.compared().filter(|_| told) else { return html! {} };
    let bench = state.bench();
    let at = |hole: &Hole| layout::hole(bench, *hole);
    let marks = answer.moves.iter().enumerate().map(|(index, it)| {
        let remedy = state.screen.help >= Help::Remedy;
        let from = it.from.as_ref().and_then(at).or_else(|| it.ends[0].first().and_then(at));
        let to = it.to.first().or(it.ends[1].first()).and_then(at).filter(|_| remedy);
        let to = to.filter(|to| from.is_none_or(|from| from.distance(*to) > 1.0));
        let ring = |point: Point, class: &'static str| {
            html! { <circle {class} cx={n(point.x)} cy={n(point.y)} r="10" /> }
        };
        let arrow = from.zip(to).map(|(from, to)| {
            let length = from.distance(to).max(1.0);
            let (start, end) = (
                from.towards(to, (10.0 / length).min(0.4)),
                from.towards(to, 1.0 - (12.0 / length).min(0.4)),
            );
            let (ux, uy) = ((to.x - from.x) / length, (to.y - from.y) / length);
            let d = format!(
                "M{} {}L{} {}M{} {}L{} {}L{} {}",
                n(start.x),
                n(start.y),
                n(end.x),
                n(end.y),
                n(end.x - 7.0 * ux + 4.5 * uy),
                n(end.y - 7.0 * uy - 4.5 * ux),
                n(end.x),
                n(end.y),
                n(end.x - 7.0 * ux - 4.5 * uy),
                n(end.y - 7.0 * uy + 4.5 * ux)
            );
            html! { <path class="plan-arrow" {d} /> }
        });
        let mut sketch = Sketch::default();
        if let Some(point) = from.or(to) {
            chip::draw(
                &mut sketch,
                Point::new(point.x - 20.0, point.y - 12.0),
                &(index + 1).to_string(),
                least.max(11.5),
                true,
            );
        }
        let quiet = state.planning.shown.is_some_and(|shown| shown != index);
        html! {
            <g class={classes!("plan-move", quiet.then_some("quiet-move"))}>
                { for from.map(|point| ring(point, "plan-ring")) }
                { for to.map(|point| ring(point, "plan-goal")) }
                { for arrow }
                { shapes::view(&sketch.shapes) }
            </g>
        }
    });
    html! { <g class="plan-moves" aria-hidden="true">{ for marks }</g> }
}

/// How much a further figure of a net may cover, in square units: with more, it would stand in a heap.
const CROWDED: f32 = 60.0;

fn volts(reading: &NetReading) -> String {
    if reading.floating { "floating".to_owned() } else { amount::volts(reading.volts) }
}

/// The currents to be shown of a part: from where to where, with the arrow's point at the second, and
/// how much. Along a part with two legs, at each leg of one with up to four, at the leads of a supply.
fn flows(state: &State, ix: PartIx) -> Vec<(Point, Point, f64)> {
    let bench = &state.document.solved.bench;
    let reading = state.document.solved.point.part(ix);
    let off_board = layout::is_off_board(bench, ix);
    let legs = layout::legs(bench, ix);
    let (count, centre) = (legs.len(), layout::centre(bench, ix));
    let ends = legs.iter().zip(&reading.pins).filter_map(|(end, pin)| Some(((*end)?, pin.amps)));
    let flows = ends.map(|(end, amps)| match (off_board, count) {
        // The lead comes from the left.
        (true, _) => (end, Point::new(end.x - 40.0, end.y), amps),
        _ => (end, centre, amps),
    });
    let mut flows: Vec<_> = flows
        .filter(|(.., amps)| amps.abs() >= 1e-7 && count <= 4)
        .map(|(end, inner, amps)| {
            let (from, to) = if amps >= 0.0 { (end, inner) } else { (inner, end) };
            (from, from.towards(to, if amps >= 0.0 { 0.62 } else { 0.5 }), amps.abs())
        })
        .collect();
    // One arrow tells of both legs.
    if count == 2 && !off_board {
        flows.retain(|(from, ..)| *from == centre);
    }
    flows
}

/// A line from hole to hole.
pub fn lead(bench: &Bench, from: Hole, to: Hole) -> Option<String> {
    let (from, to) = (layout::hole(bench, from)?, layout::hole(bench, to)?);
    Some(format!("M{} {}L{} {}", n(from.x), n(from.y), n(to.x), n(to.y)))
}

/// A hole that won't take what is in hand: a crossed ring.
pub fn refused(bench: &Bench, hole: Hole) -> Html {
    let Some(at) = layout::hole(bench, hole) else { return html! {} };
    let d = format!("M{} {}l16 16m0 -16l-16 16", at.x - 8.0, at.y - 8.0);
    html! { <path class="refused" {d} /> }
}

/// The foot line: the hole under the cursor in words.
pub fn foot(state: &State) -> (String, String) {
    match state.selection.cursor {
        Some(hole) => {
            let leg = state.bench().occupant(hole).map(|leg| {
                let part = state.bench().part(leg.part);
                format!("{} {} · ", part.title(), part.card.pins[leg.pin].says)
            });
            let words = format!(
                "{} · {}{}",
                hole.place_in_words(),
                leg.unwrap_or_default(),
                words::net(&state.document.solved, hole)
            );
            (hole.to_string(), words)
        }
        None => (String::new(), String::new()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::state::Action;
    use halfrow_core::board::BoardKind;
    use halfrow_file::wiring::from_text;

    fn state(list: &str) -> State {
        State::new(from_text(list, &Bench::new(BoardKind::Half)).unwrap())
    }

    #[test]
    fn a_net_with_many_parts_says_how_many_more() {
        let list: String = (1..=12).map(|i| format!("R{i} resistor 1=L+{i} 2=a{i}\n")).collect();
        let mut state = state(&list);
        state.apply(Action::Point(Hole::parse("L+20")));
        assert!(foot(&state).1.contains("R1 R2 R3 R4 R5 R6 R7 R8 and 4 more,"), "{}", foot(&state).1);
    }

    #[test]
    fn every_part_with_up_to_four_legs_shows_its_currents() {
        let state = state(
            "BT1 battery +=L+1 -=L-1\nRV1 potentiometer pin1=b5\nW1 wire 1=L+5 2=a5\nR1 resistor 1=c6 2=c12\n\
             W2 wire 1=a12 2=L-9\nW3 wire 1=a7 2=L-6\n",
        );
        let counts: Vec<usize> = (0..6).map(|part| flows(&state, PartIx(part)).len()).collect();
        // Two leads, three legs of which each carries its own, and one arrow for what has two.
        assert_eq!(counts, [2, 3, 1, 1, 1, 1]);
        // Out of the red lead towards the board, and into the black one.
        let leads = flows(&state, PartIx(0));
        assert!(leads[0].0.x < leads[0].1.x && leads[1].0.x > leads[1].1.x, "{leads:?}");
    }
}
