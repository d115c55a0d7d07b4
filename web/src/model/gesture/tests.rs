//! Gestures as a table: what is done at which place, and what it asks for.

use halfrow_core::bench::Bench;
use halfrow_core::board::BoardKind;
use halfrow_core::parts;
use halfrow_file::wiring::from_text;

use super::*;
use crate::model::sight::whole;

const LIST: &str = "BT1 battery +=L+1 -=L-1\nR1 resistor 1=L+5 2=b7\nD1 led A=e7 K=f7\nW1 wire 1=h7 2=L-5\n\
    SB1 push-button pin1=e20\nS1 dip-switch pin1=e10\n";

const PROJECTION: Projection = Projection { scale: (1.5, 1.5), origin: (10.0, 20.0) };
const ROOM: Room = (804.0, 692.0);

/// A page whose board is pointed at.
struct Page {
    state: State,
    gesture: Gesture,
    touch: bool,
    more: bool,
}

impl Page {
    fn new(touch: bool) -> Page {
        let bench = from_text(LIST, &Bench::new(BoardKind::Half)).unwrap();
        Page { state: State::new(bench), gesture: Gesture::default(), touch, more: false }
    }

    /// A place in the window: of a hole, of the middle of a part, beside everything, or so many pixels
    /// right and below another place (`a12+3`).
    fn place(&self, name: &str) -> (f64, f64) {
        if let Some((name, further)) = name.rsplit_once('+').filter(|(name, _)| name.len() > 1) {
            let ((x, y), further) = (self.place(name), further.parse::<f64>().unwrap());
            return (x + further, y + further);
        }
        let bench = self.state.bench();
        let at = match (Hole::parse(name), bench.find(name)) {
            (Some(hole), _) => layout::hole(bench, hole).unwrap(),
            (None, Some(part)) => layout::centre(bench, part),
            (None, None) => {
                assert_eq!(name, "beside");
                let all = whole(bench);
                Point::new(all.0 - 60.0, all.1 - 60.0)
            }
        };
        (10.0 + 1.5 * f64::from(at.x), 20.0 + 1.5 * f64::from(at.y))
    }

    fn pointer(&self, id: i32, at: &str) -> Pointer {
        Pointer { id, touch: self.touch, at: self.place(at), held: true, more: self.more }
    }

    /// Lets something happen and carries out what follows; tells it in short words, without the cursor.
    fn happens(&mut self, what: &str) -> Vec<String> {
        let (word, place) = what.split_once(' ').unwrap_or((what, ""));
        let event = match word {
            "down" => Event::Down { pointer: self.pointer(1, place), first: true, pans: false },
            "second" => Event::Down { pointer: self.pointer(2, place), first: false, pans: false },
            "grab" => Event::Down { pointer: self.pointer(1, place), first: true, pans: true },
            "move" => Event::Move(self.pointer(1, place)),
            "spread" => Event::Move(self.pointer(2, place)),
            "up" => Event::Up(self.pointer(1, place)),
            "cancel" => Event::Cancel,
            "long" => Event::Long,
            "sprung" => Event::Sprung,
            "menu" => Event::Menu(self.place(place)),
            "leave" => Event::Leave { keys_are_here: false },
            other => panic!("{other}"),
        };
        let around = Around { state: &self.state, room: ROOM, projection: PROJECTION };
        let (gesture, actions) = std::mem::take(&mut self.gesture).step(event, &around);
        self.gesture = gesture;
        let mut told = Vec::new();
        for action in actions {
            told.extend(self.told(&action));
            self.state.apply(action);
        }
        told
    }

