//! The chart: voltages and currents over time.
//!
//! [`traces`](crate::run::traces) keeps what the clock saw and measures it; here are the canvas, its
//! controls, and the same figures as a table.

use halfrow_core::amount::{self, plain};
use halfrow_core::math;
use halfrow_core::probe::Probe;
use wasm_bindgen::JsCast;
use web_sys::{CanvasRenderingContext2d, HtmlCanvasElement, HtmlInputElement, HtmlSelectElement};
use yew::prelude::*;

use crate::model::chart::{Chart, PROBES, SECONDS, Trigger, VOLTS, step, volts};
use crate::model::state::{Action, Field, NO_PART};
use crate::panel::properties::Written;
use crate::platform::{files, page as browser};
use crate::run::traces::{Measures, Traces, with_traces};
use crate::ui::button::Button;
use crate::ui::page::Handle;

/// The units of the scales, the side that each stands on, and its type's.
const AXES: [(&str, &str, &str); 2] = [("V", ", left ", "right"), ("A", ", right ", "left")];

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

/// The times at the left and right edge, and whether it waits for the first trace to pass the level.
fn window(chart: &Chart, traces: &mut Traces) -> (f64, f64, bool) {
    let division = step(chart.seconds);
    let end = traces.end();
    let triggered = chart.trigger != Trigger::Free;
    let latest = end - (ACROSS - 1.0) * division;
    let pass = || traces.last_pass(0, chart.level, chart.trigger == Trigger::Rise, latest);
    let from = match triggered.then(pass).flatten() {
        Some(pass) => {
            traces.held |= chart.single;
            pass - division
        }
        None => return (end - ACROSS * division, end, triggered),
    };
    (from, from + ACROSS * division, false)
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
                aria-label="Voltages and currents over time; the figures stand in the table below" />
            <div class="strip-fields">
                { choice("Across", seconds, chart.seconds, "a division", set(|it, at| it.seconds = at)) }
                { choice("Up", volts, chart.volts, "", set(|it, at| it.volts = at)) }
                { choice("Trigger", triggers, chart.trigger as usize, "", set(|it, at| it.trigger = [Trigger::Free, Trigger::Rise, Trigger::Fall][at.min(2)])) }
                if chart.trigger != Trigger::Free {
                    <label class="field"><span>{ "at" }</span>{ level.view(page, None, None, "") }</label>
                    <label class="field"><input type="checkbox" checked={chart.single} onchange={set(|it, _| it.single = !it.single)} /><span>{ "once" }</span></label>
                    if waits { <span class="quiet">{ "waits for trace 1 to pass it" }</span> }
                }
                { Button::new(if held { "Go on" } else { "Hold" }).pressed(held).view(hold) }
                { Button::new("Cursors").pressed(chart.cursors.is_some()).does(page, cursors) }
                { Button::new("CSV").view(page.on(move |_| { save_csv(from, to); Action::Say("The chart is saved as a table.".into()) })) }
                { Button::new("Print").view(page.on(|_| { browser::print(); Action::Say(String::new()) })) }
            </div>
            { cursor_fields(page, &chart, from, to) }
            { table(&chart, from, to) }
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
        Some((Probe::Hole(hole), format!("{} ({hole})", net.name)))
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
        options.extend(chosen.clone().map(|probe| (Some(probe.clone()), probe.name())));
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
fn table(chart: &Chart, from: f64, to: f64) -> Html {
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
                <tr><th scope="row">{ line(index) }{ probe.name() }</th><td>{ amount(|it| it.mean) }</td><td>{ amount(|it| it.rms) }</td>
                    <td>{ amount(|it| it.high - it.low) }</td><td>{ hertz }</td><td>{ duty }</td></tr>
            })
        })
        .collect();
    if rows.is_empty() {
        return html! { <p class="quiet pad">{ "Choose what to watch above: the voltage of a net or the current into a part." }</p> };
    }
    html! {
        <table class="readings">
            <thead><tr><th scope="col">{ "Trace" }</th><th scope="col"><abbr title="Over whole periods; without a frequency, over what is in sight">{ "Mean" }</abbr></th><th scope="col">{ "RMS" }</th><th scope="col"><abbr title="Peak to peak">{ "p–p" }</abbr></th><th scope="col"><abbr title="Frequency">{ "Freq." }</abbr></th><th scope="col"><abbr title="Duty cycle: the share of the time above the middle">{ "Duty" }</abbr></th></tr></thead>
            <tbody>{ for rows }</tbody>
        </table>
    }
}

/// What a division is, and on which side the figures of each scale stand.
fn scales(chart: &Chart, traces: &Traces, from: f64, to: f64) -> String {
    let mut words = "A division: ".to_owned();
    words += &plain(step(chart.seconds), "s");
    for (unit, side, _) in AXES {
        if chart.shows(unit) {
            let (low, high) = scale(chart, traces, unit, from, to);
            words += side;
            words += &plain((high - low) / UP, unit);
        }
    }
    words
}

/// A moment in the unit that suits what is shown, with the digits that tell it from one that is this share
/// of the width away: `185.2 s`.
fn moment(time: f64, (from, to): (f64, f64), share: f64) -> String {
    let units = [(1.0, "s"), (1e-3, "ms"), (1e-6, "µs")];
    let (factor, unit) = units.into_iter().find(|it| to.max(to - from) >= it.0).unwrap_or(units[2]);
    let digits = (-math::log10(share * (to - from) / factor) - 0.01).ceil().max(0.0) as usize;
    format!("{} {unit}", amount::decimals(time / factor, digits))
}

