//! The browser's requests as futures.

use js_sys::{Function, Promise};
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;

/// What is said of a request that takes too long.
const LATE: &str = "the browser did not answer in time";

/// Hands `begin` the two ends of a promise, as functions to hang on a request's events, and waits for
/// the first to be called. Gives back what the first was called with, an event as a rule.
///
/// With `limit_ms` a request that never answers counts as failed after that time.
///
/// # Errors
/// Words for a person, when `begin` fails, the second end is called or the time is over.
pub async fn answer(
    limit_ms: Option<i32>,
    begin: impl FnOnce(&Function, &Function) -> Result<(), JsValue>,
) -> Result<JsValue, String> {
    let mut begin = Some(begin);
    let promise = Promise::new(&mut |done, failed| {
        let Some(begin) = begin.take() else { return };
        if let Err(error) = begin(&done, &failed) {
            let _ = failed.call1(&JsValue::NULL, &error);
        } else if let (Some(limit), Some(window)) = (limit_ms, super::window()) {
            // A promise settles once: a late call of this changes nothing.
            let _ = window.set_timeout_with_callback_and_timeout_and_arguments_1(
                &failed,
                limit,
                &JsValue::from_str(LATE),
            );
        }
    });
    JsFuture::from(promise).await.map_err(|error| words(&error))
}

/// A promise that fails after `limit_ms`, with words for a person.
pub fn over(limit_ms: i32) -> Promise {
    Promise::new(&mut |_, failed| {
        if let Some(window) = super::window() {
            let _ = window.set_timeout_with_callback_and_timeout_and_arguments_1(
                &failed,
                limit_ms,
                &JsValue::from_str(LATE),
            );
        }
    })
}

/// An error of the browser in words: its message, else its name, else what can be said of it.
pub fn words(error: &JsValue) -> String {
    let field = |name: &str| {
        js_sys::Reflect::get(error, &JsValue::from_str(name))
            .ok()
            .and_then(|value| value.as_string())
            .filter(|text| !text.is_empty())
    };
    if let Some(text) = error.as_string() {
        return text;
    }
    // The error of a failed request hangs on the request, the target of the event.
    if let Some(event) = error.dyn_ref::<web_sys::Event>() {
        let inner = event
            .target()
            .and_then(|target| js_sys::Reflect::get(&target, &JsValue::from_str("error")).ok())
            .filter(|inner| inner.is_object());
        return match inner {
            Some(inner) => words(&inner),
            None => format!("the browser reported \"{}\"", event.type_()),
        };
    }
    field("message").or_else(|| field("name")).unwrap_or_else(|| "the browser refused".to_owned())
}
