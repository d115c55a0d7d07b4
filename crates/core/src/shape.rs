//! What a part looks like from above, as plain shapes.
//!
//! One drawing unit is a twentieth of a pitch (0.127 mm); x grows to the right, y downwards. The
//! shapes know no screen, zoom or theme: a picture's own colours are fixed, since a red LED is red
//! in the dark too, and the few that follow the theme are named by [`Tint`]. A pitch of the board is 20
//! drawing units.

/// A point in drawing units.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Point {
    /// To the right.
    pub x: f32,
    /// Downwards.
    pub y: f32,
}

impl Point {
    /// The point (x, y).
    pub const fn new(x: f32, y: f32) -> Point {
        Point { x, y }
    }

    /// The point a share `t` of the way to `to`.
    pub fn towards(self, to: Point, t: f32) -> Point {
        Point::new(self.x + (to.x - self.x) * t, self.y + (to.y - self.y) * t)
    }

    /// Distance to another point.
    pub fn distance(self, to: Point) -> f32 {
        ((to.x - self.x) * (to.x - self.x) + (to.y - self.y) * (to.y - self.y)).sqrt()
    }

    /// Direction to another point, degrees clockwise from "to the right".
    pub fn bearing(self, to: Point) -> f32 {
        crate::math::atan2(to.y - self.y, to.x - self.x).to_degrees()
    }
}

/// A colour that follows the theme.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Tint {
    /// Text and outlines.
    Ink,
    /// Quieter text.
    Soft,
    /// The board's body.
    Board,
    /// The channel and other recesses of a board.
    Channel,
    /// Hairlines.
    Rule,
    /// Holes.
    Hole,
    /// Row numbers and column letters.
    Print,
    /// The accent.
    Accent,
    /// Ground behind labels.
    Sheet,
}

/// What an area or line is painted with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Paint {
    /// Nothing.
    None,
    /// A fixed colour, written as CSS does.
    Fixed(&'static str),
    /// A colour of the theme.
    Tint(Tint),
    /// A disc of light that fades outwards, of the given colour (one of [`GLOWS`]).
    Glow(&'static str),
    /// A fixed colour for a line whose width is counted in pixels of the screen, whatever the zoom; in a
    /// picture that stands alone, in drawing units.
    Halo(&'static str),
}

/// The colours of light that parts give off: name and CSS colour. A page or picture defines one
/// radial gradient for each.
pub const GLOWS: [(&str, &str); 5] = [
    ("red", "#ff4a3d"),
    ("yellow", "#ffc928"),
    ("green", "#3fdc62"),
    ("blue", "#4a8cff"),
    ("white", "#fff3d6"),
];

/// How far the ring around the weakest light reaches, in pixels: with less, it is lost beside the rim of the
/// lens on a small picture.
pub const HALO_LEAST: f32 = 2.5;

/// How much farther it does at full light: with more, it would hide the holes beside the lamp on a small
/// picture.
const HALO_MORE: f32 = 2.0;

/// Fill, line and opacity of a shape.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Style {
    /// Area.
    pub fill: Paint,
    /// Line.
    pub stroke: Paint,
    /// Width of the line, drawing units.
    pub width: f32,
    /// 0 to 1.
    pub opacity: f32,
}

impl Style {
    /// A filled area of a fixed colour.
    pub const fn fill(colour: &'static str) -> Style {
        Style { fill: Paint::Fixed(colour), stroke: Paint::None, width: 0.0, opacity: 1.0 }
    }

    /// A line of a fixed colour with round ends.
    pub const fn line(colour: &'static str, width: f32) -> Style {
        Style { fill: Paint::None, stroke: Paint::Fixed(colour), width, opacity: 1.0 }
    }

    /// An area of the theme.
    pub const fn tint(tint: Tint) -> Style {
        Style { fill: Paint::Tint(tint), stroke: Paint::None, width: 0.0, opacity: 1.0 }
    }

    /// The same with an outline of a fixed colour.
    pub const fn outlined(mut self, colour: &'static str, width: f32) -> Style {
        self.stroke = Paint::Fixed(colour);
        self.width = width;
        self
    }

    /// The same with another opacity.
    pub const fn faint(mut self, opacity: f32) -> Style {
        self.opacity = opacity;
        self
    }
}

/// How a line of text is set against its point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// Begins there.
    Start,
    /// Is centred there.
    Middle,
    /// Ends there.
    End,
}

/// A shape.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// A path in SVG's path syntax, which is an open standard and short.
    Path {
        /// Path data.
        d: String,
        /// Look.
        style: Style,
    },
    /// A circle.
    Circle {
        /// Centre.
        at: Point,
        /// Radius.
        r: f32,
        /// Look.
        style: Style,
    },
    /// A rectangle with rounded corners.
    Rect {
        /// Upper left corner.
        at: Point,
        /// Width and height.
        size: (f32, f32),
        /// Corner radius.
        r: f32,
        /// Look.
        style: Style,
    },
    /// A line of text.
    Text {
        /// Baseline point.
        at: Point,
        /// Height of the type, drawing units.
        size: f32,
        /// Alignment.
        anchor: Anchor,
        /// Whether it is bold.
        bold: bool,
        /// The words. Whoever writes them out escapes them.
        words: String,
        /// Look.
        style: Style,
    },
    /// Shapes moved to a point and then turned about it.
    Group {
        /// Where the group's origin goes.
        at: Point,
        /// Degrees clockwise.
        turn: f32,
        /// What is in it.
        shapes: Vec<Shape>,
    },
}

