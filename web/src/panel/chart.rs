//! The chart: voltages and currents over time.
//!
//! [`traces`](crate::run::traces) keeps what the clock saw and measures it; here are its
//! controls and the same figures as a table. `face` is the canvas, `scale` what it shows from edge to edge.

mod face;
mod scale;

use halfrow_core::amount::{self, plain};
use halfrow_core::probe::Probe;
use web_sys::{HtmlCanvasElement, HtmlInputElement, HtmlSelectElement};
use yew::prelude::*;

use face::draw;
use scale::{moment, scales, window};

use crate::model::chart::{Chart, PROBES, SECONDS, Trigger, VOLTS, step, volts};
use crate::model::state::{Action, Field, NO_PART};
use crate::model::words;
use crate::panel::properties::Written;
use crate::platform::{files, page as browser};
use crate::run::traces::{Measures, with_traces};
use crate::ui::button::Button;
use crate::ui::page::Handle;

/// The theme's colour, dash and name of each trace: told apart by the dash as well.
const LOOKS: [(&str, &[f64], &str); PROBES] = [
    ("--teal", &[], "full line"),
    ("--fault", &[7.0, 4.0], "dashes"),
    ("--violet", &[2.0, 3.0], "dots"),
    ("--risk", &[9.0, 3.0, 2.0, 3.0], "dash and dot"),
];

/// Properties of [`ChartTab`].
#[derive(Properties, PartialEq)]
pub struct Props {
    /// The page's state.
    pub page: Handle,
}

/// The chart with its controls.
#[component]
pub fn ChartTab(props: &Props) -> Html {
    let page = &props.page;
    let chart = page.state.chart.clone();
    let canvas = use_node_ref();
    let latest = use_mut_ref(|| chart.clone());
    *latest.borrow_mut() = chart.clone();
    with_traces(|traces| traces.watch(chart.probes.clone()));
    {
        // The picture is drawn twenty times a second while the tab is open, past yew.
        let (canvas, latest) = (canvas.clone(), latest.clone());
        use_effect_with((), move |()| {
            let timer = browser::every(50, move || {
                if let Some(canvas) = canvas.cast::<HtmlCanvasElement>() {
                    draw(&canvas, &latest.borrow());
                }
            });
            move || drop(timer)
        });
    }
    let (from, to, waits) = with_traces(|traces| window(&chart, traces));
    // What is chosen is told by its place; that of a box that is ticked is 0.
    let set = |change: fn(&mut Chart, usize)| {
        let chart = chart.clone();
        page.on(move |event: Event| {
            let mut chart = chart.clone();
            change(&mut chart, selected(&event));
            Action::SetChart(Box::new(chart))
        })
    };
    let seconds = (0..SECONDS).map(|it| plain(step(it), "s")).collect();
    let volts =
        (0..=VOLTS).map(|it| if it == 0 { "fits".to_owned() } else { plain(volts(it), "V") }).collect();
    let triggers = ["runs free", "on a rise", "on a fall"].map(str::to_owned).to_vec();
    let held = with_traces(|traces| traces.held);
    let hold = page.on(|_: MouseEvent| {
        with_traces(|traces| if traces.held { traces.clear() } else { traces.held = true });
        Action::Say(String::new())
    });
    let cursors = if chart.cursors.is_some() { None } else { Some((0.3, 0.7)) };
    let cursors = Action::SetChart(Box::new(Chart { cursors, ..chart.clone() }));
    let level = Written {
        part: NO_PART,
        field: Field::Level,
        id: "level".to_owned(),
        class: "number",
        value: chart.level.to_string(),
    };
    html! {
        <div class="chart">
            <div class="chart-probes">{ for (0..PROBES).map(|index| probe_field(page, &chart, index)) }</div>
            <canvas ref={canvas} class="chart-face" role="img"
                aria-label="Voltages and currents over time; the figures are in the table below" />
            <div class="strip-fields">
                { choice("Across", seconds, chart.seconds, "a division", set(|it, at| it.seconds = at)) }
                { choice("Up", volts, chart.volts, "", set(|it, at| it.volts = at)) }
                { choice("Trigger", triggers, chart.trigger as usize, "", set(|it, at| it.trigger = [Trigger::Free, Trigger::Rise, Trigger::Fall][at.min(2)])) }
                if chart.trigger != Trigger::Free {
                    <label class="field"><span>{ "at" }</span>{ level.view(page, None, None, "") }</label>
                    <label class="field"><input type="checkbox" checked={chart.single} onchange={set(|it, _| it.single = !it.single)} /><span>{ "once" }</span></label>
                    if waits { <span class="quiet">{ "waits for trace 1 to cross it" }</span> }
                }
                { Button::new(if held { "Go on" } else { "Hold" }).pressed(held).view(hold) }
                { Button::new("Cursors").pressed(chart.cursors.is_some()).does(page, cursors) }
                { Button::new("CSV").view(page.on(move |_| { save_csv(from, to); Action::Say("The chart is saved as a table.".into()) })) }
                { Button::new("Print").view(page.on(|_| { browser::print(); Action::Say(String::new()) })) }
            </div>
            { cursor_fields(page, &chart, from, to) }
            { table(page, &chart, from, to) }
            <p class="quiet pad">{ with_traces(|traces| scales(&chart, traces, from, to)) }</p>
        </div>
    }
}