    fn told(&self, action: &Action) -> Option<String> {
        let id = |part: &PartIx| self.state.bench().part(*part).id.clone();
        Some(match action {
            Action::Point(_) => return None,
            Action::Press(hole) => format!("press {hole}"),
            Action::Hold(Hand::Leg(leg)) => format!("hold a leg of {}", id(&leg.part)),
            Action::Hold(Hand::Whole { part, from }) => format!("hold {} at {from}", id(part)),
            Action::Choose(part, more) => format!("choose {}{}", id(part), if *more { " too" } else { "" }),
            Action::ChooseThese(parts) => format!("choose {}", parts.len()),
            Action::Escape => "escape".to_owned(),
            Action::PutLeg(leg, None) => format!("a leg of {} in the air", id(&leg.part)),
            Action::Work(part) => format!("work {}", id(part)),
            Action::Push(part) => format!("push {}", id(part)),
            Action::LetGo => "let go".to_owned(),
            Action::SetView(Some(_)) => "view".to_owned(),
            Action::OpenMenu(_, part, hole) => {
                let part = part.as_ref().map_or("nothing".to_owned(), id);
                format!("menu of {part} at {}", hole.map_or("no hole".to_owned(), |it| it.to_string()))
            }
            Action::Say(_) => "say".to_owned(),
            Action::Meter(_) => "meter".to_owned(),
            other => panic!("{other:?}"),
        })
    }

    fn run(&mut self, script: &str) -> String {
        script.split(", ").flat_map(|what| self.happens(what)).collect::<Vec<_>>().join(", ")
    }
}

#[test]
fn what_a_mouse_does() {
    for (script, does) in [
        // Clicks: a free hole, a leg, a body, where there is nothing; a hand is not quite still.
        ("down a15, up a15", "press a15"),
        ("down h7, up h7", "press h7"),
        ("down R1, up R1", "choose R1"),
        ("down beside, up beside", "choose 0"),
        ("down a15, move a15+3, up a15+3", "press a15"),
        // A leg is drawn to another hole, and off the board.
        ("down h7, move h8, up h8", "let go, hold a leg of W1, press h8, escape"),
        (
            "down h7, move h9, move beside, up beside",
            "let go, hold a leg of W1, escape, a leg of W1 in the air",
        ),
        // A whole part, by the hole under the pointer; a pack beside the board stays.
        ("down SB1, move SB1+30, up beside", "push SB1, let go, hold SB1 at e20, escape"),
        ("down BT1, move BT1+30, up BT1+30", "let go, escape"),
        // Around parts.
        ("down beside, move j30+9, up j30+9", "let go, choose 6"),
        // A button is pressed while it is held, and springs back a moment later.
        ("down SB1, up SB1, sprung", "push SB1, let go"),
        ("down SB1, menu SB1, up SB1", "push SB1"),
        // Of eight switches the one under the pointer.
        ("down S1, up S1", "work S1"),
        // With the middle button the view moves.
        ("grab R1, move R1+40, up R1+40", "let go, view"),
        ("menu R1", "menu of R1 at no hole"),
        ("menu beside", "menu of nothing at no hole"),
        ("down h7, move h9, cancel", "let go, hold a leg of W1, let go, escape"),
        ("move a15", ""),
    ] {
        let told = Page::new(false).run(script);
        assert_eq!(told, does, "{script}");
    }
}

#[test]
fn what_fingers_do() {
    for (script, does) in [
        ("down R1, up R1", "choose R1"),
        ("down SB1, up SB1, sprung", "push SB1, let go"),
        // A finger that stays opens the menu, and does nothing more; one that moves has no menu.
        ("down R1, long, move R1+40, up R1+40", "menu of R1 at no hole"),
        ("down R1, menu R1, up R1", "menu of R1 at no hole"),
        ("down SB1, long, up SB1", "push SB1"),
        ("down h7, move h9, long, cancel", "let go, hold a leg of W1, let go, escape"),
        // Beside the parts it moves the view, two of them zoom it.
        ("down a15, move a20, up a20", "let go, view"),
        ("down a15, second a20, spread a25, move a10, up a10", "view, view"),
        ("down h7, move h9, second a20, spread a25", "let go, hold a leg of W1, escape, view"),
    ] {
        let told = Page::new(true).run(script);
        assert_eq!(told, does, "{script}");
    }
}

