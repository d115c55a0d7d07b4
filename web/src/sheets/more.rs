//! Files, pictures, boards, look, what is kept.

use halfrow_core::board::{Board, BoardKind};
use yew::prelude::*;

use crate::model::state::{Action, Overlay, Sheet, empty};
use crate::platform::{page as browser, prefs, store};
use crate::sheets::commands::theme;
use crate::sheets::files::{pick_file, save_file, save_png, save_svg};
use crate::sheets::kept::Kept;
use crate::ui::button::Button;
use crate::ui::page::Handle;

/// The looks of the page, with their words.
const THEMES: [(&str, &str); 4] =
    [("auto", "Same as device"), ("light", "Light"), ("dark", "Dark"), ("contrast", "High contrast")];

/// Properties of the parts of this sheet.
#[derive(Properties, PartialEq)]
pub struct Props {
    /// The page's state.
    pub page: Handle,
}

/// Files, pictures, boards, look, what is kept.
#[component]
pub fn More(props: &Props) -> Html {
    let page = &props.page;
    html! {
        <>
            <div class="row">
                { Button::new("Find an action or a part").does(page, Action::SetSheet(Some(Sheet::Find))) }
                { Button::new("Examples").class("narrow").does(page, Action::SetSheet(Some(Sheet::Examples))) }
                { Button::new("Share").class("narrow").does(page, Action::SetSheet(Some(Sheet::Share))) }
                { Button::new("Redo").class("narrow").off(!page.state.document.can().1).does(page, Action::Redo) }
            </div>
            <div class="narrow"><h3>{ "On the board" }</h3>{ overlays(page) }</div>
            <h3>{ "File" }</h3>
            { file(page) }
            <h3>{ "Board" }</h3>
            { boards(page) }
            <h3>{ "Parts" }</h3>
            { parts(page) }
            <h3>{ "Colours" }</h3>
            <Look />
            <h3>{ "Kept on this device" }</h3>
            <Kept page={page.clone()} />
            <Erasing page={page.clone()} />
        </>
    }
}

/// What is shown on the board, where the head has no room for it.
fn overlays(page: &Handle) -> Html {
    let on = page.state.screen.overlays;
    let all = [
        ("Trace", on.trace, Overlay::Trace),
        ("Volts", on.volts, Overlay::Volts),
        ("Currents", on.currents, Overlay::Currents),
    ];
    let buttons =
        all.map(|(name, on, overlay)| Button::new(name).pressed(on).does(page, Action::Toggle(overlay)));
    html! { <div class="row">{ for buttons }</div> }
}

fn file(page: &Handle) -> Html {
    let act = |name: &'static str, run: fn(&Handle)| {
        let page = page.clone();
        Button::new(name).view(Callback::from(move |_| run(&page)))
    };
    html! {
        <div class="row">
            { Button::new("New").does(page, Action::Open(Box::new(empty()), "A new bench.".into())) }
            { act("Open a file", pick_file) }
            { act("Save as a file", save_file) }
            { Button::new("Copy as text").does(page, Action::SetSheet(Some(Sheet::Text))) }
            { act("Picture (SVG)", save_svg) }
            { act("Picture (PNG)", save_png) }
            { act("Print", |_| browser::print()) }
        </div>
    }
}

fn boards(page: &Handle) -> Html {
    let boards = page.state.bench().boards.clone();
    let board = |button: Button, change: &dyn Fn(&mut Vec<Board>)| {
        let mut changed = boards.clone();
        change(&mut changed);
        button.does(page, Action::SetBoards(changed))
    };
    let kinds = BoardKind::ALL.map(|kind| {
        let name = Button::new(format!("{} ({})", kind_name(kind), kind.tie_points()));
        board(name.pressed(boards[0].kind == kind), &|all| all[0].kind = kind)
    });
    let split = Button::new("Rails split in the middle").pressed(boards[0].split_rails);
    let split = board(split, &|all| all[0].split_rails ^= true);
    let add = board(Button::new("Add a mini board").off(boards.len() >= 4), &|all| {
        all.push(Board { kind: BoardKind::Mini, split_rails: false });
    });
    let remove = Button::new("Remove the last board").off(boards.len() < 2);
    let remove = board(remove, &|all| {
        all.pop();
    });
    html! { <div class="row">{ for kinds }{ split }{ add }{ remove }</div> }
}

/// Whether parts are as printed or as bought, and batteries run down.
fn parts(page: &Handle) -> Html {
    let bench = page.state.bench();
    let (bag, run_down) = (bench.as_bought, bench.batteries_run_down);
    let off = Action::SetAsBought(if bag.is_some() { None } else { Some(1) });
    html! {
        <>
            <div class="row">
                { Button::new("Parts as bought").pressed(bag.is_some()).does(page, off) }
                if let Some(number) = bag {
                    { Button::new(format!("Another bag (this is {number})")).does(page, Action::SetAsBought(Some(number % 999 + 1))) }
                }
                { Button::new("Batteries run down").pressed(run_down).does(page, Action::SetRunDown(!run_down)) }
            </div>
            <p>{ "As bought, each part is a little off, within its tolerance: what you measure differs from what is printed. The same bag always holds the same parts." }</p>
        </>
    }
}

#[component]
fn Look() -> Html {
    let look = use_state_eq(|| {
        let kept = prefs::get("theme");
        THEMES.iter().find(|it| Some(it.0) == kept.as_deref()).map_or("auto", |it| it.0)
    });
    let themes = THEMES.map(|(word, name)| {
        let on = *look == word;
        let look = look.clone();
        let onclick = Callback::from(move |_: MouseEvent| {
            theme(word);
            look.set(word);
        });
        Button::new(name).pressed(on).view(onclick)
    });
    html! { <div class="row">{ for themes }</div> }
}

/// Erases all that is kept on the device, and says so.
fn erase(page: &Handle) {
    let page = page.clone();
    prefs::erase_all();
    wasm_bindgen_futures::spawn_local(async move {
        let said = match store::erase_all().await {
            Ok(()) => "Everything kept on this device has been erased.".to_owned(),
            Err(why) => why,
        };
        page.dispatch(Action::Say(said));
    });
}

/// A way to erase all that the device keeps.
#[component]
fn Erasing(props: &Props) -> Html {
    let page = &props.page;
    let sure = use_state_eq(|| false);
    let ask = |name: &'static str, on: bool| {
        let sure = sure.clone();
        Button::new(name).view(Callback::from(move |_| sure.set(on)))
    };
    let erase_it = {
        let (page, sure) = (page.clone(), sure.clone());
        Callback::from(move |_: MouseEvent| {
            sure.set(false);
            erase(&page);
        })
    };
    html! {
        if *sure {
            <p>{ "This erases everything kept on this device: the bench, its snapshots and your settings. You can’t undo it." }</p>
            <div class="row">{ Button::new("Erase it all").view(erase_it) }{ ask("Keep it", false) }</div>
        } else {
            <div class="row">{ ask("Erase everything kept…", true) }</div>
        }
    }
}

fn kind_name(kind: BoardKind) -> &'static str {
    match kind {
        BoardKind::Mini => "Mini",
        BoardKind::Half => "Half",
        BoardKind::Full => "Full",
    }
}
