//! Shapes as a self-contained SVG picture: presentation attributes only, no style sheet, no script.

use halfrow_core::bench::Bench;
use halfrow_core::shape::{Anchor, GLOWS, Paint, Shape, Style, n};

use crate::{layout, palette};

/// Text for XML: markup and quotes become entities, characters that XML forbids go.
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            c if (c < ' ' && c != '\n' && c != '\t') || matches!(c, '\u{fffe}' | '\u{ffff}') => {}
            c => out.push(c),
        }
    }
    out
}

/// Attributes of a style as name and value; fills and lines that are absent are left out where SVG's
/// own default is the same.
pub fn attributes(style: &Style, live: bool) -> Vec<(&'static str, String)> {
    let mut out = vec![("fill", palette::paint(style.fill, live))];
    if style.stroke != Paint::None {
        out.push(("stroke", palette::paint(style.stroke, live)));
        out.push(("stroke-width", n(style.width)));
        out.push(("stroke-linecap", "round".to_owned()));
        out.push(("stroke-linejoin", "round".to_owned()));
    }
    if live && matches!(style.stroke, Paint::Halo(_)) {
        out.push(("vector-effect", "non-scaling-stroke".to_owned()));
    }
    if style.opacity < 1.0 {
        out.push(("opacity", n(style.opacity)));
    }
    out
}

/// The tag and the attributes of a shape, and the text in it; children of a group are left to the
/// caller. One place for the page and for files.
pub fn element(shape: &Shape, live: bool) -> (&'static str, Vec<(&'static str, String)>, Option<&str>) {
    match shape {
        Shape::Path { d, style } => {
            let mut out = vec![("d", d.clone())];
            out.extend(attributes(style, live));
            ("path", out, None)
        }
        Shape::Circle { at, r, style } => {
            let mut out = vec![("cx", n(at.x)), ("cy", n(at.y)), ("r", n(*r))];
            out.extend(attributes(style, live));
            ("circle", out, None)
        }
        Shape::Rect { at, size, r, style } => {
            let mut out = vec![
                ("x", n(at.x)),
                ("y", n(at.y)),
                ("width", n(size.0)),
                ("height", n(size.1)),
                ("rx", n(*r)),
            ];
            out.extend(attributes(style, live));
            ("rect", out, None)
        }
        Shape::Text { at, size, anchor, bold, words, style } => {
            let anchor = match anchor {
                Anchor::Start => "start",
                Anchor::Middle => "middle",
                Anchor::End => "end",
            };
            let mut out = vec![
                ("x", n(at.x)),
                ("y", n(at.y)),
                ("font-size", n(*size)),
                ("text-anchor", anchor.to_owned()),
            ];
            if *bold {
                out.push(("font-weight", "700".to_owned()));
            }
            out.extend(attributes(style, live));
            ("text", out, Some(words))
        }
        Shape::Group { at, turn, .. } => {
            let place = if *turn == 0.0 {
                format!("translate({} {})", n(at.x), n(at.y))
            } else {
                format!("translate({} {}) rotate({})", n(at.x), n(at.y), n(*turn))
            };
            ("g", vec![("transform", place)], None)
        }
    }
}

fn write(shape: &Shape, out: &mut String) {
    let (tag, attributes, words) = element(shape, false);
    if attributes.iter().any(|(name, value)| *name == "opacity" && value == "0") {
        return;
    }
    out.push_str(&format!("<{tag}"));
    for (name, value) in attributes {
        out.push_str(&format!(" {name}=\"{}\"", escape(&value)));
    }
    match (shape, words) {
        (Shape::Group { shapes, .. }, _) => {
            out.push('>');
            for shape in shapes {
                write(shape, out);
            }
            out.push_str("</g>");
        }
        (_, Some(words)) => out.push_str(&format!(">{}</text>", escape(words))),
        _ => out.push_str("/>"),
    }
}

/// What stands before the link that a picture holds.
pub const HELD: &str = "<metadata id=\"halfrow\">";

/// A whole SVG document of these shapes, on paper. `wide` leaves room for margin marks; `held` is the
/// link to the bench, or empty.
pub fn document(bench: &Bench, shapes: &[Shape], wide: bool, held: &str) -> String {
    let area = layout::bounds(bench);
    let width = if wide { area.width } else { area.width - 50.0 };
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"{} {} {} {}\" width=\"{}\" height=\"{}\" \
         font-family=\"Inter,'Segoe UI',system-ui,'DejaVu Sans',sans-serif\" role=\"img\">",
        n(area.x),
        n(area.y),
        n(width),
        n(area.height),
        n(width),
        n(area.height)
    );
    let title = if bench.title.is_empty() { "A breadboard" } else { &bench.title };
    out.push_str(&format!("<title>{}</title>", escape(title)));
    if !held.is_empty() {
        out.push_str(&format!("{HELD}{}</metadata>", escape(held)));
    }
    out.push_str("<defs>");
    for (name, colour) in GLOWS {
        out.push_str(&format!(
            "<radialGradient id=\"glow-{name}\"><stop offset=\"0.25\" stop-color=\"{colour}\" stop-opacity=\"0.9\"/>\
             <stop offset=\"1\" stop-color=\"{colour}\" stop-opacity=\"0\"/></radialGradient>"
        ));
    }
    out.push_str("</defs>");
    for shape in shapes {
        write(shape, &mut out);
    }
    out.push_str("</svg>");
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use halfrow_core::board::BoardKind;

    #[test]
    fn markup_in_a_title_stays_text() {
        let mut bench = Bench::new(BoardKind::Mini);
        bench.title = "<script>alert('x')</script>\u{1}".to_owned();
        let svg = document(&bench, &[], false, "#1.<a");
        assert!(svg.contains("&lt;script&gt;") && !svg.contains("<script") && !svg.contains('\u{1}'));
        assert!(svg.contains("<metadata id=\"halfrow\">#1.&lt;a</metadata><defs>"));
    }
}
