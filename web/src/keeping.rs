//! The open bench is kept on the device as it is changed, and there again when the page loads.
//!
//! [`Keeping`] decides and words it; here it meets the browser.

use std::cell::{Cell, RefCell};
use std::rc::Rc;

use halfrow_core::bench::Bench;
use wasm_bindgen_futures::spawn_local;
use yew::prelude::*;

use crate::model::keeping::{BESIDE, COMMON, Keeping, Left, Notice, Saved, UNREAD, name_of};
use crate::model::state::{Action, empty};
use crate::platform::store::Put;
use crate::platform::tabs::{self, Heard};
use crate::platform::{page as browser, store};
use crate::ui::hooks::{use_once, use_when};
use crate::ui::page::Handle;

mod notice;

/// Changes from one snapshot to the next: coarse enough to matter and fine enough to help.
const SNAPSHOT_EVERY: u32 = 20;

/// How long after a change it is saved: the changes of one gesture are saved once.
const WAIT_MS: i32 = 500;

/// What the page shows of all this.
pub struct Kept {
    /// How far the bench is kept, in words.
    pub words: &'static str,
    /// What there is to say or decide, if anything.
    pub notice: Html,
}

/// Keeps a bench that is about to make room for another one, where there is something on it. False when
/// the device does not keep it.
async fn snapshot(bench: &Bench) -> bool {
    *bench == empty()
        || store::add_snapshot(&bench.title, &browser::now_iso(), &halfrow_file::write(bench)).await.is_ok()
}

/// A name for a slot of one's own.
fn own_slot() -> String {
    format!("{BESIDE}{} {}", browser::now_iso(), tabs::tab())
}

type Shown = (Saved, Option<Notice>);

struct Keeper {
    page: RefCell<Handle>,
    keeping: RefCell<Keeping>,
    /// Whether the device has been asked for what it keeps: before that nothing is written.
    looked: Cell<bool>,
    /// Whether something has been changed that no save has taken up yet.
    changed: Cell<bool>,
    saving: Cell<bool>,
    /// How many changes there had been at the last save, for the snapshots.
    counted: Cell<u32>,
    shown: UseStateSetter<Shown>,
    watch: RefCell<Option<tabs::Watch>>,
}

impl Keeper {
    fn page(&self) -> Handle {
        self.page.borrow().clone()
    }

    /// Changes what is known, and shows it.
    fn note<T>(&self, change: impl FnOnce(&mut Keeping) -> T) -> T {
        let mut keeping = self.keeping.borrow_mut();
        let out = change(&mut keeping);
        self.shown.set((keeping.saved.clone(), keeping.notice.clone()));
        out
    }

    fn tell_others(&self) {
        if let Some(watch) = &*self.watch.borrow() {
            watch.say_saved();
        }
    }

    /// Has back what is kept, or makes room for what the address `asked` for.
    async fn begin(self: Rc<Self>, asked: Option<Action>) {
        let mut late = false;
        let kept = loop {
            match self.find().await {
                Ok(kept) => break kept,
                Err(_) => {
                    // What is changed meanwhile fails to be saved, and that is said.
                    self.looked.set(true);
                    if late || store::ready().await.is_err() {
                        return;
                    }
                    late = true;
                }
            }
        };
        match kept {
            Some(text) => self.clone().has_back(text, asked, late).await,
            None => self.keeping.borrow_mut().read = true,
        }
        self.looked.set(true);
        // What could not be saved before the device answered is to be saved now.
        if matches!(self.keeping.borrow().saved, Saved::Failed(_)) {
            self.changed.set(true);
        }
        self.save().await;
    }

    /// What is kept, after what closed tabs left in a hurry has been taken up.
    async fn find(&self) -> Result<Option<Rc<str>>, String> {
        for (tab, record) in store::left().await? {
            let Some(Left { slot, known, text, steps }) = Left::read(&record) else { continue };
            let pieces = (text.as_str(), steps.as_str());
            if store::put(&slot, known.as_deref(), pieces, &tab).await? == Put::Other {
                store::put(&own_slot(), None, pieces, &tab).await?;
            }
        }
        let slot = self.keeping.borrow().slot.clone();
        let kept = store::load(&slot).await?;
        if kept.is_some() || slot == COMMON {
            return Ok(kept.map(Rc::from));
        }
        // What this tab kept beside the common one is gone.
        self.keeping.borrow_mut().slot = COMMON.to_owned();
        Ok(store::load(COMMON).await?.map(Rc::from))
    }

