//! Shapes of the drawing crate as elements of the page.

use halfrow_core::shape::Shape;
use halfrow_draw::svg;
use yew::virtual_dom::VTag;
use yew::{AttrValue, Html};

/// Shapes as SVG elements that follow the theme.
pub fn view(shapes: &[Shape]) -> Html {
    legible(shapes, 0.0)
}

/// What is printed on a part grows by this much at most to be legible: more would leave the body.
const GROWS: f32 = 1.42;

/// The same with no type that is smaller than `least`: type grows to it where it is nearly as large, and is
/// left out where it is far smaller.
pub fn legible(shapes: &[Shape], least: f32) -> Html {
    shapes.iter().map(|shape| one(shape, least)).collect()
}

fn one(shape: &Shape, least: f32) -> Html {
    let mut grown = None;
    if let Shape::Text { size, .. } = shape {
        if GROWS * size < least {
            return Html::default();
        }
        let mut larger = shape.clone();
        if let Shape::Text { size, .. } = &mut larger {
            *size = size.max(least);
        }
        grown = Some(larger);
    }
    let shape = grown.as_ref().unwrap_or(shape);
    let (tag, attributes, words) = svg::element(shape, true);
    let mut element = VTag::new(tag);
    for (name, value) in attributes {
        element.add_attribute(name, AttrValue::from(value));
    }
    if let Shape::Group { shapes, .. } = shape {
        for shape in shapes {
            element.add_child(one(shape, least));
        }
    }
    if let Some(words) = words {
        element.add_child(Html::from(words.to_owned()));
    }
    element.into()
}
