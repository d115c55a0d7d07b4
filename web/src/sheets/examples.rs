//! The examples: built right, and with a mistake to find.

use halfrow_file::examples::{self, Example};
use yew::prelude::*;

use crate::model::opening::open_example;
use crate::ui::page::Handle;

/// The examples, to be opened.
pub fn examples_sheet(page: &Handle) -> Html {
    let row = |example: &'static Example| {
        html! {
            <li><button class="example" onclick={page.on(move |_: MouseEvent| open_example(example))}>
                <b>{ example.title }</b><span>{ example.about }</span></button></li>
        }
    };
    html! {
        <>
            <h3>{ "Built right" }</h3>
            <ul class="examples">{ for examples::ALL.iter().filter(|e| e.twin.is_none()).map(row) }</ul>
            <h3>{ "Measure" }</h3>
            <ul class="examples">{ for examples::MEASURING.iter().map(row) }</ul>
            <h3>{ "Find what’s wrong" }</h3>
            <ul class="examples">{ for examples::ALL.iter().filter(|e| e.twin.is_some()).map(row) }</ul>
        </>
    }
}
