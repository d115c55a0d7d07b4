//! The wiring list: a table whose cells can be changed one by one, and the same as text.
//!
//! [`wiring`](crate::model::wiring) reads what is written into a cell.

use halfrow_core::parts::CARDS;
use halfrow_file::wiring::to_text;
use wasm_bindgen::JsCast;
use web_sys::{ClipboardEvent, HtmlInputElement, HtmlTextAreaElement};
use yew::prelude::*;

use crate::model::state::{Action, Field, LONGEST_DRAFT};
use crate::model::wiring::{KIND, NAME, PINS, cell_id, cells};
use crate::platform::page as browser;
use crate::ui::button::Button;
use crate::ui::page::Handle;
use crate::ui::typed::Typed;

/// Keys that lead from cell to cell: up, down and Enter within a column; Escape has back what was
/// there. A cell that is refused keeps the focus.
fn cell_key(page: &Handle, row: usize, column: usize, event: &KeyboardEvent) {
    let field: HtmlInputElement = event.target_unchecked_into();
    let next = match event.key().as_str() {
        "ArrowUp" => row.checked_sub(1),
        "ArrowDown" | "Enter" => Some(row + 1),
        "Escape" => {
            event.stop_propagation();
            let parts = &page.state.bench().parts;
            let was = parts.get(row).map_or(String::new(), |part| cells(part).swap_remove(column));
            field.set_value(&was);
            page.dispatch(Action::SetCell(row, column, was));
            return;
        }
        _ => return,
    };
    event.prevent_default();
    let id = page.state.bench().parts.get(row).map_or(String::new(), |part| part.id.clone());
    let asked = page.state.screen.focus.0;
    // Leaving the field takes it over.
    let _ = field.blur();
    if page.state.screen.focus.0 != asked {
        return;
    }
    let refused = page.state.writing.refused_at(&id, Field::Cell(column)).is_some();
    // A row with fewer pins has its last one instead.
    let columns = |row: usize| (0..=column).rev().map(move |column| cell_id(row, column));
    if refused || !next.is_some_and(|row| columns(row).any(|id| browser::focus(&id))) {
        let _ = field.focus();
        field.select();
    }
}

fn cell(page: &Handle, row: usize, column: usize, label: String, value: String) -> Html {
    let parts = &page.state.bench().parts;
    let name = parts.get(row).map_or("", |part| part.id.as_str());
    let refused = page.state.writing.refused_at(name, Field::Cell(column));
    let onchange = page.on(move |event: Event| {
        Action::SetCell(row, column, event.target_unchecked_into::<HtmlInputElement>().value())
    });
    let onkeydown = {
        let page = page.clone();
        Callback::from(move |event: KeyboardEvent| cell_key(&page, row, column, &event))
    };
    let id = cell_id(row, column);
    let why = format!("{id}-why");
    let kind = match column {
        NAME => "name",
        KIND => "what",
        _ => "pin",
    };
    html! {
        <>
            <Typed {id} class={kind} title={value.clone()} {label} {onchange} {onkeydown}
                list={(row == parts.len()).then_some("kinds")} why={refused.map(|_| why.clone())}
                value={refused.map_or(value.clone(), |it| it.text.clone())} />
            if let Some(it) = refused {
                <span class="error" id={why}>
                    { it.why.trim_end_matches('.') }{ "." }
                    if !value.is_empty() { { format!(" Still {value}.") } }
                </span>
            }
        </>
    }
}

fn table(page: &Handle) -> Html {
    let parts = &page.state.bench().parts;
    let rows = parts.iter().enumerate().map(|(row, part)| {
        let id = &part.id;
        let mut texts = cells(part).into_iter();
        let mut next = |column: usize, label: String| {
            cell(page, row, column, label, texts.next().unwrap_or_default())
        };
        let name = next(NAME, format!("Name of {id}"));
        let kind = next(KIND, format!("Kind and values of {id}"));
        let pins = part.card.pins.iter().enumerate().map(|(pin, it)| {
            html! { <span class="pin"><span aria-hidden="true">{ it.name }</span>{ next(PINS + pin, format!("{id} {}", it.says)) }</span> }
        });
        html! { <tr key={id.clone()}><td>{ name }</td><td>{ kind }</td><td><div class="pins">{ for pins }</div></td></tr> }
    });
    let last = parts.len();
    html! {
        <table class="readings cells">
            <thead><tr><th scope="col">{ "Name" }</th><th scope="col">{ "Kind, values" }</th><th scope="col">{ "Pins" }</th></tr></thead>
            <tbody>
                { for rows }
                <tr key="+new"><td>{ "+" }</td><td colspan="2">{ cell(page, last, KIND, "Kind of a new part".to_owned(), String::new()) }</td></tr>
            </tbody>
        </table>
    }
}

/// The wiring list as a table and as text that can be changed and pasted.
pub fn wiring(page: &Handle) -> Html {
    let drafts = &page.state.writing.drafts;
    let oninput = page.on(|event: InputEvent| {
        Action::SetDraft(Some(event.target_unchecked_into::<HtmlTextAreaElement>().value()))
    });
    // Before the browser lays it out: that alone may take it seconds.
    let onpaste = {
        let page = page.clone();
        Callback::from(move |event: Event| {
            let event: ClipboardEvent = event.unchecked_into();
            let text = event.clipboard_data().and_then(|data| data.get_data("text/plain").ok());
            if let Some(text) = text.filter(|text| text.len() > LONGEST_DRAFT) {
                event.prevent_default();
                page.dispatch(Action::SetDraft(Some(text)));
            }
        })
    };
    let unchanged = drafts.text.is_none();
    let text = drafts.text.clone().unwrap_or_else(|| to_text(page.state.bench()));
    html! {
        <div class="wiring">
            <p class="quiet">{ "Change a cell and press Enter: the board changes at once. Clear a name to remove the part." }</p>
            { table(page) }
            <datalist id="kinds">{ for CARDS.iter().map(|card| html! { <option value={card.kind} label={card.name} /> }) }</datalist>
            <label for="wiring-text">{ "As text, one part per line. Change it or paste another list, then build it." }</label>
            <textarea id="wiring-text" rows="10" spellcheck="false" wrap="off" maxlength={LONGEST_DRAFT.to_string()} {oninput} {onpaste} value={text} />
            if let Some(why) = &drafts.error { <p class="error" role="alert">{ why }</p> }
            <div class="row">
                { Button::new("Build this list").off(unchanged).does(page, Action::BuildDraft) }
                { Button::new("Go back to the list of this bench").off(unchanged).does(page, Action::SetDraft(None)) }
            </div>
        </div>
    }
}