#[test]
fn with_shift_or_ctrl_what_is_clicked_is_added_to_what_is_chosen() {
    let mut page = Page::new(false);
    page.more = true;
    for (script, does) in [
        ("down h7, up h7", "choose W1 too"),
        ("down SB1, up SB1", "choose SB1 too"),
        ("down R1, up R1", "choose R1 too"),
    ] {
        assert_eq!(page.run(script), does);
    }
    assert_eq!(page.state.selection.chosen.len(), 3);
}

#[test]
fn what_is_in_hand_goes_down_where_it_is_pressed_or_drawn_to() {
    for (script, does) in [
        ("down a15, up a15", "press a15"),
        ("down beside, up beside", "say"),
        // A loose part is drawn from hole to hole.
        ("down a15, move a19, up a19", "let go, press a15, press a19"),
        // Where the first end does not fit, nothing is drawn.
        ("down h7, move h12, up h12", "let go, press h7"),
        // Out of the list onto the board.
        ("move a15, up a15", "press a15"),
    ] {
        let mut page = Page::new(false);
        page.state.apply(Action::Take(parts::card("resistor").unwrap()));
        assert_eq!(page.run(script), does, "{script}");
    }
}

#[test]
fn a_finger_that_places_something_sees_it_magnified_above_itself() {
    let mut page = Page::new(true);
    page.state.apply(Action::Take(parts::card("led").unwrap()));
    page.run("down a15");
    let lens = page.gesture.lens.unwrap();
    assert_eq!(lens.finger, lens.aim, "a tap hits what it touches");
    page.run("move a25, move a25");
    let lens = page.gesture.lens.unwrap();
    assert!(lens.aim.y < lens.finger.y && lens.aim.x == lens.finger.x, "{lens:?}");
    assert_eq!(page.state.selection.cursor, page.gesture.pointed);
    assert!(page.state.selection.cursor.unwrap().row() < Some(25));
    assert!(!page.gesture.waits(), "no menu comes between");
    page.run("up a25");
    assert_eq!(page.gesture.lens, None);
}

#[test]
fn the_area_is_shown_while_it_is_drawn_and_only_then() {
    let mut page = Page::new(false);
    page.run("down beside, move e10");
    assert!(page.gesture.marquee.is_some());
    page.run("up e10");
    assert_eq!(page.gesture, Gesture { pointed: page.gesture.pointed, ..Gesture::default() });
    page.run("down beside, move e10, cancel");
    assert_eq!(page.gesture.marquee, None);
}

#[test]
fn the_mouse_takes_the_cursor_along_and_leaves_it_to_the_keys() {
    let mut page = Page::new(false);
    page.run("move e7");
    assert_eq!(page.state.selection.cursor, Hole::parse("e7"));
    let leaves = |page: &Page, keys_are_here| {
        let around = Around { state: &page.state, room: ROOM, projection: PROJECTION };
        page.gesture.clone().step(Event::Leave { keys_are_here }, &around).1.len()
    };
    assert_eq!((leaves(&page, true), leaves(&page, false)), (0, 1));
    page.state.apply(Action::Take(parts::card("led").unwrap()));
    assert_eq!(leaves(&page, false), 0, "what is in hand stays where it was");
}

#[test]
fn the_wheel_scrolls_as_far_as_there_is_something_and_zooms_with_ctrl() {
    let page = Page::new(false);
    let around = Around { state: &page.state, room: ROOM, projection: PROJECTION };
    let turn = |by, zooms| {
        let at = page.place("e7");
        page.gesture.clone().step(Event::Wheel { at, by, zooms }, &around).1
    };
    assert!(turn((0.0, 200.0), false).is_empty(), "all is in sight");
    let zoomed = |by| match turn((0.0, by), true)[..] {
        [Action::SetView(Some(view))] => view.2,
        ref other => panic!("{other:?}"),
    };
    let before = around.view().2;
    assert!(zoomed(-1.0) < before && before < zoomed(1.0));
}
