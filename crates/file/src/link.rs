//! A bench inside a link: `#1.` and the bench file, deflated (RFC 1951, no header), in the URL-safe
//! alphabet of RFC 4648, section 5, without padding.
//!
//! What follows the `#` of an address is never sent to a server, so a shared bench stays between the
//! people who share it.

use std::borrow::Cow;

use halfrow_core::bench::Bench;
use miniz_oxide::deflate::compress_to_vec;
use miniz_oxide::inflate::{TINFLStatus, decompress_to_vec_with_limit};

use crate::error::{FileError, LinkFault};
use crate::read::{MAX_TEXT_BYTES, read};
use crate::write::compact;

/// From this many characters on, some mail programs and messengers cut a link (common practice, no
/// source): the page says so.
pub const WARN_AT: usize = 2000;

/// From this many characters on, a file is the better way to hand a bench on.
pub const FILE_AT: usize = 4000;

/// What stands before the packed bench: the version of the packing.
const VERSION: &str = "1";

/// Best compression: a bench is small, the link is what counts.
const LEVEL: u8 = 10;

const ALPHABET: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";

/// The part of a link that begins with `#`.
pub fn encode(bench: &Bench) -> String {
    of_packed(&compress_to_vec(text(bench).as_bytes(), LEVEL))
}

/// What a link packs: the bench file without a space too many.
pub fn text(bench: &Bench) -> String {
    compact(bench)
}

/// Bytes as deflate holds what it leaves unpacked: blocks of at most 65,535 bytes, each behind its
/// length and the length's complement (RFC 1951, section 3.2.4).
pub fn stored(bytes: &[u8]) -> Vec<u8> {
    let mut blocks = bytes.chunks(0xffff).peekable();
    let mut packed = Vec::with_capacity(bytes.len() + 5);
    while let Some(block) = blocks.next() {
        packed.push(u8::from(blocks.peek().is_none()));
        packed.extend((block.len() as u16).to_le_bytes());
        packed.extend((!(block.len() as u16)).to_le_bytes());
        packed.extend(block);
    }
    packed
}

/// The part of a link that begins with `#`, for a bench whose [`text`] somebody else has deflated: on the
/// page it is the browser.
pub fn of_packed(packed: &[u8]) -> String {
    let mut link = format!("#{VERSION}.");
    for three in packed.chunks(3) {
        let bits =
            three.iter().fold(0_u32, |bits, &byte| bits << 8 | u32::from(byte)) << (8 * (3 - three.len()));
        for place in 0..=three.len() {
            link.push(char::from(ALPHABET[(bits >> (18 - 6 * place)) as usize & 63]));
        }
    }
    link
}

/// Whether a text that somebody gave is a link to a bench, of this version or another, rather than a file.
pub fn looks_like(text: &str) -> bool {
    !text.starts_with('{') && plain(text).rsplit_once('#').is_some_and(|(_, body)| halves(body).is_some())
}

/// The bench of a link: what follows its last `#`, or all of it where there is none. White space that a
/// mail program put in is passed over, as it is or as an address spells it (`%20`).
///
/// # Errors
/// When the link is damaged or cut, unpacks to more than [`MAX_TEXT_BYTES`], or holds no bench file
/// that [`read`] accepts.
pub fn decode(link: &str) -> Result<Bench, FileError> {
    let link = plain(link);
    let body = link.rsplit_once('#').map_or(&*link, |(_, body)| body).trim();
    let (version, packed) = halves(body).ok_or(FileError::Link(LinkFault::NoBench))?;
    if version != VERSION {
        return Err(FileError::Link(LinkFault::Newer { version: version.to_owned() }));
    }
    // Deflate never needs more than a little over the text's own length.
    if packed.len() > 2 * MAX_TEXT_BYTES {
        return Err(FileError::Link(LinkFault::TooLong));
    }
    let bytes = decompress_to_vec_with_limit(&from_base64(packed)?, MAX_TEXT_BYTES).map_err(|error| {
        FileError::Link(match error.status {
            TINFLStatus::HasMoreOutput => LinkFault::TooLong,
            _ => LinkFault::Damaged,
        })
    })?;
    let text = String::from_utf8(bytes).map_err(|_| FileError::Link(LinkFault::NoText))?;
    read(&text)
}

/// The text with what an address spells in bytes (`%20`) as characters.
fn plain(link: &str) -> Cow<'_, str> {
    let mut parts = link.split('%');
    let mut bytes = parts.next().unwrap_or_default().as_bytes().to_vec();
    if bytes.len() == link.len() {
        return Cow::Borrowed(link);
    }
    for part in parts {
        let code = part.get(..2).and_then(|code| u8::from_str_radix(code, 16).ok());
        bytes.push(code.unwrap_or(b'%'));
        bytes.extend_from_slice(&part.as_bytes()[if code.is_some() { 2 } else { 0 }..]);
    }
    Cow::Owned(String::from_utf8_lossy(&bytes).into_owned())
}

/// The version of the packing and the packed bench, where both are there.
fn halves(body: &str) -> Option<(&str, &str)> {
    let (version, packed) = body.split_once('.')?;
    let is_version = (1..=6).contains(&version.len()) && version.bytes().all(|b| b.is_ascii_digit());
    let is_version = is_version && !version.starts_with('0');
    is_version.then_some((version, packed))
}

/// What stands between two characters without a meaning: white space, and what is there to break or to
/// keep together a long word (from memory).
fn is_nothing(c: char) -> bool {
    c.is_whitespace() || matches!(c, '\u{ad}' | '\u{200b}'..='\u{200d}' | '\u{2060}' | '\u{feff}')
}

fn from_base64(text: &str) -> Result<Vec<u8>, FileError> {
    let mut bytes = Vec::with_capacity(text.len() / 4 * 3 + 2);
    let (mut bits, mut held) = (0_u32, 0);
    for (index, c) in text.chars().enumerate() {
        if is_nothing(c) {
            continue;
        }
        let digit = u8::try_from(c)
            .ok()
            .and_then(|byte| ALPHABET.iter().position(|&letter| letter == byte))
            .ok_or(FileError::Link(LinkFault::Character { position: index + 1, found: c }))?;
        bits = bits << 6 | digit as u32;
        held += 6;
        if held >= 8 {
            held -= 8;
            bytes.push((bits >> held) as u8);
            bits &= (1 << held) - 1;
        }
    }
    // A lone last character holds no whole byte: the link was cut there.
    if held == 6 {
        return Err(FileError::Link(LinkFault::Damaged));
    }
    Ok(bytes)
}
