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
    /// Counts the actions.
    turn: u32,
}

impl Store {
    /// A store that begins with this state.
    pub fn new(state: State) -> Store {
        Store { state, turn: 0 }
    }
}

impl Reducible for Store {
    type Action = Action;

    fn reduce(self: Rc<Self>, action: Action) -> Rc<Self> {
        let mut state = self.state.clone();
        state.apply(action);
        Rc::new(Store { state, turn: self.turn.wrapping_add(1) })
    }
}

/// A handle of the page's state that components pass on.
#[derive(Clone)]
pub struct Handle {
    store: UseReducerHandle<Store>,
    /// The turn that it was made for. Yew's own handle always leads to the newest state, so that two
    /// of them never differ, and a component that is given one would never be drawn again.
    turn: u32,
}

impl PartialEq for Handle {
    fn eq(&self, other: &Handle) -> bool {
        self.turn == other.turn
    }
}

impl Deref for Handle {
    type Target = Store;

    fn deref(&self) -> &Store {
        &self.store
    }
}

impl Handle {
    /// A handle for the drawing that is being made now.
    pub fn new(store: UseReducerHandle<Store>) -> Handle {
        let turn = store.turn;
        Handle { store, turn }
    }

    /// Carries out an action. Called from so many places that a copy in each would weigh.
    #[inline(never)]
    pub fn dispatch(&self, action: Action) {
        self.store.dispatch(action);
    }

    /// Where actions go, the same at every drawing.
    pub fn dispatcher(&self) -> UseReducerDispatcher<Store> {
        self.store.dispatcher()
    }

    /// A callback that carries out the action that `make` gives for an event.
    pub fn on<E: 'static>(&self, make: impl Fn(E) -> Action + 'static) -> Callback<E> {
        let handle = self.clone();
        Callback::from(move |event: E| handle.dispatch(make(event)))
    }
}
