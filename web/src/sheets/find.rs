//! The search: one field that finds actions, parts and examples.

use halfrow_core::bench::PartIx;
use halfrow_core::parts::CARDS;
use halfrow_file::examples;
use web_sys::HtmlInputElement;
use yew::prelude::*;

use crate::model::opening::open_example;
use crate::model::state::{Action, State};
use crate::model::words;
use crate::sheets::commands::{COMMANDS, close_and};
use crate::ui::page::Handle;

/// What the search can find.
#[derive(Clone)]
enum Found {
    Command(fn(&Handle)),
    Action(Action),
}

impl Found {
    fn run(&self, page: &Handle) {
        match self {
            Found::Command(run) => run(page),
            Found::Action(action) => page.dispatch(action.clone()),
        }
    }
}

/// Everything whose name holds all the words, the commands first.
fn search(state: &State, wanted: &str) -> Vec<(String, &'static str, Found)> {
    let wanted = wanted.to_ascii_lowercase();
    let fits = |name: &str| {
        let name = name.to_ascii_lowercase();
        wanted.split_whitespace().all(|word| name.contains(word))
    };
    let mut found = Vec::new();
    let mut add = |name: String, hint, what: Found| {
        if found.len() < 12 && fits(&name) {
            found.push((name, hint, what));
        }
    };
    for it in COMMANDS.iter().filter(|it| it.applies(state)) {
        add(it.name.to_owned(), it.keys, Found::Command(it.run));
    }
    for (i, part) in state.bench().parts.iter().enumerate() {
        let name = format!("{}, {}", part.title(), part.card.name);
        add(name, "on the board", Found::Action(Action::Reveal(PartIx(i))));
    }
    for card in CARDS {
        add(card.name.to_owned(), "take a part", Found::Action(Action::Take(card)));
    }
    for example in examples::all() {
        if fits(example.title) {
            add(example.title.to_owned(), "example", Found::Action(open_example(example)));
        }
    }
    found
}

/// One field that finds actions, parts and examples.
pub fn find(page: &Handle, first: &NodeRef) -> Html {
    let (wanted, at) = &page.state.screen.find;
    let found = search(&page.state, wanted);
    let (here, count) = (*at, found.len());
    let oninput = page.on(|event: InputEvent| {
        Action::SetFind(event.target_unchecked_into::<HtmlInputElement>().value(), 0)
    });
    let onkeydown = {
        let page = page.clone();
        Callback::from(move |event: KeyboardEvent| {
            let to = match event.key().as_str() {
                "ArrowDown" => here + 1,
                "ArrowUp" => here + count - 1,
                "Enter" => {
                    // What is wanted now: the list on the screen may be a picture behind.
                    let (wanted, at) = &page.state.screen.find;
                    if let Some((.., it)) = search(&page.state, wanted).get(*at) {
                        page.dispatch(Action::SetSheet(None));
                        it.run(&page);
                    }
                    here
                }
                _ => return,
            };
            event.prevent_default();
            if to != here && count > 0 {
                page.dispatch(Action::SetFind(page.state.screen.find.0.clone(), to % count));
            }
        })
    };
    let rows = found.iter().enumerate().map(|(index, (name, hint, it))| {
        let on = index == here;
        let it = it.clone();
        let onclick = close_and(page, move |page| it.run(page));
        html! {
            <li role="option" id={format!("found-{index}")} aria-selected={on.to_string()} class={on.then_some("on")} {onclick}>
                <span>{ name }</span><kbd>{ *hint }</kbd></li>
        }
    });
    html! {
        <>
            <input class="find" role="combobox" aria-expanded="true" aria-controls="found" aria-autocomplete="list"
                aria-activedescendant={(!found.is_empty()).then(|| format!("found-{here}"))}
                aria-label="Find an action or a part" ref={first.clone()} value={wanted.clone()} {oninput} {onkeydown} />
            <ul class="found" id="found" role="listbox" aria-label="Found">{ for rows }</ul>
            <p class={if count == 0 { "quiet" } else { "away" }} role="status">
                { if count == 0 { "Nothing by that name.".to_owned() } else { words::count(count, "found", "found") } }
            </p>
        </>
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(state: &State, wanted: &str) -> Vec<String> {
        search(state, wanted).into_iter().map(|(name, ..)| name).collect()
    }

    #[test]
    fn search_finds_actions_parts_and_examples_by_any_words() {
        let Action::Open(bench, _) = open_example(&examples::ALL[0]) else { panic!("an example opens") };
        let state = State::new(*bench);
        for (wanted, first) in [
            ("undo", "Undo"),
            ("volts", "Volts on or off"),
            ("file save", "Save as a file"),
            ("potentio", "Potentiometer"),
        ] {
            assert_eq!(names(&state, wanted).first().map(String::as_str), Some(first), "{wanted}");
        }
        assert!(names(&state, "r1").iter().any(|name| name.starts_with("R1 ")));
        assert!(names(&state, examples::ALL[0].title).contains(&examples::ALL[0].title.to_owned()));
        assert!(names(&state, "teapot").is_empty());
        // With nothing chosen there is nothing to turn.
        assert!(!names(&state, "turn").contains(&"Turn".to_owned()));
    }
}
