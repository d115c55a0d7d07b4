//! The likeliest mistake from symptoms alone, and the best next thing to look at or to measure.
//!
//! `plan -> dictionary of mistakes; report -> belief -> groups, next question, message`. Start with [`fault`]
//! (one mistake on a build) and [`generate`] (all of them), then [`behaviour`] (what a build does and what
//! isn't known exactly), [`symptom`] (what is reported) and [`sentence`] (a mail's words as symptoms),
//! [`dictionary`] (what each mistake does), [`likelihood`] and [`belief`] (what to believe after a report),
//! [`next`] (what to ask for), [`answer`], [`words`] and [`message`]. [`priors`] is the one table of how
//! likely what is.
//!
//! Nobody sees the board: all that is known is the plan and what somebody says. So a report may be wrong,
//! parts are within their tolerances and not exact, and "nothing that I know fits" is an answer.

pub mod answer;
pub mod behaviour;
pub mod belief;
pub mod dictionary;
pub mod fault;
pub mod generate;
pub mod likelihood;
pub mod message;
pub mod next;
pub mod priors;
pub mod report;
pub mod sentence;
pub mod symptom;
pub mod words;

pub use answer::{Diagnosis, Group, Step, diagnose};
pub use dictionary::{Dictionary, Mistakes};
pub use fault::{Fault, Repair};
pub use next::{Ask, Next, Reply};
pub use symptom::{Found, Reading, Sight, Symptom, Unclear};
