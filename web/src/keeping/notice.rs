//! What a person has to know or decide about what is kept.

use std::rc::Rc;

use wasm_bindgen_futures::spawn_local;
use yew::prelude::*;

use super::Keeper;
use crate::model::keeping::Notice;
use crate::model::state::Action;
use crate::platform::files;
use crate::ui::button::Button;

/// The name of the file that a kept bench is saved as which can't be read here.
const UNREADABLE: &str = "kept.bench.json";

impl Keeper {
    fn button(self: &Rc<Keeper>, name: &'static str, run: impl Fn(&Rc<Keeper>) + 'static) -> Html {
        let keeper = self.clone();
        Button::new(name).view(Callback::from(move |_| run(&keeper)))
    }
}

/// The notice, with its buttons.
pub(super) fn notice(keeper: &Rc<Keeper>, notice: Option<&Notice>) -> Html {
    let Some(notice) = notice else { return html! {} };
    let close = keeper.button("Close", |keeper| keeper.note(|keeping| keeping.notice = None));
    let buttons = match notice {
        Notice::Second => close,
        Notice::Older | Notice::Both | Notice::Late => {
            let take = keeper.button(notice.take().unwrap_or_default(), |keeper| {
                spawn_local(keeper.clone().take_other());
            });
            html! { <>{ take }{ keeper.button("Keep both", Keeper::keep_both) }</> }
        }
        Notice::Unreadable(text, _) => {
            let (saved, copied) = (text.clone(), text.clone());
            let save = keeper.button("Save it as a file", move |keeper| {
                let words =
                    files::download(UNREADABLE, "application/json", saved.as_bytes()).words(UNREADABLE);
                keeper.page().dispatch(Action::Say(words));
            });
            let copy = keeper.button("Copy its text", move |keeper| {
                files::copy_text(
                    &copied,
                    keeper.page().on(|done: bool| Action::Say(files::copied(done).into())),
                );
            });
            html! { <>{ save }{ copy }{ close }</> }
        }
    };
    html! { <div class="notice" role="status"><span>{ notice.words() }{ " " }</span>{ buttons }</div> }
}
