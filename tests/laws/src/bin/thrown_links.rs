//! Prints benches thrown by chance, as links for `cargo xtask bench`: twenty with their seeds, or with the
//! word `crowd` one of as many parts as a bench may have.

use halfrow_laws::chance::Chance;
use halfrow_laws::throw::{self, Throw};

fn main() {
    if std::env::args().any(|word| word == "crowd") {
        println!("{}", halfrow_file::link::encode(&throw::crowd()));
        return;
    }
    for seed in 0..20 {
        let bench = Throw::with_clock().bench(&mut Chance::new(1_000_000 + seed));
        println!("{seed} {}", halfrow_file::link::encode(&bench));
    }
}
