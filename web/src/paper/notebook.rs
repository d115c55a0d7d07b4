//! The notebook of what was measured.

use yew::prelude::*;

use crate::model::state::meter::Note;

/// The notebook as a table, in the panel and on paper.
pub fn written(notes: &[Note], truths: bool) -> Html {
    let predicted = notes.iter().any(|it| !it.predicted.is_empty());
    let rows = notes.iter().map(|it: &Note| {
        let right = it.right.map_or("", |right| if right { " ✓" } else { " (off)" });
        html! {
            <tr><th scope="row">{ &it.what }</th><td class="words">{ &it.how }</td>
                if predicted { <td>{ &it.predicted }{ right }</td> }
                <td>{ &it.shown }</td>
                if truths { <td>{ &it.truth }</td> }</tr>
        }
    });
    html! {
        <table class="readings">
            <thead><tr><th scope="col">{ "What" }</th><th scope="col" class="words">{ "How" }</th>
                if predicted { <th scope="col">{ "Predicted" }</th> }
                <th scope="col">{ "Shown" }</th>
                if truths { <th scope="col">{ "Without the meter" }</th> }</tr></thead>
            <tbody>{ for rows }</tbody>
        </table>
    }
}
