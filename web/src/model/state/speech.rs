//! What is said, for the live region and the foot line.

use std::rc::Rc;

use halfrow_file::title::visible;

use crate::model::lamps::{self, Lamps};

/// What was said last.
#[derive(Clone, Debug)]
pub struct Speech {
    /// The words.
    pub said: Rc<str>,
    /// Counts what was said, so that the same words twice are two events.
    pub count: u32,
    /// What the lamps were last said to do.
    pub lamps: Lamps,
}

impl Default for Speech {
    fn default() -> Speech {
        Speech { said: "".into(), count: 0, lamps: Lamps::new() }
    }
}

impl Speech {
    /// Says something. It may name a file or quote what was pasted, so that what would turn the line round
    /// is made visible.
    pub(crate) fn say(&mut self, words: impl AsRef<str>) {
        self.said = visible(words.as_ref()).into();
        self.count += 1;
    }

    /// Says what of the lamps is news, if anything.
    pub(super) fn say_lamps(&mut self, now: &Lamps) {
        let words = lamps::news(&mut self.lamps, now);
        if !words.is_empty() {
            self.say(words);
        }
    }
}
