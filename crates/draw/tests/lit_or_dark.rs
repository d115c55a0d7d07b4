//! A lamp is seen to be lit or dark: by lightness, on any ground, for any eye.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{BoardKind, Hole};
use halfrow_core::card::Value;
use halfrow_core::part::Part;
use halfrow_core::parts;
use halfrow_core::shape::{HALO_LEAST, Paint, Point, Shape, Style};
use halfrow_core::solve::solve;
use halfrow_draw::{layout, scene};

/// A colour in linear light.
type Colour = [f64; 3];

/// A colour of CSS and how opaque it is (sRGB: IEC 61966-2-1).
fn colour(css: &str) -> (Colour, f64) {
    let part = |at: usize| f64::from(u8::from_str_radix(&css[at..at + 2], 16).unwrap()) / 255.0;
    let linear = |x: f64| if x <= 0.04045 { x / 12.92 } else { ((x + 0.055) / 1.055).powf(2.4) };
    ([1, 3, 5].map(|at| linear(part(at))), if css.len() == 9 { part(7) } else { 1.0 })
}

/// CIE 1976 lightness, 0 to 100.
fn lightness([r, g, b]: Colour) -> f64 {
    let y = 0.2126 * r + 0.7152 * g + 0.0722 * b;
    if y > 0.008856 { 116.0 * y.cbrt() - 16.0 } else { 903.3 * y }
}

/// What is seen with all cones, without the red and without the green ones (Machado, Oliveira and Fernandes,
/// IEEE TVCG 15, 2009, severity 1).
const EYES: [[[f64; 3]; 3]; 3] = [
    [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]],
    [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]],
    [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]],
];

fn seen(eye: &[[f64; 3]; 3], it: Colour) -> Colour {
    eye.map(|row| row.iter().zip(it).map(|(a, b)| a * b).sum::<f64>().clamp(0.0, 1.0))
}

fn over(below: Colour, style: &Style, paint: Paint) -> Colour {
    let (Paint::Fixed(css) | Paint::Halo(css)) = paint else { return below };
    let (top, alpha) = colour(css);
    let alpha = alpha * f64::from(style.opacity);
    std::array::from_fn(|i| below[i] * (1.0 - alpha) + top[i] * alpha)
}

/// The colour at a point of circles over a ground, at so many pixels a unit.
fn at(shapes: &[Shape], origin: Point, point: Point, per_unit: f32, mut ground: Colour) -> Colour {
    for shape in shapes {
        match shape {
            Shape::Circle { at, r, style } => {
                let far = Point::new(at.x + origin.x, at.y + origin.y).distance(point);
                if far < *r {
                    ground = over(ground, style, style.fill);
                }
                let in_pixels = matches!(style.stroke, Paint::Halo(_));
                let width = if in_pixels { style.width / per_unit } else { style.width };
                if (far - r).abs() < width / 2.0 {
                    ground = over(ground, style, style.stroke);
                }
            }
            Shape::Group { at: place, shapes, .. } => {
                let origin = Point::new(origin.x + place.x, origin.y + place.y);
                ground = self::at(shapes, origin, point, per_unit, ground);
            }
            _ => {}
        }
    }
    ground
}

/// A lamp's picture and its middle.
struct Lamp(Point, Vec<Shape>);

impl Lamp {
    /// An LED of this colour in series with so many ohms at a battery.
    fn new(colour: u8, ohms: f64) -> Lamp {
        let mut bench = Bench::new(BoardKind::Half);
        let parts = [
            ("battery", ["L+1", "L-1"]),
            ("led", ["c5", "c7"]),
            ("resistor", ["L+9", "a5"]),
            ("wire", ["a7", "L-9"]),
        ];
        for (kind, holes) in parts {
            let part = PartIx(bench.parts.len());
            bench.parts.push(Part::new(kind, parts::card(kind).unwrap()));
            for (pin, hole) in holes.into_iter().enumerate() {
                bench.put_leg(LegId { part, pin }, Hole::parse(hole)).unwrap();
            }
        }
        bench.parts[1].values[0] = Value::Choice(colour);
        bench.parts[2].values[0] = Value::Number(ohms);
        let looks = scene::looks(&bench, &solve(&bench), PartIx(1));
        Lamp(layout::centre(&bench, PartIx(1)), scene::part(&bench, PartIx(1), &looks))
    }

    /// The colour so many units beside its middle.
    fn beside(&self, units: f32, per_unit: f32, ground: Colour) -> Colour {
        // Across the legs, which are bare metal.
        let point = Point::new(self.0.x + units, self.0.y);
        at(&self.1, Point::default(), point, per_unit, ground)
    }
}

/// Bright, dim (a quarter of a milliampere) and dark.
const OHMS: [f64; 3] = [220.0, 12_000.0, 1e8];

#[test]
fn a_lit_lens_is_light_and_an_unlit_one_dark_for_every_eye() {
    for dye in 0..5 {
        let lamps = OHMS.map(|ohms| Lamp::new(dye, ohms));
        for eye in &EYES {
            let [lit, dim, dark] = [0, 1, 2].map(|which| {
                let tone = |step: u8| {
                    let it = lamps[which].beside(f32::from(step), 1.0, colour("#fffdf6").0);
                    lightness(seen(eye, it))
                };
                let all: Vec<f64> = (1..17).map(tone).collect();
                (all.iter().sum::<f64>() / 16.0, all.iter().copied().fold(0.0, f64::max))
            });
            assert!(dark.1 < 50.0, "colour {dye}: the lightest of the dark lens is {}", dark.1);
            assert!(lit.0 > dark.0 + 30.0, "colour {dye}: {lit:?}, dark {dark:?}");
            assert!(dim.0 > dark.0 + 18.0, "colour {dye}: dim {dim:?}, dark {dark:?}");
        }
    }
}

#[test]
fn a_lit_lamp_has_a_ring_of_some_pixels_at_every_zoom_on_every_ground() {
    // The board of the light, the dark and the high-contrast theme.
    for ground in ["#fffdf6", "#d9d3c4", "#ffffff"].map(|css| colour(css).0) {
        for dye in 0..5 {
            let [lit, dim, dark] = OHMS.map(|ohms| Lamp::new(dye, ohms));
            for per_unit in [0.3, 0.6, 1.0, 3.0] {
                // From the rim outwards, a third of a pixel at a time.
                let ring = |lamp: &Lamp, eye| -> Vec<Colour> {
                    let pixel = |step: u8| 22.0 + f32::from(step) / 3.0 / per_unit;
                    (1..21).map(|step| seen(eye, lamp.beside(pixel(step), per_unit, ground))).collect()
                };
                for eye in &EYES {
                    let bare = seen(eye, ground);
                    assert!(ring(&dark, eye).iter().all(|it| *it == bare), "light around a dark lamp");
                    for lamp in [&lit, &dim] {
                        let ring = ring(lamp, eye);
                        let other = ring.iter().filter(|it| **it != bare).count();
                        assert!(other as f32 / 3.0 >= HALO_LEAST, "colour {dye}: {other} thirds of a pixel");
                        let edge = ring.iter().map(|it| lightness(*it)).fold(100.0, f64::min);
                        assert!(edge + 25.0 < lightness(bare), "colour {dye}: {edge} on {}", lightness(bare));
                    }
                }
            }
        }
    }
}
