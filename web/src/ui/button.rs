//! The page's plain buttons.

use yew::prelude::*;

use crate::model::state::Action;
use crate::ui::page::Handle;

/// A button: what is on it, and what else is to be said of it.
pub struct Button {
    name: AttrValue,
    title: Option<&'static str>,
    class: &'static str,
    off: bool,
    pressed: Option<bool>,
}

impl Button {
    /// A button with these words on it.
    pub fn new(name: impl Into<AttrValue>) -> Button {
        Button { name: name.into(), title: None, class: "", off: false, pressed: None }
    }

    /// What is shown when the pointer rests on it.
    pub fn title(self, title: &'static str) -> Button {
        Button { title: Some(title), ..self }
    }

    /// A class of the style sheet.
    pub fn class(self, class: &'static str) -> Button {
        Button { class, ..self }
    }

    /// Whether there is nothing that it could do.
    pub fn off(self, off: bool) -> Button {
        Button { off, ..self }
    }

    /// A button that stays pressed: whether it is.
    pub fn pressed(self, pressed: bool) -> Button {
        Button { pressed: Some(pressed), ..self }
    }

    /// The button, with what it does.
    #[inline(never)]
    pub fn view(self, onclick: Callback<MouseEvent>) -> Html {
        let on = (self.pressed == Some(true)).then_some("on");
        html! {
            <button class={classes!(self.class, on)} title={self.title} disabled={self.off}
                aria-pressed={self.pressed.map(|on| if on { "true" } else { "false" })} {onclick}>{ self.name }</button>
        }
    }

    /// The button, carrying out an action.
    #[inline(never)]
    pub fn does(self, page: &Handle, action: Action) -> Html {
        let page = page.clone();
        self.view(Callback::from(move |_| page.dispatch(action.clone())))
    }
}
