//! Sheets that lie over the page: examples, sharing, keys, everything else. [`commands`] is what can be done
//! by name, [`files`] opens and saves benches.

pub mod commands;
pub mod files;
mod kept;

use halfrow_core::bench::Bench;
use halfrow_core::board::{Board, BoardKind};
use halfrow_core::parts::CARDS;
use halfrow_file::examples::{self, Example};
use halfrow_file::link;
use wasm_bindgen::JsCast;
use wasm_bindgen_futures::spawn_local;
use web_sys::HtmlElement;
use yew::prelude::*;

use crate::model::opening::open_example;
use crate::model::state::{Action, Sheet, empty};
use crate::panel::drawer::{self, Drawer};
use crate::platform::files as device;
use crate::platform::{packing, page as browser, prefs, store};
use crate::sheets::commands::{COMMANDS, find, menu, place_menu, theme};
use crate::sheets::files::{as_text, pick_file, save_file, save_png, save_svg};
use crate::sheets::kept::Kept;
use crate::ui::board_focus;
use crate::ui::button::Button;
use crate::ui::page::Handle;

/// The looks of the page, with their words.
const THEMES: [(&str, &str); 4] =
    [("auto", "As the device"), ("light", "Light"), ("dark", "Dark"), ("contrast", "High contrast")];

/// Properties of [`Sheets`].
#[derive(Properties, PartialEq)]
pub struct Props {
    /// The page's state.
    pub page: Handle,
}

/// The open sheet, if any. Focus goes to its heading, Escape closes it, and focus goes back.
#[component]
pub fn Sheets(props: &Props) -> Html {
    let page = &props.page;
    let heading = use_node_ref();
    let before = use_mut_ref(|| None::<(HtmlElement, u32)>);
    {
        let heading = heading.clone();
        let asked = page.state.screen.focus.0;
        use_effect_with(page.state.screen.sheet, move |sheet| match heading.cast::<HtmlElement>() {
            Some(heading) => {
                let document = web_sys::window().and_then(|window| window.document());
                let active = document.and_then(|it| it.active_element()).and_then(|it| it.dyn_into().ok());
                before.borrow_mut().get_or_insert_with(|| (active.unwrap_or_else(|| heading.clone()), asked));
                let around = heading.parent_element().and_then(|it| it.dyn_into().ok());
                if let (Some(Sheet::Menu(x, y)), Some(menu)) = (*sheet, around) {
                    place_menu(&menu, (x, y));
                }
                let _ = heading.focus();
            }
            // What had the focus before the sheet opened has it again, unless what was done in the sheet
            // has led elsewhere.
            None => match before.borrow_mut().take() {
                Some((before, then)) if then == asked && before.is_connected() => {
                    let _ = before.focus();
                }
                // A cell of a row that is no longer shown.
                Some((_, then)) if then == asked => board_focus::focus(),
                _ => {}
            },
        });
    }
    let Some(sheet) = page.state.screen.sheet else { return html! {} };
    let (title, body) = match sheet {
        Sheet::Examples => ("Examples: the model harbour", examples_sheet(page)),
        Sheet::Share => ("Share this bench", html! { <Share page={page.clone()} /> }),
        Sheet::Text => ("This bench as text", as_text(page)),
        Sheet::Keys => ("Keys", keys_sheet()),
        Sheet::More => ("This bench", html! { <More page={page.clone()} /> }),
        Sheet::Find => ("Find", find(page, &heading)),
        Sheet::Menu(..) => return menu(page, &heading),
        Sheet::Drawer => ("Parts", html! { <Drawer ..drawer::Props::of(page) /> }),
    };
    // Tab goes round inside the sheet: what lies beneath is out of reach until it closes.
    let place = if sheet == Sheet::Find { NodeRef::default() } else { heading.clone() };
    let round = Callback::from(move |_: FocusEvent| {
        if let Some(heading) = heading.cast::<HtmlElement>() {
            let _ = heading.focus();
        }
    });
    html! {
        <div class="sheet-ground">
            <div class="away" tabindex="0" onfocus={round.clone()} />
            <section class="sheet" role="dialog" aria-modal="true" aria-labelledby="sheet-title">
                <div class="sheet-head"><h2 id="sheet-title" tabindex="-1" ref={place}>{ title }</h2>
                    { Button::new("Close").does(page, Action::SetSheet(None)) }</div>
                <div class="sheet-body" tabindex={(sheet == Sheet::Keys).then_some("0")}>{ body }</div>
            </section>
            <div class="away" tabindex="0" onfocus={round} />
        </div>
    }
}

fn examples_sheet(page: &Handle) -> Html {
    let row = |example: &'static Example| {
        html! {
            <li><button class="example" onclick={page.on(move |_: MouseEvent| open_example(example))}>
                <b>{ example.title }</b><span>{ example.about }</span></button></li>
        }
    };
    html! {
        <>
            <h3>{ "Built right" }</h3>
            <ul class="examples">{ for examples::ALL.iter().filter(|e| e.twin.is_none()).map(row) }</ul>
            <h3>{ "Find what is wrong" }</h3>
            <ul class="examples">{ for examples::ALL.iter().filter(|e| e.twin.is_some()).map(row) }</ul>
        </>
    }
}

