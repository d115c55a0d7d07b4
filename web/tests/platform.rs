//! What the page asks of the browser, inside a real one: granted, and refused.
#![cfg(target_arch = "wasm32")]

use halfrow_web::platform::{files, packing, page, prefs, store, tabs};
use std::cell::RefCell;
use std::rc::Rc;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use wasm_bindgen_test::{wasm_bindgen_test, wasm_bindgen_test_configure};
use yew::Callback;

wasm_bindgen_test_configure!(run_in_browser);

/// Runs JavaScript, waiting for a promise.
async fn js(code: &str) -> JsValue {
    let value = js_sys::eval(code).unwrap();
    JsFuture::from(js_sys::Promise::resolve(&value)).await.unwrap()
}

async fn wait(ms: u32) {
    js(&format!("new Promise((done) => setTimeout(done, {ms}))")).await;
}

/// What a callback is called with.
struct Heard<T>(Rc<RefCell<Vec<T>>>);

impl<T: 'static> Heard<T> {
    fn new() -> (Heard<T>, Callback<T>) {
        let heard = Rc::new(RefCell::new(Vec::new()));
        let callback = Callback::from({
            let heard = heard.clone();
            move |value| heard.borrow_mut().push(value)
        });
        (Heard(heard), callback)
    }

    /// The first of it, within five seconds.
    async fn first(&self) -> T {
        for _ in 0..250 {
            if !self.0.borrow().is_empty() {
                return self.0.borrow_mut().remove(0);
            }
            wait(20).await;
        }
        panic!("the callback was never called");
    }

    fn count(&self) -> usize {
        self.0.borrow().len()
    }
}

/// Keeps a bench over what was kept last in its slot.
async fn save(slot: &str, text: &str) -> Result<(), String> {
    let known = store::load(slot).await?;
    store::put(slot, known.as_deref(), (text, ""), "tab")
        .await
        .map(|put| assert_eq!(put, store::Put::Written))
}

/// The slot of a tab, for the whole of a test.
fn slot(name: &'static str) -> tabs::Slot {
    Rc::new(move || name.to_owned())
}

/// Makes reading a property of the window throw, as it does where storage is refused.
async fn refuse(name: &str) {
    js(&format!(
        "window.kept = Object.getOwnPropertyDescriptor(window, '{name}');
         Object.defineProperty(window, '{name}', {{ configurable: true, get() {{
            throw new DOMException('not here', 'SecurityError'); }} }})"
    ))
    .await;
}

async fn grant(name: &str) {
    js(&format!("Object.defineProperty(window, '{name}', window.kept)")).await;
}

/// How many records an object store holds, seen without the page's own code.
async fn records(store: &str) -> usize {
    let code = format!(
        "new Promise((done, failed) => {{
            const open = indexedDB.open('halfrow');
            open.onerror = failed;
            open.onsuccess = () => {{
                const count = open.result.transaction('{store}').objectStore('{store}').count();
                count.onsuccess = () => {{ open.result.close(); done(count.result); }};
            }};
        }})"
    );
    js(&code).await.as_f64().unwrap() as usize
}

async fn delete_database() {
    js("new Promise((done, failed) => {
            const request = indexedDB.deleteDatabase('halfrow');
            request.onsuccess = done;
            request.onerror = request.onblocked = failed;
        })")
    .await;
}

#[wasm_bindgen_test]
async fn a_saved_bench_comes_back_and_the_later_save_wins() {
    store::erase_all().await.unwrap();
    assert_eq!(store::load("pier").await, Ok(None));
    save("pier", "lamp\n").await.unwrap();
    save("quay", "crane").await.unwrap();
    save("pier", "lamp 2 Ω").await.unwrap();
    assert_eq!(store::load("pier").await, Ok(Some("lamp 2 Ω".to_owned())));
    assert_eq!(store::load("quay").await, Ok(Some("crane".to_owned())));
    // Each with its steps.
    assert_eq!(records("benches").await, 4);
    store::erase_all().await.unwrap();
    assert_eq!(store::load("pier").await, Ok(None));
    assert_eq!(records("benches").await, 0);
}

