//! Files in and out, pictures, and the clipboard.

use super::page::{Listener, after};
use super::wait::{answer, words};
use js_sys::{Array, Reflect, Uint8Array};
use std::cell::RefCell;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::{JsFuture, spawn_local};
use web_sys::{
    Blob, BlobPropertyBag, CanvasRenderingContext2d, DragEvent, FileReader, HtmlAnchorElement,
    HtmlCanvasElement, HtmlDocument, HtmlElement, HtmlImageElement, HtmlInputElement, HtmlTextAreaElement,
    Url,
};
use yew::Callback;

/// The largest file that is read: far above any bench or picture that holds one, and small enough
/// that a film dropped by mistake does not fill a 4 GB laptop.
pub const LARGEST_FILE: usize = 4 * 1024 * 1024;

/// How long the address of a download stays valid: some browsers ask the user first and read then.
const DOWNLOAD_LIFE_MS: i32 = 60_000;

/// Pixels of a picture for one of the board, so that it is sharp in print and on dense screens.
const PICTURE_SCALE: f64 = 2.0;

/// The most pixels of a picture: canvases on tablets end at 16 million (from memory).
const MOST_PIXELS: f64 = 16_000_000.0;

/// How long drawing a picture may take before it counts as failed.
const PICTURE_LIMIT_MS: i32 = 15_000;

/// What is known of a file that was to be saved. Whether it came to be, no browser tells.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Download {
    /// The browser has it.
    Given,
    /// The browser has it, but the page lies in a frame or a sandbox, which may not let files be saved.
    Framed,
    /// The browser would not take it.
    Refused,
}

impl Download {
    /// What to say of a file of this name.
    pub fn words(self, name: &str) -> String {
        match self {
            Download::Given => format!("Given to the browser to save as {name}."),
            Download::Framed => format!(
                "Given to the browser to save as {name}. Inside another page it may not save files: look \
                 whether it is there."
            ),
            Download::Refused => format!("The browser didn’t take {name}."),
        }
    }
}

/// Offers `bytes` as a file to save under `name`.
pub fn download(name: &str, mime: &str, bytes: &[u8]) -> Download {
    let Some(address) = blob(mime, bytes).and_then(|blob| Url::create_object_url_with_blob(&blob).ok())
    else {
        return Download::Refused;
    };
    let link = create::<HtmlAnchorElement>("a");
    let there = link.is_some();
    if let Some(link) = link {
        link.set_href(&address);
        link.set_download(name);
        link.set_hidden(true);
        // Some browsers follow only links that stand in the page.
        if append(&link) {
            link.click();
            link.remove();
        }
    }
    later(DOWNLOAD_LIFE_MS, move || {
        let _ = Url::revoke_object_url(&address);
    });
    match there {
        false => Download::Refused,
        true if super::page::is_framed() => Download::Framed,
        true => Download::Given,
    }
}

/// What to say when a text has been put on the clipboard, or not.
pub fn copied(done: bool) -> &'static str {
    if done { "Copied." } else { "The browser didn’t copy it. Select the text and copy it yourself." }
}

/// Something running on its own: the timer must outlive the caller.
fn later(ms: i32, run: impl FnOnce() + 'static) {
    std::mem::forget(after(ms, run));
}

thread_local! {
    /// The open file dialog: its input and its listener. The next one takes its place.
    static PICKER: RefCell<Option<(HtmlInputElement, Listener)>> = const { RefCell::new(None) };
}

/// Lets the user choose a file of the kinds `accept` (as in `.txt,image/png`) and gives its name and
/// content to `done`, or to `failed` words on why not. Closing the dialog calls neither. Browsers open
/// it only within a click or a key.
pub fn pick(accept: &str, done: Callback<(String, Vec<u8>)>, failed: Callback<String>) {
    let Some(input) = create::<HtmlInputElement>("input") else {
        failed.emit("This browser can’t open files here.".to_owned());
        return;
    };
    input.set_type("file");
    input.set_accept(accept);
    input.set_hidden(true);
    append(&input);
    let chosen = Listener::new(vec![(Some(input.clone().into()), "change")], {
        let input = input.clone();
        move |_| {
            if let Some(file) = input.files().and_then(|files| files.get(0)) {
                give(file, done.clone(), failed.clone());
            }
            input.remove();
        }
    });
    let earlier = PICKER.with_borrow_mut(|picker| picker.replace((input.clone(), chosen)));
    if let Some((earlier, _)) = earlier {
        earlier.remove();
    }
    input.click();
}

