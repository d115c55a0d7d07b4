//! A comparison in portions comes to what a comparison at once does, whatever happens in between.

use std::pin::pin;

use halfrow_compare::{Answer, Budget, Plan, compare, compare_in_portions};
use halfrow_core::bench::{Bench, LegId};
use halfrow_core::board::Hole;
use halfrow_core::time::portions::portion;

mod notation;
use notation::bench;

const PLAN: &str = "battery BT1 L+1 L-1; resistor R1 L+3 a3; led D1 b3 b9; wire W1 a9 L-9; \
    resistor R2 L+13 a13; led D2 b13 b19; wire W2 a19 L-19; potentiometer RV1 g5; wire W3 f5 e9";

fn build(moves: &[(&str, usize, &str)]) -> Bench {
    let mut build = bench(PLAN);
    for &(part, pin, hole) in moves {
        let part = build.find(part).unwrap();
        build.put_leg(LegId { part, pin }, Some(Hole::parse(hole).unwrap())).unwrap();
    }
    build
}

fn told(answer: &Answer) -> String {
    let says: Vec<&str> = answer.moves.iter().map(|it| it.says.as_str()).collect();
    format!("{:?} {says:?} {} {:?}", answer.verdict, answer.bound, answer.mended.parts)
}

#[test]
fn two_comparisons_in_turn_come_to_what_each_comes_to_alone() {
    let plan = Plan::of(&bench(PLAN));
    let builds = [
        build(&[("D1", 1, "b10"), ("R2", 1, "a14")]),
        build(&[("W1", 1, "L+9"), ("D2", 0, "h13"), ("W3", 0, "f6")]),
    ];
    let alone = builds.each_ref().map(|it| told(&compare(&plan, it, Budget::default())));
    let mut first = pin!(compare_in_portions(&plan, &builds[0], Budget::default()));
    let mut second = pin!(compare_in_portions(&plan, &builds[1], Budget::default()));
    let (mut answers, mut portions) = ([None, None], [0, 0]);
    while answers.iter().any(Option::is_none) {
        // One a time, the other three times.
        if answers[0].is_none() {
            answers[0] = portion(first.as_mut());
            portions[0] += 1;
        }
        for _ in 0..3 {
            if answers[1].is_none() {
                answers[1] = portion(second.as_mut());
                portions[1] += 1;
            }
        }
    }
    assert_eq!(answers.map(|it| told(&it.unwrap())), alone);
    assert!(portions.iter().all(|it| *it > 20), "it lets go often: {portions:?}");
}
