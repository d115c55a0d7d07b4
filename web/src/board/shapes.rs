//! Shapes of the drawing crate as elements of the page.

use halfrow_core::shape::Shape;
use halfrow_draw::svg;
use yew::virtual_dom::VTag;
use yew::{AttrValue, Html};

/// Shapes as SVG elements that follow the theme.
pub fn view(shapes: &[Shape]) -> Html {
    legible(shapes, 0.0)
}

/// The same without type that is smaller than `least`.
pub fn legible(shapes: &[Shape], least: f32) -> Html {
    shapes.iter().map(|shape| one(shape, least)).collect()
}

fn one(shape: &Shape, least: f32) -> Html {
    if matches!(shape, Shape::Text { size, .. } if *size < least) {
        return Html::default();
    }
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
