//! Benches as files: opened, saved, as pictures.

use wasm_bindgen_futures::spawn_local;
use yew::prelude::*;

use crate::model::opening::open_text;
use crate::model::state::{Action, Sheet, Solved};
use crate::paper::png;
use crate::platform::files::Download;
use crate::platform::{files, packing};
use crate::ui::button::Button;
use crate::ui::page::Handle;

/// Opens the bytes of a file: a bench, an SVG picture or a PNG picture that holds one.
pub fn open_bytes(name: &str, bytes: &[u8]) -> Action {
    if bytes.starts_with(b"\x89PNG") {
        return match png::text_of(bytes) {
            Some(text) => open_text(name, &text),
            None => Action::Say(format!(
                "{name} is a picture without a bench among its first {} pieces.",
                png::MOST_CHUNKS
            )),
        };
    }
    match std::str::from_utf8(bytes) {
        Ok(text) => open_text(name, text),
        Err(_) => Action::Say(format!("{name} isn’t a bench file or a picture with a bench in it.")),
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

/// Gives a file to the browser to save and says what is known of it.
fn give(page: &Handle, name: &str, mime: &str, bytes: &[u8]) -> Download {
    let done = files::download(name, mime, bytes);
    page.dispatch(Action::Say(done.words(name)));
    done
}

/// Saves the bench as a file. Where the browser may keep it from being saved, its text is offered too.
pub fn save_file(page: &Handle) {
    let text = halfrow_file::write(page.state.bench());
    let done = give(page, &file_name(page, "bench.json"), "application/json", text.as_bytes());
    if done != Download::Given {
        page.dispatch(Action::SetSheet(Some(Sheet::Text)));
    }
}

/// The bench file as text to copy.
pub fn as_text(page: &Handle) -> Html {
    let text = halfrow_file::write(page.state.bench());
    let copy = {
        let (page, text) = (page.clone(), text.clone());
        Callback::from(move |_: MouseEvent| {
            files::copy_text(&text, page.on(|done: bool| Action::Say(files::copied(done).into())));
        })
    };
    html! {
        <>
            <p>{ "This is the bench file. If no file was saved, copy this text into a new file whose name ends in .json. Any Halfrow opens it." }</p>
            <textarea class="link" readonly=true rows="12" aria-label="Bench file" value={text} />
            <div class="row">{ Button::new("Copy the text").class("on").view(copy) }</div>
        </>
    }
}

/// Asks for a file and opens it.
pub fn pick_file(page: &Handle) {
    let done = page.on(|(name, bytes): (String, Vec<u8>)| open_bytes(&name, &bytes));
    files::pick(".json,.svg,.png,application/json", done, page.on(Action::Say));
}

/// Saves the bench as an SVG picture.
pub fn save_svg(page: &Handle) {
    let (name, solved) = (file_name(page, "svg"), page.state.document.solved.clone());
    let page = page.clone();
    spawn_local(async move {
        let link = packing::encode(&solved.bench).await;
        give(&page, &name, "image/svg+xml", picture(&solved, &link).as_bytes());
    });
}

/// Saves the bench as a PNG picture.
pub fn save_png(page: &Handle) {
    let (name, solved) = (file_name(page, "png"), page.state.document.solved.clone());
    let page = page.clone();
    spawn_local(async move {
        let area = halfrow_draw::layout::bounds(&solved.bench);
        let link = packing::encode(&solved.bench).await;
        let drawn = picture(&solved, &link);
        let refused = page.on(Action::Say);
        let done = Callback::from(move |bytes: Vec<u8>| {
            give(&page, &name, "image/png", &png::with_text(&bytes, &link));
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
