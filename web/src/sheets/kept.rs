//! What is kept on the device beside the open bench: snapshots, benches that another tab kept a different
//! one of, and what can't be read.

use yew::prelude::*;

use crate::model::keeping::{BESIDE, UNREAD};
use crate::model::opening::open_text;
use crate::model::state::Action;
use crate::platform::{files, store};
use crate::sheets::Props;
use crate::ui::button::Button;
use crate::ui::hooks::use_once;

/// What is kept, as far as the device tells.
#[derive(Clone, Default, PartialEq)]
struct All {
    snapshots: Vec<store::Snapshot>,
    /// What follows "beside" in the slot's name, which begins with the time, and the text.
    beside: Vec<(String, String)>,
    unread: Vec<(String, String)>,
}

/// A moment as people write it: `2026-03-01 09:30`.
fn moment(iso: &str) -> String {
    iso.get(..16).unwrap_or(iso).replace('T', " ")
}

/// The list of what is kept.
#[component]
pub fn Kept(props: &Props) -> Html {
    let page = &props.page;
    let all = use_state_eq(All::default);
    {
        let all = all.clone();
        use_once(Box::new(move || {
            wasm_bindgen_futures::spawn_local(async move {
                all.set(All {
                    snapshots: store::snapshots().await.unwrap_or_default(),
                    beside: store::named(BESIDE).await.unwrap_or_default(),
                    unread: store::named(UNREAD).await.unwrap_or_default(),
                });
            });
        }));
    }
    let open = |title: &str, says: String, text: &str| {
        let (title, text) = (title.to_owned(), text.to_owned());
        let onclick = page.on(move |_: MouseEvent| open_text(&title, &text));
        html! { <li>{ Button::new(says).view(onclick) }</li> }
    };
    let snapshots = all.snapshots.iter().map(|kept| {
        let name = if kept.title.is_empty() { "Untitled" } else { &kept.title };
        open(name, format!("{name}, {}", moment(&kept.when)), &kept.text)
    });
    let beside = all.beside.iter().map(|(when, text)| {
        let title = halfrow_file::read(text).map_or(String::new(), |bench| bench.title);
        let name = if title.is_empty() { "Untitled" } else { &title };
        open(name, format!("{name}, beside another tab’s, {}", moment(when)), text)
    });
    let unread = all.unread.iter().map(|(name, text)| {
        let (page, file, text) = (page.clone(), format!("kept-{name}.json"), text.clone());
        let onclick = Callback::from(move |_: MouseEvent| {
            let done = files::download(&file, "application/json", text.as_bytes());
            page.dispatch(Action::Say(done.words(&file)));
        });
        html! { <li>{ Button::new("A bench that can’t be opened here: save it as a file").view(onclick) }</li> }
    });
    html! {
        <>
            if *all == All::default() { <p class="quiet">{ "Snapshots appear here as you open other benches." }</p> }
            <ul class="kept">{ for beside }{ for snapshots }{ for unread }</ul>
        </>
    }
}
