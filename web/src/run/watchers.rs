//! The pictures of parts that the clock tells of what they look like, one by one.

use std::cell::RefCell;

use halfrow_draw::scene::Looks;
use yew::Callback;

/// What wants to know how a part looks, by the part's name.
type Watcher = (String, Callback<Looks>);

thread_local! {
    static PICTURES: RefCell<Vec<Watcher>> = const { RefCell::new(Vec::new()) };
}

/// From now on this picture is told when its part looks different.
pub fn watch(id: &str, told: Callback<Looks>) {
    PICTURES.with_borrow_mut(|all| all.push((id.to_owned(), told)));
}

/// Whoever watches this part's looks.
pub(super) fn watcher(id: &str) -> Option<Callback<Looks>> {
    PICTURES.with_borrow(|all| all.iter().find(|(own, _)| own == id).map(|it| it.1.clone()))
}

/// The picture is gone.
pub fn unwatch(id: &str) {
    PICTURES.with_borrow_mut(|all| {
        if let Some(place) = all.iter().position(|(own, _)| own == id) {
            all.swap_remove(place);
        }
    });
}