/// Takes the first file of a drop and gives it on as [pick] does. False when no file was dropped; else
/// the browser is kept from leaving the page for the file.
pub fn read_dropped(event: &DragEvent, done: Callback<(String, Vec<u8>)>, failed: Callback<String>) -> bool {
    let files = event.data_transfer().and_then(|transfer| transfer.files());
    let Some(file) = files.and_then(|files| files.get(0)) else { return false };
    event.prevent_default();
    give(file, done, failed);
    true
}

/// Reads a file that is not too large.
fn give(file: web_sys::File, done: Callback<(String, Vec<u8>)>, failed: Callback<String>) {
    let name = file.name();
    if file.size() > LARGEST_FILE as f64 {
        failed.emit(format!("{name} is larger than 4 MB, too large for a bench."));
        return;
    }
    spawn_local(async move {
        match content(&file).await {
            Ok(bytes) => done.emit((name, bytes)),
            Err(reason) => failed.emit(format!("{name} can’t be read: {reason}.")),
        }
    });
}

/// The bytes of a file or blob.
async fn content(blob: &Blob) -> Result<Vec<u8>, String> {
    let reader = FileReader::new().map_err(|error| words(&error))?;
    answer(None, |done, failed| {
        reader.set_onload(Some(done));
        reader.set_onerror(Some(failed));
        reader.read_as_array_buffer(blob)
    })
    .await?;
    let buffer = reader.result().map_err(|error| words(&error))?;
    Ok(Uint8Array::new(&buffer).to_vec())
}

/// Draws `svg` as a PNG of twice `width` by `height` pixels, fewer where the browser would give up.
/// The picture needs a `width` and `height` of its own, and may not lean on other files.
pub fn svg_to_png(svg: String, width: u32, height: u32, done: Callback<Vec<u8>>, failed: Callback<String>) {
    spawn_local(async move {
        match png(&svg, width, height).await {
            Ok(bytes) => done.emit(bytes),
            Err(reason) => failed.emit(format!("The picture can’t be drawn: {reason}.")),
        }
    });
}

async fn png(svg: &str, width: u32, height: u32) -> Result<Vec<u8>, String> {
    let (width, height) = picture_size(width, height).ok_or("it is empty")?;
    let refused = |error: JsValue| words(&error);
    let image = HtmlImageElement::new().map_err(refused)?;
    // A data address rather than a blob: it works in a sandboxed frame and needs no tidying up.
    let address = format!("data:image/svg+xml;charset=utf-8,{}", js_sys::encode_uri_component(svg));
    answer(Some(PICTURE_LIMIT_MS), |done, failed| {
        image.set_onload(Some(done));
        image.set_onerror(Some(failed));
        image.set_src(&address);
        Ok(())
    })
    .await
    .map_err(|_| "the browser can’t read it as a picture".to_owned())?;
    let canvas = create::<HtmlCanvasElement>("canvas").ok_or("the browser has no canvas")?;
    canvas.set_width(width);
    canvas.set_height(height);
    let context: CanvasRenderingContext2d = canvas
        .get_context("2d")
        .map_err(refused)?
        .and_then(|context| context.dyn_into().ok())
        .ok_or("the browser has no canvas")?;
    context
        .draw_image_with_html_image_element_and_dw_and_dh(
            &image,
            0.0,
            0.0,
            f64::from(width),
            f64::from(height),
        )
        .map_err(refused)?;
    let blob = answer(Some(PICTURE_LIMIT_MS), |done, _| canvas.to_blob_with_type(done, "image/png")).await?;
    let blob: Blob = blob.dyn_into().map_err(|_| "the browser couldn’t make a picture of it")?;
    content(&blob).await
}

