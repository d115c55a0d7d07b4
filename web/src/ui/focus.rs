//! Lists that are one stop of the Tab key: arrows go on inside them. And where the focus goes when what
//! had it is gone.

use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;
use web_sys::{Element, HtmlElement};
use yew::prelude::*;

use crate::platform::page as browser;
use crate::ui::board_focus;
use crate::ui::hooks::{use_each, use_once, use_when};
use crate::ui::page::Handle;

/// The button that an arrow key, Home or End leads to from the one that the event is about; the last
/// leads to the first.
pub fn next(event: &KeyboardEvent) -> Option<HtmlElement> {
    let here = event.target()?.dyn_into::<Element>().ok()?.closest("button").ok()??;
    let list = here.parent_element()?;
    let button = |mut it: Option<Element>, on: fn(&Element) -> Option<Element>| {
        while let Some(element) = it {
            if element.tag_name() == "BUTTON" {
                return Some(element);
            }
            it = on(&element);
        }
        None
    };
    let (down, up) = (Element::next_element_sibling, Element::previous_element_sibling);
    let (first, last) = (button(list.first_element_child(), down), button(list.last_element_child(), up));
    let found = match event.key().as_str() {
        "ArrowDown" | "ArrowRight" => button(down(&here), down).or(first),
        "ArrowUp" | "ArrowLeft" => button(up(&here), up).or(last),
        "Home" => first,
        "End" => last,
        _ => return None,
    };
    event.prevent_default();
    found?.dyn_into().ok()
}

/// Moves the focus in a list of buttons by keys.
pub fn by_keys() -> Callback<KeyboardEvent> {
    Callback::from(|event: KeyboardEvent| {
        if let Some(button) = next(&event) {
            let _ = button.focus();
        }
    })
}

/// Gives the focus to what the page's state asks for; and to the board when what had it is gone or
/// switched off, so that the next Tab doesn't begin at the top of the page.
#[hook]
pub fn use_focus(page: &Handle) {
    let last = use_mut_ref(|| None::<Element>);
    {
        let last = last.clone();
        use_once(Box::new(move || {
            let Some(document) = web_sys::window().and_then(|window| window.document()) else { return };
            let listener = Closure::<dyn FnMut(web_sys::Event)>::new(move |event: web_sys::Event| {
                *last.borrow_mut() = event.target().and_then(|it| it.dyn_into().ok());
            });
            let _ = document.add_event_listener_with_callback("focusin", listener.as_ref().unchecked_ref());
            listener.forget();
        }));
    }
    use_each(Box::new(move || {
        let Some(document) = web_sys::window().and_then(|window| window.document()) else { return };
        let active = document.active_element();
        let nothing = active.as_ref().is_none_or(|it| it.tag_name() == "BODY");
        // A button that is switched off has the focus until the next picture.
        let gone = |it: &Element| !it.is_connected() || it.matches(":disabled").unwrap_or(false);
        let last = last.borrow();
        let lost = (nothing || active == *last) && last.as_ref().is_some_and(gone);
        drop(last);
        // Under a sheet that is open nothing may have it.
        if lost && !browser::focus("sheet-title") {
            board_focus::focus();
        }
    }));
    let (count, id) = page.state.screen.focus.clone();
    use_when(
        u64::from(count),
        Box::new(move || {
            if count > 0 && (id.is_empty() || !browser::focus(&id)) {
                board_focus::focus();
            }
        }),
    );
}