#[wasm_bindgen_test]
async fn twenty_snapshots_stay_newest_first() {
    store::erase_all().await.unwrap();
    for step in 0..23 {
        store::add_snapshot(&format!("step {step}"), &page::now_iso(), &format!("bench {step}"))
            .await
            .unwrap();
    }
    let all = store::snapshots().await.unwrap();
    let titles: Vec<&str> = all.iter().map(|snapshot| snapshot.title.as_str()).collect();
    let expected: Vec<String> = (3..23).rev().map(|step| format!("step {step}")).collect();
    assert_eq!(titles, expected);
    assert_eq!(all[0].text, "bench 22");
    assert_eq!(records("snapshots").await, 20);
    store::erase_all().await.unwrap();
    assert_eq!(store::snapshots().await, Ok(vec![]));
}

#[wasm_bindgen_test]
async fn the_store_outlives_its_database_being_deleted() {
    save("pier", "lamp").await.unwrap();
    // Would be blocked, and fail, if the page held on to its connection.
    delete_database().await;
    assert_eq!(store::load("pier").await, Ok(None));
    save("pier", "lamp").await.unwrap();
    assert_eq!(store::load("pier").await, Ok(Some("lamp".to_owned())));
}

#[wasm_bindgen_test]
async fn where_storage_is_refused_it_is_said_and_snapshots_stay_in_memory() {
    delete_database().await;
    refuse("indexedDB").await;
    let saved = save("pier", "in memory").await;
    let loaded = store::load("pier").await;
    let other = store::load("quay").await;
    let none_yet = store::snapshots().await;
    let mut added = Vec::new();
    for step in 0..22 {
        added.push(
            store::add_snapshot(
                &format!("step {step}"),
                "2026-03-01T09:30:00.000Z",
                &format!("bench {step}"),
            )
            .await,
        );
    }
    let snapshots = store::snapshots().await;
    grant("indexedDB").await;
    assert!(saved.is_err());
    assert!(loaded.is_err() && other.is_err());
    assert!(none_yet.is_err());
    assert!(added.iter().all(Result::is_err));
    let snapshots = snapshots.unwrap();
    assert_eq!(snapshots.len(), 20);
    assert_eq!((snapshots[0].title.as_str(), snapshots[19].title.as_str()), ("step 21", "step 2"));
    // Once the device keeps it, the device's copy counts.
    assert_eq!(store::load("pier").await, Ok(None));
    save("pier", "on the device").await.unwrap();
    assert_eq!(store::load("pier").await, Ok(Some("on the device".to_owned())));
    store::erase_all().await.unwrap();
    assert_eq!(store::snapshots().await, Ok(vec![]));
}

#[wasm_bindgen_test]
async fn settings_are_kept_apart_from_other_pages_of_the_host() {
    js("localStorage.clear(); localStorage.setItem('theme', 'not ours')").await;
    assert_eq!(prefs::get("theme"), None);
    prefs::set("theme", "dark");
    assert_eq!(prefs::get("theme").as_deref(), Some("dark"));
    assert_eq!(js("localStorage.getItem('halfrow.theme')").await.as_string().as_deref(), Some("dark"));
    prefs::erase_all();
    assert_eq!(prefs::get("theme"), None);
    assert_eq!(js("localStorage.getItem('theme')").await.as_string().as_deref(), Some("not ours"));
    js("localStorage.clear()").await;
}

#[wasm_bindgen_test]
async fn where_storage_is_refused_settings_stay_in_memory() {
    refuse("localStorage").await;
    prefs::set("theme", "light");
    let kept = prefs::get("theme");
    let other = prefs::get("language");
    prefs::erase_all();
    let after = prefs::get("theme");
    grant("localStorage").await;
    assert_eq!((kept.as_deref(), other, after), (Some("light"), None, None));
}

