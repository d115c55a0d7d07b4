//! A multimeter beside the board: case, display, dial, sockets, and its two leads.

use halfrow_core::bench::Bench;
use halfrow_core::meter::{Dial, Lead, Socket, Touch};
use halfrow_core::shape::{Anchor, Paint, Point, Shape, Sketch, Style, Tint, n};

use crate::layout;

/// What the display shows.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Display {
    /// Digits, point and sign; empty while it is dark.
    pub digits: String,
    /// The unit beside them.
    pub unit: &'static str,
    /// Whether the number is held.
    pub held: bool,
    /// Whether the battery is low.
    pub battery: bool,
    /// Whether it sounds.
    pub sounds: bool,
}

/// Centre of the dial, from the meter's upper left corner, and its radius.
const DIAL: (f32, f32, f32) = (70.0, 142.0, 32.0);

/// Height of the sockets' centres.
const SOCKETS_Y: f32 = 238.0;

/// The colour of a lead, a darker edge, and the letter on its grip.
const LEADS: [(&str, &str, &str); 2] = [("#b3261e", "#6f130e", "R"), ("#2b3338", "#0d1113", "B")];

/// The angle of a position of the dial, in turns clockwise from the top: off at the left, then volts over
/// the top, ohms on the right, amperes below.
fn turns(dial: Dial) -> f32 {
    dial.place() as f32 / Dial::ALL.len() as f32 - 0.25
}

/// A point at an angle and distance from the dial's centre.
fn around(dial: Dial, far: f32) -> Point {
    let (sin, cos) = halfrow_core::math::sin_cos_turns(f64::from(turns(dial)));
    Point::new(DIAL.0 + far * sin as f32, DIAL.1 - far * cos as f32)
}

/// What is printed beside a position.
fn printed(dial: Dial) -> &'static str {
    match dial {
        Dial::Off => "OFF",
        Dial::Dc600V | Dial::Ac600V => "600",
        Dial::Dc200V | Dial::Ac200V | Dial::Ohm200 => "200",
        Dial::Dc20V => "20",
        Dial::Dc2V => "2",
        Dial::Dc200Mv | Dial::Dc200Ma => "200m",
        Dial::Ohm2K => "2k",
        Dial::Ohm20K => "20k",
        Dial::Ohm200K => "200k",
        Dial::Ohm2M => "2M",
        Dial::Diode => "►|",
        Dial::Continuity => "♪",
        Dial::Dc10A => "10",
        Dial::Dc20Ma => "20m",
        Dial::Dc2Ma => "2m",
        Dial::Dc200Ua => "200µ",
    }
}

/// Where a socket is, from the meter's upper left corner.
fn socket_place(socket: Socket) -> Point {
    let place = Socket::ALL.iter().position(|&it| it == socket).unwrap_or(0);
    Point::new(26.0 + 44.0 * place as f32, SOCKETS_Y)
}

/// Where a socket of a meter is on the bench.
pub fn socket(bench: &Bench, index: usize, socket: Socket) -> Point {
    let area = layout::meter(bench, index);
    let at = socket_place(socket);
    Point::new(area.x + at.x, area.y + at.y)
}

/// The centre of a meter's dial on the bench.
pub fn dial_centre(bench: &Bench, index: usize) -> Point {
    let area = layout::meter(bench, index);
    Point::new(area.x + DIAL.0, area.y + DIAL.1)
}

/// The position of the dial that points towards a place of the bench.
pub fn dial_towards(bench: &Bench, index: usize, at: Point) -> Dial {
    let area = layout::meter(bench, index);
    let (x, y) = (at.x - area.x, at.y - area.y);
    let far = |dial: &Dial| {
        let length = Point::new(x, y).distance(Point::new(DIAL.0, DIAL.1)).max(1.0);
        around(*dial, length).distance(Point::new(x, y))
    };
    Dial::ALL.into_iter().min_by(|a, b| far(a).total_cmp(&far(b))).unwrap_or_default()
}

/// Where a lead's tip is on the bench: on what it touches, or parked beside the meter.
pub fn tip(bench: &Bench, index: usize, red: bool) -> Point {
    let meter = &bench.meters[index];
    let lead = if red { &meter.red } else { &meter.black };
    let area = layout::meter(bench, index);
    match &lead.tip {
        Touch::Socket(at) => socket(bench, index, *at),
        Touch::Fuse(end) => Point::new(area.x + 100.0 + 20.0 * *end as f32, area.y + 262.0),
        // Parked, they hang below the case, so that nothing on it is covered.
        touched => layout::touched(bench, touched)
            .unwrap_or(Point::new(area.x + if red { 136.0 } else { 72.0 }, area.y + area.height + 4.0)),
    }
}

