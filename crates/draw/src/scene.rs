//! Parts, labels and margin marks.

use halfrow_core::amount;
use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::card::State;
use halfrow_core::part::Part;
use halfrow_core::readings::PartReading;
use halfrow_core::shape::{Anchor, Glance, Paint, Point, Shape, Sketch, Style, Tint, n};
use halfrow_core::solve::OperatingPoint;
use halfrow_judge::{Finding, Severity};

use crate::{board, labels, layout};

/// All boards, bare, with no type smaller than `least`.
pub fn boards(bench: &Bench, least: f32) -> Vec<Shape> {
    let mut sketch = Sketch::default();
    for index in 0..bench.boards.len() {
        board::draw(bench, index, least, &mut sketch);
    }
    sketch.shapes
}

/// Whether a limit of the part is passed.
fn is_hot(part: &Part, reading: &PartReading) -> bool {
    let limits = (part.card.limits)(part);
    limits.amps.is_some_and(|most| reading.most_amps(part.card) > most)
        || limits.watts.is_some_and(|most| reading.watts > most)
}

/// All that the picture of a part depends on, cheap to make and to compare: where it is equal, the
/// picture is the same and need not be drawn again.
#[derive(Clone, Debug, PartialEq)]
pub struct Looks {
    part: Part,
    boards: Vec<halfrow_core::board::Board>,
    rest: Point,
    lively: Lively,
    /// The line of figures under an off-board part.
    figures: Option<String>,
}

/// What changes while the clock runs, in steps that an eye can tell apart.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
struct Lively {
    /// Brightness in steps of a 32nd.
    glow: u8,
    lights: [u8; 8],
    /// Sign and power of four of the turns a second.
    spin: i8,
    hot: bool,
    burnt: bool,
    shown: u64,
}

fn in_steps(glow: f32) -> u8 {
    (glow * 32.0).round() as u8
}

/// What the picture of a part depends on.
pub fn looks(bench: &Bench, point: &OperatingPoint, ix: PartIx) -> Looks {
    let reading = point.part(ix);
    let figures = layout::is_off_board(bench, ix).then(|| {
        let volts = reading.volts_across(0, 1).map_or(String::new(), amount::volts);
        // Of a source what it gives, of all else what it takes.
        let pin = usize::from(bench.part(ix).card.source.is_some());
        format!("{volts} · {}", amount::amps(reading.pins[pin].amps))
    });
    Looks { figures, ..looks_by(bench, ix, point.state(bench, ix), reading) }
}

/// The same by what the part does and reads, without its figures.
pub fn looks_by(bench: &Bench, ix: PartIx, state: State, reading: &PartReading) -> Looks {
    let it = bench.part(ix);
    Looks {
        part: it.clone(),
        boards: bench.boards.clone(),
        rest: layout::rest(bench, ix),
        lively: Lively {
            glow: in_steps(state.glow),
            lights: state.lights.map(in_steps),
            spin: match state.spin.abs() {
                still if still < 0.05 => 0,
                slow if slow < 2.0 => 1,
                brisk if brisk < 20.0 => 2,
                _ => 3,
            } * if state.spin < 0.0 { -1 } else { 1 },
            hot: is_hot(it, reading),
            burnt: reading.memory.burnt,
            // A chip shows nothing of what it does.
            shown: if it.card.chip { 0 } else { reading.memory.shown },
        },
        figures: None,
    }
}

/// One part without its label: on the board labels lie above all parts, see [`crate::labels`].
pub fn part(bench: &Bench, ix: PartIx, looks: &Looks) -> Vec<Shape> {
    let mut sketch = Sketch::default();
    draw_body(bench, ix, looks.lively, &mut sketch);
    sketch.shapes
}

/// A part without label, as it would stand: for previews.
pub fn ghost(bench: &Bench, ix: PartIx) -> Vec<Shape> {
    let mut sketch = Sketch::default();
    draw_body(bench, ix, Lively::default(), &mut sketch);
    sketch.shapes
}

