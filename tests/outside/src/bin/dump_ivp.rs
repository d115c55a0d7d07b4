//! Writes the circuits that `ivp.py` integrates: `cargo run -p halfrow-outside --bin dump_ivp >
//! tests/outside/ivp.json`.

fn main() {
    println!("{}", halfrow_outside::ivp::document());
}
