//! The menu on the board.

use wasm_bindgen::JsCast;
use web_sys::{HtmlElement, MouseEvent};
use yew::prelude::*;

use crate::model::state::Action;
use crate::sheets::commands::{COMMANDS, Command, Scope, close_and};
use crate::ui::dialog::Dialog;
use crate::ui::focus as roving;
use crate::ui::page::Handle;

/// Puts the menu where it was asked for, or as near as the window has room.
fn place_menu(menu: &HtmlElement, (x, y): (i32, i32)) {
    let Some(window) = web_sys::window() else { return };
    let most = |size: Result<wasm_bindgen::JsValue, _>, own: i32| {
        size.ok().and_then(|it| it.as_f64()).unwrap_or(0.0) as i32 - own - 4
    };
    let places = [
        ("left", x, most(window.inner_width(), menu.offset_width())),
        ("top", y, most(window.inner_height(), menu.offset_height())),
    ];
    for (side, wanted, most) in places {
        let _ = menu.style().set_property(side, &format!("{}px", wanted.min(most).max(4)));
    }
}

/// The menu on the board and its parts, at a point of the window; `first` is its first item.
pub fn menu(page: &Handle, at: (i32, i32), first: &NodeRef) -> Html {
    let offered = |it: &&Command| it.scope != Scope::Page && it.applies(&page.state);
    let items = COMMANDS.iter().filter(offered).enumerate().map(|(index, it)| {
        let first = if index == 0 { first.clone() } else { NodeRef::default() };
        html! {
            <button role="menuitem" tabindex="-1" ref={first} onclick={close_and(page, it.run)}>
                <span>{ it.name }</span><kbd aria-hidden="true">{ it.keys }</kbd></button>
        }
    });
    // Not by a click: the finger whose long press opened the menu would close it as it goes.
    let close = page.on(|_: PointerEvent| Action::SetSheet(None));
    let stay = Callback::from(|event: PointerEvent| event.stop_propagation());
    let no_other = Callback::from(|event: MouseEvent| event.prevent_default());
    let onkeydown = {
        let page = page.clone();
        Callback::from(move |event: KeyboardEvent| {
            if event.key() == "Tab" {
                event.prevent_default();
                page.dispatch(Action::SetSheet(None));
            } else if let Some(next) = roving::next(&event) {
                let _ = next.focus();
            }
        })
    };
    let name = page.state.only_chosen().map_or("Board".to_owned(), |ix| page.state.bench().part(ix).title());
    let opened = {
        let first = first.clone();
        Callback::from(move |()| {
            let menu = first.cast::<HtmlElement>().and_then(|first| first.parent_element());
            if let Some(menu) = menu.and_then(|it| it.dyn_into::<HtmlElement>().ok()) {
                place_menu(&menu, at);
            }
        })
    };
    html! {
        <Dialog name="menu" class="menu-ground" label="Menu" first={first.clone()} close={page.on(|()| Action::SetSheet(None))} {opened} around={close} other_menu={no_other}>
            <div class="menu" role="menu" aria-label={name} {onkeydown} onpointerdown={stay} >{ for items }</div>
        </Dialog>
    }
}