/// The place of what is chosen in a field of words.
fn selected(event: &Event) -> usize {
    event.target_unchecked_into::<HtmlSelectElement>().selected_index().max(0) as usize
}

/// A field to choose one of some words.
#[inline(never)]
fn choice(
    name: &'static str,
    words: Vec<String>,
    chosen: usize,
    after: &'static str,
    onchange: Callback<Event>,
) -> Html {
    let options = words.into_iter().enumerate().map(|(index, words)| {
        html! { <option selected={index == chosen}>{ words }</option> }
    });
    html! { <label class="field"><span>{ name }</span><select {onchange}>{ for options }</select><span>{ after }</span></label> }
}

/// The line of a trace: what tells it from the others, on paper as well.
#[inline(never)]
fn line(index: usize) -> Html {
    let (colour, dash, name) = LOOKS[index];
    let dash = dash.iter().map(f64::to_string).collect::<Vec<_>>().join(" ");
    html! { <svg width="26" height="8" role="img" aria-label={name}><path d="M1 4H25" stroke={format!("var({colour})")} stroke-width="2.4" stroke-dasharray={dash} /></svg> }
}

/// A field that chooses what a trace shows.
fn probe_field(page: &Handle, chart: &Chart, index: usize) -> Html {
    let solved = &page.state.document.solved;
    let chosen = &chart.probes[index];
    let nets = solved.point.nets.all.iter().filter_map(|net| {
        let hole = net.taken_holes(&solved.bench).first().copied()?;
        Some((Probe::Hole(hole), words::net_name(solved, net)))
    });
    let parts = solved
        .bench
        .parts
        .iter()
        .filter(|part| !part.card.is_wire())
        .map(|part| (Probe::current(part.id.clone()), format!("current into {}", part.title())));
    let mut options: Vec<(Option<Probe>, String)> = vec![(None, "choose what to draw".to_owned())];
    options.extend(nets.chain(parts).map(|(probe, words)| (Some(probe), words)));
    // A hole that is watched and is no net's first is offered too.
    if chosen.is_some() && !options.iter().any(|(probe, _)| probe == chosen) {
        options.extend(chosen.clone().map(|probe| (Some(probe.clone()), words::probe(solved, &probe))));
    }
    let fields: Vec<Html> = options
        .iter()
        .map(|(probe, words)| html! { <option selected={probe == chosen}>{ words }</option> })
        .collect();
    let chart = chart.clone();
    let onchange = page.on(move |event: Event| {
        let mut chart = chart.clone();
        chart.probes[index] = options.get(selected(&event)).and_then(|(probe, _)| probe.clone());
        Action::SetChart(Box::new(chart))
    });
    html! {
        <label class="field">
            { line(index) }
            <span class="away">{ format!("Trace {}", index + 1) }</span>
            <select {onchange}>{ for fields }</select>
        </label>
    }
}

