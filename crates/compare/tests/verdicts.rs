//! Equal, equivalent or different: small benches in the short notation.

use halfrow_compare::{Budget, Plan, Verdict, compare};
use halfrow_core::part::Part;
use halfrow_core::parts::card;

mod notation;
use notation::bench;

fn verdict(plan: &str, build: &str) -> Verdict {
    compare(&Plan::of(&bench(plan)), &bench(build), Budget::default()).verdict
}

const LAMP: &str = "battery BT1 L+1 L-1; resistor R1 L+3 a3; led D1 b3 b9; wire W1 a9 L-9";

#[test]
fn other_rows_names_and_wires_are_equal() {
    let other =
        "led D7 f20 f25; resistor R9 g20 R+4; battery BT2 R+1 R-1; wire W1 g25 R-20; wire W2 h25 R-21";
    assert_eq!(verdict(LAMP, other), Verdict::Equal);
}

#[test]
fn values_within_the_plan_s_tolerance_are_equal_and_others_are_not() {
    assert_eq!(verdict(LAMP, &LAMP.replace("a3;", "a3 ohms=229;")), Verdict::Equal);
    assert_eq!(verdict(LAMP, &LAMP.replace("a3;", "a3 ohms=240;")), Verdict::Different);
}

#[test]
fn a_resistor_behind_the_lamp_does_the_same() {
    let behind = "battery BT1 L+1 L-1; led D1 L+3 a3; resistor R1 b3 b9; wire W1 a9 L-9";
    let Verdict::Equivalent(reasons) = verdict(LAMP, behind) else { panic!("{:?}", verdict(LAMP, behind)) };
    assert_eq!(reasons, ["D1 and R1 are in series, so their order makes no difference."]);
    // A lamp that is backwards there does not.
    let backwards = behind.replace("led D1 L+3 a3", "led D1 a3 L+3");
    assert_eq!(verdict(LAMP, &backwards), Verdict::Different);
}

#[test]
fn what_adds_up_does_the_same() {
    let parallel = "battery BT1 L+1 L-1; resistor R1 L+3 a3 ohms=440; resistor R2 L+4 c3 ohms=440; led D1 b3 b9; wire W1 a9 L-9";
    let Verdict::Equivalent(reasons) = verdict(LAMP, parallel) else { panic!() };
    assert_eq!(reasons, ["R1 and R2 together stand for R1 of the plan: the same value."]);
    let series = "battery BT1 L+1 L-1; resistor R1 L+3 a3 ohms=100; resistor R2 b3 b6 ohms=120; led D1 a6 b9; wire W1 a9 L-9";
    assert!(matches!(verdict(LAMP, series), Verdict::Equivalent(_)));
    assert_eq!(verdict(LAMP, &series.replace("ohms=120", "ohms=150")), Verdict::Different);
}

#[test]
fn a_knob_turned_round_does_the_same_the_other_way() {
    let knob = "battery BT1 L+1 L-1; potentiometer RV1 b5; wire W1 L+4 a5; wire W2 L-4 a7; led D1 c6 c12; resistor R1 a12 L-20";
    let turned = "battery BT1 L+1 L-1; potentiometer RV1 b5; wire W1 L+4 a7; wire W2 L-4 a5; led D1 c6 c12; resistor R1 a12 L-20";
    assert_eq!(verdict(knob, turned), Verdict::Equivalent(vec!["RV1 works the other way round.".to_owned()]));
}

#[test]
fn a_middle_that_is_tapped_keeps_its_order() {
    let tapped = "battery BT1 L+1 L-1; resistor R1 L+3 a3 ohms=100; resistor R2 b3 L-5 ohms=200; led D1 c3 c9; resistor R3 a9 L-9";
    let swapped = "battery BT1 L+1 L-1; resistor R1 L+3 a3 ohms=200; resistor R2 b3 L-5 ohms=100; led D1 c3 c9; resistor R3 a9 L-9";
    assert_eq!(verdict(tapped, swapped), Verdict::Different);
}

#[test]
fn a_part_beside_the_circuit_and_a_spare_wire_are_noted() {
    let more = format!("{LAMP}; resistor R5 a20 a25; wire W2 L-10 c9");
    let answer = compare(&Plan::of(&bench(LAMP)), &bench(&more), Budget::default());
    assert_eq!(answer.verdict, Verdict::Equal);
    assert_eq!(answer.notes, ["R5 is joined to nothing else.", "W2 joins what is joined anyway."]);
}

