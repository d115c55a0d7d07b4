//! Whatever is thrown onto a board gets an answer, and an answer that names what is there.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{BoardKind, Hole};
use halfrow_core::part::{Depth, Part, Turn};
use halfrow_core::{parts, sample, solve};
use halfrow_judge::{RULES, Severity, check};

/// Numbers without pattern, the same each time (Knuth's MMIX multiplier).
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize) % n
    }
}

fn thrown(dice: &mut Dice) -> Bench {
    let mut bench = Bench::new(BoardKind::ALL[dice.below(3)]);
    bench.boards[0].split_rails = dice.below(3) == 0;
    let holes: Vec<Hole> = bench.boards[0].holes(0).collect();
    for _ in 0..dice.below(14) {
        let card = parts::CARDS[dice.below(parts::CARDS.len())];
        let part = PartIx(bench.parts.len());
        bench.parts.push(Part::new(bench.next_id(card), card));
        if bench.parts[part.0].is_rigid() {
            let _ = bench.place_rigid(part, holes[dice.below(holes.len())], Turn::ALL[dice.below(4)]);
        } else {
            for pin in 0..card.pins.len() {
                for _ in 0..4 {
                    let _ = bench.put_leg(LegId { part, pin }, Some(holes[dice.below(holes.len())]));
                }
                bench.parts[part.0].legs[pin].depth = Depth::ALL[dice.below(12) % 3];
            }
        }
    }
    bench
}

#[test]
fn every_bench_gets_findings_that_name_its_own_parts_and_holes() {
    let mut dice = Dice(7);
    let mut codes = std::collections::BTreeSet::new();
    for _ in 0..3000 {
        let bench = thrown(&mut dice);
        let findings = check(&bench, &solve::solve(&bench));
        assert!(findings.is_sorted_by_key(|it| it.severity));
        for it in findings {
            assert!(it.parts.iter().all(|part| part.0 < bench.parts.len()), "{it:?}");
            assert!(it.holes.iter().all(|&hole| bench.board_of(hole).is_some()), "{it:?}");
            for text in [&it.symptom, &it.says, &it.why, &it.remedy] {
                assert!(text.ends_with('.') && !text.contains("  "), "{}: {text}", it.code);
            }
            codes.insert(it.code.word());
        }
    }
    assert!(codes.len() > 15, "{codes:?}");
}

#[test]
fn every_rule_says_what_it_looks_for_under_a_code_of_its_own() {
    let mut codes: Vec<&str> = RULES.iter().map(|rule| rule.code.word()).collect();
    codes.sort_unstable();
    codes.dedup();
    assert_eq!(codes.len(), RULES.len());
    assert!(RULES.iter().all(|rule| rule.what.is_some_and(|what| what.ends_with('.'))));
}

/// Sixty parts with eight legs of bendable parts, spread over all of them, put into the first free holes
/// that they reach four pitches or more from where they belong.
fn badly_broken() -> Bench {
    let mut bench = sample::sixty_parts();
    let legs: Vec<LegId> = bench.legs().map(|(leg, _)| leg).collect();
    let loose: Vec<LegId> = legs.into_iter().filter(|leg| !bench.part(leg.part).is_rigid()).collect();
    for n in 0..8 {
        let leg = loose[(n + 1) * loose.len() / 9];
        let from = bench.part(leg.part).legs[leg.pin].hole.unwrap();
        let holes: Vec<Hole> = bench.boards[0].holes(0).collect();
        let moved = holes.into_iter().any(|to| {
            bench.distance(from, to).is_some_and(|far| far >= 4.0) && bench.put_leg(leg, Some(to)).is_ok()
        });
        assert!(moved, "{leg:?}");
    }
    bench
}

#[test]
fn a_crowded_and_badly_broken_bench_is_checked() {
    let bench = badly_broken();
    let point = solve::solve(&bench);
    let found = check(&bench, &point);
    assert!(found.iter().any(|it| it.severity == Severity::Fault), "{found:?}");
}

/// The crowded board with one wire's end in a free row.
fn loose_wire() -> Bench {
    let mut bench = sample::sixty_parts();
    let free =
        bench.boards[0].holes(0).filter(|&hole| bench.occupant(hole).is_none() && hole.row().is_some());
    let free: Vec<Hole> = free.collect();
    let wire = bench.parts.iter().position(|part| part.card.is_wire()).unwrap();
    let leg = LegId { part: halfrow_core::bench::PartIx(wire), pin: 1 };
    assert!(free.iter().rev().any(|&hole| bench.put_leg(leg, Some(hole)).is_ok()));
    bench
}

#[test]
#[ignore = "a measurement: run with --release --ignored --nocapture"]
fn time_of_a_crowded_board() {
    for bench in [sample::sixty_parts(), loose_wire(), badly_broken()] {
        let point = solve::solve(&bench);
        let start = std::time::Instant::now();
        for _ in 0..200 {
            std::hint::black_box(check(&bench, &point));
        }
        println!("{} parts: {:?} a check", bench.parts.len(), start.elapsed() / 200);
        for it in check(&bench, &point) {
            println!("{} {}: {}", it.severity.word(), it.code, it.says);
        }
    }
}
