//! The keys, all of them.

use halfrow_core::parts::CARDS;
use yew::prelude::*;

use crate::sheets::commands::COMMANDS;

/// A table of the keys: those of the board, of commands, of parts.
pub fn keys_sheet() -> Html {
    let board = [
        (
            "Arrow keys",
            "move from hole to hole; Page up and Page down: five rows; Home and End: the ends of the row",
        ),
        ("Enter", "put the leg you’re holding into this hole, or pull out the leg that’s in it"),
        ("Space", "choose the part here; flip a switch; press a button for as long as you hold the key"),
        ("Shift Space", "add this part to the chosen ones, or drop it from them"),
        ("Alt + arrows", "move the chosen parts by one hole"),
        ("Escape", "put back, let go, close"),
        ("Shift F10", "the menu for this part or hole"),
    ];
    let commands = COMMANDS.iter().filter(|it| !it.keys.is_empty());
    let parts = CARDS.iter().filter_map(|card| Some((card.key?.to_ascii_uppercase().to_string(), card.name)));
    html! {
        <>
            <p>{ "Letters and arrows work while the board has the focus: click the board, or press Tab until the status line names a hole." }</p>
            <table class="keys"><tbody>
                { for board.iter().map(|(key, what)| html! { <tr><th scope="row">{ *key }</th><td>{ *what }</td></tr> }) }
                { for commands.map(|it| html! { <tr><th scope="row">{ it.keys }</th><td>{ it.name }</td></tr> }) }
                { for parts.map(|(key, name)| html! { <tr><th scope="row">{ key }</th><td>{ format!("take a part: {name}") }</td></tr> }) }
            </tbody></table>
        </>
    }
}
