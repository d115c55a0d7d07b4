//! Tabs and frames that have the same bench open know of each other.
//!
//! A tab says `hello` for its bench; a tab that has the same bench open answers `here`. Both then
//! know. A tab that has kept its bench says `saved`, so that the others look whether theirs is older. They
//! speak over a BroadcastChannel, or where there is none through an item in localStorage that is removed
//! at once. Either way it stays in this browser.

use super::page::Listener;
use super::prefs::local_storage;
use std::cell::{Cell, RefCell};
use std::rc::Rc;
use wasm_bindgen::prelude::*;
use web_sys::{BroadcastChannel, MessageEvent, StorageEvent};
use yew::Callback;

const NAME: &str = "halfrow.tabs";

thread_local! {
    /// Tells this tab's own messages apart.
    static TAB: RefCell<Option<String>> = const { RefCell::new(None) };
}

/// Watches for other tabs until it is dropped.
#[must_use = "dropping it stops watching"]
pub struct Watch {
    channel: Option<BroadcastChannel>,
    slot: Slot,
    _listener: Option<Listener>,
}

/// Tells the slot that this tab keeps its bench in now.
pub type Slot = Rc<dyn Fn() -> String>;

/// What is heard of another tab that keeps its bench in the same slot.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Heard {
    /// There is one. Told once.
    Second,
    /// It has written there.
    Saved,
}

impl Watch {
    /// Tells the other tabs that this one has written.
    pub fn say_saved(&self) {
        post(self.channel.as_ref(), &Word::Saved.message(&tab(), &(self.slot)()));
    }
}

impl Drop for Watch {
    fn drop(&mut self) {
        if let Some(channel) = &self.channel {
            channel.close();
        }
    }
}

/// Tells `heard` of other tabs of this browser that have the bench of the same slot open, be it earlier
/// or later than this one. Where tabs cannot speak with each other it is never called.
pub fn watch(slot: Slot, heard: Callback<Heard>) -> Watch {
    if super::window().is_none() {
        return Watch { channel: None, slot, _listener: None };
    }
    let channel = BroadcastChannel::new(NAME).ok();
    let tab = tab();
    let told = Rc::new(Cell::new(false));
    let take = {
        let (slot, channel, tab) = (slot.clone(), channel.clone(), tab.clone());
        move |message: &str| {
            let slot = slot();
            let Some(word) = concerns(message, &tab, &slot) else { return };
            if word == Word::Hello {
                post(channel.as_ref(), &Word::Here.message(&tab, &slot));
            }
            if !told.replace(true) {
                heard.emit(Heard::Second);
            }
            if word == Word::Saved {
                heard.emit(Heard::Saved);
            }
        }
    };
    let listener = match &channel {
        Some(channel) => Listener::new(vec![(Some(channel.clone().into()), "message")], move |event| {
            let data = event.dyn_ref::<MessageEvent>().and_then(|event| event.data().as_string());
            if let Some(message) = data {
                take(&message);
            }
        }),
        None => {
            let window = super::window().map(web_sys::EventTarget::from);
            Listener::new(vec![(window, "storage")], move |event| {
                let Some(event) = event.dyn_ref::<StorageEvent>() else { return };
                if let (Some(NAME), Some(message)) = (event.key().as_deref(), event.new_value()) {
                    take(&message);
                }
            })
        }
    };
    post(channel.as_ref(), &Word::Hello.message(&tab, &slot()));
    Watch { channel, slot, _listener: Some(listener) }
}

/// A name for this tab, new with each load of the page.
pub fn tab() -> String {
    TAB.with_borrow_mut(|tab| {
        tab.get_or_insert_with(|| format!("{:x}", (js_sys::Math::random() * 2f64.powi(52)) as u64)).clone()
    })
}

fn post(channel: Option<&BroadcastChannel>, message: &str) {
    match channel {
        Some(channel) => {
            let _ = channel.post_message(&JsValue::from_str(message));
        }
        None => {
            if let Some(storage) = local_storage() {
                let _ = storage.set_item(NAME, message);
                let _ = storage.remove_item(NAME);
            }
        }
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Word {
    Hello,
    Here,
    Saved,
}

impl Word {
    fn message(self, tab: &str, slot: &str) -> String {
        let word = match self {
            Word::Hello => "hello",
            Word::Here => "here",
            Word::Saved => "saved",
        };
        format!("{word} {tab} {slot}")
    }
}

/// What another tab says of the bench `slot`; none for another bench, this tab's own words, or words
/// of something else.
fn concerns(message: &str, own_tab: &str, own_slot: &str) -> Option<Word> {
    let mut parts = message.splitn(3, ' ');
    let word = match parts.next()? {
        "hello" => Word::Hello,
        "here" => Word::Here,
        "saved" => Word::Saved,
        _ => return None,
    };
    let (tab, slot) = (parts.next()?, parts.next()?);
    (tab != own_tab && slot == own_slot).then_some(word)
}

#[cfg(test)]
mod tests {
    use super::{Word, concerns};

    #[test]
    fn a_tab_heeds_only_other_tabs_with_its_bench() {
        let table = [
            ("hello b harbour mouth", Some(Word::Hello)),
            ("here b harbour mouth", Some(Word::Here)),
            ("saved b harbour mouth", Some(Word::Saved)),
            ("saved a harbour mouth", None),
            ("hello a harbour mouth", None),
            ("hello b harbour", None),
            ("hello b", None),
            ("bye b harbour mouth", None),
            ("", None),
        ];
        for (message, word) in table {
            assert_eq!(concerns(message, "a", "harbour mouth"), word, "{message:?}");
        }
        let sent = Word::Hello.message("b", "harbour mouth");
        assert_eq!(concerns(&sent, "a", "harbour mouth"), Some(Word::Hello));
    }
}
