//! What is fed with spoilt input: each function takes any bytes, may refuse them in words, and must
//! not panic; what it accepts must come back the same. `libfuzzer/` feeds them guided by coverage
//! (`cargo fuzz`), `tests/short.rs` by plain mutation for a bounded time.

use halfrow_core::bench::Bench;
use halfrow_core::board::BoardKind;
use halfrow_core::solve::solve;

/// A bench that was accepted: it is legal, comes back from its own file, is solved and judged.
fn accepted(bench: &Bench) {
    assert_eq!(bench.check(), Ok(()));
    assert_eq!(halfrow_file::read(&halfrow_file::write(bench)).as_ref(), Ok(bench));
    let point = solve(bench);
    assert!(point.law_missed_by() < 1.0);
    let _ = halfrow_judge::check(bench, &point);
}

/// A refusal says something.
fn refused(words: &str) {
    assert!(words.len() > 10, "{words}");
}

/// A bench file.
pub fn file(data: &[u8]) {
    match halfrow_file::read(&String::from_utf8_lossy(data)) {
        Ok(bench) => accepted(&bench),
        Err(error) => refused(&error.to_string()),
    }
}

/// A link.
pub fn link(data: &[u8]) {
    match halfrow_file::link::decode(&String::from_utf8_lossy(data)) {
        Ok(bench) => accepted(&bench),
        Err(error) => refused(&error.to_string()),
    }
}

/// A wiring list.
pub fn wiring(data: &[u8]) {
    let base = Bench::new(BoardKind::Half);
    match halfrow_file::wiring::from_text(&String::from_utf8_lossy(data), &base) {
        Ok(bench) => accepted(&bench),
        Err(error) => refused(&error.to_string()),
    }
}

/// Timed actions, for an example's bench.
pub fn actions(data: &[u8]) {
    let text = halfrow_file::examples::find("quiz-buzzer").expect("an example").text();
    let bench = halfrow_file::read(text).expect("a right bench");
    match halfrow_file::actions::read(&String::from_utf8_lossy(data), &bench) {
        Ok(actions) => assert!(actions.is_sorted_by(|a, b| a.at <= b.at)),
        Err(error) => refused(&error.to_string()),
    }
}