#[wasm_bindgen_test]
async fn a_second_tab_on_the_same_bench_is_told_once_and_answered() {
    js("window.other = new BroadcastChannel('halfrow.tabs');
        window.said = [];
        other.onmessage = (event) => said.push(event.data)")
    .await;
    let (told, second) = Heard::new();
    let watch = tabs::watch(slot("harbour mouth"), second);
    js("other.postMessage('hello x another bench'); other.postMessage({ odd: 1 })").await;
    wait(100).await;
    assert_eq!(told.count(), 0);
    js("other.postMessage('hello x harbour mouth'); other.postMessage('here x harbour mouth')").await;
    told.first().await;
    wait(100).await;
    assert_eq!(told.count(), 0, "told once only");
    let said = js("said.map((text) => text.replace(/ \\S+ /, ' T ')).join()").await.as_string().unwrap();
    assert_eq!(said, "hello T harbour mouth,here T harbour mouth");
    drop(watch);
    js("said.length = 0; other.postMessage('hello y harbour mouth')").await;
    wait(100).await;
    assert_eq!(js("said.length").await, 0, "a tab that left does not answer");
    js("other.close()").await;
}

#[wasm_bindgen_test]
async fn without_channels_tabs_speak_through_storage_and_leave_nothing_there() {
    js("window.kept = window.BroadcastChannel; window.BroadcastChannel = undefined").await;
    let (told, second) = Heard::new();
    let watch = tabs::watch(slot("pier"), second);
    js("dispatchEvent(new StorageEvent('storage', { key: 'halfrow.tabs', newValue: 'hello x pier' }))").await;
    told.first().await;
    assert!(js("localStorage.getItem('halfrow.tabs')").await.is_null());
    drop(watch);
    js("window.BroadcastChannel = window.kept").await;
}

#[wasm_bindgen_test]
async fn own_writing_after_the_hash_is_silent_and_a_pasted_one_is_told() {
    let entries = js("history.length").await;
    let (heard, run) = Heard::new();
    let listener = page::on_hash_change(run);
    page::set_hash("1.abc");
    assert_eq!(page::hash(), "1.abc");
    wait(50).await;
    assert_eq!(heard.count(), 0);
    assert_eq!(js("history.length").await, entries);
    js("location.hash = '1.pasted'").await;
    assert_eq!(heard.first().await, "1.pasted");
    drop(listener);
    js("location.hash = '1.later'").await;
    wait(50).await;
    assert_eq!(heard.count(), 0);
    page::set_hash("");
    assert_eq!(js("location.href.includes('#')").await, false);
}

#[wasm_bindgen_test]
async fn own_writing_is_silent_even_where_the_address_cannot_be_replaced() {
    let (heard, run) = Heard::new();
    let _listener = page::on_hash_change(run);
    js("history.replaceState = () => { throw new DOMException('not here', 'SecurityError') }").await;
    page::set_hash("1.refused");
    wait(50).await;
    js("delete history.replaceState").await;
    assert_eq!(page::hash(), "1.refused");
    assert_eq!(heard.count(), 0);
    js("location.hash = '1.pasted'").await;
    assert_eq!(heard.first().await, "1.pasted");
    page::set_hash("");
}

#[wasm_bindgen_test]
async fn a_timer_runs_unless_it_is_dropped() {
    js("window.errors = 0; addEventListener('error', () => errors += 1)").await;
    let (heard, run) = Heard::new();
    let first = page::after(20, {
        let run = run.clone();
        move || run.emit("kept")
    });
    drop(page::after(5, move || run.emit("dropped")));
    wait(80).await;
    assert_eq!(heard.first().await, "kept");
    assert_eq!(heard.count(), 0);
    assert_eq!(js("errors").await, 0, "nothing is called that is gone");
    drop(first);
}

#[wasm_bindgen_test]
async fn the_page_tells_of_departure_and_of_a_new_version() {
    let ((left, leave), (newer, tell), (over, take)) = (Heard::new(), Heard::new(), Heard::new());
    let listeners = (page::on_hide(leave), page::on_update_waiting(tell));
    js("document.dispatchEvent(new Event('visibilitychange'))").await;
    assert_eq!(left.count(), 0, "still in sight");
    js("dispatchEvent(new Event('pagehide')); dispatchEvent(new Event('halfrow-update'))").await;
    assert_eq!((left.count(), newer.count()), (1, 1));
    drop(listeners);
    js("dispatchEvent(new Event('pagehide')); dispatchEvent(new Event('halfrow-update'))").await;
    assert_eq!((left.count(), newer.count()), (1, 1));
    let run = wasm_bindgen::closure::Closure::<dyn Fn()>::new(move || take.emit(()));
    let window = web_sys::window().unwrap();
    window.add_event_listener_with_callback("halfrow-take-over", run.as_ref().unchecked_ref()).unwrap();
    page::take_over();
    assert_eq!(over.count(), 1);
}

#[wasm_bindgen_test]
async fn the_theme_is_a_word_on_the_root_and_an_empty_one_removes_it() {
    page::set_theme("dark");
    assert_eq!(js("document.documentElement.dataset.theme").await.as_string().as_deref(), Some("dark"));
    page::set_theme("");
    assert_eq!(js("document.documentElement.hasAttribute('data-theme')").await, false);
    assert_eq!(js("matchMedia('(prefers-color-scheme: dark)').matches").await, page::prefers_dark());
    assert_eq!(page::query("no-such-word"), None);
}

#[wasm_bindgen_test]
async fn a_download_offers_name_and_bytes() {
    js("addEventListener('click', (event) => {
            if (!event.target.download) return;
            event.preventDefault();
            window.offered = [event.target.download, event.target.href];
        })")
    .await;
    files::download("pier.bench", "text/plain", b"lamp \xff");
    let bytes = js("fetch(offered[1]).then((answer) => answer.arrayBuffer()).then((bytes) => \
                    offered[0] + ' ' + new Uint8Array(bytes).join())")
    .await;
    assert_eq!(bytes.as_string().as_deref(), Some("pier.bench 108,97,109,112,32,255"));
    assert_eq!(js("document.querySelectorAll('a[download]').length").await, 0);
}

