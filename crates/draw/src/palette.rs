//! The colours of the theme.

use halfrow_core::shape::{Paint, Tint};

/// The name of a tint: of the page's CSS variable `--name`.
pub fn name(tint: Tint) -> &'static str {
    match tint {
        Tint::Ink => "ink",
        Tint::Soft => "soft",
        Tint::Board => "board",
        Tint::Channel => "channel",
        Tint::Rule => "rule",
        Tint::Hole => "hole",
        Tint::Print => "print",
        Tint::Accent => "teal",
        Tint::Sheet => "sheet",
    }
}

/// The light theme's colour, for pictures that stand alone.
pub fn light(tint: Tint) -> &'static str {
    match tint {
        Tint::Ink => "#1d2b33",
        Tint::Soft => "#55616a",
        Tint::Board => "#fffdf6",
        Tint::Channel => "#efe9da",
        Tint::Rule => "#cfc7b4",
        Tint::Hole => "#3a3a38",
        Tint::Print => "#6f685a",
        Tint::Accent => "#0b6e6e",
        Tint::Sheet => "#fffdf8",
    }
}

/// A paint as an SVG attribute's value, in fixed colours or in the page's variables.
pub fn paint(paint: Paint, live: bool) -> String {
    match paint {
        Paint::None => "none".to_owned(),
        Paint::Fixed(colour) | Paint::Halo(colour) => colour.to_owned(),
        Paint::Tint(tint) if live => format!("var(--{})", name(tint)),
        Paint::Tint(tint) => light(tint).to_owned(),
        Paint::Glow(colour) => format!("url(#glow-{colour})"),
    }
}
