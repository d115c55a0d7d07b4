//! What is open, shown and in sight.

use std::rc::Rc;

use super::action::{Help, Overlay, Overlays, Sheet, Tab, View};

/// What is open, shown and in sight.
#[derive(Clone, Debug)]
pub struct Screen {
    /// Overlays.
    pub overlays: Overlays,
    /// How much findings say.
    pub help: Help,
    /// How much they say where nothing speaks against it.
    help_wanted: Help,
    /// Open page of the panel.
    pub tab: Tab,
    /// Open sheet.
    pub sheet: Option<Sheet>,
    /// What the search looks for, and which of what it found is chosen.
    pub find: (String, usize),
    /// What is in sight; `None` for all.
    pub view: Option<View>,
    /// Where the focus goes next: counts how often, and the id of the place, empty for the board.
    pub focus: (u32, Rc<str>),
}

impl Default for Screen {
    fn default() -> Screen {
        Screen {
            overlays: Overlays { trace: true, volts: false, currents: false },
            help: Help::Remedy,
            help_wanted: Help::Remedy,
            tab: Tab::Findings,
            sheet: None,
            find: Default::default(),
            view: None,
            focus: (0, "".into()),
        }
    }
}

impl Screen {
    /// Gives the focus to the element of this id, or to the board where it is empty.
    pub(crate) fn go_to(&mut self, id: &str) {
        self.focus = (self.focus.0 + 1, id.into());
    }

    /// Switches an overlay on or off.
    pub(super) fn toggle(&mut self, overlay: Overlay) {
        let on = match overlay {
            Overlay::Trace => &mut self.overlays.trace,
            Overlay::Volts => &mut self.overlays.volts,
            Overlay::Currents => &mut self.overlays.currents,
        };
        *on = !*on;
    }

    /// How much findings say from now on.
    pub(super) fn set_help(&mut self, help: Help) {
        (self.help, self.help_wanted) = (help, help);
    }

    /// How much they say of a bench that is opened: one with a mistake to find does not give it away.
    pub(super) fn hold_back(&mut self, is_task: bool) {
        self.help = self.help_wanted.min(if is_task { Help::Symptom } else { Help::Remedy });
    }

    /// Opens a sheet, or closes the one that is open.
    pub(super) fn set_sheet(&mut self, sheet: Option<Sheet>) {
        self.sheet = sheet;
        self.find = Default::default();
    }
}
