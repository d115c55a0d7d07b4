//! The property strip: everything about the chosen part.

use halfrow_core::amount;
use halfrow_core::bench::{LegId, PartIx};
use halfrow_core::card::{Param, Range, Unit, Value};
use halfrow_core::math;
use halfrow_core::part::{Depth, Part};
use halfrow_core::preferred::E24;
use web_sys::{Element, HtmlInputElement, HtmlSelectElement};
use yew::prelude::*;

use crate::model::state::{Action, Field};
use crate::model::words;
use crate::panel::pictured::folded_pins;
use crate::ui::button::Button;
use crate::ui::page::Handle;
use crate::ui::typed::Typed;

/// Opens the menu of what is chosen, below the button.
fn more(page: &Handle) -> Html {
    let chosen = page.state.selection.chosen.first().map(|&i| PartIx(i));
    let onclick = page.on(move |event: MouseEvent| {
        // The keys press it too, where the event has no place.
        let place = event.target_unchecked_into::<Element>().get_bounding_client_rect();
        Action::OpenMenu((place.left() as i32, place.bottom() as i32), chosen, None)
    });
    html! { <button aria-haspopup="menu" title="Everything you can do with it (Shift+F10)" {onclick}>{ "More" }</button> }
}

/// Closes the strip: no part is chosen any more.
fn done(page: &Handle) -> Html {
    Button::new("Done").title("Close (Esc)").does(page, Action::ChooseThese(Default::default()))
}

/// The strip; empty while no single part is chosen.
pub fn strip(page: &Handle) -> Html {
    let state = &page.state;
    let Some(part) = state.only_chosen() else {
        let count = state.selection.chosen.len();
        if count == 0 {
            return html! {};
        }
        return html! {
            <section class="strip" aria-label="Chosen parts">
                <b>{ format!("{count} parts chosen") }</b>
                { Button::new("Duplicate").does(page, Action::Duplicate) }
                { Button::new("Remove").does(page, Action::Delete) }
                { more(page) }
                { done(page) }
            </section>
        };
    };
    let it = state.bench().part(part);
    let reading = words::reading(&state.document.solved, part, " · ");
    let params = it
        .card
        .params
        .iter()
        .enumerate()
        .map(|(index, param)| field(page, part, index, param, it.values[index]));
    let legs = (0..it.legs.len()).map(|pin| leg(page, LegId { part, pin }));
    let bands = (it.card.bands)(it);
    html! {
        <section class="strip" aria-label={format!("{}, {}", it.id, it.card.name)}>
            <div class="strip-head">
                <b>{ it.title() }</b>
                <span class="quiet">{ format!("{} · {reading}", it.card.name) }</span>
                <span class="gap" />
                if state.document.solved.point.part(part).memory.burnt {
                    { Button::new("Replace it").class("on").does(page, Action::Replace(part)) }
                }
                { Button::new("Turn").title("Turn (T)").does(page, Action::Turn) }
                { Button::new("Duplicate").title("Duplicate (Ctrl+D)").does(page, Action::Duplicate) }
                { Button::new("Remove").title("Remove (Backspace)").does(page, Action::Delete) }
                { more(page) }
                { done(page) }
            </div>
            <div class="strip-fields">
                { for params }
                if let Some(bands) = bands {
                    <span class="quiet">{ format!("Bands: {}", bands.join(", ")) }</span>
                }
            </div>
            if it.legs.len() > 4 {
                // A chip's row of legs would push everything else out of a low strip.
                <details class="legs"><summary>{ format!("{} legs", it.legs.len()) }</summary><div class="strip-fields">{ for legs }</div></details>
            } else {
                <div class="strip-fields">{ for legs }</div>
            }
            { folded_pins(it.card) }
        </section>
    }
}

/// A field that is written into. What is refused stays in it, with the reason beside it.
pub(crate) struct Written {
    /// The part that it belongs to, or [`NO_PART`](crate::model::state::NO_PART).
    pub part: PartIx,
    /// Which it is.
    pub field: Field,
    /// Its place in the page.
    pub id: String,
    /// How it looks.
    pub class: &'static str,
    /// What it holds while nothing is refused.
    pub value: String,
}

impl Written {
    pub(crate) fn view(
        self,
        page: &Handle,
        label: Option<String>,
        list: Option<&'static str>,
        unit: &'static str,
    ) -> Html {
        let Written { part, field, id, class, value } = self;
        let it = page.state.bench().parts.get(part.0);
        let fixed = matches!(field, Field::Hole(_)) && it.is_some_and(Part::is_rigid);
        let name = it.map_or("", |it| &it.id).to_owned();
        let refused = page.state.writing.refused_at(&name, field);
        let onchange = page.on(move |event: Event| {
            Action::Write(part, field, event.target_unchecked_into::<HtmlInputElement>().value())
        });
        let onkeydown = {
            let (page, value) = (page.clone(), value.clone());
            Callback::from(move |event: KeyboardEvent| {
                if event.key() == "Escape" && page.state.writing.refused_at(&name, field).is_some() {
                    event.stop_propagation();
                    event.target_unchecked_into::<HtmlInputElement>().set_value(&value);
                    page.dispatch(Action::Write(part, field, value.clone()));
                }
            })
        };
        let why = format!("{id}-why");
        let text = refused.map_or(value, |it| it.text.clone());
        html! {
            <>
                <Typed {id} {class} {list} {label} value={text} readonly={fixed} why={refused.map(|_| why.clone())}
                    {onchange} {onkeydown} />
                if !unit.is_empty() { <span>{ unit }</span> }
                if let Some(it) = refused { <span class="error" id={why}>{ &it.why }</span> }
            </>
        }
    }
}

