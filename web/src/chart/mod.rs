//! The chart: voltages and currents over time.
//!
//! `traces` keeps what the clock saw and measures it; here are the settings, the canvas, and the same
//! figures as a table.

mod traces;

pub use traces::{Measures, PROBES, Probe, Traces};

use halfrow_core::amount;
use halfrow_core::board::Hole;
use wasm_bindgen::JsCast;
use web_sys::{CanvasRenderingContext2d, HtmlCanvasElement, HtmlInputElement, HtmlSelectElement};
use yew::prelude::*;

use crate::button::Button;
use crate::clock::with_traces;
use crate::page::Handle;
use crate::platform::{files, page as browser};
use crate::state::Action;

/// Seconds a division on offer.
pub const SECONDS: [f64; 17] =
    [1e-7, 1e-6, 1e-5, 2e-5, 5e-5, 1e-4, 2e-4, 5e-4, 1e-3, 2e-3, 5e-3, 0.01, 0.02, 0.05, 0.1, 0.5, 1.0];
/// Volts a division on offer; 0 fits by itself.
pub const VOLTS: [f64; 8] = [0.0, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0];

/// Points of the canvas for a pixel of the page: sharp on paper and on fine screens.
const SHARP: f64 = 2.0;

/// Divisions from left to right and from bottom to top.
const ACROSS: f64 = 10.0;
const UP: f64 = 8.0;

/// The theme's colour, dash and name of each trace: told apart by the dash as well.
const LOOKS: [(&str, &[f64], &str); PROBES] = [
    ("--teal", &[], "full line"),
    ("--fault", &[7.0, 4.0], "dashes"),
    ("--violet", &[2.0, 3.0], "dots"),
    ("--risk", &[9.0, 3.0, 2.0, 3.0], "dash and dot"),
];

/// When the chart begins anew.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Trigger {
    /// Not at all: the newest is at the right edge.
    Free,
    /// When the first trace rises through the level.
    Rise,
    /// When it falls through it.
    Fall,
}

/// How the chart is set; part of the page's state.
#[derive(Clone, Debug, PartialEq)]
pub struct Chart {
    /// What it shows.
    pub probes: [Option<Probe>; PROBES],
    /// Index into [`SECONDS`].
    pub seconds: usize,
    /// Index into [`VOLTS`].
    pub volts: usize,
    /// When it begins anew.
    pub trigger: Trigger,
    /// Level of the trigger, volts (or amperes).
    pub level: f64,
    /// Whether it stops after one picture.
    pub single: bool,
    /// Places of the two cursors, shares of the width; `None` while they are off.
    pub cursors: Option<(f64, f64)>,
}

impl Default for Chart {
    fn default() -> Chart {
        Chart {
            probes: [const { None }; PROBES],
            seconds: 14,
            volts: 0,
            trigger: Trigger::Free,
            level: 1.0,
            single: false,
            cursors: None,
        }
    }
}