/// The lowest and highest value of the scale of all traces with one unit.
fn scale(chart: &Chart, traces: &Traces, unit: &str, from: f64, to: f64) -> (f64, f64) {
    let (mut low, mut high) = (0.0_f64, 0.0_f64);
    for (index, probe) in chart.probes.iter().enumerate() {
        if probe.as_ref().is_some_and(|probe| probe.unit().symbol() == unit) {
            for (_, readings) in traces.between(from, to) {
                let value = f64::from(readings[index]);
                if value.is_finite() {
                    (low, high) = (low.min(value), high.max(value));
                }
            }
        }
    }
    axis(low, high, unit, if unit == "V" { volts(chart.volts) } else { 0.0 })
}

/// The ends of an axis that holds values from `low` (at most 0) to `high`, in divisions of this size, or of
/// one that fits where it is 0.
fn axis(low: f64, high: f64, unit: &str, division: f64) -> (f64, f64) {
    let fits = division == 0.0;
    let division = if fits {
        // The next step at which everything fits, without magnifying what a meter shows as zero.
        let rough = ((high - low) / UP).max(if unit == "V" { 1e-3 } else { 1e-6 });
        (0..99).map(step).find(|it| *it >= 0.999 * rough).unwrap_or(rough)
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
    // Room for the figures of each scale that there is.
    let [left, right] = AXES.map(|(unit, ..)| if chart.shows(unit) { 60.0 } else { 8.0 });
    let (top, bottom) = (8.0, 22.0);
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
        let (from, to, _) = window(chart, traces);
        let x = |time: f64| left + w * (time - from) / (to - from);
        paint.set_fill_style_str(&ink);
        paint.set_font("12px Inter, system-ui, sans-serif");
        for ((unit, _, align), at) in AXES.into_iter().zip([left - 5.0, left + w + 5.0]) {
            if chart.shows(unit) {
                let (low, high) = scale(chart, traces, unit, from, to);
                paint.set_text_align(align);
                for step in [0, 2, 4, 6, 8].map(f64::from) {
                    let value = low + (high - low) * step / UP;
                    let _ = paint.fill_text(&plain(value, unit), at, top + h * (1.0 - step / UP) + 4.0);
                }
            }
        }
        for (index, probe) in chart.probes.iter().enumerate() {
            let Some(probe) = probe else { continue };
            let (low, high) = scale(chart, traces, probe.unit().symbol(), from, to);
            let y = |value: f64| top + h * (1.0 - (value - low) / (high - low)).clamp(-0.02, 1.02);
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
            let words = moment(time, (from, to), 1.0 / ACROSS);
            // Long ones leave no room for a third.
            if step != 0.5 || 21.0 * words.len() as f64 <= w {
                paint.set_text_align(align);
                let _ = paint.fill_text(&words, x(time), height - 6.0);
            }
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

#[cfg(test)]
mod tests {
    use super::*;
    use halfrow_core::board::Hole;

    #[test]
    fn neighbouring_moments_read_differently() {
        for (from, division, labels) in [
            (184.6, 0.1, ["184.6 s", "185.1 s", "185.6 s"]),
            (1234.0, 0.2, ["1234.0 s", "1235.0 s", "1236.0 s"]),
            (-1.9, 0.2, ["−1.9 s", "−0.9 s", "0.1 s"]),
            (0.0120, 1e-5, ["12.00 ms", "12.05 ms", "12.10 ms"]),
            (185.0, 1e-7, ["185.0000000 s", "185.0000005 s", "185.0000010 s"]),
            (0.0, 1e-7, ["0.0 µs", "0.5 µs", "1.0 µs"]),
        ] {
            let end = from + ACROSS * division;
            let at = |share: f64| moment(from + share * (end - from), (from, end), 0.1);
            assert_eq!([at(0.0), at(0.5), at(1.0)], labels);
        }
    }

    #[test]
    fn a_small_current_has_a_scale_of_its_own_beside_volts() {
        let hole = Hole::parse("e5").unwrap();
        let mut chart = Chart::default();
        chart.probes[1] = Some(Probe::current("R1"));
        let wave =
            |i: u32| (f64::from(i) * 0.01, [5.0, if i.is_multiple_of(2) { 6e-5 } else { -6e-5 }, 0.0, 0.0]);
        let traces = Traces::of((0..100).map(wave));
        let words = |chart: &Chart| scales(chart, &traces, 0.0, 1.0);
        assert_eq!(words(&chart), "A division: 200 ms, right 20 µA");
        chart.probes[0] = Some(Probe::Hole(hole));
        assert_eq!(words(&chart), "A division: 200 ms, left 1 V, right 20 µA");
        assert_eq!(words(&Chart::default()), "A division: 200 ms");
    }

    #[test]
    fn a_trigger_whose_level_is_never_reached_waits() {
        let mut traces =
            Traces::of((0..500).map(|i| (f64::from(i) * 0.01, [(f64::from(i) * 0.1).sin() as f32; PROBES])));
        let mut chart = Chart { trigger: Trigger::Rise, level: 0.5, ..Chart::default() };
        let (from, to, waits) = window(&chart, &mut traces);
        assert!(
            !waits
                && (to - from - 2.0).abs() < 1e-9
                && (traces.at(0, from + 0.2).unwrap() - 0.5).abs() < 1e-6
        );
        chart.level = 5.0;
        assert!(window(&chart, &mut traces).2);
        chart.trigger = Trigger::Free;
        assert!(!window(&chart, &mut traces).2);
    }

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