/// Case, display, dial and sockets.
pub fn body(bench: &Bench, index: usize, display: &Display) -> Vec<Shape> {
    let meter = &bench.meters[index];
    let area = layout::meter(bench, index);
    let mut sketch = Sketch::default();
    sketch.group(Point::new(area.x, area.y), 0.0, |case| {
        case.rect(0.0, 0.0, area.width, area.height, 16.0, Style::fill("#0d6e6e").outlined("#07484a", 1.0));
        case.rect(5.0, 5.0, area.width - 10.0, area.height - 10.0, 12.0, Style::fill("#fbf7ee"));
        screen(case, display);
        dial(case, meter.dial);
        for at in Socket::ALL {
            let place = socket_place(at);
            let ring = if at == Socket::Com { "#2b3338" } else { "#b3261e" };
            case.text(Point::new(place.x, place.y - 17.0), 8.5, Anchor::Middle, true, at.name(), ink());
            case.circle(place.x, place.y, 10.0, Style::fill(ring).outlined("#1d2b33", 0.8));
            case.circle(place.x, place.y, 4.6, Style::fill("#0d1113"));
        }
        let fuse = if meter.kind == halfrow_core::meter::Kind::Cheap { "no fuse" } else { "fuse 10 A" };
        case.text(Point::new(26.0, 259.0), 7.0, Anchor::Middle, false, fuse, ink());
        case.text(Point::new(114.0, 259.0), 7.0, Anchor::Middle, false, "500 mA", ink());
    });
    sketch.shapes
}

fn ink() -> Style {
    Style::fill("#1d2b33")
}

fn screen(case: &mut Sketch, display: &Display) {
    case.rect(14.0, 16.0, 112.0, 50.0, 4.0, Style::fill("#d9e0cd").outlined("#1d2b33", 1.0));
    seven_segments(case, &display.digits);
    case.text(Point::new(122.0, 61.0), 10.0, Anchor::End, true, display.unit, ink());
    let mut signs = Vec::new();
    if display.battery {
        signs.push("BATT");
    }
    if display.held {
        signs.push("HOLD");
    }
    if display.sounds {
        signs.push("♪");
    }
    case.text(Point::new(18.0, 26.0), 8.0, Anchor::Start, true, signs.join(" "), ink());
}

/// The segments of a digit, a to g, as bits from the lowest.
fn segments(digit: char) -> u8 {
    match digit {
        '0' => 0x3f,
        '1' => 0x06,
        '2' => 0x5b,
        '3' => 0x4f,
        '4' => 0x66,
        '5' => 0x6d,
        '6' => 0x7d,
        '7' => 0x07,
        '8' => 0x7f,
        '9' => 0x6f,
        '-' => 0x40,
        _ => 0,
    }
}

/// Digits as a liquid crystal shows them, at the right edge; a lone 1 of what doesn't fit at the left.
fn seven_segments(case: &mut Sketch, digits: &str) {
    const PITCH: f32 = 22.0;
    const WIDE: f32 = 13.0;
    const HIGH: f32 = 28.0;
    let count = digits.chars().filter(|digit| *digit != '.').count();
    let over = digits.trim_start_matches('-') == "1";
    let sign = digits.starts_with('-');
    // Four places; a sign stands before them.
    let first = if over { 0 } else { 4usize.saturating_sub(count - usize::from(sign && count > 0)) };
    let mut place = first as f32;
    if sign {
        let y = 44.0;
        case.line(Point::new(16.0, y), Point::new(24.0, y), Style::line("#1d2b33", 2.6));
    }
    for digit in digits.chars().filter(|digit| *digit != '-') {
        let x = 27.0 + PITCH * place;
        let y = 30.0;
        if digit == '.' {
            case.circle(x - 5.0, y + HIGH, 1.7, ink());
            continue;
        }
        let bits = segments(digit);
        let (left, right, middle, foot) = (x, x + WIDE, y + 0.5 * HIGH, y + HIGH);
        let lines = [
            ((left, y), (right, y)),
            ((right, y), (right, middle)),
            ((right, middle), (right, foot)),
            ((left, foot), (right, foot)),
            ((left, middle), (left, foot)),
            ((left, y), (left, middle)),
            ((left, middle), (right, middle)),
        ];
        let mut d = String::new();
        for (bit, ((ax, ay), (bx, by))) in lines.into_iter().enumerate() {
            if bits >> bit & 1 == 1 {
                d += &format!("M{} {}L{} {}", n(ax), n(ay), n(bx), n(by));
            }
        }
        case.path(d, Style::line("#1d2b33", 2.6));
        place += 1.0;
    }
}

