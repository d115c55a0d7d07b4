//! The parts drawer.

use halfrow_core::card::Card;
use halfrow_core::parts::CARDS;
use wasm_bindgen::JsCast;
use web_sys::{Element, HtmlInputElement};
use yew::prelude::*;

use crate::model::state::{Action, Hand, Use};
use crate::panel::pictured::Pictured;
use crate::ui::focus as roving;
use crate::ui::page::{Handle, Store};

/// Properties of [`Drawer`].
#[derive(Properties, PartialEq)]
pub struct Props {
    /// Where actions go.
    pub to: UseReducerDispatcher<Store>,
    /// The kind of part that is in hand.
    pub in_hand: Option<&'static str>,
}

impl Props {
    /// The drawer's properties for a page.
    pub fn of(page: &Handle) -> Props {
        let in_hand = match &page.state.selection.hand {
            Hand::Part { card, .. } => Some(card.kind),
            _ => None,
        };
        Props { to: page.dispatcher(), in_hand }
    }
}

/// A finger's events go to where it is, as a mouse's do, and not to where it came down.
fn let_go(event: &PointerEvent) {
    if let Some(target) = event.target().and_then(|it| it.dyn_into::<Element>().ok()) {
        let _ = target.release_pointer_capture(event.pointer_id());
    }
}

/// All kinds of parts in groups, with a field that finds one.
#[component]
pub fn Drawer(props: &Props) -> Html {
    let wanted = use_state_eq(String::new);
    let oninput = {
        let wanted = wanted.clone();
        Callback::from(move |event: InputEvent| {
            wanted.set(event.target_unchecked_into::<HtmlInputElement>().value())
        })
    };
    let needle = wanted.trim().to_ascii_lowercase();
    // The list is one stop of the Tab key: the part where the arrows went last.
    let last = use_state_eq(|| "");
    // The kind that the pointer came down on and has not left yet.
    let pressed = use_mut_ref(|| "");
    let found: Vec<&'static Card> = CARDS.iter().copied().filter(|card| fits(card, &needle)).collect();
    let stop = found.iter().find(|card| card.kind == *last).or(found.first()).map(|card| card.kind);
    let mut group = None;
    let first = found.first().copied();
    let found_none = found.is_empty();
    let rows = found.into_iter().map(|card| {
        let heading = (group != Some(card.group)).then(|| html! { <h3>{ card.group.name() }</h3> });
        group = Some(card.group);
        let taken = props.in_hand == Some(card.kind);
        let (to, drag_to) = (props.to.clone(), props.to.clone());
        // Dragged out of the list, it is in hand; the board takes it from there. Other kinds that the
        // pointer crosses on its way are nothing to it.
        let (down, left) = (pressed.clone(), pressed.clone());
        let onpointerdown = Callback::from(move |event: PointerEvent| {
            let_go(&event);
            down.replace(card.kind);
        });
        let onpointerleave = Callback::from(move |event: PointerEvent| {
            if left.take() == card.kind && event.buttons() & 1 == 1 {
                drag_to.dispatch(Action::Take(card));
            }
        });
        let key = card.key.map(|key| html! { <kbd aria-hidden="true">{ key.to_ascii_uppercase() }</kbd> });
        html! {
            <>
                { heading }
                <button class={classes!("kind", card.logic.is_some().then_some("half"), taken.then_some("on"))} title={card.what} aria-pressed={taken.to_string()}
                    tabindex={if stop == Some(card.kind) { "0" } else { "-1" }}
                    onfocus={let last = last.clone(); Callback::from(move |_: FocusEvent| last.set(card.kind))}
                    {onpointerdown} {onpointerleave}
                    onclick={Callback::from(move |_: MouseEvent| to.dispatch(Action::Take(card)))}>
                    <Pictured kind={card.kind} /><span>{ card.name }</span>{ key }
                </button>
            </>
        }
    });
    let mut rows: Vec<Html> = rows.collect();
    if needle.is_empty() || "multimeter measure".contains(&needle) {
        rows.insert(0, meter_row(props.to.clone(), found_none));
    }
    let onkeydown = {
        let to = props.to.clone();
        Callback::from(move |event: KeyboardEvent| {
            if let (Some(card), "Enter") = (first, event.key().as_str()) {
                to.dispatch(Action::Take(card));
            }
        })
    };
    html! {
        <nav class="drawer" aria-label="Parts">
            <h2 class="away">{ "Parts" }</h2>
            <input type="search" placeholder="Find a part" aria-label="Find a part" {oninput} {onkeydown} value={(*wanted).clone()} />
            if rows.is_empty() {
                <p class="quiet" role="status">{ "No part by that name." }</p>
            }
            // In an element of its own: beside a list whose length changes the field would be made anew
            // and lose the focus.
            <div onkeydown={roving::by_keys()}>{ for rows }</div>
        </nav>
    }
}

/// Whether a kind of part is found by what was typed: its name, what people call it, what it does.
fn fits(card: &Card, needle: &str) -> bool {
    needle.is_empty()
        || card.name.to_ascii_lowercase().contains(needle)
        || card.kind.contains(needle)
        || card.also.iter().any(|word| word.starts_with(needle))
        || card.what.to_ascii_lowercase().contains(needle)
        || card.group.name().to_ascii_lowercase().contains(needle)
}

/// The multimeter's place in the list, which is of its own kind; whether it is the stop of the Tab key.
fn meter_row(to: UseReducerDispatcher<Store>, is_stop: bool) -> Html {
    let take = Callback::from(move |_: MouseEvent| to.dispatch(Action::Meter(Use::Take)));
    html! {
        <>
            <h3>{ "Measure" }</h3>
            <button class="kind" tabindex={if is_stop { "0" } else { "-1" }}
                title="Shows volts, amperes and ohms between its two tips." onclick={take}>
                <span>{ "Multimeter" }</span><kbd aria-hidden="true">{ "M" }</kbd></button>
        </>
    }
}
