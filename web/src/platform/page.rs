//! The page itself: time, address, theme, print, and events of the window.

use std::cell::RefCell;
use std::rc::Rc;

use wasm_bindgen::prelude::*;
use web_sys::{Event, EventTarget, UrlSearchParams};
use yew::Callback;

/// Listens until it is dropped.
#[must_use = "dropping it stops listening"]
pub struct Listener {
    places: Vec<(EventTarget, &'static str)>,
    /// `Fn`, not `FnMut`: an event may come while another of the same listener is still at work.
    run: Option<Closure<dyn Fn(Event)>>,
}

impl Listener {
    /// Calls `run` for each of these events; a place that refuses is left out.
    pub(super) fn new(
        places: Vec<(Option<EventTarget>, &'static str)>,
        run: impl Fn(Event) + 'static,
    ) -> Listener {
        let present: Vec<_> = places.into_iter().filter_map(|(target, name)| Some((target?, name))).collect();
        if present.is_empty() {
            return Listener { places: present, run: None };
        }
        let run = Closure::<dyn Fn(Event)>::new(run);
        for (target, name) in &present {
            let _ = target.add_event_listener_with_callback(name, run.as_ref().unchecked_ref());
        }
        Listener { places: present, run: Some(run) }
    }
}

impl Drop for Listener {
    fn drop(&mut self) {
        let Some(run) = &self.run else { return };
        for (target, name) in &self.places {
            let _ = target.remove_event_listener_with_callback(name, run.as_ref().unchecked_ref());
        }
    }
}

/// Waits to run something once; dropped before, it never runs.
#[must_use = "dropping it cancels what should run"]
pub struct Timer {
    id: Option<i32>,
    _run: Option<Closure<dyn FnMut()>>,
}

impl Drop for Timer {
    fn drop(&mut self) {
        // Clearing a timer that has run is allowed and does nothing.
        if let (Some(id), Some(window)) = (self.id, super::window()) {
            window.clear_timeout_with_handle(id);
        }
    }
}

fn window_target() -> Option<EventTarget> {
    super::window().map(EventTarget::from)
}

/// Runs when the page goes out of sight or is left: the last sure moment to save. May run twice for
/// one departure, as browsers differ in which of the two events they send.
pub fn on_hide(run: Callback<()>) -> Listener {
    let document = super::document().map(EventTarget::from);
    let places = vec![(document, "visibilitychange"), (window_target(), "pagehide")];
    Listener::new(places, move |event| {
        let hidden = super::document().is_some_and(|document| document.hidden());
        if hidden || event.type_() == "pagehide" {
            run.emit(());
        }
    })
}

/// Runs when the page comes into sight again.
pub fn on_show(run: Callback<()>) -> Listener {
    let document = super::document().map(EventTarget::from);
    Listener::new(vec![(document, "visibilitychange")], move |_| {
        if super::document().is_some_and(|document| !document.hidden()) {
            run.emit(());
        }
    })
}

/// Lets the browser ask before the page is left, whenever `ask` says so.
pub fn ask_before_leaving(ask: impl Fn() -> bool + 'static) -> Listener {
    Listener::new(vec![(window_target(), "beforeunload")], move |event| {
        if ask() {
            event.prevent_default();
            // What browsers of 2023 and before look for.
            let _ = js_sys::Reflect::set(&event, &"returnValue".into(), &true.into());
        }
    })
}

/// The event that says that everything kept was erased.
const ERASED: &str = "halfrow-erased";

/// Runs when everything that was kept on the device has been erased here.
pub fn on_erased(run: Callback<()>) -> Listener {
    Listener::new(vec![(window_target(), ERASED)], move |_| run.emit(()))
}

/// Says on the page that everything that was kept has been erased.
pub(super) fn tell_erased() {
    if let (Some(window), Ok(event)) = (super::window(), Event::new(ERASED)) {
        let _ = window.dispatch_event(&event);
    }
}

/// The slot that this tab or frame keeps its bench in, as far as it has said so. It is remembered with the
/// entry of the tab's history: a reload keeps it, another tab has none, and each frame has its own.
pub fn slot() -> Option<String> {
    super::window()?.history().ok()?.state().ok()?.as_string().filter(|slot| !slot.is_empty())
}

/// Remembers [`slot`]; an empty one is forgotten.
pub fn set_slot(slot: &str) {
    if let Some(Ok(history)) = super::window().map(|window| window.history()) {
        let _ = history.replace_state(&slot.into(), "");
    }
}

/// Whether this page lies in a frame or a sandbox, where the browser may keep files from being saved and
/// tells nobody.
pub fn is_framed() -> bool {
    let Some(window) = super::window() else { return false };
    let top = window.top().ok().flatten();
    let origin = js_sys::Reflect::get(&window, &"origin".into()).ok().and_then(|it| it.as_string());
    top.is_none_or(|top| top != window) || origin.as_deref() == Some("null")
}

/// Listens to an event of one element.
pub fn on_element(
    element: &web_sys::Element,
    event: &'static str,
    run: impl Fn(Event) + 'static,
) -> Listener {
    Listener::new(vec![(Some(element.clone().into()), event)], run)
}

/// Watches the size of an element until it is dropped.
#[must_use = "dropping it stops watching"]
pub struct SizeWatch {
    watch: web_sys::ResizeObserver,
    _run: Closure<dyn FnMut()>,
}

impl Drop for SizeWatch {
    fn drop(&mut self) {
        self.watch.disconnect();
    }
}

/// Runs now and whenever the element has another size, for whatever reason.
pub fn on_resize(of: &web_sys::Element, run: impl FnMut() + 'static) -> Option<SizeWatch> {
    let run = Closure::<dyn FnMut()>::new(run);
    let watch = web_sys::ResizeObserver::new(run.as_ref().unchecked_ref()).ok()?;
    watch.observe(of);
    Some(SizeWatch { watch, _run: run })
}

/// Now as `2026-03-01T09:30:00.000Z`, by the device's clock; the start of 1970 outside a browser.
pub fn now_iso() -> String {
    match super::window() {
        Some(_) => js_sys::Date::new_0().to_iso_string().into(),
        None => "1970-01-01T00:00:00.000Z".to_owned(),
    }
}

/// Runs `run` after `ms` milliseconds, unless the timer is dropped before.
pub fn after(ms: i32, run: impl FnOnce() + 'static) -> Timer {
    let Some(window) = super::window() else { return Timer { id: None, _run: None } };
    let run = Closure::once(run);
    let id =
        window.set_timeout_with_callback_and_timeout_and_arguments_0(run.as_ref().unchecked_ref(), ms).ok();
    Timer { id, _run: Some(run) }
}

/// What shall run, once.
type Once = Rc<RefCell<Option<Box<dyn FnOnce()>>>>;

/// Waits for the next frame to be drawn, to run something then; dropped before, it never runs.
#[must_use = "dropping it cancels what should run"]
pub struct AfterFrame {
    frame: Option<i32>,
    _run: Option<Closure<dyn FnMut()>>,
    _timers: Rc<RefCell<Vec<Timer>>>,
}

impl Drop for AfterFrame {
    fn drop(&mut self) {
        // Cancelling a frame that has been drawn is allowed and does nothing.
        if let (Some(frame), Some(window)) = (self.frame, super::window()) {
            let _ = window.cancel_animation_frame(frame);
        }
    }
}

/// A page that is out of sight draws no frames: then it runs after so many milliseconds.
const NO_FRAME_MS: i32 = 400;

/// Runs `run` when the next frame has been drawn, unless what comes back is dropped before.
pub fn after_frame(run: impl FnOnce() + 'static) -> AfterFrame {
    let once: Once = Rc::new(RefCell::new(Some(Box::new(run))));
    let timers: Rc<RefCell<Vec<Timer>>> = Rc::default();
    let call = |once: &Once| {
        let once = once.clone();
        move || {
            let run = once.borrow_mut().take();
            if let Some(run) = run {
                run();
            }
        }
    };
    let late = call(&once);
    let all = timers.clone();
    // The frame's own callbacks come before it is drawn, timers after.
    let frame = Closure::once(move || all.borrow_mut().push(after(0, late)));
    let asked =
        super::window().and_then(|it| it.request_animation_frame(frame.as_ref().unchecked_ref()).ok());
    timers.borrow_mut().push(after(NO_FRAME_MS, call(&once)));
    AfterFrame { frame: asked, _run: Some(frame), _timers: timers }
}

/// Runs something again and again until it is dropped.
#[must_use = "dropping it ends it"]
pub struct Ticker {
    id: Option<i32>,
    _run: Option<Closure<dyn FnMut()>>,
}

impl Drop for Ticker {
    fn drop(&mut self) {
        if let (Some(id), Some(window)) = (self.id, super::window()) {
            window.clear_interval_with_handle(id);
        }
    }
}

/// Runs `run` every `ms` milliseconds.
pub fn every(ms: i32, run: impl FnMut() + 'static) -> Ticker {
    let Some(window) = super::window() else { return Ticker { id: None, _run: None } };
    let run = Closure::<dyn FnMut()>::new(run);
    let id =
        window.set_interval_with_callback_and_timeout_and_arguments_0(run.as_ref().unchecked_ref(), ms).ok();
    Ticker { id, _run: Some(run) }
}

thread_local! {
    /// The part after `#` that the page itself wrote last, so that it is not told of its own doing.
    static OWN_HASH: RefCell<Option<String>> = const { RefCell::new(None) };
}

/// The address of the page without what stands after `#` or `?`.
pub fn address() -> String {
    let location = super::window().map(|window| window.location());
    let part = |get: fn(&web_sys::Location) -> Result<String, JsValue>| {
        location.as_ref().and_then(|it| get(it).ok()).unwrap_or_default()
    };
    format!("{}{}", part(web_sys::Location::origin), part(web_sys::Location::pathname))
}

/// The part of the address after `#`, as it stands there; empty when there is none.
pub fn hash() -> String {
    let text = super::window().and_then(|window| window.location().hash().ok()).unwrap_or_default();
    text.strip_prefix('#').unwrap_or(&text).to_owned()
}

/// Puts `text` after the `#` of the address, or removes the `#` for an empty text. The address is
/// replaced, so Back does not step through it, and [on_hash_change] stays silent.
pub fn set_hash(text: &str) {
    let search = super::window().and_then(|window| window.location().search().ok());
    replace_address(&search.unwrap_or_default(), text);
}

/// Takes what stands after `#` and the query's `key` out of the address; nothing where neither is there.
pub fn forget_address(key: &str) {
    if hash().is_empty() && query(key).is_none() {
        return;
    }
    let search = super::window().and_then(|window| window.location().search().ok()).unwrap_or_default();
    let rest = UrlSearchParams::new_with_str(&search).map_or(String::new(), |all| {
        all.delete(key);
        String::from(all.to_string())
    });
    replace_address(&if rest.is_empty() { rest } else { format!("?{rest}") }, "");
}

fn replace_address(search: &str, hash_text: &str) {
    let Some(window) = super::window() else { return };
    let location = window.location();
    let mut address = location.pathname().unwrap_or_default() + search;
    if !hash_text.is_empty() {
        address.push('#');
        address.push_str(hash_text);
    }
    let replaced = window
        .history()
        .and_then(|history| history.replace_state_with_url(&history.state()?, "", Some(&address)));
    // A frame made from text has no address that can be replaced; its `#` can still be set.
    if replaced.is_err() {
        let _ = location.set_hash(hash_text);
    }
    let written = hash();
    OWN_HASH.with_borrow_mut(|own| *own = Some(written));
}

/// Tells the part after `#` when somebody else than [set_hash] changes it: a link pasted over the
/// address, Back, Forward.
pub fn on_hash_change(run: Callback<String>) -> Listener {
    Listener::new(vec![(window_target(), "hashchange")], move |_| {
        let now = hash();
        let own = OWN_HASH.with_borrow_mut(|own| {
            let same = own.as_deref() == Some(&now);
            if !same {
                *own = None;
            }
            same
        });
        if !own {
            run.emit(now);
        }
    })
}

/// The value of `key` in the address's query, decoded: the first if there are several, empty for a
/// bare `?key`.
pub fn query(key: &str) -> Option<String> {
    let search = super::window()?.location().search().ok()?;
    UrlSearchParams::new_with_str(&search).ok()?.get(key)
}

/// Gives the focus to the element of this id, and chooses the text of a field; says whether it is there.
pub fn focus(id: &str) -> bool {
    let found = super::document().and_then(|document| document.get_element_by_id(id));
    let found = found.and_then(|it| it.dyn_into::<web_sys::HtmlElement>().ok());
    if let Some(element) = &found {
        let _ = element.focus();
        if let Some(field) = element.dyn_ref::<web_sys::HtmlInputElement>() {
            field.select();
        }
    }
    found.is_some()
}

/// Opens the browser's print dialog; nothing where a frame may not.
pub fn print() {
    if let Some(window) = super::window() {
        let _ = window.print();
    }
}

fn prefers(query: &str) -> bool {
    let asked = super::window().and_then(|window| window.match_media(query).ok().flatten());
    asked.is_some_and(|query| query.matches())
}

/// Whether the device asks for dark pages.
pub fn prefers_dark() -> bool {
    prefers("(prefers-color-scheme: dark)")
}

/// Whether the device asks for pages on which nothing moves by itself.
pub fn prefers_stillness() -> bool {
    prefers("(prefers-reduced-motion: reduce)")
}

/// Sets `data-theme` of the root element to `word`; an empty word removes it, and the device decides.
pub fn set_theme(word: &str) {
    let Some(root) = super::document().and_then(|document| document.document_element()) else { return };
    let _ = match word {
        "" => root.remove_attribute("data-theme"),
        word => root.set_attribute("data-theme", word),
    };
}

/// Tells that a newer version of the page is ready and waits for [take_over].
pub fn on_update_waiting(run: Callback<()>) -> Listener {
    Listener::new(vec![(window_target(), "halfrow-update")], move |_| run.emit(()))
}

/// Lets the waiting version take over; the page loads again, so save first.
pub fn take_over() {
    if let Some((window, Ok(event))) = super::window().map(|window| (window, Event::new("halfrow-take-over")))
    {
        let _ = window.dispatch_event(&event);
    }
}
