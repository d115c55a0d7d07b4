//! What a person gives to be opened: an example, a bench file, a link, a picture that holds one.

use halfrow_draw::svg;
use halfrow_file::examples::Example;
use halfrow_file::link;

use crate::model::state::Action;

/// Opens an example.
pub fn open_example(example: &'static Example) -> Action {
    match halfrow_file::read(example.text()) {
        Ok(bench) => Action::Open(Box::new(bench), format!("{} is open.", example.title)),
        Err(error) => Action::Say(error.to_string()),
    }
}

/// Reads what a person gave (a bench file or a link) and opens it, or says why not.
pub fn open_text(name: &str, text: &str) -> Action {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text).trim();
    let read = if let Some(at) = text.find(svg::HELD).filter(|_| text.starts_with('<')) {
        let inside = text[at + svg::HELD.len()..].split('<').next().unwrap_or_default();
        link::decode(inside.trim())
    } else if link::looks_like(text) {
        link::decode(text)
    } else {
        halfrow_file::read(text)
    };
    match read {
        Ok(bench) => Action::Open(Box::new(bench), format!("{name} is open.")),
        Err(error) => Action::Say(format!("{name} couldn’t be opened: {error}")),
    }
}
