//! Keeping the open bench on the device: which of two versions may take the other's place, and what is
//! said of it.
//!
//! A tab remembers the text that it last read or wrote in its slot ([`Keeping::known`]). It writes only
//! where the device still holds that text: what somebody else has put there since is never overwritten.
//! The tab's own bench goes beside it then, into a slot of its own, and the tab says so.

use std::rc::Rc;

use halfrow_core::fnv::fnv;

/// The slot that a page begins with. Other slots are for benches that are kept beside it.
pub const COMMON: &str = "open";

/// How the names of other slots begin: a bench that another tab kept a different one of.
pub const BESIDE: &str = "beside ";

/// How the names begin under which what can't be read is kept.
pub const UNREAD: &str = "unread ";

/// What separates the pieces of a record that is kept as one text. No bench file holds it: JSON escapes it.
const BETWEEN: char = '\u{1d}';

/// Whether a bench may be written where the device holds `found` now and held `known` when this tab
/// last read or wrote there.
pub fn may_write(found: Option<&str>, known: Option<&str>, ours: &str) -> bool {
    found.is_none_or(|found| Some(found) == known || found == ours)
}

/// How far the open bench is kept.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum Saved {
    /// Nothing has been changed yet.
    #[default]
    Nothing,
    /// It is on its way.
    Saving,
    /// The device has it for good.
    Saved,
    /// The device has it, beside the bench of another tab.
    Beside,
    /// The device doesn't have it, for this reason.
    Failed(String),
}

impl Saved {
    /// The words at the top of the page.
    pub fn words(&self) -> &'static str {
        match self {
            Saved::Nothing => "",
            Saved::Saving => "saving…",
            Saved::Saved => "saved on this device",
            Saved::Beside => "saved beside the other",
            Saved::Failed(_) => "not saved: save it as a file",
        }
    }
}

/// What a person has to know about what is kept, or decide.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Notice {
    /// Another tab has the same bench open.
    Second,
    /// Another tab has changed the bench, and nothing has been changed here since.
    Older,
    /// Another tab has changed the bench, and this one too: this one is kept beside it.
    Both,
    /// The device keeps a bench that this tab has not opened, and something was built here meanwhile.
    Late,
    /// The kept bench can't be read: the text, and why.
    Unreadable(Rc<str>, String),
}

impl Notice {
    /// The words.
    pub fn words(&self) -> String {
        match self {
            Notice::Second => "This bench is open in another tab or frame too. If you change it in both, \
                 each one is kept: nothing is overwritten."
                .to_owned(),
            Notice::Older => "This bench was changed in another tab. Here you see the older one.".to_owned(),
            Notice::Both => "Another tab or frame has kept a newer bench in the same place. Yours is kept \
                 beside it."
                .to_owned(),
            Notice::Late => "Another bench was already kept on this device. What you built meanwhile is \
                 kept beside it."
                .to_owned(),
            Notice::Unreadable(_, why) => format!(
                "The bench kept on this device can’t be opened: {} It stays there under a name of its own.",
                sentence(why)
            ),
        }
    }

    /// The name of the button that opens what the device holds, where it holds something else.
    pub fn take(&self) -> Option<&'static str> {
        match self {
            Notice::Older | Notice::Both => Some("Take the newer one"),
            Notice::Late => Some("Take the kept one"),
            Notice::Second | Notice::Unreadable(..) => None,
        }
    }
}

/// With a full stop, where it has none.
fn sentence(words: &str) -> String {
    format!("{}.", words.trim_end_matches('.'))
}

/// What a tab knows about where its bench is kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Keeping {
    /// Where this tab keeps its bench.
    pub slot: String,
    /// What the device held there when this tab last read or wrote; nothing before it has.
    pub known: Option<Rc<str>>,
    /// Whether what the device held at the beginning has been found, and is open or safe elsewhere.
    pub read: bool,
    /// How far the open bench is kept.
    pub saved: Saved,
    /// What there is to say.
    pub notice: Option<Notice>,
}

impl Keeping {
    /// A tab that keeps its bench in `slot` and has not yet looked there.
    pub fn new(slot: String) -> Keeping {
        Keeping { slot, known: None, read: false, saved: Saved::default(), notice: None }
    }

    /// The bench is on the device: this text.
    pub fn wrote(&mut self, text: &str) {
        self.known = Some(text.into());
        self.saved = if self.slot == COMMON { Saved::Saved } else { Saved::Beside };
    }

    /// The device holds somebody else's bench: this tab goes on in the slot `own`, and says so.
    pub fn stand_beside(&mut self, own: String) {
        self.notice = Some(if self.read { Notice::Both } else { Notice::Late });
        self.slot = own;
        (self.known, self.read) = (None, true);
        self.saved = Saved::Saving;
    }

    /// Saving has failed. Gives words where that is news.
    pub fn failed(&mut self, why: &str) -> Option<String> {
        let news = !matches!(self.saved, Saved::Failed(_));
        self.saved = Saved::Failed(why.to_owned());
        news.then(|| {
            format!("Not saved on this device: {} Save it as a file before you leave.", sentence(why))
        })
    }

