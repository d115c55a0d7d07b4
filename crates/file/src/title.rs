//! What a title may hold.

use crate::error::FileError;

/// The longest title, in characters: two lines on a narrow phone.
pub const MAX_TITLE_CHARS: usize = 120;

/// Whether a character would break the line that a title stands in or reorder the text around it:
/// control characters, line separators, and the bidirectional embeddings, overrides and isolates of
/// UAX #9 (from memory).
pub fn refused(c: char) -> bool {
    c.is_control() || matches!(c, '\u{2028}' | '\u{2029}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// The text with every [`refused`] character shown by its number, `⟨U+202E⟩`: what somebody else has
/// named or written can neither break the line that it is shown in nor turn it round.
pub fn visible(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            c if refused(c) => out += &format!("⟨U+{:04X}⟩", u32::from(c)),
            c => out.push(c),
        }
    }
    out
}

/// A title as somebody typed or pasted it: line ends and tabs are spaces, other refused characters are
/// [`visible`], and what is too long is cut.
pub fn typed(text: &str) -> String {
    let is_space =
        |c: char| matches!(c, '\t' | '\n' | '\r' | '\u{b}' | '\u{c}' | '\u{85}' | '\u{2028}' | '\u{2029}');
    let spaced: String = text.chars().map(|c| if is_space(c) { ' ' } else { c }).collect();
    fitting(&visible(&spaced))
}

/// The title as a file can hold it: refused characters left out, cut at [`MAX_TITLE_CHARS`].
pub fn fitting(title: &str) -> String {
    title.chars().filter(|&c| !refused(c)).take(MAX_TITLE_CHARS).collect()
}

/// Checks a title.
///
/// # Errors
/// When it is too long or holds a refused character.
pub fn check(title: &str) -> Result<(), FileError> {
    let chars = title.chars().count();
    if chars > MAX_TITLE_CHARS {
        return Err(FileError::TitleTooLong { chars });
    }
    match title.chars().position(refused) {
        Some(index) => Err(FileError::TitleCharacter {
            position: index + 1,
            found: title.chars().nth(index).unwrap_or_default(),
        }),
        None => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_steers_the_line_is_shown_and_nothing_else_changes() {
        for (text, shown) in [
            ("lamp\u{202e}nosj.exe", "lamp⟨U+202E⟩nosj.exe"),
            ("a\u{0}b\u{7}\u{1b}[2J", "a⟨U+0000⟩b⟨U+0007⟩⟨U+001B⟩[2J"),
            ("\u{2066}x\u{2069}", "⟨U+2066⟩x⟨U+2069⟩"),
            ("Leuchtturm, маяк, מגדלור, 灯台 👩\u{200d}🔧", "Leuchtturm, маяк, מגדלור, 灯台 👩\u{200d}🔧"),
        ] {
            assert_eq!(visible(text), shown);
            assert!(!visible(text).contains(refused));
        }
        assert_eq!(typed("Quay\tlamps\nof 7b\u{202e}"), "Quay lamps of 7b⟨U+202E⟩");
        assert!(check(&typed(&"\u{202e}".repeat(500))).is_ok());
    }
}
