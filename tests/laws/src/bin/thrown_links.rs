//! Prints benches thrown by chance, as links for `cargo xtask bench`: twenty with their seeds, or with the
//! word `crowd` one of as many parts as a bench may have.

use halfrow_core::bench::{Bench, MAX_PARTS};
use halfrow_core::board::{Board, BoardKind, Hole};
use halfrow_laws::chance::Chance;
use halfrow_laws::throw::Throw;

fn main() {
    if std::env::args().any(|word| word == "crowd") {
        println!("{}", halfrow_file::link::encode(&crowd()));
        return;
    }
    for seed in 0..20 {
        let bench = Throw::with_clock().bench(&mut Chance::new(1_000_000 + seed));
        println!("{seed} {}", halfrow_file::link::encode(&bench));
    }
}

/// Parts of all kinds anywhere on four full boards.
fn crowd() -> Bench {
    let throw = Throw { depths: false, extreme: false, ..Throw::with_clock() };
    let mut chance = Chance::new(300);
    let mut bench = Bench::new(BoardKind::Full);
    bench.boards = vec![Board { kind: BoardKind::Full, split_rails: false }; 4];
    let places: Vec<Hole> = (0..4).flat_map(|board| bench.boards[usize::from(board)].holes(board)).collect();
    while bench.parts.len() < MAX_PARTS {
        throw.throw(&mut bench, chance.of(&throw.kinds), &places, &mut chance);
    }
    bench
}
