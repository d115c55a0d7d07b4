//! The page's state inside yew.

use std::ops::Deref;
use std::rc::Rc;

use yew::prelude::*;

use crate::state::{Action, State};

/// [`State`] as a reducer.
#[derive(Debug)]
pub struct Store {
    /// The state.
    pub state: State,
}

impl Reducible for Store {
    type Action = Action;

    fn reduce(self: Rc<Self>, action: Action) -> Rc<Self> {
        let mut state = self.state.clone();
        state.apply(action);
        Rc::new(Store { state })
    }
}

/// A handle of the page's state that components pass on.
#[derive(Clone)]
pub struct Handle(pub UseReducerHandle<Store>);

impl PartialEq for Handle {
    fn eq(&self, other: &Handle) -> bool {
        std::ptr::eq(&*self.0 as *const Store, &*other.0 as *const Store)
    }
}

impl Deref for Handle {
    type Target = Store;

    fn deref(&self) -> &Store {
        &self.0
    }
}

impl Handle {
    /// Carries out an action.
    pub fn dispatch(&self, action: Action) {
        self.0.dispatch(action);
    }

    /// A callback that carries out the action that `make` gives for an event.
    pub fn on<E: 'static>(&self, make: impl Fn(E) -> Action + 'static) -> Callback<E> {
        let handle = self.clone();
        Callback::from(move |event: E| handle.dispatch(make(event)))
    }
}