fn field(page: &Handle, part: PartIx, index: usize, param: &'static Param, value: Value) -> Html {
    let id = format!("value-{}-{index}", page.state.bench().part(part).id);
    let input = match (param.range, value) {
        (Range::Number { unit, min, max, by_ratio, .. }, Value::Number(x)) if param.live => {
            slider(page, part, index, &id, unit, (min, max, by_ratio), x)
        }
        (Range::Number { unit, .. }, Value::Number(x)) => {
            let list = (unit == Unit::Ohm).then_some("preferred");
            let written = Written {
                part,
                field: Field::Value(index),
                id,
                class: "number",
                value: amount::in_field(x, unit),
            };
            written.view(page, None, list, unit.symbol())
        }
        (Range::Whole { .. }, Value::Whole(n)) => {
            let written =
                Written { part, field: Field::Value(index), id, class: "number", value: n.to_string() };
            written.view(page, None, None, "")
        }
        (Range::Choice { options, .. }, Value::Choice(chosen)) => {
            let onchange = page.on(move |event: Event| {
                let index_of = event.target_unchecked_into::<HtmlSelectElement>().selected_index();
                Action::SetValue(part, index, Value::Choice(index_of.max(0) as u8), false)
            });
            let options = options.iter().enumerate().map(|(i, choice)| {
                html! { <option selected={i == usize::from(chosen)}>{ choice.name }</option> }
            });
            html! { <select {id} {onchange}>{ for options }</select> }
        }
        (Range::Flag { .. }, Value::Flag(on)) => {
            let onchange = page.on(move |_: Event| Action::SetValue(part, index, Value::Flag(!on), false));
            html! { <input {id} type="checkbox" checked={on} {onchange} /> }
        }
        _ => html! {},
    };
    html! { <label class="field"><span>{ param.name }</span>{ input }</label> }
}

/// A slider over 1000 steps, by ratio where the range spans decades.
fn slider(
    page: &Handle,
    part: PartIx,
    index: usize,
    id: &str,
    unit: Unit,
    range: (f64, f64, bool),
    x: f64,
) -> Html {
    let (min, max, by_ratio) = range;
    let share = if by_ratio { math::ln(x / min) / math::ln(max / min) } else { (x - min) / (max - min) };
    let value_at = move |step: f64| {
        let t = (step / 1000.0).clamp(0.0, 1.0);
        let raw = if by_ratio { min * math::pow(max / min, t) } else { min + (max - min) * t };
        // Three digits are what the label shows; more would be noise in a file.
        let digits = math::pow(10.0, 2.0 - math::log10(raw.abs().max(1e-9)).floor());
        Value::Number(((raw * digits).round() / digits).clamp(min, max))
    };
    let oninput = page.on(move |event: InputEvent| {
        let step = event.target_unchecked_into::<HtmlInputElement>().value_as_number();
        Action::SetValue(part, index, value_at(step), true)
    });
    let onchange = page.on(move |event: Event| {
        let step = event.target_unchecked_into::<HtmlInputElement>().value_as_number();
        Action::SetValue(part, index, value_at(step), false)
    });
    let words = amount::value(x, unit);
    html! {
        <>
            <input id={id.to_owned()} type="range" min="0" max="1000" value={(share * 1000.0).round().to_string()}
                aria-valuetext={words.clone()} {oninput} {onchange} />
            <output>{ words }</output>
        </>
    }
}

fn leg(page: &Handle, leg: LegId) -> Html {
    let part = page.state.bench().part(leg.part);
    let it = part.legs[leg.pin];
    let says = part.card.pins[leg.pin].says;
    let name = it.hole.map_or(String::new(), |hole| hole.to_string());
    let written = Written {
        part: leg.part,
        field: Field::Hole(leg.pin),
        id: format!("hole-{}-{}", part.id, leg.pin),
        class: "hole",
        value: name,
    };
    let label = format!("Hole for the {says}");
    let ondepth = page.on(move |event: Event| {
        let index = event.target_unchecked_into::<HtmlSelectElement>().selected_index();
        Action::SetDepth(leg, Depth::ALL[index.clamp(0, 2) as usize])
    });
    let depths = Depth::ALL
        .map(|depth| html! { <option selected={depth == it.depth}>{ words::depth(depth) }</option> });
    html! {
        <span class="field">
            <span>{ says }</span>
            { written.view(page, Some(label), None, "") }
            <select aria-label={format!("How far the {says} is in")} onchange={ondepth}>{ for depths }</select>
        </span>
    }
}

/// Values on offer in resistance fields: series E24, which holds E12, over the usual decades.
pub fn preferred_values() -> Html {
    let options = [1.0, 10.0, 100.0, 1000.0, 10_000.0, 100_000.0].into_iter().flat_map(|decade| {
        E24.map(|value| html! { <option value={amount::in_field(f64::from(value) * decade, Unit::Ohm)} /> })
    });
    html! { <datalist id="preferred">{ for options }</datalist> }
}
