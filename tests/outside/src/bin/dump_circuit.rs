//! Writes the circuits that `independent.py` solves: `cargo run -p halfrow-outside --bin
//! dump_circuit > tests/outside/independent.json`.

fn main() {
    println!("{:#}", halfrow_outside::dump::document());
}