impl Chart {
    /// The times at the left and right edge.
    fn window(&self, traces: &mut Traces) -> (f64, f64) {
        let division = SECONDS[self.seconds];
        let end = traces.end();
        let free = (end - ACROSS * division, end);
        if self.trigger == Trigger::Free {
            return free;
        }
        let rising = self.trigger == Trigger::Rise;
        let latest = end - (ACROSS - 1.0) * division;
        match traces.last_pass(0, self.level, rising, latest) {
            Some(pass) => {
                if self.single {
                    traces.held = true;
                }
                (pass - division, pass + (ACROSS - 1.0) * division)
            }
            None => free,
        }
    }
}

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
    let (from, to) = with_traces(|traces| chart.window(traces));
    let set = |change: fn(&mut Chart, &str)| {
        let chart = chart.clone();
        page.on(move |event: Event| {
            let target = event.target();
            let value = target
                .as_ref()
                .and_then(|it| it.dyn_ref::<HtmlSelectElement>().map(HtmlSelectElement::value))
                .or_else(|| {
                    target
                        .as_ref()
                        .and_then(|it| it.dyn_ref::<HtmlInputElement>().map(HtmlInputElement::value))
                })
                .unwrap_or_default();
            let mut chart = chart.clone();
            change(&mut chart, &value);
            Action::SetChart(Box::new(chart))
        })
    };
    let seconds = SECONDS.iter().map(|&it| plain(it, "s")).collect();
    let volts = VOLTS.iter().map(|&it| if it == 0.0 { "fits".to_owned() } else { plain(it, "V") }).collect();
    let triggers = ["runs free", "on a rise", "on a fall"].map(str::to_owned).to_vec();
    let held = with_traces(|traces| traces.held);
    let hold = {
        let chart = chart.clone();
        page.on(move |_: MouseEvent| {
            with_traces(|traces| if traces.held { traces.clear() } else { traces.held = true });
            Action::SetChart(Box::new(chart.clone()))
        })
    };
    let cursors = {
        let chart = chart.clone();
        page.on(move |_: MouseEvent| {
            let cursors = if chart.cursors.is_some() { None } else { Some((0.3, 0.7)) };
            Action::SetChart(Box::new(Chart { cursors, ..chart.clone() }))
        })
    };
    html! {
        <div class="chart">
            <div class="chart-probes">{ for (0..PROBES).map(|index| probe_field(page, &chart, index)) }</div>
            <canvas ref={canvas} class="chart-face" role="img"
                aria-label="Voltages and currents over time; the figures stand in the table below" />
            <div class="strip-fields">
                { choice("Across", seconds, chart.seconds, "a division", set(|it, value| it.seconds = value.parse().unwrap_or(14).min(SECONDS.len() - 1))) }
                { choice("Up", volts, chart.volts, "", set(|it, value| it.volts = value.parse().unwrap_or(0).min(VOLTS.len() - 1))) }
                { choice("Trigger", triggers, chart.trigger as usize, "", set(|it, value| it.trigger = match value { "1" => Trigger::Rise, "2" => Trigger::Fall, _ => Trigger::Free })) }
                if chart.trigger != Trigger::Free {
                    <label class="field"><span>{ "at" }</span><input class="number" value={chart.level.to_string()}
                        onchange={set(|it, value| if let Some(level) = crate::numbers::read(value) { it.level = level })} /></label>
                    <label class="field"><input type="checkbox" checked={chart.single} onchange={set(|it, _| it.single = !it.single)} /><span>{ "once" }</span></label>
                }
                { Button::new(if held { "Go on" } else { "Hold" }).pressed(held).view(hold) }
                { Button::new("Cursors").pressed(chart.cursors.is_some()).view(cursors) }
                { Button::new("CSV").view(page.on(move |_| { save_csv(from, to); Action::Say("The chart is saved as a table.".into()) })) }
                { Button::new("Print").view(page.on(|_| { browser::print(); Action::Say(String::new()) })) }
            </div>
            { cursor_fields(page, &chart, from, to) }
            { table(&chart, from, to) }
        </div>
    }
}

/// A field to choose one of some words; its value is the index.
#[inline(never)]
fn choice(
    name: &'static str,
    words: Vec<String>,
    chosen: usize,
    after: &'static str,
    onchange: Callback<Event>,
) -> Html {
    let options = words.into_iter().enumerate().map(|(index, words)| {
        html! { <option value={index.to_string()} selected={index == chosen}>{ words }</option> }
    });
    html! { <label class="field"><span>{ name }</span><select {onchange}>{ for options }</select><span>{ after }</span></label> }
}