fn dial(case: &mut Sketch, at: Dial) {
    // What belongs together is bound by an arc.
    let groups = [
        ("V", Dial::Dc600V, Dial::Dc200Mv, "#1f4f7d"),
        ("V~", Dial::Ac200V, Dial::Ac600V, "#5d3a8a"),
        ("Ω", Dial::Ohm200, Dial::Ohm2M, "#0b6b63"),
        ("A", Dial::Dc10A, Dial::Dc200Ua, "#9a3412"),
    ];
    for (name, from, to, colour) in groups {
        let radius = DIAL.2 + 21.0;
        let (start, end) = (around(from, radius), around(to, radius));
        let d = format!("M{} {}A{radius} {radius} 0 0 1 {} {}", n(start.x), n(start.y), n(end.x), n(end.y));
        case.path(d, Style::line(colour, 1.6));
        let middle = Dial::ALL[(from as usize + to as usize) / 2];
        let far = if matches!(name, "Ω") { DIAL.2 + 26.5 } else { DIAL.2 + 28.0 };
        let place = around(middle, far);
        let style = Style::fill(colour);
        case.text(Point::new(place.x, place.y + 3.5), 10.0, Anchor::Middle, true, name, style);
    }
    for position in Dial::ALL {
        let place = around(position, DIAL.2 + 11.0);
        let on = position == at;
        let size = if on { 8.0 } else { 6.6 };
        case.text(Point::new(place.x, place.y + 2.4), size, Anchor::Middle, on, printed(position), ink());
    }
    case.circle(DIAL.0, DIAL.1, DIAL.2, Style::fill("#1d2b33"));
    case.circle(DIAL.0, DIAL.1, DIAL.2 - 7.0, Style::fill("#2e434d"));
    let (back, front) = (around(at, -(DIAL.2 - 8.0)), around(at, DIAL.2 - 3.0));
    case.line(back, front, Style::line("#fbf7ee", 4.0));
}

/// Both leads: from their sockets to their tips.
pub fn leads(bench: &Bench, index: usize) -> Vec<Shape> {
    let meter = &bench.meters[index];
    let mut sketch = Sketch::default();
    for (lead, red) in [(&meter.black, false), (&meter.red, true)] {
        draw_lead(&mut sketch, bench, index, lead, red);
    }
    sketch.shapes
}

fn draw_lead(sketch: &mut Sketch, bench: &Bench, index: usize, lead: &Lead, red: bool) {
    let (colour, edge, letter) = LEADS[usize::from(!red)];
    let (from, to) = (socket(bench, index, lead.socket), tip(bench, index, red));
    // The grip stands off to the lower left of what is touched, so that the row stays in sight.
    let grip = Point::new(to.x - 30.0, to.y + 32.0);
    let sag = 36.0 + 0.12 * from.distance(grip);
    let d = format!(
        "M{} {}C{} {} {} {} {} {}",
        n(from.x),
        n(from.y),
        n(from.x + 6.0),
        n(from.y + sag),
        n(grip.x - 50.0),
        n(grip.y + sag),
        n(grip.x),
        n(grip.y)
    );
    let edge = if red { Paint::Fixed(edge) } else { Paint::Tint(Tint::Soft) };
    sketch.path(d.clone(), Style { stroke: edge, ..Style::line(colour, 5.6) });
    sketch.path(d, Style::line(colour, 3.8));
    sketch.circle(from.x, from.y, 6.0, Style { stroke: edge, width: 1.0, ..Style::fill(colour) });
    let neck = to.towards(grip, 0.38);
    sketch.line(to, neck, Style::line("#8b9299", 2.4));
    sketch.line(neck, grip, Style { stroke: edge, ..Style::line(colour, 11.0) });
    sketch.line(neck, grip, Style::line(colour, 9.0));
    let middle = neck.towards(grip, 0.55);
    let white = Style::fill("#ffffff");
    sketch.text(Point::new(middle.x, middle.y + 3.0), 8.5, Anchor::Middle, true, letter, white);
    if layout::touched(bench, &lead.tip).is_some() {
        let ring = Style { fill: Paint::None, stroke: Paint::Fixed(colour), width: 1.8, opacity: 1.0 };
        sketch.circle(to.x, to.y, 7.0, ring);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use halfrow_core::board::BoardKind;
    use halfrow_core::meter::Meter;

    #[test]
    fn the_dial_points_where_it_is_turned_to() {
        let mut bench = Bench::new(BoardKind::Half);
        bench.meters.push(Meter::default());
        let area = layout::meter(&bench, 0);
        for dial in Dial::ALL {
            let place = around(dial, 30.0);
            let at = Point::new(area.x + place.x, area.y + place.y);
            assert_eq!(dial_towards(&bench, 0, at), dial);
        }
    }

    #[test]
    fn a_meter_stands_clear_of_boards_and_power() {
        let mut bench = Bench::new(BoardKind::Half);
        bench.meters = vec![Meter::default(); 2];
        let board = layout::board(&bench, 0);
        let areas = [layout::meter(&bench, 0), layout::meter(&bench, 1)];
        assert!(areas[0].common(&areas[1]) == 0.0 && areas.iter().all(|area| area.common(&board) == 0.0));
        let whole = layout::bounds(&bench);
        assert!(areas.iter().all(|area| whole.common(area) == area.width * area.height));
    }
}
