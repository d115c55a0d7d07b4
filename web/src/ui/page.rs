//! The page's state inside yew.

use std::ops::Deref;
use std::rc::Rc;

use yew::prelude::*;

use crate::model::state::{Action, State};

/// [`State`] as a reducer.
#[derive(Debug)]
pub struct Store {
    /// The state.
    pub state: State,
    /// Counts the actions.
    turn: u32,
    /// Counts the actions other than the clock's ticks.
    deeds: u32,
}

impl Store {
    /// A store that begins with this state.
    pub fn new(state: State) -> Store {
        Store { state, turn: 0, deeds: 0 }
    }
}

impl Reducible for Store {
    type Action = Action;

    fn reduce(self: Rc<Self>, action: Action) -> Rc<Self> {
        let mut state = self.state.clone();
        let findings = state.document.solved.findings.clone();
        let tick = matches!(action, Action::Tick(_));
        state.apply(action);
        // A tick that brings news is a deed too.
        let deed = !tick || !Rc::ptr_eq(&findings, &state.document.solved.findings);
        Rc::new(Store {
            state,
            turn: self.turn.wrapping_add(1),
            deeds: self.deeds.wrapping_add(u32::from(deed)),
        })
    }
}

/// A handle of the page's state that components pass on.
#[derive(Clone)]
pub struct Handle {
    store: UseReducerHandle<Store>,
    /// The turn that it was made for. Yew's own handle always leads to the newest state, so that two
    /// of them never differ, and a component that is given one would never be drawn again.
    turn: u32,
    /// Whether only deeds count, not ticks; see [`Handle::calm`].
    calm: bool,
}

impl PartialEq for Handle {
    fn eq(&self, other: &Handle) -> bool {
        self.turn == other.turn && self.calm == other.calm
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
        Handle { store, turn, calm: false }
    }

    /// The same for what shows nothing that the clock changes by itself: it is not drawn again at
    /// ticks.
    pub fn calm(&self) -> Handle {
        Handle { store: self.store.clone(), turn: self.store.deeds, calm: true }
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
        self.boxed(Box::new(make))
    }

    /// The same once for a kind of event, whatever makes the action: it is called from many places too.
    #[inline(never)]
    fn boxed<E: 'static>(&self, make: Box<dyn Fn(E) -> Action>) -> Callback<E> {
        let handle = self.clone();
        Callback::from(move |event: E| handle.dispatch(make(event)))
    }
}