/// A drop of one file whose content is the JavaScript `content`.
async fn dropped(content: &str) -> web_sys::DragEvent {
    let code = format!(
        "(() => {{ const transfer = new DataTransfer();
           transfer.items.add(new File([{content}], 'pier.bench'));
           return new DragEvent('drop', {{ dataTransfer: transfer, cancelable: true }}); }})()"
    );
    js(&code).await.unchecked_into()
}

#[wasm_bindgen_test]
async fn a_dropped_file_is_read_and_a_huge_one_is_refused() {
    let ((read, done), (refused, failed)) = (Heard::new(), Heard::new());
    let event = dropped("'lamp'").await;
    assert!(files::read_dropped(&event, done.clone(), failed.clone()));
    assert!(event.default_prevented());
    assert_eq!(read.first().await, ("pier.bench".to_owned(), b"lamp".to_vec()));
    let limit = files::LARGEST_FILE;
    let largest = dropped(&format!("new Uint8Array({limit})")).await;
    assert!(files::read_dropped(&largest, done.clone(), failed.clone()));
    assert_eq!(read.first().await.1.len(), limit);
    let huge = dropped(&format!("new Uint8Array({limit} + 1)")).await;
    assert!(files::read_dropped(&huge, done.clone(), failed.clone()));
    assert!(refused.first().await.contains("pier.bench is larger than 4 MB"));
    let nothing: web_sys::DragEvent =
        js("new DragEvent('drop', { cancelable: true })").await.unchecked_into();
    assert!(!files::read_dropped(&nothing, done, failed));
    assert!(!nothing.default_prevented());
    assert_eq!((read.count(), refused.count()), (0, 0));
}