/// Sliders for the cursors and what they read.
fn cursor_fields(page: &Handle, chart: &Chart, from: f64, to: f64) -> Html {
    let Some((a, b)) = chart.cursors else { return html! {} };
    let slider = |name: &'static str, share: f64, first: bool| {
        let chart = chart.clone();
        let oninput = page.on(move |event: InputEvent| {
            let share = event.target_unchecked_into::<HtmlInputElement>().value_as_number() / 1000.0;
            let (a, b) = chart.cursors.unwrap_or((0.3, 0.7));
            let cursors = Some(if first { (share, b) } else { (a, share) });
            Action::SetChart(Box::new(Chart { cursors, ..chart.clone() }))
        });
        let words = moment(from + share * (to - from), (from, to), 1e-3);
        html! {
            <label class="field"><span>{ name }</span><input type="range" min="0" max="1000" value={(share * 1000.0).round().to_string()}
                aria-valuetext={words.clone()} {oninput} /><output>{ words }</output></label>
        }
    };
    let apart = (b - a).abs() * (to - from);
    let hertz =
        if apart > 0.0 { format!(" · {}", amount::with_prefix(1.0 / apart, "Hz")) } else { String::new() };
    let rows = (0..PROBES).filter_map(|index| {
        let probe = chart.probes[index].as_ref()?;
        let at = |share: f64| with_traces(|traces| traces.at(index, from + share * (to - from)));
        let (at_a, at_b) = (at(a), at(b));
        let words = |value: Option<f64>| value.map_or("–".to_owned(), |it| amount::with_prefix(it, probe.unit().symbol()));
        let apart = at_a.zip(at_b).map(|(a, b)| b - a);
        Some(html! { <tr><th scope="row">{ probe.name() }</th><td>{ words(at_a) }</td><td>{ words(at_b) }</td><td>{ words(apart) }</td></tr> })
    });
    html! {
        <>
            <div class="strip-fields">{ slider("A", a, true) }{ slider("B", b, false) }
                <span class="quiet">{ format!("A to B: {}{hertz}", amount::time(apart)) }</span></div>
            <table class="readings"><thead><tr><th scope="col">{ "At the cursors" }</th><th scope="col">{ "A" }</th><th scope="col">{ "B" }</th><th scope="col">{ "B − A" }</th></tr></thead><tbody>{ for rows }</tbody></table>
        </>
    }
}

/// What is measured on each trace.
fn table(page: &Handle, chart: &Chart, from: f64, to: f64) -> Html {
    let rows: Vec<Html> = (0..PROBES)
        .filter_map(|index| {
            let probe = chart.probes[index].as_ref()?;
            let measures = with_traces(|traces| traces.measures(index, from, to));
            let amount = |pick: fn(&Measures) -> f64| {
                measures.as_ref().map_or("–".to_owned(), |it| amount::with_prefix(pick(it), probe.unit().symbol()))
            };
            let hertz = measures.and_then(|it| it.hertz).map_or("–".to_owned(), |it| amount::with_prefix(it, "Hz"));
            let duty = measures.and_then(|it| it.duty).map_or("–".to_owned(), |it| format!("{:.0} %", 100.0 * it));
            Some(html! {
                <tr><th scope="row">{ line(index) }{ words::probe(&page.state.document.solved, probe) }</th><td>{ amount(|it| it.mean) }</td><td>{ amount(|it| it.rms) }</td>
                    <td>{ amount(|it| it.high - it.low) }</td><td>{ hertz }</td><td>{ duty }</td></tr>
            })
        })
        .collect();
    if rows.is_empty() {
        return html! { <p class="quiet pad">{ "Choose what to watch above: the voltage of a net or the current into a part." }</p> };
    }
    html! {
        <table class="readings">
            <thead><tr><th scope="col">{ "Trace" }</th><th scope="col"><abbr title="Over whole periods; without a frequency, over all that’s in view">{ "Mean" }</abbr></th><th scope="col">{ "RMS" }</th><th scope="col"><abbr title="Peak to peak">{ "p–p" }</abbr></th><th scope="col"><abbr title="Frequency">{ "Freq." }</abbr></th><th scope="col"><abbr title="Duty cycle: the share of the time above the middle">{ "Duty" }</abbr></th></tr></thead>
            <tbody>{ for rows }</tbody>
        </table>
    }
}

/// The samples in sight as a table for a spreadsheet.
fn save_csv(from: f64, to: f64) {
    let text = with_traces(|traces| {
        let mut text = String::from("seconds");
        for probe in traces.probes.iter().flatten() {
            text += &format!(",{} {}", probe.name(), probe.unit().symbol());
        }
        for (time, readings) in traces.between(from, to) {
            text += &format!("\n{time}");
            for (reading, probe) in readings.iter().zip(&traces.probes) {
                if probe.is_some() {
                    text += &format!(",{reading}");
                }
            }
        }
        text.push('\n');
        text
    });
    files::download("chart.csv", "text/csv", text.as_bytes());
}