    /// Takes what was found on the device: only what is safe elsewhere too, or open, may be overwritten.
    async fn has_back(self: Rc<Self>, text: Rc<str>, asked: Option<Action>, late: bool) {
        let page = self.page();
        let bench = match halfrow_file::read(&text) {
            Ok(bench) => bench,
            Err(why) => {
                let name = format!("{UNREAD}{}", name_of(&text));
                let safe = store::put(&name, None, (&text, ""), tabs::tab().as_str()).await.is_ok();
                return self.note(|keeping| {
                    keeping.known = safe.then(|| text.clone());
                    keeping.read = safe;
                    keeping.notice = Some(Notice::Unreadable(text, why.to_string()));
                });
            }
        };
        match asked {
            Some(Action::Open(opened, _)) if *opened == bench => {}
            Some(Action::Open(..)) if !snapshot(&bench).await => return,
            Some(Action::Open(..)) => {}
            _ if bench == empty() => {}
            // Something has been built since: it goes beside what was found.
            _ if late && page.state.document.changes > 0 => return,
            asked => {
                let slot = self.keeping.borrow().slot.clone();
                let steps = store::steps(&slot).await;
                let why = if let Some(Action::Say(why)) = asked { why + " " } else { String::new() };
                let says = why + "Your bench is as you left it.";
                page.dispatch(Action::Restore(Box::new(bench), steps, says));
            }
        }
        let mut keeping = self.keeping.borrow_mut();
        (keeping.known, keeping.read) = (Some(text), true);
    }

    /// Saves what has been changed, until nothing is left to be saved.
    async fn save(self: Rc<Self>) {
        if !self.looked.get() || self.saving.replace(true) {
            return;
        }
        while self.changed.replace(false) {
            let page = self.page();
            let (text, steps) = page.state.document.record();
            let (slot, known) = {
                let keeping = self.keeping.borrow();
                (keeping.slot.clone(), keeping.known.clone())
            };
            match store::put(&slot, known.as_deref(), (&text, &steps), &tabs::tab()).await {
                Ok(Put::Written) => {
                    self.note(|keeping| keeping.wrote(&text));
                    self.tell_others();
                    // A save may take several changes at once, so that a count need not be met exactly.
                    let changes = page.state.document.changes;
                    if changes / SNAPSHOT_EVERY > self.counted.replace(changes) / SNAPSHOT_EVERY {
                        let _ = snapshot(page.state.bench()).await;
                    }
                }
                Ok(Put::Other) => {
                    self.note(|keeping| keeping.stand_beside(own_slot()));
                    browser::set_slot(&self.keeping.borrow().slot);
                    self.changed.set(true);
                }
                Err(why) => {
                    if let Some(says) = self.note(|keeping| keeping.failed(&why)) {
                        page.dispatch(Action::Say(says));
                    }
                }
            }
        }
        self.saving.set(false);
    }

    /// Whether the device doesn't have all yet. What is on its way counts: the page may go before it is there.
    fn is_unsaved(&self) -> bool {
        self.changed.get() || matches!(self.keeping.borrow().saved, Saved::Saving | Saved::Failed(_))
    }

    /// The page goes out of sight, perhaps for good: what is not saved yet is written down at once.
    fn hide(self: &Rc<Self>) {
        if !self.is_unsaved() {
            return;
        }
        let (text, steps) = self.page().state.document.record();
        let Keeping { slot, known, .. } = self.keeping.borrow().clone();
        let known = known.map(|it| it.to_string());
        store::leave(&tabs::tab(), &Left { slot, known, text, steps }.record());
        self.changed.set(true);
        spawn_local(self.clone().save());
    }

    /// Looks whether another tab has written where this one keeps its bench.
    async fn look(self: Rc<Self>) {
        let slot = self.keeping.borrow().slot.clone();
        let Ok(found) = store::load(&slot).await else { return };
        // A save of one's own that has come between is no news.
        if !self.saving.get() && self.keeping.borrow().slot == slot {
            self.note(|keeping| keeping.look(found.as_deref(), self.changed.get()));
        }
    }

    /// Opens what the device holds in the common slot. What was here can be had back by undo, and is
    /// among the snapshots.
    async fn take_other(self: Rc<Self>) {
        let page = self.page();
        let found = store::load(COMMON).await.ok().flatten();
        let read = found.and_then(|text| Some((halfrow_file::read(&text).ok()?, text)));
        let Some((bench, text)) = read else {
            page.dispatch(Action::Say("It can’t be opened here. Yours stays as it is.".into()));
            return;
        };
        let kept = snapshot(page.state.bench()).await;
        let former = self.note(|keeping| {
            keeping.notice = None;
            keeping.known = Some(text.into());
            std::mem::replace(&mut keeping.slot, COMMON.to_owned())
        });
        browser::set_slot("");
        page.dispatch(Action::Open(Box::new(bench), "The other one is open.".into()));
        if kept && former != COMMON {
            let _ = store::remove(&former).await;
        }
    }

