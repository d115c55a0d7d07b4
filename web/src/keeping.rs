//! The open bench is kept on the device as it is changed, and there again when the page loads.

use std::rc::Rc;

use halfrow_core::bench::Bench;
use yew::prelude::*;

use crate::model::state::{Action, empty};
use crate::platform::{page as browser, store};
use crate::ui::hooks::{use_once, use_when};
use crate::ui::page::Handle;

/// The slot that the open bench is kept in.
pub const SLOT: &str = "open";

/// Changes from one snapshot to the next: coarse enough to matter and fine enough to help.
const SNAPSHOT_EVERY: u32 = 20;

/// Keeps a bench that is about to make room for another one, where there is something on it.
async fn snapshot(bench: &Bench) {
    if *bench != empty() {
        let _ = store::add_snapshot(&bench.title, &browser::now_iso(), &halfrow_file::write(bench)).await;
    }
}

/// Has back what was kept, or makes room for what the address `asked` for; from then on keeps the
/// bench half a second after each change, and at once when the page hides. Gives the state of that in
/// words.
#[hook]
pub fn use_keeping(page: Handle, asked: Option<Action>) -> &'static str {
    let kept = use_state_eq(|| "");
    // Whether the device keeps anything, as far as is known.
    let works = use_mut_ref(|| false);
    {
        let (page, works) = (page.clone(), works.clone());
        use_once(Box::new(move || {
            wasm_bindgen_futures::spawn_local(async move {
                let Ok(kept) = store::load(SLOT).await else { return };
                *works.borrow_mut() = true;
                let Some(bench) = kept.and_then(|text| halfrow_file::read(&text).ok()) else { return };
                match asked {
                    Some(Action::Open(opened, _)) if *opened == bench => {}
                    // The first change would put it over the kept one.
                    Some(Action::Open(..)) => snapshot(&bench).await,
                    _ if bench == empty() => {}
                    asked => {
                        let why = if let Some(Action::Say(why)) = asked { why + " " } else { String::new() };
                        let says = why + "Your bench is as you left it.";
                        page.dispatch(Action::Restore(Box::new(bench), says));
                    }
                }
            });
        }));
    }
    let (timer, hide) = (use_mut_ref(|| None), use_mut_ref(|| None));
    let last = use_mut_ref(|| None::<(u32, Rc<Bench>)>);
    let (changes, opened) = (page.state.document.changes, page.state.clock.epoch);
    let state = *kept;
    use_when(
        u64::from(opened) << 32 | u64::from(changes),
        Box::new(move || {
            let bench = page.state.document.solved.bench.clone();
            let former = last.replace(Some((opened, bench.clone())));
            if changes == 0 {
                return;
            }
            // What the device keeps is newer now than what the address holds.
            if *works.borrow() {
                browser::forget_address("example");
            }
            if let Some((_, former)) = former.filter(|it| it.0 != opened) {
                wasm_bindgen_futures::spawn_local(async move { snapshot(&former).await });
            }
            kept.set("saving…");
            let save = move || {
                let (kept, bench) = (kept.clone(), bench.clone());
                wasm_bindgen_futures::spawn_local(async move {
                    let done = store::save(SLOT, &halfrow_file::write(&bench)).await;
                    kept.set(if done.is_ok() {
                        "saved on this device"
                    } else {
                        "not saved: save it as a file"
                    });
                    if changes % SNAPSHOT_EVERY == 1 {
                        snapshot(&bench).await;
                    }
                });
            };
            *hide.borrow_mut() = Some(browser::on_hide(Callback::from({
                let save = save.clone();
                move |()| save()
            })));
            *timer.borrow_mut() = Some(browser::after(500, save));
        }),
    );
    state
}