/// A link that holds the bench. The browser packs it, which takes a moment.
#[component]
fn Share(props: &Props) -> Html {
    let page = &props.page;
    let packed = use_state_eq(|| None::<(Bench, String)>);
    {
        let (bench, packed) = (page.state.bench().clone(), packed.clone());
        use_effect_with(bench, move |bench| {
            let bench = bench.clone();
            spawn_local(async move {
                let link = packing::encode(&bench).await;
                packed.set(Some((bench, link)));
            });
        });
    }
    let Some((_, code)) = packed.as_ref().filter(|(of, _)| of == page.state.bench()) else {
        return html! { <p role="status">{ "Packing the link…" }</p> };
    };
    let length = code.len();
    let address = format!("{}{code}", browser::address());
    let copy = {
        let (page, address) = (page.clone(), address.clone());
        Callback::from(move |_: MouseEvent| {
            let said = page.on(|done: bool| Action::Say(device::copied(done).into()));
            device::copy_text(&address, said);
        })
    };
    let save = {
        let page = page.clone();
        Callback::from(move |_: MouseEvent| save_file(&page))
    };
    html! {
        <>
            <p>{ "The link holds the whole bench. Nothing is sent anywhere: whoever opens it builds the bench from the link itself." }</p>
            <textarea class="link" readonly=true rows="5" aria-label="Link" value={address} />
            if length >= link::FILE_AT {
                <p class="error">{ "This link is very long; some mail programs cut it. A file is safer." }</p>
            } else if length >= link::WARN_AT {
                <p class="quiet">{ "This link is long; check that it arrives whole." }</p>
            }
            <div class="row">{ Button::new("Copy the link").class("on").view(copy) }{ Button::new("Save as a file").view(save) }</div>
        </>
    }
}

fn keys_sheet() -> Html {
    let board = [
        ("Arrow keys", "from hole to hole; Page up and down: five rows; Home, End: ends of the row"),
        ("Enter", "put the leg in hand into this hole, or take the leg that is in it"),
        ("Space", "choose the part here; switch a switch; press a button as long as you hold the key"),
        ("Shift Space", "add the part here to those chosen, or take it out"),
        ("Alt + arrows", "move the chosen parts by a hole"),
        ("Escape", "put back, let go, close"),
        ("Shift F10", "the menu of the part or hole here"),
    ];
    let commands = COMMANDS.iter().filter(|it| !it.keys.is_empty());
    let parts = CARDS.iter().filter_map(|card| Some((card.key?.to_ascii_uppercase().to_string(), card.name)));
    html! {
        <>
            <p>{ "Letters and arrows work while the board has the focus: click it, or press Tab until the status line names a hole." }</p>
            <table class="keys"><tbody>
                { for board.iter().map(|(key, what)| html! { <tr><th scope="row">{ *key }</th><td>{ *what }</td></tr> }) }
                { for commands.map(|it| html! { <tr><th scope="row">{ it.keys }</th><td>{ it.name }</td></tr> }) }
                { for parts.map(|(key, name)| html! { <tr><th scope="row">{ key }</th><td>{ format!("take a part: {name}") }</td></tr> }) }
            </tbody></table>
        </>
    }
}

/// Files, pictures, boards, look, what is kept.
#[component]
fn More(props: &Props) -> Html {
    let page = &props.page;
    let act = |name: &'static str, run: fn(&Handle)| {
        let page = page.clone();
        Button::new(name).view(Callback::from(move |_| run(&page)))
    };
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
    let sure = use_state_eq(|| false);
    let ask = |name: &'static str, on: bool| {
        let sure = sure.clone();
        Button::new(name).view(Callback::from(move |_| sure.set(on)))
    };
    let erase = {
        let (page, sure) = (page.clone(), sure.clone());
        Callback::from(move |_: MouseEvent| {
            let page = page.clone();
            sure.set(false);
            prefs::erase_all();
            wasm_bindgen_futures::spawn_local(async move {
                let said = match store::erase_all().await {
                    Ok(()) => "Everything that was kept on this device is erased.".to_owned(),
                    Err(why) => why,
                };
                page.dispatch(Action::Say(said));
            });
        })
    };
    html! {
        <>
            <div class="row">{ Button::new("Find an action or a part").does(page, Action::SetSheet(Some(Sheet::Find))) }</div>
            <h3>{ "File" }</h3>
            <div class="row">
                { Button::new("New").does(page, Action::Open(Box::new(empty()), "A new bench.".into())) }
                { act("Open a file", pick_file) }
                { act("Save as a file", save_file) }
                { Button::new("Copy as text").does(page, Action::SetSheet(Some(Sheet::Text))) }
                { act("Picture (SVG)", save_svg) }
                { act("Picture (PNG)", save_png) }
                { act("Print", |_| browser::print()) }
            </div>
            <h3>{ "Board" }</h3>
            <div class="row">{ for kinds }{ split }{ add }{ remove }</div>
            <h3>{ "Look" }</h3>
            <div class="row">{ for themes }</div>
            <h3>{ "Kept on this device" }</h3>
            <Kept page={page.clone()} />
            if *sure {
                <p>{ "Everything that is kept on this device goes: the bench, its snapshots, the settings. You can’t undo this." }</p>
                <div class="row">{ Button::new("Erase it all").view(erase) }{ ask("Keep it", false) }</div>
            } else {
                <div class="row">{ ask("Erase everything kept…", true) }</div>
            }
        </>
    }
}

fn kind_name(kind: BoardKind) -> &'static str {
    match kind {
        BoardKind::Mini => "Mini",
        BoardKind::Half => "Half",
        BoardKind::Full => "Full",
    }
}