    /// Goes on beside what another tab keeps.
    fn keep_both(self: &Rc<Self>) {
        self.note(|keeping| {
            if keeping.slot == COMMON {
                keeping.stand_beside(own_slot());
            }
            keeping.notice = None;
        });
        browser::set_slot(&self.keeping.borrow().slot);
        self.changed.set(true);
        spawn_local(self.clone().save());
    }

    /// Everything kept was erased here, on the user's word.
    fn erased(&self) {
        self.note(|keeping| *keeping = Keeping { read: true, ..Keeping::new(COMMON.to_owned()) });
        self.changed.set(false);
        browser::set_slot("");
        self.tell_others();
    }

    /// What there is to listen to, until the page goes.
    fn listen(self: Rc<Self>) -> impl Sized {
        let on = |run: fn(&Rc<Self>)| {
            let keeper = self.clone();
            Callback::from(move |()| run(&keeper))
        };
        let look: fn(&Rc<Self>) = |keeper| spawn_local(keeper.clone().look());
        let heard = {
            let keeper = self.clone();
            Callback::from(move |heard| match heard {
                Heard::Second => keeper.note(Keeping::second),
                Heard::Saved => look(&keeper),
            })
        };
        let slot = {
            let keeper = self.clone();
            Rc::new(move || keeper.keeping.borrow().slot.clone())
        };
        *self.watch.borrow_mut() = Some(tabs::watch(slot, heard));
        let failed = {
            let keeper = self.clone();
            move || matches!(keeper.keeping.borrow().saved, Saved::Failed(_))
        };
        (
            browser::on_hide(on(Keeper::hide)),
            browser::on_show(on(look)),
            browser::on_erased(on(|keeper| keeper.erased())),
            browser::ask_before_leaving(failed),
        )
    }
}

/// Has back what was kept, or makes room for what the address `asked` for; from then on keeps the
/// bench half a second after each change, and at once when the page hides.
#[hook]
pub fn use_keeping(page: Handle, asked: Option<Action>) -> Kept {
    let shown = use_state_eq(Shown::default);
    let keeper = use_memo((), |()| {
        Rc::new(Keeper {
            page: RefCell::new(page.clone()),
            keeping: RefCell::new(Keeping::new(browser::slot().unwrap_or_else(|| COMMON.to_owned()))),
            looked: Cell::new(false),
            changed: Cell::new(false),
            saving: Cell::new(false),
            counted: Cell::new(0),
            shown: shown.setter(),
            watch: RefCell::new(None),
        })
    });
    let keeper = Rc::clone(&*keeper);
    *keeper.page.borrow_mut() = page.clone();
    let listening = use_mut_ref(|| None);
    {
        let keeper = keeper.clone();
        use_once(Box::new(move || {
            *listening.borrow_mut() = Some(keeper.clone().listen());
            spawn_local(keeper.begin(asked));
        }));
    }
    let (timer, last) = (use_mut_ref(|| None), use_mut_ref(|| None::<(u32, Rc<Bench>)>));
    let (changes, opened) = (page.state.document.changes, page.state.clock.epoch);
    let (saved, notice) = (*shown).clone();
    let notice = notice::notice(&keeper, notice.as_ref());
    use_when(
        u64::from(opened) << 32 | u64::from(changes),
        Box::new(move || {
            let bench = page.state.document.solved.bench.clone();
            let former = last.replace(Some((opened, bench.clone())));
            if changes == 0 {
                return;
            }
            // What the device keeps is newer now than what the address holds.
            if keeper.looked.get() {
                browser::forget_address("example");
            }
            if let Some((_, former)) = former.filter(|it| it.0 != opened) {
                spawn_local(async move {
                    let _ = snapshot(&former).await;
                });
            }
            keeper.changed.set(true);
            keeper.note(|keeping| {
                if !matches!(keeping.saved, Saved::Failed(_)) {
                    keeping.saved = Saved::Saving;
                }
            });
            *timer.borrow_mut() = Some(browser::after(WAIT_MS, move || spawn_local(keeper.save())));
        }),
    );
    Kept { words: saved.words(), notice }
}
