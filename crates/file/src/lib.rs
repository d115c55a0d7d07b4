//! The bench on paper: file, link and wiring list.
//!
//! `text -> tree -> bench`, and back. [`read()`] and [`write()`] are the bench file, [`link`] packs the
//! same file into an address, [`wiring`] writes a part a line, [`schema()`] tells other programs what
//! a bench file is, [`actions`] reads what is done to a bench while its clock runs. [`FileError`] says
//! what is wrong, where, and what to do about it.
//!
//! Whatever comes in is somebody else's: each text is checked as a whole, against the cards and the
//! boards, before a bench comes out. Nothing here panics on any text.

pub mod actions;
mod error;
pub mod examples;
mod json;
mod lesson;
pub mod link;
mod meters;
pub mod plan;
pub mod questions;
mod read;
mod schema;
pub mod title;
mod tree;
pub mod wiring;
mod write;

pub use error::{FileError, LinkFault};
pub use read::{MAX_TEXT_BYTES, read};
pub use schema::{schema, schema_text};
pub use write::write;

/// The newest version of the bench file that is read here. A bench is written in the oldest version
/// that holds it ([`version`]), so that an older page opens what it can.
pub const VERSION: u32 = 2;

/// The version that a bench's file needs: 2 where it has what version 1 doesn't know (meters, a lesson, parts
/// as bought, batteries that run down).
pub fn version(bench: &halfrow_core::bench::Bench) -> u32 {
    let plain = bench.meters.is_empty()
        && bench.lesson == halfrow_core::bench::Lesson::default()
        && bench.as_bought.is_none()
        && !bench.batteries_run_down;
    if plain { 1 } else { VERSION }
}

#[cfg(test)]
mod tests {
    use super::*;
    use halfrow_core::sample::sixty_parts;

    #[test]
    fn a_crowded_bench_comes_back_from_file_and_link() {
        let bench = sixty_parts();
        assert_eq!(read(&write(&bench)), Ok(bench.clone()));
        assert_eq!(link::decode(&link::encode(&bench)), Ok(bench.clone()));
        assert_eq!(wiring::from_text(&wiring::to_text(&bench), &bench), Ok(bench));
    }

    #[test]
    fn a_link_to_forty_parts_stays_short() {
        let mut bench = sixty_parts();
        bench.parts.truncate(40);
        let link = link::encode(&bench);
        assert!(link.len() <= 1800, "{} characters", link.len());
    }
}
