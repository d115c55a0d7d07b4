//! A bench inside a link: `#1.` and the bench file, deflated (RFC 1951, no header), in the URL-safe
//! alphabet of RFC 4648, section 5, without padding.
//!
//! What follows the `#` of an address is never sent to a server, so a shared bench stays between the
//! people who share it.

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
    let packed = compress_to_vec(compact(bench).as_bytes(), LEVEL);
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

/// The bench of a link: what follows its last `#`, or all of it where there is none. Spaces and line
/// ends that a mail program put in are passed over.
///
/// # Errors
/// When the link is damaged or cut, unpacks to more than [`MAX_TEXT_BYTES`], or holds no bench file
/// that [`read`] accepts.
pub fn decode(link: &str) -> Result<Bench, FileError> {
    let body = link.rsplit_once('#').map_or(link, |(_, body)| body).trim();
    let (version, packed) = body.split_once('.').ok_or(FileError::Link(LinkFault::NoBench))?;
    if version.is_empty() || version.len() > 6 || !version.bytes().all(|b| b.is_ascii_digit()) {
        return Err(FileError::Link(LinkFault::NoBench));
    }
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

fn from_base64(text: &str) -> Result<Vec<u8>, FileError> {
    let mut bytes = Vec::with_capacity(text.len() / 4 * 3 + 2);
    let (mut bits, mut held) = (0_u32, 0);
    for (index, c) in text.chars().enumerate() {
        if c.is_ascii_whitespace() {
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
