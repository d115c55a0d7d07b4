//! Small pictures of the kinds of parts, and which pin is which.

use halfrow_core::card::Card;
use halfrow_core::parts::card;
use halfrow_core::shape::{Shape, n};
use halfrow_draw::layout::Area;
use halfrow_draw::portrait::{has_pin_out, pin_out, portrait};
use yew::prelude::*;

use crate::ui::shapes;

fn view_box(area: &Area) -> String {
    format!("{} {} {} {}", n(area.x), n(area.y), n(area.width), n(area.height))
}

/// Properties of [`Pictured`].
#[derive(Properties, PartialEq)]
pub struct Props {
    /// The kind of part.
    pub kind: &'static str,
}

/// A small picture of a kind of part: drawn once, since it never changes.
#[component]
pub fn Pictured(props: &Props) -> Html {
    let Some(card) = card(props.kind) else { return html! {} };
    let (area, shapes) = portrait(card);
    html! { <svg class="pictured" viewBox={view_box(&area)} aria-hidden="true">{ small(&shapes) }</svg> }
}

/// Without words: they would be too small to read.
fn small(shapes: &[Shape]) -> Html {
    shapes::legible(shapes, 1000.0)
}

/// Which pin of a part is which, as a picture with words, where people look that up.
pub fn pins(card: &'static Card) -> Html {
    if !has_pin_out(card) {
        return html! {};
    }
    let (area, shapes) = pin_out(card);
    let all = card.pins.iter().map(|pin| pin.says).collect::<Vec<_>>().join(", ");
    // As large as words of twelve pixels ask for.
    let width = format!("{}", area.width.round());
    html! {
        <svg class="pin-out" viewBox={view_box(&area)} {width} role="img" aria-label={format!("Pins of {}, from above: {all}", card.name)}>
            { shapes::view(&shapes) }</svg>
    }
}

/// The same behind a line of words.
pub fn folded_pins(card: &'static Card) -> Html {
    if !has_pin_out(card) {
        return html! {};
    }
    html! { <details class="legs"><summary>{ "Which pin is which" }</summary>{ pins(card) }</details> }
}
