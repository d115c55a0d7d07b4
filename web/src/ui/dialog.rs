//! What lies over the page while it is open: a modal `<dialog>` of the browser, which keeps everything
//! else out of reach, and gives the focus back to what had it before.

use wasm_bindgen::JsCast;
use web_sys::{HtmlDialogElement, HtmlElement};
use yew::prelude::*;

use crate::platform::page::{Listener, on_element};

/// Properties of [`Dialog`].
#[derive(Properties, PartialEq)]
pub struct Props {
    /// Tells one dialog from the next: another one in its place has the focus anew.
    pub name: &'static str,
    /// Its class.
    pub class: &'static str,
    /// What it is called, where no heading in it says so.
    #[prop_or_default]
    pub label: Option<&'static str>,
    /// The id of the heading that says what it is called.
    #[prop_or_default]
    pub labelled_by: Option<&'static str>,
    /// What has the focus first.
    pub first: NodeRef,
    /// Called when the browser closes it: by the Escape key, or a phone's way back.
    pub close: Callback<()>,
    /// Called once it is open, before it has the focus.
    #[prop_or_default]
    pub opened: Option<Callback<()>>,
    /// A press on what lies around its content.
    #[prop_or_default]
    pub around: Option<Callback<PointerEvent>>,
    /// The browser's own menu, asked for on it.
    #[prop_or_default]
    pub other_menu: Option<Callback<MouseEvent>>,
    /// What is in it.
    pub children: Html,
}

/// What the Tab key stops at in a dialog, in order.
fn stops(dialog: &HtmlDialogElement) -> Vec<HtmlElement> {
    let kinds = "a[href], button, input, select, textarea, summary, [tabindex]";
    let Ok(found) = dialog.query_selector_all(kinds) else { return Vec::new() };
    let all = (0..found.length()).filter_map(|index| found.get(index)?.dyn_into::<HtmlElement>().ok());
    let is_stop = |it: &HtmlElement| {
        it.tab_index() >= 0 && it.offset_width() > 0 && !it.matches(":disabled").unwrap_or(false)
    };
    all.filter(is_stop).collect()
}

/// Tab goes round: behind the last stop comes the first, before the first the last. Left to itself the
/// browser would lead out of the page, into its own bars.
fn go_round(dialog: &HtmlDialogElement, event: &KeyboardEvent) {
    if event.key() != "Tab" || event.default_prevented() {
        return;
    }
    let stops = stops(dialog);
    let active = web_sys::window().and_then(|it| it.document()).and_then(|it| it.active_element());
    let here = stops.iter().position(|it| Some(it.as_ref()) == active.as_ref());
    let last = stops.len().saturating_sub(1);
    let next = match (here, event.shift_key()) {
        // The heading is no stop; it stands before the first.
        (None | Some(0), true) => stops.last(),
        (Some(at), false) if at == last => stops.first(),
        (None, false) if stops.is_empty() => None,
        _ => return,
    };
    event.prevent_default();
    if let Some(next) = next {
        let _ = next.focus();
    }
}

/// A modal dialog, open as long as it is there.
#[component]
pub fn Dialog(props: &Props) -> Html {
    let dialog = use_node_ref();
    let Props { name, close, opened, first, .. } = props;
    {
        let (dialog, close) = (dialog.clone(), close.clone());
        use_effect_with((), move |()| {
            let dialog = dialog.cast::<HtmlDialogElement>();
            if let Some(dialog) = &dialog {
                let _ = dialog.show_modal();
            }
            let cancelled: Option<Listener> = dialog.as_ref().map(|dialog| {
                on_element(dialog, "cancel", move |event| {
                    // The page's state says what is open.
                    event.prevent_default();
                    close.emit(());
                })
            });
            move || {
                drop(cancelled);
                // The browser gives the focus back.
                if let Some(dialog) = dialog {
                    dialog.close();
                }
            }
        });
    }
    {
        let (first, opened) = (first.clone(), opened.clone());
        use_effect_with(*name, move |_| {
            if let Some(opened) = opened {
                opened.emit(());
            }
            if let Some(first) = first.cast::<HtmlElement>() {
                let _ = first.focus();
            }
        });
    }
    let onkeydown = {
        let dialog = dialog.clone();
        Callback::from(move |event: KeyboardEvent| {
            if let Some(dialog) = dialog.cast::<HtmlDialogElement>() {
                go_round(&dialog, &event);
            }
        })
    };
    html! {
        <dialog ref={dialog} class={props.class} aria-label={props.label} aria-labelledby={props.labelled_by}
            {onkeydown} onpointerdown={props.around.clone()} oncontextmenu={props.other_menu.clone()}>
            { props.children.clone() }
        </dialog>
    }
}
