//! Boards and the parts on them and beside them.

use halfrow_core::amount;
use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::card::State;
use halfrow_core::part::Part;
use halfrow_core::readings::PartReading;
use halfrow_core::shape::{Anchor, Glance, Paint, Point, Shape, Sketch, Style, Tint, n};
use halfrow_core::solve::OperatingPoint;

use crate::{board, layout};

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
    /// The line of figures under an off-board part; empty where only the meter tells.
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
        if !bench.may_tell_figures() {
            return String::new();
        }
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

/// The order in which parts are drawn: wires below, so that bodies stay legible.
pub fn order(bench: &Bench) -> Vec<PartIx> {
    let mut order: Vec<PartIx> = (0..bench.parts.len()).map(PartIx).collect();
    order.sort_by_key(|&ix| (!layout::is_off_board(bench, ix), !bench.part(ix).card.is_wire()));
    order
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

    #[test]
    fn wires_and_the_leads_of_a_supply_are_lines_to_their_holes() {
        let bench = halfrow_core::sample::blinker(1.0);
        for (ix, part) in bench.parts.iter().enumerate() {
            let lines = part.card.is_wire() || layout::is_off_board(&bench, PartIx(ix));
            let leg = LegId { part: PartIx(ix), pin: 1 };
            assert_eq!(run(&bench, leg).is_some(), lines, "{}", part.id);
        }
    }
}