fn draw_body(bench: &Bench, ix: PartIx, lively: Lively, sketch: &mut Sketch) {
    let it = bench.part(ix);
    let legs = layout::legs(bench, ix);
    let mut rest = layout::rest(bench, ix);
    if !layout::is_off_board(bench, ix)
        && let Some(known) = legs.iter().flatten().next()
    {
        // A loose part with one leg in the air hangs beside its other leg.
        rest = Point::new(known.x + 34.0, known.y - 30.0);
    }
    let glow = |steps: u8| f32::from(steps) / 32.0;
    let glance = Glance {
        legs: &legs,
        rest,
        glow: glow(lively.glow),
        lights: lively.lights.map(glow),
        spin: f32::from(lively.spin),
        hot: lively.hot,
        burnt: lively.burnt,
        shown: lively.shown,
    };
    (it.card.draw)(it, &glance, sketch);
    for (leg, end) in it.legs.iter().zip(&legs) {
        if let (halfrow_core::part::Depth::Barely | halfrow_core::part::Depth::Out, Some(end)) =
            (leg.depth, end)
        {
            // A leg that is not home casts a shadow and shows a gap.
            let colour = "#a4380c";
            let d = format!("M{} {}l8 -8m-8 0l8 8", end.x - 4.0, end.y + 4.0);
            if leg.depth == halfrow_core::part::Depth::Out {
                sketch.path(d, Style::line(colour, 2.0));
            } else {
                let style =
                    Style { fill: Paint::None, stroke: Paint::Fixed(colour), width: 1.8, opacity: 1.0 };
                sketch.circle(end.x, end.y, 5.5, style);
            }
        }
    }
}

/// The line that runs from the hole of a leg, as a path: a wire, or the lead of a part beside the board.
pub fn run(bench: &Bench, leg: LegId) -> Option<String> {
    let part = bench.part(leg.part);
    if !part.card.is_wire() && !layout::is_off_board(bench, leg.part) {
        return None;
    }
    let at = layout::hole(bench, part.legs[leg.pin].hole?)?;
    let end = format!(" {} {}", n(at.x), n(at.y));
    ghost(bench, leg.part).into_iter().find_map(|shape| match shape {
        Shape::Path { d, .. } if d.ends_with(&end) => Some(d),
        _ => None,
    })
}

/// What a chip of text covers.
pub fn chip_area(at: Point, words: &str, size: f32) -> layout::Area {
    let width = words.chars().count() as f32 * size * 0.60 + 8.0;
    layout::Area { x: at.x - width / 2.0, y: at.y - size + 0.5, width, height: size + 4.5 }
}

/// A chip of text on a ground of the sheet's colour.
pub fn chip(sketch: &mut Sketch, at: Point, words: &str, size: f32, bold: bool) {
    let area = chip_area(at, words, size);
    let mut style = Style::tint(Tint::Sheet).faint(0.94);
    style.stroke = Paint::Tint(Tint::Rule);
    style.width = 0.8;
    sketch.rect(area.x, area.y, area.width, area.height, 3.0, style);
    sketch.text(Point::new(at.x, at.y + 1.0), size, Anchor::Middle, bold, words, Style::tint(Tint::Ink));
}

/// The label of a part beside the board, with its figures and in no type smaller than `least`; nothing
/// for others.
pub fn shelf_label(bench: &Bench, ix: PartIx, looks: &Looks, least: f32) -> Vec<Shape> {
    let mut sketch = Sketch::default();
    let Some(figures) = &looks.figures else { return sketch.shapes };
    let it = bench.part(ix);
    let rest = layout::rest(bench, ix);
    // Beside the lead: the width of a pack is known by its label's length alone.
    let at = |lines: f32| Point::new(rest.x + 45.0, rest.y + 168.0 + 1.25 * least.max(12.8) * lines);
    let title = format!("{} · {}", it.id, (it.card.label)(it));
    sketch.text(at(0.0), least.max(13.0), Anchor::Middle, true, title, Style::tint(Tint::Ink));
    sketch.text(at(1.0), least.max(12.5), Anchor::Middle, false, figures, Style::tint(Tint::Soft));
    sketch.shapes
}

/// The paint of a finding's mark.
pub fn mark_colour(severity: Severity) -> &'static str {
    match severity {
        Severity::Fault => "#b83a0b",
        Severity::Risk => "#7a5f00",
        Severity::Habit => "#55616a",
    }
}