    /// Another tab has written or erased something: what the slot holds now. `changed` is whether
    /// something here is still to be saved; that finds out by itself.
    pub fn look(&mut self, found: Option<&str>, changed: bool) {
        let Some(known) = &self.known else { return };
        match found {
            // Erased: the next change is kept like a first one.
            None => {
                self.known = None;
                self.saved = Saved::Nothing;
            }
            Some(found) if found != &**known && !changed => self.notice = Some(Notice::Older),
            Some(_) => {}
        }
    }

    /// Another tab has the same bench open. What is more urgent stays in sight.
    pub fn second(&mut self) {
        self.notice.get_or_insert(Notice::Second);
    }
}

/// What a tab wrote down in the moment of leaving, since it might not get round to saving: what it
/// knew, its bench, and the steps back.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Left {
    /// The slot.
    pub slot: String,
    /// What the device held there, as far as the tab knew.
    pub known: Option<String>,
    /// Its bench.
    pub text: String,
    /// The steps back from it.
    pub steps: String,
}

impl Left {
    /// As one text.
    pub fn record(&self) -> String {
        let known = self.known.as_deref().unwrap_or_default();
        format!("{}{BETWEEN}{known}{BETWEEN}{}{BETWEEN}{}", self.slot, self.text, self.steps)
    }

    /// Reads [`record`](Left::record) back.
    pub fn read(record: &str) -> Option<Left> {
        let mut pieces = record.splitn(4, BETWEEN).map(str::to_owned);
        let (slot, known, text, steps) = (pieces.next()?, pieces.next()?, pieces.next()?, pieces.next()?);
        Some(Left { slot, known: Some(known).filter(|it| !it.is_empty()), text, steps })
    }
}

/// A short name for a text: the same text has the same name.
pub fn name_of(text: &str) -> String {
    format!("{:016x}", fnv(text.bytes()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_this_tab_has_read_is_overwritten() {
        for (found, known, allowed) in [
            (None, None, true),
            // Erased meanwhile.
            (None, Some("old"), true),
            (Some("old"), Some("old"), true),
            // Never read: it may be anything.
            (Some("old"), None, false),
            (Some("newer"), Some("old"), false),
            // Both tabs came to the same.
            (Some("ours"), Some("old"), true),
        ] {
            assert_eq!(may_write(found, known, "ours"), allowed, "{found:?} {known:?}");
        }
    }

    #[test]
    fn a_tab_that_is_behind_says_so_and_goes_on_beside() {
        let mut tab = Keeping { read: true, ..Keeping::new(COMMON.to_owned()) };
        tab.wrote("a");
        assert_eq!((tab.saved.words(), tab.notice.clone()), ("saved on this device", None));
        tab.second();
        // Its own writing is told to it too.
        tab.look(Some("a"), false);
        assert_eq!(tab.notice, Some(Notice::Second));
        tab.look(Some("b"), false);
        assert_eq!(tab.notice.as_ref().and_then(Notice::take), Some("Take the newer one"));
        tab.stand_beside("beside x".to_owned());
        assert_eq!((tab.notice.clone(), tab.known.clone()), (Some(Notice::Both), None));
        tab.second();
        tab.wrote("c");
        assert_eq!((tab.saved.words(), tab.notice.clone()), ("saved beside the other", Some(Notice::Both)));
    }

    #[test]
    fn a_bench_that_is_found_late_is_not_called_newer() {
        let mut tab = Keeping::new(COMMON.to_owned());
        tab.stand_beside("beside x".to_owned());
        assert_eq!(tab.notice.as_ref().and_then(Notice::take), Some("Take the kept one"));
        // Where there was nothing at first, it is newer: two frames of one page.
        let mut tab = Keeping { read: true, ..Keeping::new(COMMON.to_owned()) };
        tab.stand_beside("beside x".to_owned());
        assert_eq!(tab.notice.as_ref().and_then(Notice::take), Some("Take the newer one"));
    }

    #[test]
    fn what_was_erased_is_not_called_saved() {
        let mut tab = Keeping::new(COMMON.to_owned());
        tab.wrote("a");
        tab.look(None, false);
        assert_eq!((tab.saved, tab.known), (Saved::Nothing, None));
    }

    #[test]
    fn failing_is_said_once() {
        let mut tab = Keeping::new(COMMON.to_owned());
        let said = tab.failed("the disk is full").unwrap();
        assert!(said.starts_with("Not saved on this device: the disk is full."), "{said}");
        assert_eq!(tab.failed("the disk is full"), None);
        tab.wrote("a");
        assert!(tab.failed("again").is_some());
    }

    #[test]
    fn what_was_left_comes_back() {
        for known in [None, Some("{}".to_owned())] {
            let left =
                Left { slot: COMMON.into(), known, text: "{\"a\":1}".into(), steps: "1 {}\u{1e}".into() };
            assert_eq!(Left::read(&left.record()), Some(left));
        }
        assert_eq!(Left::read("open"), None);
    }
}
