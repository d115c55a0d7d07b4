//! A field of text that keeps what is half typed.

use web_sys::HtmlInputElement;
use yew::prelude::*;

/// Properties of [`Typed`]; those without a word here are the field's own.
#[derive(Properties, PartialEq)]
pub struct Props {
    /// What it holds while nobody types.
    pub value: String,
    #[allow(missing_docs)]
    #[prop_or_default]
    pub id: Option<String>,
    #[allow(missing_docs)]
    pub class: &'static str,
    #[allow(missing_docs)]
    #[prop_or_default]
    pub label: Option<String>,
    #[allow(missing_docs)]
    #[prop_or_default]
    pub title: Option<String>,
    #[allow(missing_docs)]
    #[prop_or_default]
    pub placeholder: Option<&'static str>,
    #[allow(missing_docs)]
    #[prop_or_default]
    pub list: Option<&'static str>,
    #[allow(missing_docs)]
    #[prop_or_default]
    pub readonly: bool,
    /// The id of what says why its text is refused.
    #[prop_or_default]
    pub why: Option<String>,
    #[allow(missing_docs)]
    pub onchange: Callback<Event>,
    #[allow(missing_docs)]
    #[prop_or_default]
    pub onkeydown: Callback<KeyboardEvent>,
}

/// The field. Yew writes a field's value into the page at each drawing; while the clock runs, that would
/// take away what is half typed several times a second.
#[component]
pub fn Typed(props: &Props) -> Html {
    // What is typed, and the value that it is to take the place of.
    let draft = use_state_eq(|| None::<(String, String)>);
    let typed = draft.as_ref().filter(|(of, _)| *of == props.value).map(|(_, text)| text.clone());
    let oninput = {
        let (draft, value) = (draft.clone(), props.value.clone());
        Callback::from(move |event: InputEvent| {
            let text = event.target_unchecked_into::<HtmlInputElement>().value();
            draft.set(Some((value.clone(), text)));
        })
    };
    let onchange = {
        let (draft, onchange) = (draft.clone(), props.onchange.clone());
        Callback::from(move |event: Event| {
            draft.set(None);
            onchange.emit(event);
        })
    };
    let onkeydown = {
        let onkeydown = props.onkeydown.clone();
        Callback::from(move |event: KeyboardEvent| {
            if event.key() == "Escape" {
                draft.set(None);
            }
            onkeydown.emit(event);
        })
    };
    html! {
        <input id={props.id.clone()} class={props.class} list={props.list} aria-label={props.label.clone()}
            title={props.title.clone()} placeholder={props.placeholder} readonly={props.readonly}
            spellcheck="false" autocomplete="off" value={typed.unwrap_or(props.value.clone())}
            aria-invalid={props.why.as_ref().map(|_| "true")} aria-describedby={props.why.clone()}
            {oninput} {onchange} {onkeydown} />
    }
}
