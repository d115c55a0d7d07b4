use halfrow_core::solve::solve;
use halfrow_laws::chance::Chance;
use halfrow_laws::{fed, throw::Throw};
fn main() {
    for a in std::env::args().skip(1) {
        let (k, n) = a.split_at(1);
        let seed: u64 = n.parse().unwrap();
        let bench = if k == "f" { fed::bench(&mut Chance::new(seed)) } else { Throw::with_clock().bench(&mut Chance::new(seed)) };
        let p = solve(&bench);
        let w = p.stall.map(|s| s.part());
        println!("{a}: settled {} missed {:.2e} stall {:?} {} work {:?} worst {:?}", p.settled, p.law_missed_by(), p.stall, w.map_or("-", |w| bench.part(w).card.kind), p.work, p.worst);
        if std::env::var("LIST").is_ok() { println!("{}", halfrow_file::write(&bench)); }
    }
}