/// A plan on paper: parts and joints.
#[test]
fn a_plan_needs_no_layout() {
    let parts = bench(LAMP).parts.into_iter().filter(|it| !it.card.is_wire()).collect();
    let joints = [vec![(0, 0), (1, 0)], vec![(1, 1), (2, 0)], vec![(2, 1), (0, 1)]];
    let plan = Plan::of_joints(parts, &joints);
    let answer = compare(&plan, &bench(LAMP), Budget::default());
    assert_eq!(answer.verdict, Verdict::Equal);
    let answer = compare(&plan, &bench(&LAMP.replace("led D1 b3 b9", "led D1 b4 b9")), Budget::default());
    assert_eq!((answer.verdict, answer.moves.len(), answer.bound), (Verdict::Different, 1, 1));
}

/// The rook's graph and Shrikhande's: both strongly regular with 16 points, 6 neighbours, 2 and 2 common
/// ones; colours alone never tell them apart (Shrikhande, Ann. Math. Statist. 30, 781-798, 1959).
#[test]
fn strongly_regular_graphs_of_resistors_are_told_apart() {
    let rook = |a: usize, b: usize| a != b && (a / 4 == b / 4 || a % 4 == b % 4);
    let shrikhande = |a: usize, b: usize| {
        let (x, y) = ((a / 4 + 4 - b / 4) % 4, (a % 4 + 4 - b % 4) % 4);
        matches!((x, y), (0, 1) | (0, 3) | (1, 0) | (3, 0) | (1, 1) | (3, 3))
    };
    let graph = |joined: &dyn Fn(usize, usize) -> bool, order: &dyn Fn(usize) -> usize| {
        let resistor = card("resistor").unwrap();
        let mut parts = Vec::new();
        let mut joints = vec![Vec::new(); 16];
        for a in 0..16 {
            for b in a + 1..16 {
                if joined(order(a), order(b)) {
                    joints[a].push((parts.len(), 0));
                    joints[b].push((parts.len(), 1));
                    parts.push(Part::new(format!("R{}", parts.len()), resistor));
                }
            }
        }
        assert_eq!(parts.len(), 48);
        (parts, joints)
    };
    let plain = |it: usize| it;
    let mixed = |it: usize| (it * 5 + 3) % 16;
    let pairs = [
        (graph(&rook, &plain), graph(&rook, &mixed), true),
        (graph(&shrikhande, &plain), graph(&shrikhande, &mixed), true),
        (graph(&rook, &plain), graph(&shrikhande, &mixed), false),
        (graph(&shrikhande, &mixed), graph(&rook, &mixed), false),
    ];
    for (index, (a, b, equal)) in pairs.into_iter().enumerate() {
        let answer = halfrow_compare::same_circuit(&Plan::of_joints(a.0, &a.1), &Plan::of_joints(b.0, &b.1));
        assert_eq!(answer, Some(equal), "{index}");
    }
}

/// The words of the moves that a build needs.
fn moves(plan: &str, build: &str) -> Vec<String> {
    let answer = compare(&Plan::of(&bench(plan)), &bench(build), Budget::default());
    assert!(answer.is_least());
    answer.moves.into_iter().map(|it| it.says).collect()
}

#[test]
fn a_wire_that_does_nothing_where_it_lies_is_moved_and_no_new_one_is_asked_for() {
    let both_in_one_row = moves(LAMP, &LAMP.replace("wire W1 a9 L-9", "wire W1 a9 c9"));
    assert_eq!(both_in_one_row, ["Move W1’s second end from c9 to L-9, L-7, L-8, L-6 or L-10."]);
    let beside = moves(LAMP, &LAMP.replace("wire W1 a9 L-9", "wire W1 a20 L-9"));
    assert_eq!(beside, ["Move W1’s first end from a20 to a9, c9, d9 or e9."]);
    let both_elsewhere = moves(LAMP, &LAMP.replace("wire W1 a9 L-9", "wire W1 a20 a22"));
    assert_eq!(both_elsewhere, ["Take out W1 and put it between a9 and L-7."]);
    let missing = moves(LAMP, &LAMP.replace("; wire W1 a9 L-9", ""));
    assert_eq!(missing, ["Put a wire from a9 to L-7."]);
}

#[test]
fn a_wire_out_of_its_hole_is_pushed_in_and_not_used_for_another_joint() {
    let plan = format!("{LAMP}; resistor R2 L+13 a13; led D2 b13 b19; wire W2 a19 L-19");
    let mut build = bench(&plan.replace("; wire W2 a19 L-19", ""));
    let wire = build.find("W1").unwrap();
    build.parts[wire.0].legs[1].depth = halfrow_core::part::Depth::Out;
    let answer = compare(&Plan::of(&bench(&plan)), &build, Budget::default());
    let says: Vec<&str> = answer.moves.iter().map(|it| it.says.as_str()).collect();
    assert_eq!(says, ["Put a wire from a19 to L-16.", "Push W1’s second end all the way into L-9."]);
}
