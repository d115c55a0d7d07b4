//! Benches as files: opened, saved, as pictures.

use wasm_bindgen_futures::spawn_local;
use yew::prelude::*;

use crate::model::opening::open_text;
use crate::model::state::{Action, Solved};
use crate::paper::png;
use crate::platform::{files, packing};
use crate::ui::page::Handle;

/// Opens the bytes of a file: a bench, an SVG picture or a PNG picture that holds one.
pub fn open_bytes(name: &str, bytes: &[u8]) -> Action {
    if bytes.starts_with(b"\x89PNG") {
        return match png::text_of(bytes) {
            Some(text) => open_text(name, &text),
            None => Action::Say(format!("{name} is a picture without a bench in it.")),
        };
    }
    match std::str::from_utf8(bytes) {
        Ok(text) => open_text(name, text),
        Err(_) => Action::Say(format!("{name} is neither a bench file nor a picture that holds one.")),
    }
}

/// A name for a file of this bench.
pub fn file_name(page: &Handle, ending: &str) -> String {
    let title: String = page
        .state
        .bench()
        .title
        .to_ascii_lowercase()
        .chars()
        .map(|c| if c.is_ascii_alphanumeric() || !c.is_ascii() { c } else { '-' })
        .take(40)
        .collect();
    let title = title.trim_matches('-');
    format!("{}.{ending}", if title.is_empty() { "bench" } else { title })
}

/// The bench as a picture that holds the bench, by its link.
fn picture(solved: &Solved, link: &str) -> String {
    halfrow_draw::svg(&solved.bench, &solved.point, &[], link)
}

/// Saves the bench as a file.
pub fn save_file(page: &Handle) {
    let text = halfrow_file::write(page.state.bench());
    files::download(&file_name(page, "bench.json"), "application/json", text.as_bytes());
    page.dispatch(Action::Say("Saved as a file.".into()));
}

/// Asks for a file and opens it.
pub fn pick_file(page: &Handle) {
    let done = page.on(|(name, bytes): (String, Vec<u8>)| open_bytes(&name, &bytes));
    files::pick(".json,.svg,.png,application/json", done, page.on(Action::Say));
}

/// Saves the bench as an SVG picture.
pub fn save_svg(page: &Handle) {
    let (name, solved) = (file_name(page, "svg"), page.state.document.solved.clone());
    spawn_local(async move {
        let link = packing::encode(&solved.bench).await;
        files::download(&name, "image/svg+xml", picture(&solved, &link).as_bytes());
    });
}

/// Saves the bench as a PNG picture.
pub fn save_png(page: &Handle) {
    let (name, solved) = (file_name(page, "png"), page.state.document.solved.clone());
    let refused = page.on(Action::Say);
    spawn_local(async move {
        let area = halfrow_draw::layout::bounds(&solved.bench);
        let link = packing::encode(&solved.bench).await;
        let drawn = picture(&solved, &link);
        let done = Callback::from(move |bytes: Vec<u8>| {
            files::download(&name, "image/png", &png::with_text(&bytes, &link))
        });
        files::svg_to_png(drawn, area.width as u32, area.height as u32, done, refused);
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use halfrow_file::{examples, link};

    fn opened(action: Action) -> halfrow_core::bench::Bench {
        match action {
            Action::Open(bench, _) => *bench,
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn files_links_and_pictures_open_again() {
        for example in &examples::ALL {
            let bench = halfrow_file::read(example.text()).unwrap();
            let solved = Solved::of(bench.clone());
            let link = link::encode(&bench);
            let png =
                png::with_text(&[b"\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR".as_slice(), &[0; 17]].concat(), &link);
            assert_eq!(opened(open_text("it", &halfrow_file::write(&bench))), bench);
            assert_eq!(opened(open_text("it", &format!("https://class.example/halfrow/{link}"))), bench);
            assert_eq!(opened(open_bytes("it", picture(&solved, &link).as_bytes())), bench);
            assert_eq!(opened(open_bytes("it", &png)), bench);
        }
    }

    #[test]
    fn what_is_no_bench_is_refused_in_words() {
        for bytes in [
            b"".as_slice(),
            b"hello",
            b"\x89PNG",
            b"\xff\xfe",
            b"#1.AAAA",
            b"{\"halfrow\":9}",
            b"<svg><metadata id=\"halfrow\">",
        ] {
            assert!(
                matches!(open_bytes("it", bytes), Action::Say(words) if words.starts_with("it ")),
                "{bytes:?}"
            );
        }
    }
}
