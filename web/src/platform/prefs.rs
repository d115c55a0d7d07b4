//! Small settings of this device, such as the theme, in localStorage.
//!
//! Keys carry the prefix `halfrow.`, since other pages of the same host share the storage. Where
//! storage is refused the settings last until the page closes.

use std::cell::RefCell;

thread_local! {
    /// What localStorage would not take.
    static MEMORY: RefCell<Vec<(String, String)>> = const { RefCell::new(Vec::new()) };
}

const PREFIX: &str = "halfrow.";

/// localStorage; reading the property itself throws where storage is refused.
pub(super) fn local_storage() -> Option<web_sys::Storage> {
    super::window()?.local_storage().ok().flatten()
}

/// The setting under `key`, if it was ever set.
pub fn get(key: &str) -> Option<String> {
    let remembered =
        MEMORY.with_borrow(|memory| memory.iter().find(|(own, _)| own == key).map(|it| it.1.clone()));
    remembered.or_else(|| local_storage()?.get_item(&format!("{PREFIX}{key}")).ok().flatten())
}

/// Keeps `value` under `key`, at least until the page closes.
pub fn set(key: &str, value: &str) {
    let stored =
        local_storage().is_some_and(|storage| storage.set_item(&format!("{PREFIX}{key}"), value).is_ok());
    MEMORY.with_borrow_mut(|memory| {
        memory.retain(|(own, _)| own != key);
        if !stored {
            memory.push((key.to_owned(), value.to_owned()));
        }
    });
}

/// Forgets every setting of this page, and nothing of other pages on the same host.
pub fn erase_all() {
    MEMORY.with_borrow_mut(Vec::clear);
    let Some(storage) = local_storage() else { return };
    let count = storage.length().unwrap_or(0);
    // All names first: the positions move while items go.
    let names: Vec<String> = (0..count).filter_map(|index| storage.key(index).ok().flatten()).collect();
    for name in names.iter().filter(|name| name.starts_with(PREFIX)) {
        let _ = storage.remove_item(name);
    }
}