/// What the picture of a part depends on besides the part itself: where its legs are and what it
/// does just now, rounded so that an unseen change draws nothing anew.
#[derive(Clone, Copy, Debug)]
pub struct Glance<'a> {
    /// Where each leg ends, in drawing units of the bench; `None` in the air.
    pub legs: &'a [Option<Point>],
    /// Where the part's body rests when that does not follow from its legs (off-board power, or a
    /// part in the air).
    pub rest: Point,
    /// Brightness in 32 steps from 0 to 1.
    pub glow: f32,
    /// The same for each lamp of a part with several.
    pub lights: [f32; 8],
    /// Turns a second of what turns, clockwise, in a few steps.
    pub spin: f32,
    /// Whether a limit of the part is passed, so that it is hot.
    pub hot: bool,
    /// Whether the part is burnt out.
    pub burnt: bool,
    /// What its outputs and contacts show: the bits of its memory.
    pub shown: u64,
}

impl Glance<'_> {
    /// Where a leg ends: in its hole, or in the air beside the body.
    pub fn leg(&self, pin: usize) -> Point {
        self.legs
            .get(pin)
            .copied()
            .flatten()
            .unwrap_or(Point::new(self.rest.x + 30.0 * pin as f32, self.rest.y))
    }
}

/// A list of shapes under construction; later ones lie on top.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sketch {
    /// What has been drawn.
    pub shapes: Vec<Shape>,
}

impl Sketch {
    /// Adds a path.
    pub fn path(&mut self, d: impl Into<String>, style: Style) {
        self.shapes.push(Shape::Path { d: d.into(), style });
    }

    /// Adds a straight line.
    pub fn line(&mut self, from: Point, to: Point, style: Style) {
        self.path(format!("M{} {}L{} {}", n(from.x), n(from.y), n(to.x), n(to.y)), style);
    }

    /// Adds a circle.
    pub fn circle(&mut self, x: f32, y: f32, r: f32, style: Style) {
        self.shapes.push(Shape::Circle { at: Point::new(x, y), r, style });
    }

    /// Adds a rectangle with rounded corners.
    pub fn rect(&mut self, x: f32, y: f32, width: f32, height: f32, r: f32, style: Style) {
        self.shapes.push(Shape::Rect { at: Point::new(x, y), size: (width, height), r, style });
    }

    /// Adds a line of text.
    pub fn text(
        &mut self,
        at: Point,
        size: f32,
        anchor: Anchor,
        bold: bool,
        words: impl Into<String>,
        style: Style,
    ) {
        self.shapes.push(Shape::Text { at, size, anchor, bold, words: words.into(), style });
    }

    /// Adds what `draw` draws, moved to a point and turned about it.
    pub fn group(&mut self, at: Point, turn: f32, draw: impl FnOnce(&mut Sketch)) {
        let mut inner = Sketch::default();
        draw(&mut inner);
        self.shapes.push(Shape::Group { at, turn, shapes: inner.shapes });
    }

    /// Adds a disc of light, unseen at strength 0: a lamp is the same shapes lit and dark, so that a
    /// page that shows it blinking only changes their looks.
    pub fn glow(&mut self, at: Point, colour: &'static str, strength: f32) {
        let opacity = if strength > 0.0 { 0.35 + 0.65 * strength } else { 0.0 };
        let style = Style { fill: Paint::Glow(colour), stroke: Paint::None, width: 0.0, opacity };
        self.circle(at.x, at.y, 22.0 + 22.0 * strength, style);
    }

    /// Adds a ring of light around a lamp of radius `r`, bright with a dark edge, which stands out from
    /// any ground by some pixels of the screen however small the lamp is drawn; unseen at strength 0.
    pub fn halo(&mut self, at: Point, r: f32, (bright, edge): (&'static str, &'static str), strength: f32) {
        let (opacity, r) = if strength > 0.0 { (1.0, r) } else { (0.0, 1.0) };
        // Half of a line's width lies outside of the circle.
        let outside = HALO_LEAST + HALO_MORE * strength;
        for (colour, width) in [(edge, 2.0 * outside + 2.0), (bright, 2.0 * outside)] {
            let style = Style { fill: Paint::None, stroke: Paint::Halo(colour), width, opacity };
            self.circle(at.x, at.y, r, style);
        }
    }

    /// A bare lead from one point to another with the shine of tinned wire.
    pub fn lead(&mut self, from: Point, to: Point) {
        self.line(from, to, Style::line("#7d8082", 2.6));
        self.line(from, to, Style::line("#c9cccd", 1.1));
    }

    /// The end of a lead where it goes down into a hole.
    pub fn lead_end(&mut self, at: Point) {
        self.circle(at.x, at.y, 2.6, Style::fill("#d6d8d9").outlined("#6b6e70", 0.8));
    }

    /// A two-legged part with its leads in line: draws both leads and calls `body` with the body's
    /// centre at the origin, pin 1 to the left. `half` is half the body's length; where the legs
    /// stand closer than the body is long, the body stands on the line between them all the same.
    pub fn axial(&mut self, from: Point, to: Point, half: f32, body: impl FnOnce(&mut Sketch)) {
        let span = from.distance(to);
        let centre = from.towards(to, 0.5);
        let turn = from.bearing(to);
        let reach = (span / 2.0).max(half + 2.0);
        self.group(centre, turn, |sketch| {
            sketch.lead(Point::new(-reach, 0.0), Point::new(-half + 1.0, 0.0));
            sketch.lead(Point::new(half - 1.0, 0.0), Point::new(reach, 0.0));
            body(sketch);
        });
        self.lead_end(from);
        self.lead_end(to);
    }
}

/// A number for path data: two decimals at most, no trailing zeros.
pub fn n(x: f32) -> String {
    let text = format!("{:.2}", f64::from(x));
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}
