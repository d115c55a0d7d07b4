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
