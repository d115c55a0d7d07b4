//! The chart's canvas.

use halfrow_core::amount::plain;
use wasm_bindgen::{JsCast, JsValue};
use web_sys::{CanvasRenderingContext2d, HtmlCanvasElement};

use super::LOOKS;
use super::scale::{ACROSS, AXES, UP, moment, scale, window};
use crate::model::chart::Chart;
use crate::run::traces::{Traces, with_traces};

/// Points of the canvas for a pixel of the page: sharp on paper and on fine screens.
const SHARP: f64 = 2.0;

/// Where on the canvas the traces are, in pixels of the page, and what they show.
struct Face<'a> {
    canvas: &'a HtmlCanvasElement,
    paint: CanvasRenderingContext2d,
    chart: &'a Chart,
    left: f64,
    top: f64,
    width: f64,
    height: f64,
    /// The times at the left and right edge.
    from: f64,
    to: f64,
}

/// Draws what a chart shows now.
pub(super) fn draw(canvas: &HtmlCanvasElement, chart: &Chart) {
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
    let _ = paint.set_transform(SHARP, 0.0, 0.0, SHARP, 0.0, 0.0);
    paint.clear_rect(0.0, 0.0, width, height);
    with_traces(|traces| {
        let (from, to, _) = window(chart, traces);
        let (width, height) = (width - left - right, height - top - bottom);
        let face = Face { canvas, paint, chart, left, top, width, height, from, to };
        face.rules();
        face.figures(traces);
        for index in 0..chart.probes.len() {
            face.trace(traces, index);
        }
        face.times();
        face.cursors();
    });
}

impl Face<'_> {
    fn x(&self, time: f64) -> f64 {
        self.left + self.width * (time - self.from) / (self.to - self.from)
    }

    fn line(&self, x0: f64, y0: f64, x1: f64, y1: f64) {
        self.paint.begin_path();
        self.paint.move_to(x0, y0);
        self.paint.line_to(x1, y1);
        self.paint.stroke();
    }

    /// A line of this colour of the theme, width and dash from now on.
    fn pen(&self, name: &str, width: f64, dash: &[f64]) {
        let dash: js_sys::Array = dash.iter().map(|&it| JsValue::from_f64(0.9 * it)).collect();
        self.paint.set_stroke_style_str(&colour(self.canvas, name));
        self.paint.set_line_width(width);
        let _ = self.paint.set_line_dash(&dash);
    }

    /// The rules between divisions.
    fn rules(&self) {
        self.pen("--rule", 0.6, &[]);
        for step in 0..=ACROSS as u32 {
            let x = self.left + self.width * f64::from(step) / ACROSS;
            self.line(x, self.top, x, self.top + self.height);
        }
        for step in 0..=UP as u32 {
            let y = self.top + self.height * f64::from(step) / UP;
            self.line(self.left, y, self.left + self.width, y);
        }
    }

    /// The figures of each scale that there is.
    fn figures(&self, traces: &Traces) {
        self.paint.set_fill_style_str(&colour(self.canvas, "--ink"));
        self.paint.set_font("12px Inter, system-ui, sans-serif");
        for ((unit, _, align), at) in AXES.into_iter().zip([self.left - 5.0, self.left + self.width + 5.0]) {
            if self.chart.shows(unit) {
                let (low, high) = scale(self.chart, traces, unit, self.from, self.to);
                self.paint.set_text_align(align);
                for step in [0, 2, 4, 6, 8].map(f64::from) {
                    let value = low + (high - low) * step / UP;
                    let y = self.top + self.height * (1.0 - step / UP) + 4.0;
                    let _ = self.paint.fill_text(&plain(value, unit), at, y);
                }
            }
        }
    }

    fn trace(&self, traces: &Traces, index: usize) {
        let Some(probe) = &self.chart.probes[index] else { return };
        let (low, high) = scale(self.chart, traces, probe.unit().symbol(), self.from, self.to);
        let y = |value: f64| self.top + self.height * (1.0 - (value - low) / (high - low)).clamp(-0.02, 1.02);
        let (stroke, dash, _) = LOOKS[index];
        self.pen(stroke, 1.8, dash);
        self.paint.begin_path();
        let right = self.left + self.width;
        let mut down = false;
        let mut last = f64::NEG_INFINITY;
        for (time, readings) in traces.between(self.from, self.to) {
            let value = f64::from(readings[index]);
            if !value.is_finite() {
                down = false;
                continue;
            }
            let (px, py) = (self.x(*time).clamp(self.left, right), y(value));
            // Many samples on one pixel say no more than the first few.
            if down && px - last < 0.01 && px < right {
                continue;
            }
            last = px;
            if down {
                self.paint.line_to(px, py)
            } else {
                self.paint.move_to(px, py)
            }
            down = true;
        }
        self.paint.stroke();
    }

    /// The times at both edges and in the middle.
    fn times(&self) {
        self.paint.set_fill_style_str(&colour(self.canvas, "--ink"));
        for (step, align) in [(0.0, "left"), (0.5, "center"), (1.0, "right")] {
            let time = self.from + (self.to - self.from) * step;
            let words = moment(time, (self.from, self.to), 1.0 / ACROSS);
            // Long ones leave no room for a third.
            if step != 0.5 || 21.0 * words.len() as f64 <= self.width {
                self.paint.set_text_align(align);
                let _ = self.paint.fill_text(&words, self.x(time), self.top + self.height + 16.0);
            }
        }
        self.paint.set_text_align("left");
    }

    fn cursors(&self) {
        let Some((a, b)) = self.chart.cursors else { return };
        self.pen("--ink", 1.2, &[]);
        for (share, name) in [(a, "A"), (b, "B")] {
            let x = self.left + self.width * share;
            self.line(x, self.top, x, self.top + self.height);
            let _ = self.paint.fill_text(name, x + 3.0, self.top + 12.0);
        }
    }
}

/// A colour of the theme.
fn colour(canvas: &HtmlCanvasElement, name: &str) -> String {
    let style = web_sys::window().and_then(|window| window.get_computed_style(canvas).ok().flatten());
    style.and_then(|style| style.get_property_value(name).ok()).unwrap_or_default().trim().to_owned()
}
