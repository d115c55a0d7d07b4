//! A bench inside a PNG picture: one `tEXt` chunk with the keyword `halfrow` (PNG specification,
//! third edition, section 11.3.3.2; chunk layout and CRC in section 5).

const KEYWORD: &[u8] = b"halfrow\0";

/// CRC-32 of ISO 3309, as PNG's annex D gives it.
fn crc(bytes: impl Iterator<Item = u8>) -> u32 {
    !bytes.fold(!0_u32, |crc, byte| {
        (0..8).fold(crc ^ u32::from(byte), |c, _| if c & 1 == 1 { 0xedb8_8320 ^ (c >> 1) } else { c >> 1 })
    })
}

/// The picture with the text in it, right after its header. Bytes that are no PNG come back as they
/// are.
pub fn with_text(png: &[u8], text: &str) -> Vec<u8> {
    // Signature (8) and the header chunk (4 + 4 + 13 + 4).
    const HEAD: usize = 33;
    if png.len() < HEAD || !png.starts_with(b"\x89PNG") {
        return png.to_vec();
    }
    let data: Vec<u8> = [KEYWORD, text.as_bytes()].concat();
    let mut out = png[..HEAD].to_vec();
    out.extend((data.len() as u32).to_be_bytes());
    out.extend(b"tEXt");
    out.extend(&data);
    out.extend(crc(b"tEXt".iter().chain(&data).copied()).to_be_bytes());
    out.extend(&png[HEAD..]);
    out
}

/// How many chunks of a picture are looked at. Ours is the second; programs that store a picture again may
/// put it last, behind some thousands of a large one.
pub const MOST_CHUNKS: usize = 20_000;

/// The text that a picture holds; `None` where there is none among the first [`MOST_CHUNKS`], or the chunks
/// make no sense.
pub fn text_of(png: &[u8]) -> Option<String> {
    let mut rest = png.get(8..)?;
    for _ in 0..MOST_CHUNKS {
        let length = u32::from_be_bytes(rest.get(..4)?.try_into().ok()?) as usize;
        let kind = rest.get(4..8)?;
        let data = rest.get(8..8_usize.checked_add(length)?)?;
        if kind == b"tEXt" && data.starts_with(KEYWORD) {
            return String::from_utf8(data[KEYWORD.len()..].to_vec()).ok();
        }
        rest = rest.get(length.checked_add(12)?..)?;
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_goes_in_comes_out_and_broken_pictures_hold_nothing() {
        let png: Vec<u8> = [b"\x89PNG\r\n\x1a\n".as_slice(), &[0; 25], b"rest"].concat();
        let held = with_text(&png, "#1.abc");
        assert_eq!(&held[held.len() - 4..], b"rest");
        assert_eq!(crc(b"123456789".iter().copied()), 0xcbf4_3926, "check value of CRC-32");
        let mut header = held.clone();
        header[8..12].copy_from_slice(&13_u32.to_be_bytes());
        assert_eq!(text_of(&header).as_deref(), Some("#1.abc"));
        // Far behind, it is not looked for.
        let with_empty = |count: usize| [&held[..8], &[0; 12].repeat(count), &held[33..]].concat();
        assert_eq!(text_of(&with_empty(MOST_CHUNKS - 1)).as_deref(), Some("#1.abc"));
        assert_eq!(text_of(&with_empty(250_000)), None);
        assert_eq!(text_of(b"\x89PNG"), None);
        assert_eq!(text_of(&[0xff; 64]), None);
    }
}