/// A field that chooses what a trace shows.
fn probe_field(page: &Handle, chart: &Chart, index: usize) -> Html {
    let solved = &page.state.solved;
    let chosen = &chart.probes[index];
    let nets = solved.point.nets.all.iter().filter_map(|net| {
        let hole = net.taken_holes(&solved.bench).first().copied()?;
        Some((Probe::Hole(hole), format!("{} ({hole})", net.name)))
    });
    let parts = solved
        .bench
        .parts
        .iter()
        .filter(|part| !part.card.is_wire())
        .map(|part| (Probe::Part(part.id.clone()), format!("current into {}", part.title())));
    let mut options: Vec<(Option<Probe>, String)> = vec![(None, "choose what to draw".to_owned())];
    options.extend(nets.chain(parts).map(|(probe, words)| (Some(probe), words)));
    // A hole that is watched and is no net's first is offered too.
    if chosen.is_some() && !options.iter().any(|(probe, _)| probe == chosen) {
        options.extend(chosen.clone().map(|probe| (Some(probe.clone()), probe.name())));
    }
    let fields: Vec<Html> = options
        .iter()
        .map(|(probe, words)| html! { <option selected={probe == chosen}>{ words }</option> })
        .collect();
    let chart = chart.clone();
    let onchange = page.on(move |event: Event| {
        let at = event.target_unchecked_into::<HtmlSelectElement>().selected_index().max(0) as usize;
        let mut chart = chart.clone();
        chart.probes[index] = options.get(at).and_then(|(probe, _)| probe.clone());
        Action::SetChart(Box::new(chart))
    });
    let (colour, dash, name) = LOOKS[index];
    let dash = dash.iter().map(f64::to_string).collect::<Vec<_>>().join(" ");
    html! {
        <label class="field">
            <svg width="26" height="8" role="img" aria-label={name}><path d="M1 4H25" stroke={format!("var({colour})")} stroke-width="2.4" stroke-dasharray={dash} /></svg>
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
        let words = amount::time(from + share * (to - from));
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
        let words = |value: Option<f64>| value.map_or("–".to_owned(), |it| amount::with_prefix(it, probe.unit()));
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
fn table(chart: &Chart, from: f64, to: f64) -> Html {
    let rows: Vec<Html> = (0..PROBES)
        .filter_map(|index| {
            let probe = chart.probes[index].as_ref()?;
            let measures = with_traces(|traces| traces.measures(index, from, to));
            let amount = |pick: fn(&Measures) -> f64| {
                measures.as_ref().map_or("–".to_owned(), |it| amount::with_prefix(pick(it), probe.unit()))
            };
            let hertz = measures.and_then(|it| it.hertz).map_or("–".to_owned(), |it| amount::with_prefix(it, "Hz"));
            let duty = measures.and_then(|it| it.duty).map_or("–".to_owned(), |it| format!("{:.0} %", 100.0 * it));
            Some(html! {
                <tr><th scope="row">{ probe.name() }</th><td>{ amount(|it| it.mean) }</td><td>{ amount(|it| it.rms) }</td>
                    <td>{ amount(|it| it.high - it.low) }</td><td>{ hertz }</td><td>{ duty }</td></tr>
            })
        })
        .collect();
    if rows.is_empty() {
        return html! { <p class="quiet pad">{ "Choose what to watch above: the voltage of a net or the current into a part." }</p> };
    }
    html! {
        <table class="readings">
            <thead><tr><th scope="col">{ "Trace" }</th><th scope="col">{ "Mean" }</th><th scope="col">{ "RMS" }</th><th scope="col"><abbr title="Peak to peak">{ "p–p" }</abbr></th><th scope="col"><abbr title="Frequency">{ "Freq." }</abbr></th><th scope="col"><abbr title="Duty cycle: the share of the time above the middle">{ "Duty" }</abbr></th></tr></thead>
            <tbody>{ for rows }</tbody>
        </table>
    }
}

/// A round value with its unit: `20 ms`.
fn plain(value: f64, unit: &str) -> String {
    let text = amount::with_prefix(value, unit);
    match text.split_once(' ') {
        Some((number, rest)) if number.contains('.') => {
            format!("{} {rest}", number.trim_end_matches('0').trim_end_matches('.'))
        }
        _ => text,
    }
}

/// The lowest and highest value of the scale of all traces with one unit.
fn scale(chart: &Chart, traces: &Traces, unit: &str, from: f64, to: f64) -> (f64, f64) {
    let (mut low, mut high) = (0.0_f64, 0.0_f64);
    for (index, probe) in chart.probes.iter().enumerate() {
        if probe.as_ref().is_some_and(|probe| probe.unit() == unit) {
            for (_, readings) in traces.between(from, to) {
                let value = f64::from(readings[index]);
                if value.is_finite() {
                    (low, high) = (low.min(value), high.max(value));
                }
            }
        }
    }
    axis(low, high, unit, if unit == "V" { VOLTS[chart.volts] } else { 0.0 })
}

/// The ends of an axis that holds values from `low` (at most 0) to `high`, in divisions of this size, or of
/// one that fits where it is 0.
fn axis(low: f64, high: f64, unit: &str, division: f64) -> (f64, f64) {
    let fits = division == 0.0;
    let division = if fits {
        // The next of 1, 2, 5 at which everything fits, without magnifying what a meter shows as zero.
        let rough = ((high - low) / UP).max(if unit == "V" { 1e-3 } else { 1e-6 });
        let ten = halfrow_core::math::pow(10.0, halfrow_core::math::log10(rough).floor());
        [1.0, 2.0, 5.0, 10.0].into_iter().map(|it| it * ten).find(|it| *it >= 0.999 * rough).unwrap_or(rough)
    } else {
        division
    };
    // A hundredth of a division below zero is noise.
    let below = (low / division + 0.01).floor().max(-(UP - 1.0));
    (below * division, (below + UP) * division)
}

fn draw(canvas: &HtmlCanvasElement, chart: &Chart) {
    let Ok(Some(context)) = canvas.get_context("2d") else { return };
    let Ok(paint) = context.dyn_into::<CanvasRenderingContext2d>() else { return };
    // In the page's own pixels, so that its type is as large as the page's at every width.
    let width = f64::from(canvas.client_width()).max(200.0);
    let height = (0.6 * width).round();
    if f64::from(canvas.width()) != SHARP * width {
        canvas.set_width((SHARP * width) as u32);
        canvas.set_height((SHARP * height) as u32);
    }
    let (left, bottom) = (56.0, 22.0);
    let (right, top) = (8.0, 8.0);
    let (w, h) = (width - left - right, height - top - bottom);
    let (ink, rule) = (colour(canvas, "--ink"), colour(canvas, "--rule"));
    let _ = paint.set_transform(SHARP, 0.0, 0.0, SHARP, 0.0, 0.0);
    paint.clear_rect(0.0, 0.0, width, height);
    paint.set_line_width(0.6);
    let _ = paint.set_line_dash(&js_sys::Array::new());
    paint.set_stroke_style_str(&rule);
    let line = |x0: f64, y0: f64, x1: f64, y1: f64| {
        paint.begin_path();
        paint.move_to(x0, y0);
        paint.line_to(x1, y1);
        paint.stroke();
    };
    for step in 0..=ACROSS as u32 {
        let x = left + w * f64::from(step) / ACROSS;
        line(x, top, x, top + h);
    }
    for step in 0..=UP as u32 {
        let y = top + h * f64::from(step) / UP;
        line(left, y, left + w, y);
    }
    with_traces(|traces| {
        let (from, to) = chart.window(traces);
        let x = |time: f64| left + w * (time - from) / (to - from);
        paint.set_fill_style_str(&ink);
        paint.set_font("12px Inter, system-ui, sans-serif");
        let mut labelled = None;
        for (index, probe) in chart.probes.iter().enumerate() {
            let Some(probe) = probe else { continue };
            let (low, high) = scale(chart, traces, probe.unit(), from, to);
            let y = |value: f64| top + h * (1.0 - (value - low) / (high - low)).clamp(-0.02, 1.02);
            if labelled.is_none() {
                labelled = Some(probe.unit());
                paint.set_text_align("right");
                for step in [0, 2, 4, 6, 8] {
                    let value = low + (high - low) * f64::from(step) / UP;
                    let _ = paint.fill_text(&plain(value, probe.unit()), left - 5.0, y(value) + 4.0);
                }
                paint.set_text_align("left");
            }
            let (stroke, dash, _) = LOOKS[index];
            let dash: js_sys::Array =
                dash.iter().map(|&it| wasm_bindgen::JsValue::from_f64(0.9 * it)).collect();
            paint.set_stroke_style_str(&colour(canvas, stroke));
            paint.set_line_width(1.8);
            let _ = paint.set_line_dash(&dash);
            paint.begin_path();
            let mut down = false;
            let mut last = f64::NEG_INFINITY;
            for (time, readings) in traces.between(from, to) {
                let value = f64::from(readings[index]);
                if !value.is_finite() {
                    down = false;
                    continue;
                }
                let (px, py) = (x(*time).clamp(left, left + w), y(value));
                // Many samples on one pixel say no more than the first few.
                if down && px - last < 0.01 && px < left + w {
                    continue;
                }
                last = px;
                if down {
                    paint.line_to(px, py)
                } else {
                    paint.move_to(px, py)
                }
                down = true;
            }
            paint.stroke();
        }
        let _ = paint.set_line_dash(&js_sys::Array::new());
        paint.set_fill_style_str(&ink);
        for (step, align) in [(0.0, "left"), (0.5, "center"), (1.0, "right")] {
            let time = from + (to - from) * step;
            paint.set_text_align(align);
            let _ = paint.fill_text(&amount::time(time), x(time), height - 6.0);
        }
        paint.set_text_align("left");
        if let Some((a, b)) = chart.cursors {
            paint.set_stroke_style_str(&ink);
            paint.set_line_width(1.2);
            for (share, name) in [(a, "A"), (b, "B")] {
                let px = left + w * share;
                paint.begin_path();
                paint.move_to(px, top);
                paint.line_to(px, top + h);
                paint.stroke();
                let _ = paint.fill_text(name, px + 3.0, top + 12.0);
            }
        }
    });
}

/// A colour of the theme.
fn colour(canvas: &HtmlCanvasElement, name: &str) -> String {
    let style = web_sys::window().and_then(|window| window.get_computed_style(canvas).ok().flatten());
    style.and_then(|style| style.get_property_value(name).ok()).unwrap_or_default().trim().to_owned()
}

/// The samples in sight as a table for a spreadsheet.
fn save_csv(from: f64, to: f64) {
    let text = with_traces(|traces| {
        let mut text = String::from("seconds");
        for probe in traces.probes.iter().flatten() {
            text += &format!(",{} {}", probe.name(), probe.unit());
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

/// Puts a hole on the chart, in the first place that is free.
pub fn add(chart: &mut Chart, hole: Hole) {
    let probe = Some(Probe::Hole(hole));
    if !chart.probes.contains(&probe) {
        let place = chart.probes.iter().position(Option::is_none).unwrap_or(PROBES - 1);
        chart.probes[place] = probe;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quiet_net_is_a_flat_line_and_noise_is_no_depth() {
        for (low, high, unit, division, ends) in [
            (0.0, 0.0, "V", 0.0, (0.0, 8e-3)),
            (-1e-9, 1e-9, "V", 0.0, (0.0, 8e-3)),
            (0.0, 1e-12, "A", 0.0, (0.0, 8e-6)),
            (0.0, 5.45, "V", 0.0, (0.0, 8.0)),
            (-2.0, 2.0, "V", 0.0, (-2.0, 2.0)),
            (-1e-9, 5.0, "V", 2.0, (0.0, 16.0)),
            (-5.0, 5.0, "V", 2.0, (-6.0, 10.0)),
        ] {
            let (from, to) = axis(low, high, unit, division);
            assert!((from - ends.0).abs() < 1e-9 && (to - ends.1).abs() < 1e-9, "{low} {high}: {from} {to}");
        }
    }
}