/// Numbered marks in the margin with dashed lines to the holes that the findings speak of. Fault, risk
/// and habit differ by shape too: a disc, a square, a diamond. Their type is not smaller than `least`.
pub fn marks(bench: &Bench, findings: &[Finding], least: f32) -> Vec<Shape> {
    let size = least.clamp(13.5, 24.0);
    let half = size - 1.0;
    let mut sketch = Sketch::default();
    let last = layout::board(bench, bench.boards.len() - 1);
    let x = last.x + last.width + 40.0;
    let mut placed: Vec<(usize, Point, Option<Point>)> = findings
        .iter()
        .enumerate()
        .map(|(index, finding)| {
            let hole = finding.holes.first().and_then(|&hole| layout::hole(bench, hole));
            let part = finding.parts.first().map(|&part| layout::centre(bench, part));
            let target = hole.or(part);
            (index, Point::new(x, target.map_or(30.0, |t| t.y - 16.0)), hole)
        })
        .collect();
    placed.sort_by(|a, b| a.1.y.total_cmp(&b.1.y));
    let mut floor = f32::MIN;
    for (_, at, _) in &mut placed {
        at.y = at.y.max(floor + 2.2 * size).max(14.0);
        floor = at.y;
    }
    for (index, at, hole) in placed {
        let finding = &findings[index];
        let colour = mark_colour(finding.severity);
        if let Some(hole) = hole {
            let ring = Style { fill: Paint::None, stroke: Paint::Fixed(colour), width: 2.4, opacity: 1.0 };
            sketch.circle(hole.x, hole.y, 11.0, ring);
            sketch.path(dashes(Point::new(hole.x + 11.0, hole.y), at), Style::line(colour, 1.6));
        }
        match finding.severity {
            Severity::Fault => sketch.circle(at.x, at.y, half, Style::fill(colour)),
            Severity::Risk => {
                sketch.rect(at.x - half, at.y - half, 2.0 * half, 2.0 * half, 3.0, Style::fill(colour));
            }
            Severity::Habit => {
                let d = format!("M{} {}l{size} {size}l-{size} {size}l-{size} -{size}z", at.x, at.y - size);
                sketch.path(d, Style::fill(colour));
            }
        }
        let number = (index + 1).to_string();
        let middle = Point::new(at.x, at.y + 0.36 * size);
        sketch.text(middle, size, Anchor::Middle, true, number, Style::fill("#ffffff"));
    }
    sketch.shapes
}

/// A dashed line as separate strokes, so that it needs no dash attribute.
fn dashes(from: Point, to: Point) -> String {
    let length = from.distance(to).max(1.0);
    let count = (length / 7.0).floor() as usize;
    (0..count)
        .map(|i| {
            let (a, b) = (i as f32 * 7.0 / length, (i as f32 * 7.0 + 4.0) / length);
            let (a, b) = (from.towards(to, a), from.towards(to, b.min(1.0)));
            let [ax, ay, bx, by] = [a.x, a.y, b.x, b.y].map(f64::from);
            format!("M{ax:.1} {ay:.1}L{bx:.1} {by:.1}")
        })
        .collect()
}

/// The order in which parts are drawn: wires below, so that bodies stay legible.
pub fn order(bench: &Bench) -> Vec<PartIx> {
    let mut order: Vec<PartIx> = (0..bench.parts.len()).map(PartIx).collect();
    order.sort_by_key(|&ix| (!layout::is_off_board(bench, ix), !bench.part(ix).card.is_wire()));
    order
}

/// Boards, parts, labels and marks.
pub fn whole(bench: &Bench, point: &OperatingPoint, findings: &[Finding]) -> Vec<Shape> {
    let mut shapes = boards(bench, 0.0);
    for ix in order(bench) {
        let looks = looks(bench, point, ix);
        shapes.extend(part(bench, ix, &looks));
        shapes.extend(shelf_label(bench, ix, &looks, 0.0));
    }
    shapes.extend(labels::draw(&labels::labels(bench, 0.0, None), 0.0));
    shapes.extend(marks(bench, findings, 0.0));
    shapes
}

#[cfg(test)]
mod tests {
    use super::*;
    use halfrow_core::board::{BoardKind, Hole};
    use halfrow_core::parts;
    use halfrow_core::solve::solve;

    #[test]
    fn a_battery_tells_what_it_gives_and_a_motor_what_it_takes() {
        let mut bench = Bench::new(BoardKind::Half);
        for (kind, holes) in [("battery", ["L+1", "L-1"]), ("motor", ["L+5", "L-5"])] {
            let part = PartIx(bench.parts.len());
            bench.parts.push(Part::new(kind, parts::card(kind).unwrap()));
            for (pin, hole) in holes.into_iter().enumerate() {
                bench.put_leg(LegId { part, pin }, Hole::parse(hole)).unwrap();
            }
        }
        let point = solve(&bench);
        let figures = |part| looks(&bench, &point, PartIx(part)).figures.unwrap();
        let (given, taken) = (figures(0), figures(1));
        assert!(given.ends_with(" mA") && !given.contains('\u{2212}'), "{given}");
        assert_eq!(given, taken);
    }
}