#[wasm_bindgen_test]
async fn a_chosen_file_is_read() {
    let ((read, done), (refused, failed)) = (Heard::new(), Heard::new());
    files::pick(".bench", done, failed);
    js("(() => { const input = document.querySelector('input[type=file][accept=\".bench\"]');
          const transfer = new DataTransfer();
          transfer.items.add(new File(['quay'], 'quay.bench'));
          input.files = transfer.files;
          input.dispatchEvent(new Event('change')); })()")
    .await;
    assert_eq!(read.first().await, ("quay.bench".to_owned(), b"quay".to_vec()));
    assert_eq!(refused.count(), 0);
    assert_eq!(js("document.querySelectorAll('input[type=file]').length").await, 0);
}

#[wasm_bindgen_test]
async fn a_drawing_becomes_a_png_of_twice_its_size_in_its_colours() {
    let ((drawn, done), (refused, failed)) = (Heard::new(), Heard::new());
    let svg = "<svg xmlns='http://www.w3.org/2000/svg' width='30' height='20'>\
               <rect width='30' height='20' fill='#00f'/><title>2 Ω, 100 %</title></svg>";
    files::svg_to_png(svg.to_owned(), 30, 20, done.clone(), failed.clone());
    let png = drawn.first().await;
    // Signature, then width and height as big-endian words at 16 and 20: W3C PNG, sections 5.2 and 11.2.1.
    assert_eq!(png[..8], *b"\x89PNG\r\n\x1a\n");
    assert_eq!(png[16..24], [0, 0, 0, 60, 0, 0, 0, 40]);
    let colour = js(&format!(
        "createImageBitmap(new Blob([new Uint8Array({png:?})])).then((image) => {{
            const canvas = new OffscreenCanvas(1, 1).getContext('2d');
            canvas.drawImage(image, -59, -39);
            return canvas.getImageData(0, 0, 1, 1).data.join(); }})"
    ))
    .await;
    assert_eq!(colour.as_string().as_deref(), Some("0,0,255,255"));
    files::svg_to_png("no drawing".to_owned(), 30, 20, done.clone(), failed.clone());
    assert!(refused.first().await.starts_with("The picture can’t be drawn"));
    files::svg_to_png(svg.to_owned(), 0, 20, done, failed);
    refused.first().await;
    assert_eq!(drawn.count(), 0);
}

#[wasm_bindgen_test]
async fn without_a_clipboard_text_is_copied_by_selection() {
    js("Object.defineProperty(navigator, 'clipboard', { configurable: true, value: undefined });
        document.execCommand = (word) => { window.copied = [word, document.activeElement.value]; return true }")
    .await;
    let (heard, done) = Heard::new();
    files::copy_text("R1 a1 b1\n", done.clone());
    assert!(heard.first().await);
    assert_eq!(js("copied.join()").await.as_string().as_deref(), Some("copy,R1 a1 b1\n"));
    assert_eq!(js("document.querySelectorAll('textarea').length").await, 0);
    js("document.execCommand = () => { throw new Error('not here') }").await;
    files::copy_text("R1", done.clone());
    assert!(!heard.first().await);
    js("delete document.execCommand; delete navigator.clipboard").await;
}

#[wasm_bindgen_test]
async fn the_browser_packs_a_link_and_where_it_does_not_the_link_opens_all_the_same() {
    let bench = halfrow_core::sample::blinker(1.0);
    let packed = packing::encode(&bench).await;
    assert_eq!(halfrow_file::link::decode(&packed), Ok(bench.clone()));
    refuse("CompressionStream").await;
    let whole = packing::encode(&bench).await;
    grant("CompressionStream").await;
    assert_eq!(halfrow_file::link::decode(&whole), Ok(bench));
    assert!(2 * packed.len() < whole.len(), "{} and {}", packed.len(), whole.len());
}
