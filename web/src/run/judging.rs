//! Judges a changed bench after it has been drawn, a portion at a time.

use std::any::Any;
use std::pin::Pin;
use std::rc::Rc;

use halfrow_core::solve::solve_in_portions;
use halfrow_core::time::portions::portion;
use halfrow_instruments::wiring::put_back;
use halfrow_judge::check_in_portions;
use yew::prelude::*;

use crate::model::state::{Action, Solved, Verdict};
use crate::platform::page::{after, after_frame};
use crate::run::clock::now;
use crate::ui::hooks::use_when;
use crate::ui::page::Handle;
use crate::ui::pieces::shared;
use crate::ui::spans::Span;

/// Newton iterations times unknowns after which the solving of a bench lets go, as the clock's does.
const PORTION: u64 = 500;

/// Milliseconds of a task that may go into judging: a pointer that comes meanwhile waits no longer.
const TASK_MS: f64 = 4.0;

/// What is under way, and what goes on with it.
struct Job {
    work: Pin<Box<dyn Future<Output = Verdict>>>,
    next: Option<Box<dyn Any>>,
}

/// Solves and judges a bench.
async fn judge(solved: Rc<Solved>) -> Verdict {
    let (bench, known) = (solved.bench.clone(), !solved.is_timed() && solved.point.settled);
    let point = if known { solved.point.clone() } else { Rc::new(solve_in_portions(&bench, PORTION).await) };
    // A leg that is lifted for a meter is no mistake.
    let findings = match put_back(&bench) {
        Some(whole) => check_in_portions(&whole, &solve_in_portions(&whole, PORTION).await).await,
        None => check_in_portions(&bench, &point).await,
    };
    Verdict { bench, point, findings }
}

/// One task of it, and the next one where it is not done.
fn go_on(job: &Rc<std::cell::RefCell<Option<Job>>>, page: &Handle) {
    let began = now();
    let done = {
        let _span = Span::new("judge");
        let mut job = job.borrow_mut();
        let Some(job) = job.as_mut() else { return };
        loop {
            let done = portion(job.work.as_mut());
            if done.is_some() || now() - began > TASK_MS {
                break done;
            }
        }
    };
    match done {
        Some(verdict) => {
            job.take();
            page.dispatch(Action::Judged(Rc::new(verdict)));
        }
        None => {
            let (again, page) = (job.clone(), page.clone());
            let next = after(0, move || go_on(&again, &page));
            if let Some(job) = job.borrow_mut().as_mut() {
                job.next = Some(Box::new(next));
            }
        }
    }
}

/// Judges each bench that waits for it, after the frame that shows it. A bench that is changed before is
/// begun anew.
#[hook]
pub fn use_judging(page: &Handle) {
    let job = use_mut_ref(|| None::<Job>);
    let page = page.clone();
    let waits = if page.state.is_unjudged() { shared(&page.state.document.solved.bench) } else { 0 };
    use_when(
        waits,
        Box::new(move || {
            job.take();
            if waits == 0 {
                return;
            }
            let work = Box::pin(judge(page.state.document.solved.clone()));
            *job.borrow_mut() = Some(Job { work, next: None });
            let (again, page) = (job.clone(), page.clone());
            let next = after_frame(move || go_on(&again, &page));
            if let Some(job) = job.borrow_mut().as_mut() {
                job.next = Some(Box::new(next));
            }
        }),
    );
}
