//! How much work an operating point and a second of a clock are: a snapshot, so that a slowdown is a
//! changed line.
//!
//! `HALFROW_WRITE=1 cargo test -p halfrow-outside --test work` writes the figures of the examples anew;
//! their lines in `work.txt` then say in a commit what has changed.

use std::fmt::Write;

use halfrow_core::bench::Bench;
use halfrow_core::card::Value;
use halfrow_core::solve::{Work, solve};
use halfrow_core::time::{Care, Run};
use halfrow_file::examples;
use halfrow_outside::sixty_parts;

/// The figures of the examples.
const FIGURES: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/work.txt");

/// Simulated seconds of a run.
const SECONDS: f64 = 2.0;

/// More steps than any example needs for that.
const MOST_STEPS: u32 = 1_000_000;

#[test]
fn sixty_parts_take_this_much_work() {
    let work = solve(&sixty_parts()).work;
    assert_eq!(work, Work { iterations: 16, factorisations: 17, unknowns: 49 });
}

/// The bench with its buttons pressed: what happens only then is most of the work.
fn pressed(bench: &Bench) -> Option<Bench> {
    let mut bench = bench.clone();
    let mut any = false;
    for part in bench.parts.iter_mut().filter(|part| part.card.kind == "push-button") {
        any |= part.set("pressed", Value::Flag(true));
    }
    any.then_some(bench)
}

/// Two lines of figures of one bench, or one where nothing on it changes by itself.
fn figures(text: &mut String, name: &str, bench: &Bench) {
    let work = solve(bench).work;
    writeln!(
        text,
        "{name} at rest: unknowns {} iterations {} factorisations {}",
        work.unknowns, work.iterations, work.factorisations
    )
    .expect("a string takes everything");
    let mut run = Run::new(bench, Care::LIVE);
    if !run.is_timed() {
        return;
    }
    let (mut most, mut before) = (0, 0);
    for _ in 0..MOST_STEPS {
        let iterations = run.effort().iterations;
        most = most.max(iterations - before);
        before = iterations;
        if run.time() >= SECONDS {
            break;
        }
        run.advance();
    }
    let there = run.time() >= SECONDS && run.stalled().is_none();
    assert!(there, "{name}: {:?} at {} s", run.stalled(), run.time());
    let effort = run.effort();
    writeln!(
        text,
        "{name} for {SECONDS} s: steps {} retries {} iterations {} (at once {most}) factorisations {} events {}",
        effort.steps, effort.retries, effort.iterations, effort.factorisations, effort.events
    )
    .expect("a string takes everything");
}

#[test]
fn every_example_takes_this_much_work() {
    let mut text = String::new();
    for example in &examples::ALL {
        let bench = halfrow_file::read(example.text()).expect("an example reads");
        figures(&mut text, example.slug, &bench);
        if let Some(pressed) = pressed(&bench) {
            figures(&mut text, &format!("{} pressed", example.slug), &pressed);
        }
    }
    if std::env::var_os("HALFROW_WRITE").is_some() {
        std::fs::write(FIGURES, &text).expect("the figures are written");
    }
    let kept = std::fs::read_to_string(FIGURES).expect("the figures are kept beside this test");
    let changed: Vec<String> = (text.lines().zip(kept.lines()))
        .filter(|(now, before)| now != before)
        .map(|(now, before)| format!("now    {now}\nbefore {before}"))
        .collect();
    assert!(changed.is_empty(), "{}", changed.join("\n"));
    assert_eq!(text.lines().count(), kept.lines().count(), "examples came or went");
}
