//! Keys by their names, as the protocol wants them.

use crate::wire::{Result, Trouble};
use serde_json::{Value, json};

/// The key's events, first down and then up: `Enter`, `ArrowLeft`, `a`, `?`, `Control+Shift+z`.
///
/// # Errors
/// For a name that is neither one character nor in the table.
pub fn stroke(name: &str) -> Result<[Value; 2]> {
    let (mut modifiers, mut key) = (0, name);
    while let Some((held, rest)) =
        key.split_once('+').filter(|(held, rest)| !held.is_empty() && !rest.is_empty())
    {
        modifiers |= match held {
            "Alt" => 1,
            "Control" => 2,
            "Meta" => 4,
            "Shift" => 8,
            _ => return Err(Trouble(format!("{name}: there is no modifier key {held}"))),
        };
        key = rest;
    }
    let (code, number, text) = match key {
        "Enter" => ("Enter".to_owned(), 13, "\r".to_owned()),
        "Space" | " " => {
            key = " ";
            ("Space".to_owned(), 32, " ".to_owned())
        }
        _ => match (named(key), key.chars().count()) {
            (Some(number), _) => (key.to_owned(), number, String::new()),
            (None, 1) => character(key),
            _ => return Err(Trouble(format!("there is no key {key}"))),
        },
    };
    // With Control or Meta held a key is a command and types nothing.
    let typed = if modifiers & 0b110 == 0 { text } else { String::new() };
    let down = if typed.is_empty() { "rawKeyDown" } else { "keyDown" };
    let event = |kind: &str, text: &str| {
        json!({
            "type": kind, "modifiers": modifiers, "key": key, "code": code, "text": text,
            "windowsVirtualKeyCode": number,
        })
    };
    Ok([event(down, &typed), event("keyUp", "")])
}

/// Key codes from the UI Events specification, section "Fixed virtual key codes".
fn named(key: &str) -> Option<u32> {
    let function = key.strip_prefix('F').and_then(|number| number.parse::<u32>().ok());
    match key {
        "Backspace" => Some(8),
        "Tab" => Some(9),
        "Escape" => Some(27),
        "PageUp" => Some(33),
        "PageDown" => Some(34),
        "End" => Some(35),
        "Home" => Some(36),
        "ArrowLeft" => Some(37),
        "ArrowUp" => Some(38),
        "ArrowRight" => Some(39),
        "ArrowDown" => Some(40),
        "Insert" => Some(45),
        "Delete" => Some(46),
        _ => function.filter(|number| (1..=12).contains(number)).map(|number| 111 + number),
    }
}

fn character(key: &str) -> (String, u32, String) {
    let letter = key.chars().next().unwrap_or_default().to_ascii_uppercase();
    let code = match letter {
        'A'..='Z' => format!("Key{letter}"),
        '0'..='9' => format!("Digit{letter}"),
        _ => String::new(),
    };
    let number = if letter.is_ascii_alphanumeric() { u32::from(letter) } else { 0 };
    (code, number, key.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_become_events() {
        for (name, key, modifiers, text) in [
            ("Enter", "Enter", 0, "\r"),
            ("a", "a", 0, "a"),
            ("+", "+", 0, "+"),
            ("Control+z", "z", 2, ""),
            ("Control+Shift+Z", "Z", 10, ""),
            ("Shift+ArrowLeft", "ArrowLeft", 8, ""),
            ("Space", " ", 0, " "),
        ] {
            let [down, up] = stroke(name).unwrap();
            assert_eq!(
                (&down["key"], &down["modifiers"], &down["text"]),
                (&json!(key), &json!(modifiers), &json!(text))
            );
            assert_eq!(up["type"], "keyUp");
        }
        assert!(stroke("Hyper+x").is_err() && stroke("Nonsense").is_err());
    }
}
