//! Sharing a bench by a link.

use halfrow_core::bench::Bench;
use halfrow_file::link;
use wasm_bindgen_futures::spawn_local;
use yew::prelude::*;

use crate::model::state::Action;
use crate::platform::{files, packing, page as browser};
use crate::sheets::files::save_file;
use crate::ui::button::Button;
use crate::ui::page::Handle;

/// Properties of [`Share`].
#[derive(Properties, PartialEq)]
pub struct Props {
    /// The page's state.
    pub page: Handle,
}

/// A link that holds the bench. The browser packs it, which takes a moment.
#[component]
pub fn Share(props: &Props) -> Html {
    let page = &props.page;
    let packed = use_state_eq(|| None::<(Bench, String)>);
    {
        let (bench, packed) = (page.state.bench().clone(), packed.clone());
        use_effect_with(bench, move |bench| {
            let bench = bench.clone();
            spawn_local(async move {
                let link = packing::encode(&bench).await;
                packed.set(Some((bench, link)));
            });
        });
    }
    let Some((_, code)) = packed.as_ref().filter(|(of, _)| of == page.state.bench()) else {
        return html! { <p role="status">{ "Packing the link…" }</p> };
    };
    let length = code.len();
    let address = format!("{}{code}", browser::address());
    let copy = {
        let (page, address) = (page.clone(), address.clone());
        Callback::from(move |_: MouseEvent| {
            let said = page.on(|done: bool| Action::Say(files::copied(done).into()));
            files::copy_text(&address, said);
        })
    };
    let save = {
        let page = page.clone();
        Callback::from(move |_: MouseEvent| save_file(&page))
    };
    html! {
        <>
            <p>{ "The link holds the whole bench. Nothing is sent anywhere: the link itself rebuilds the bench for anyone who opens it." }</p>
            <textarea class="link" readonly=true rows="5" aria-label="Link" value={address} />
            if length >= link::FILE_AT {
                <p class="error">{ "This link is very long, and some mail programs cut it off. A file is safer." }</p>
            } else if length >= link::WARN_AT {
                <p class="quiet">{ "This link is long. Check that all of it arrives." }</p>
            }
            <div class="row">{ Button::new("Copy the link").class("on").view(copy) }{ Button::new("Save as a file").view(save) }</div>
        </>
    }
}
