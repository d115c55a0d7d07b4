//! What the page asks of the browser, each call guarded.
//!
//! A managed device, a private window or a sandboxed frame may refuse storage, the clipboard, files
//! or channels between tabs. Nothing here throws then: [store] and [prefs] go on in memory, [files]
//! tells its second callback, [tabs] stays silent, [page] answers with the plain default. Nothing
//! here sends anything anywhere.
//!
//! [packing] (a bench as a link), [page] (time, address, theme), [prefs] (small settings), [store] (benches and snapshots), [files]
//! (in, out, pictures, clipboard), [tabs] (the same bench open twice); `wait` turns the browser's
//! requests into futures.

pub mod files;
pub mod packing;
pub mod page;
pub mod prefs;
pub mod store;
pub mod tabs;
mod wait;

/// The window, or nothing outside a browser: pure parts of the page are tested natively, where any
/// call into the browser would panic.
fn window() -> Option<web_sys::Window> {
    if cfg!(target_arch = "wasm32") { web_sys::window() } else { None }
}

/// The document, or nothing outside a browser.
fn document() -> Option<web_sys::Document> {
    window()?.document()
}
