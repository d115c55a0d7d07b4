//! What the printed page shows: the board as a whole, and beside it findings, parts list, readings and
//! cautions.

use halfrow_core::bench::{Bench, PartIx};
use halfrow_core::meter::Lead;
use halfrow_draw::layout;
use halfrow_instruments::range;
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;
use yew::prelude::*;

use crate::model::state::{Help, View};
use crate::model::words;
use crate::paper::notebook::written;
use crate::ui::hooks::use_once;
use crate::ui::page::Handle;

/// The smallest type of the board on paper, in units: about seven points.
pub const TYPE: f32 = 13.0;

/// Whether the page is being made ready for paper. What only paper shows is made when the browser is
/// about to print, not at every change.
#[hook]
pub fn use_printing() -> bool {
    let printing = use_state_eq(|| false);
    let set = printing.setter();
    use_once(Box::new(move || {
        let Some(window) = web_sys::window() else { return };
        for (event, on) in [("beforeprint", true), ("afterprint", false)] {
            let set = set.clone();
            let listener = Closure::<dyn FnMut()>::new(move || set.set(on));
            let _ = window.add_event_listener_with_callback(event, listener.as_ref().unchecked_ref());
            listener.forget();
        }
    }));
    *printing
}

/// What of the bench is on paper, and whether it takes the height of a sheet.
pub fn view(bench: &Bench) -> (View, bool) {
    let area = layout::bounds(bench);
    ((area.x, area.y, area.width, area.height), area.height > 900.0)
}

/// What stands below the board.
pub fn printed(page: &Handle) -> Html {
    let solved = &page.state.document.solved;
    let help = page.state.screen.help;
    let tells = solved.bench.may_tell_figures();
    let findings = solved.findings.iter().filter(|_| help >= Help::Symptom).map(|finding| {
        html! {
            <li>
                <b>{ &finding.symptom }</b>
                if help >= Help::Place { { " " }{ &finding.says } }
                if help >= Help::Remedy { { " " }{ &finding.remedy } }
            </li>
        }
    });
    let findings: Vec<Html> = findings.collect();
    let rows = solved.bench.parts.iter().enumerate().map(|(i, part)| {
        let (volts, amps, now) = words::readings(solved, PartIx(i));
        let holes = part.legs.iter().zip(part.card.pins).map(|(leg, pin)| {
            format!("{} {}", pin.name, leg.hole.map_or("–".to_owned(), |hole| hole.to_string()))
        });
        let holes = holes.collect::<Vec<_>>().join(", ");
        html! { <tr><td>{ part.title() }</td><td>{ part.card.name }</td><td>{ holes }</td>{ for tells.then(|| html! { <><td>{ volts }</td><td>{ amps }</td></> }) }<td>{ now }</td></tr> }
    });
    html! {
        <section class="printed" aria-hidden="true">
            <p class="who"><span>{ "Name" }</span><span>{ "Date" }</span></p>
            if !findings.is_empty() { <h2>{ "Findings" }</h2><ol>{ for findings }</ol> }
            <h2>{ "Parts" }</h2>
            <table><thead><tr><th>{ "Part" }</th><th>{ "Kind" }</th><th>{ "Holes" }</th>if tells { <th>{ "Volts" }</th><th>{ "Current" }</th> }<th>{ "Now" }</th></tr></thead><tbody>{ for rows }</tbody></table>
            { meters(page) }
            <p>{ "Batteries and small supplies only, never the mains. Disconnect before rewiring. A shorted pack gets hot. Lithium and coin cells are dangerous when swallowed or shorted. Wear eye protection when cutting leads. Follow the school’s rules and local codes; ask a qualified person where in doubt." }</p>
        </section>
    }
}

/// The meters as they are set, and the notebook. What a meter shows now is for whoever measures.
fn meters(page: &Handle) -> Html {
    let bench = page.state.bench();
    if bench.meters.is_empty() {
        return html! {};
    }
    let rows = bench.meters.iter().map(|meter| {
        let lead = |lead: &Lead| format!("{} (plug in {})", lead.tip.word(bench), lead.socket.name());
        html! { <tr><td>{ range::name(meter.dial) }</td><td>{ lead(&meter.red) }</td><td>{ lead(&meter.black) }</td></tr> }
    });
    let notebook = &page.state.measuring.notebook;
    let truths = notebook.truths && bench.may_tell_figures();
    html! {
        <>
            <h2>{ "Multimeter" }</h2>
            <table><thead><tr><th>{ "Dial" }</th><th>{ "Red tip" }</th><th>{ "Black tip" }</th></tr></thead><tbody>{ for rows }</tbody></table>
            if !notebook.notes.is_empty() { <h2>{ "Notebook" }</h2>{ written(&notebook.notes, truths) } }
        </>
    }
}
