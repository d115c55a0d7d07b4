//! Sharing a bench by a link.

use halfrow_core::bench::{Bench, Lesson};
use halfrow_file::link;
use wasm_bindgen_futures::spawn_local;
use web_sys::HtmlSelectElement;
use yew::prelude::*;

use crate::model::state::Action;
use crate::platform::{files, packing, page as browser};
use crate::sheets::files::save_file;
use crate::ui::button::Button;
use crate::ui::page::Handle;

/// Tolerances of a prediction that are offered, per cent: those of resistors, and one for rough work.
const TOLERANCES: [f64; 5] = [1.0, 2.0, 5.0, 10.0, 20.0];

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
            { lesson(page) }
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

/// What a teacher sets for whoever gets the link or the file.
fn lesson(page: &Handle) -> Html {
    let lesson = page.state.bench().lesson;
    let only = Lesson { only_meter: !lesson.only_meter, ..lesson };
    let predict = Lesson { predict_first: !lesson.predict_first, ..lesson };
    let onchange = page.on(move |event: Event| {
        let place = event.target_unchecked_into::<HtmlSelectElement>().selected_index().max(0) as usize;
        let tolerance_percent = TOLERANCES.get(place).copied().unwrap_or(lesson.tolerance_percent);
        Action::SetLesson(Lesson { tolerance_percent, ..lesson })
    });
    let mut offered = TOLERANCES.to_vec();
    if !offered.contains(&lesson.tolerance_percent) {
        offered.push(lesson.tolerance_percent);
    }
    let offered = offered.into_iter().map(|percent| {
        html! { <option selected={percent == lesson.tolerance_percent}>{ format!("{percent} %") }</option> }
    });
    html! {
        <fieldset class="lesson"><legend>{ "For your class" }</legend>
            <label><input type="checkbox" checked={lesson.only_meter} onchange={page.on(move |_: Event| Action::SetLesson(only))} />
                { "Only the meter tells: no readings, no volts or amps anywhere else, so that they have to measure" }</label>
            <label><input type="checkbox" checked={lesson.predict_first} onchange={page.on(move |_: Event| Action::SetLesson(predict))} />
                { "Predict first: the meter shows nothing until they’ve written down what they expect" }</label>
            <label>{ "A prediction is good within " }<select {onchange}>{ for offered }</select>{ " of the reading, plus the meter’s own accuracy" }</label>
        </fieldset>
    }
}