/// The pixels of a picture of this size on the page; none when it is empty.
fn picture_size(width: u32, height: u32) -> Option<(u32, u32)> {
    let (across, down) = (f64::from(width), f64::from(height));
    if width == 0 || height == 0 {
        return None;
    }
    let scale = PICTURE_SCALE.min((MOST_PIXELS / (across * down)).sqrt());
    let pixels = |length: f64| ((length * scale).floor() as u32).max(1);
    Some((pixels(across), pixels(down)))
}

/// Puts `text` on the clipboard and tells whether it is there. Browsers allow it only within a click
/// or a key.
pub fn copy_text(text: &str, done: Callback<bool>) {
    let text = text.to_owned();
    spawn_local(async move {
        let copied = by_clipboard(&text).await || by_selection(&text);
        done.emit(copied);
    });
}

/// The text on the clipboard, where the browser lets the page read it.
pub async fn paste_text() -> Option<String> {
    let navigator = super::window()?.navigator();
    let present = Reflect::get(&navigator, &"clipboard".into()).is_ok_and(|found| found.is_object());
    // Older browsers have the clipboard without this method.
    let read = present.then(|| Reflect::has(&navigator.clipboard(), &"readText".into()));
    read.and_then(Result::ok).filter(|&there| there)?;
    JsFuture::from(navigator.clipboard().read_text()).await.ok()?.as_string()
}

async fn by_clipboard(text: &str) -> bool {
    let Some(window) = super::window() else { return false };
    let navigator = window.navigator();
    // Off secure addresses there is no clipboard at all, and its methods would throw.
    let present = Reflect::get(&navigator, &"clipboard".into()).is_ok_and(|found| found.is_object());
    present && JsFuture::from(navigator.clipboard().write_text(text)).await.is_ok()
}

/// The old way: select the text in a field nobody sees, and copy the selection.
fn by_selection(text: &str) -> bool {
    let (Some(document), Some(field)) = (super::document(), create::<HtmlTextAreaElement>("textarea")) else {
        return false;
    };
    let focused = document.active_element();
    // Outside an open modal dialog nothing can be selected.
    let dialog = focused.as_ref().and_then(|element| element.closest("dialog").ok().flatten());
    let put = match &dialog {
        Some(dialog) => dialog.append_child(&field).is_ok(),
        None => append(&field),
    };
    if !put {
        return false;
    }
    field.set_value(text);
    field.set_read_only(true); // keeps a tablet's keyboard away
    let _ = field.set_attribute("aria-hidden", "true");
    let _ = field.style().set_property("position", "fixed");
    let _ = field.style().set_property("opacity", "0");
    field.select();
    let copied = document
        .dyn_ref::<HtmlDocument>()
        .is_some_and(|document| document.exec_command("copy").unwrap_or(false));
    field.remove();
    if let Some(focused) = focused.and_then(|element| element.dyn_into::<HtmlElement>().ok()) {
        let _ = focused.focus();
    }
    copied
}

fn blob(mime: &str, bytes: &[u8]) -> Option<Blob> {
    super::window()?;
    let kind = BlobPropertyBag::new();
    kind.set_type(mime);
    let parts = Array::of1(&Uint8Array::from(bytes));
    Blob::new_with_u8_array_sequence_and_options(&parts, &kind).ok()
}

fn create<T: JsCast>(tag: &str) -> Option<T> {
    super::document()?.create_element(tag).ok()?.dyn_into().ok()
}

fn append(element: &HtmlElement) -> bool {
    let body = super::document().and_then(|document| document.body());
    body.is_some_and(|body| body.append_child(element).is_ok())
}

#[cfg(test)]
mod tests {
    use super::picture_size;

    #[test]
    fn a_picture_has_twice_the_size_up_to_what_a_canvas_takes() {
        assert_eq!(picture_size(800, 300), Some((1600, 600)));
        assert_eq!(picture_size(0, 300), None);
        for (width, height) in [(4000, 4000), (100_000, 50), (u32::MAX, u32::MAX)] {
            let (across, down) = picture_size(width, height).unwrap();
            assert!(u64::from(across) * u64::from(down) <= 16_000_000, "{width} x {height}");
        }
    }
}
