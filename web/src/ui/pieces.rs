//! Pieces of the page that are drawn again only when what they show is another.

use std::rc::Rc;

use halfrow_core::fnv::fnv;
use yew::prelude::*;

use crate::ui::page::Handle;
use crate::ui::spans::Span;

/// What a piece shows, in numbers that differ where it would look different.
pub type Shows = [u64; 5];

/// A number for something that is shared: the same as long as nobody has changed it.
pub fn shared<T: ?Sized>(it: &Rc<T>) -> u64 {
    Rc::as_ptr(it).cast::<()>() as usize as u64
}

/// A number for a text.
pub fn hashed(text: &str) -> u64 {
    fnv(text.bytes()) >> 8
}

/// Properties of [`Piece`].
#[derive(Properties)]
pub struct Props {
    /// The page's state.
    pub page: Handle,
    /// What of it this piece shows.
    pub shows: Shows,
    /// Draws it.
    pub draw: fn(&Handle) -> Html,
}

impl PartialEq for Props {
    /// What is drawn by is never another one in the same place.
    fn eq(&self, other: &Props) -> bool {
        self.shows == other.shows
    }
}

/// A piece of the page.
#[component]
pub fn Piece(props: &Props) -> Html {
    let _span = Span::new("draw");
    (props.draw)(&props.page)
}

impl Handle {
    /// A piece of the page that is drawn again only when what it shows is another.
    pub fn piece(&self, shows: Shows, draw: fn(&Handle) -> Html) -> Html {
        html! { <Piece page={self.clone()} {shows} {draw} /> }
    }
}
