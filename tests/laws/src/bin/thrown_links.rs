//! Prints twenty benches thrown by chance, each with its seed and as a link: `cargo xtask bench` looks
//! at their frames.

use halfrow_laws::chance::Chance;
use halfrow_laws::throw::Throw;

fn main() {
    for seed in 0..20 {
        let bench = Throw::with_clock().bench(&mut Chance::new(1_000_000 + seed));
        println!("{seed} {}", halfrow_file::link::encode(&bench));
    }
}
