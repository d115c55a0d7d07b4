//! Sheets that lie over the page: [`examples`], [`share`], [`keys`], [`more`], the search for actions and
//! parts ([`find`](mod@find)), the [`menu`](mod@menu) on the board. [`commands`] is what can be done by name,
//! [`files`] opens and saves benches.

pub mod commands;
pub mod examples;
pub mod files;
pub mod find;
mod kept;
pub mod keys;
pub mod menu;
pub mod more;
pub mod share;

use yew::prelude::*;

use crate::model::state::{Action, Sheet};
use crate::panel::drawer::{self, Drawer};
use crate::sheets::more::More;
use crate::sheets::share::Share;
use crate::ui::button::Button;
use crate::ui::dialog::Dialog;
use crate::ui::page::Handle;

/// Properties of [`Sheets`].
#[derive(Properties, PartialEq)]
pub struct Props {
    /// The page's state.
    pub page: Handle,
}

/// The open sheet, if any. Escape closes it.
#[component]
pub fn Sheets(props: &Props) -> Html {
    let page = &props.page;
    let first = use_node_ref();
    // What was said when the sheet opened is no news in it.
    let heard = use_mut_ref(|| 0);
    let Some(sheet) = page.state.screen.sheet else {
        *heard.borrow_mut() = page.state.speech.count;
        return html! {};
    };
    if let Sheet::Menu(x, y) = sheet {
        return menu::menu(page, (x, y), &first);
    }
    let (name, title, body) = match sheet {
        Sheet::Examples => ("examples", "Examples: the model harbour", examples::examples_sheet(page)),
        Sheet::Share => ("share", "Share this bench", html! { <Share page={page.clone()} /> }),
        Sheet::Keys => ("keys", "Keys", keys::keys_sheet()),
        Sheet::More => ("more", "This bench", html! { <More page={page.clone()} /> }),
        Sheet::Text => ("text", "This bench as text", files::as_text(page)),
        Sheet::Find => ("find", "Find", find::find(page, &first)),
        Sheet::Drawer | Sheet::Menu(..) => ("parts", "Parts", html! { <Drawer ..drawer::Props::of(page) /> }),
    };
    let heading = if sheet == Sheet::Find { NodeRef::default() } else { first.clone() };
    // The foot line is out of reach of a screen reader while a sheet is open.
    let said = (page.state.speech.count != *heard.borrow()).then(|| page.state.speech.said.to_string());
    html! {
        <Dialog {name} class="sheet" labelled_by="sheet-title" {first} close={page.on(|()| Action::SetSheet(None))}>
            <div class="sheet-head"><h2 id="sheet-title" tabindex="-1" ref={heading}>{ title }</h2>
                { Button::new("Close").does(page, Action::SetSheet(None)) }</div>
            <div class="sheet-body" tabindex={(sheet == Sheet::Keys).then_some("0")}>{ body }</div>
            <p class="away" role="status">{ said }</p>
        </Dialog>
    }
}
