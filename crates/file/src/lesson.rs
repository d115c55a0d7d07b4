//! What a teacher has set for whoever gets a bench.
//!
//! `"lesson": { "only_meter": true, "predict_first": true, "tolerance_percent": 5 }`: what is as usual is
//! left out. A file with a lesson is of version 2.

use halfrow_core::bench::{Lesson, TOLERANCE_PERCENT};

use crate::error::FileError;
use crate::read::{Fields, wrong};
use crate::tree::{Tree, number};

/// The keys.
pub(crate) const KEYS: [&str; 3] = ["only_meter", "predict_first", "tolerance_percent"];

/// The lesson under its key.
pub(crate) fn read(tree: &Tree) -> Result<Lesson, FileError> {
    let fields = Fields::of("lesson", tree)?;
    fields.only(&KEYS)?;
    let mut lesson = Lesson::default();
    for (on, key) in [(&mut lesson.only_meter, KEYS[0]), (&mut lesson.predict_first, KEYS[1])] {
        match fields.get(key) {
            None => {}
            Some(Tree::Flag(flag)) => *on = *flag,
            Some(other) => return Err(wrong(&format!("lesson {key}"), other, "true or false")),
        }
    }
    if let Some(tree) = fields.get(KEYS[2]) {
        let (least, most) = TOLERANCE_PERCENT;
        let path = format!("lesson {}", KEYS[2]);
        let wanted = format!("a number from {} to {}", number(least), number(most));
        lesson.tolerance_percent = match tree {
            Tree::Number(percent) if (least..=most).contains(percent) => *percent,
            Tree::Number(percent) => {
                return Err(FileError::OutOfRange { path, found: number(*percent), wanted });
            }
            other => return Err(wrong(&path, other, &wanted)),
        };
    }
    Ok(lesson)
}

/// The keys that differ from the usual, with their values as JSON.
pub(crate) fn pairs(lesson: &Lesson) -> Vec<(&'static str, String)> {
    let usual = Lesson::default();
    let mut pairs = Vec::new();
    for (on, usual, key) in
        [(lesson.only_meter, usual.only_meter, KEYS[0]), (lesson.predict_first, usual.predict_first, KEYS[1])]
    {
        if on != usual {
            pairs.push((key, on.to_string()));
        }
    }
    if lesson.tolerance_percent != usual.tolerance_percent {
        pairs.push((KEYS[2], number(lesson.tolerance_percent)));
    }
    pairs
}

#[cfg(test)]
mod tests {
    use super::*;
    use halfrow_core::bench::Bench;
    use halfrow_core::board::BoardKind;

    #[test]
    fn a_lesson_comes_back_and_needs_version_2() {
        let lesson = Lesson { only_meter: true, predict_first: true, tolerance_percent: 2.5 };
        let bench = Bench { lesson, ..Bench::new(BoardKind::Half) };
        let text = crate::write(&bench);
        assert!(text.contains("\"halfrow\": 2") && text.contains("\"only_meter\": true"), "{text}");
        assert_eq!(crate::read(&text), Ok(bench.clone()));
        assert_eq!(crate::link::decode(&crate::link::encode(&bench)), Ok(bench));
        let older = text.replace("\"halfrow\": 2", "\"halfrow\": 1");
        assert_eq!(crate::read(&older), Err(FileError::NeedsVersion { key: "lesson", version: 2 }));
    }

    #[test]
    fn what_a_lesson_cannot_be_is_refused_with_its_place() {
        let plain = crate::write(&Bench::new(BoardKind::Half)).replace("\"halfrow\": 1", "\"halfrow\": 2");
        for (lesson, says) in [
            ("{ \"only_meter\": 1 }", "lesson only_meter"),
            ("{ \"tolerance_percent\": -1 }", "lesson tolerance_percent"),
            ("{ \"tolerance_percent\": 101 }", "lesson tolerance_percent"),
            ("{ \"meter\": true }", "lesson"),
            ("true", "lesson"),
        ] {
            let text = plain.replace("\n}", &format!(",\n  \"lesson\": {lesson}\n}}"));
            let error = crate::read(&text).expect_err(lesson).to_string();
            assert!(error.contains(says), "{lesson}: {error}");
        }
    }
}
