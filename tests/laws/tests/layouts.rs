//! The same circuit in another layout is equal, and a circuit that was changed is not.

use halfrow_compare::is_equal;
use halfrow_file::examples::ALL;
use halfrow_laws::chance::Chance;
use halfrow_laws::relayout::Relayout;

/// How many layouts of each example: 30 in the daily run, `HALFROW_LAYOUTS=10000` for all of them.
fn count() -> usize {
    std::env::var("HALFROW_LAYOUTS").ok().and_then(|it| it.parse().ok()).unwrap_or(420)
}

#[test]
fn other_layouts_are_equal() {
    let mut chance = Chance::new(1);
    let right: Vec<_> = ALL.iter().filter(|it| it.twin.is_none()).collect();
    for round in 0..count() / right.len() {
        for example in &right {
            let bench = halfrow_file::read(example.text()).unwrap();
            let other = Relayout::default().bench(&bench, &mut chance).expect(example.slug);
            assert!(
                is_equal(&bench, &other) == Some(true),
                "{} {round}\n{}",
                example.slug,
                halfrow_file::write(&other)
            );
        }
    }
}
