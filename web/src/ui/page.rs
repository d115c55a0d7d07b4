//! The page's state inside yew.

use std::ops::Deref;
use std::rc::Rc;

use yew::prelude::*;

use crate::model::state::{Action, State};
use crate::ui::spans::Span;

/// [`State`] as a reducer.
#[derive(Debug)]
pub struct Store {
    /// The state.
    pub state: State,
    /// Counts the actions.
    turn: u32,
    /// How many of them were the clock's ticks without news.
    ticks: u32,
    /// How many only pointed elsewhere.
    points: u32,
}

impl Store {
    /// A store that begins with this state.
    pub fn new(state: State) -> Store {
        Store { state, turn: 0, ticks: 0, points: 0 }
    }
}

impl Reducible for Store {
    type Action = Action;

    fn reduce(self: Rc<Self>, action: Action) -> Rc<Self> {
        let _span = Span::new("act");
        let mut state = self.state.clone();
        let tick = matches!(action, Action::Tick(_));
        let point = matches!(action, Action::Point(_));
        state.apply(action);
        // A tick that brings findings is a deed.
        let known = Rc::ptr_eq(&self.state.document.solved.findings, &state.document.solved.findings);
        Rc::new(Store {
            state,
            turn: self.turn.wrapping_add(1),
            ticks: self.ticks.wrapping_add(u32::from(tick && known)),
            points: self.points.wrapping_add(u32::from(point)),
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
    heeds: Heeds,
}

/// What a handle is another one after.
#[derive(Clone, Copy, PartialEq)]
enum Heeds {
    All,
    AllButTicks,
    AllButPoints,
    Deeds,
}

impl PartialEq for Handle {
    fn eq(&self, other: &Handle) -> bool {
        self.turn == other.turn && self.heeds == other.heeds
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
        Handle { store, turn, heeds: Heeds::All }
    }

    /// The same for what shows nothing that the clock changes by itself: it is not drawn again at
    /// ticks.
    pub fn calm(&self) -> Handle {
        self.heeding(Heeds::AllButTicks)
    }

    /// The same for what shows nothing of where is pointed: it is not drawn again when that changes.
    pub fn steady(&self) -> Handle {
        self.heeding(Heeds::AllButPoints)
    }

    /// Both.
    pub fn still(&self) -> Handle {
        self.heeding(Heeds::Deeds)
    }

    fn heeding(&self, heeds: Heeds) -> Handle {
        let Store { turn, ticks, points, .. } = *self.store;
        let turn = match heeds {
            Heeds::All => turn,
            Heeds::AllButTicks => turn.wrapping_sub(ticks),
            Heeds::AllButPoints => turn.wrapping_sub(points),
            Heeds::Deeds => turn.wrapping_sub(ticks).wrapping_sub(points),
        };
        Handle { store: self.store.clone(), turn, heeds }
    }

    /// A number that is another after each action that this handle heeds.
    pub fn turn(&self) -> u64 {
        u64::from(self.turn)
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
