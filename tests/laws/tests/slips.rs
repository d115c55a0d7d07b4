//! What is said of a thousand slips of the hand: every right example with one leg a row off, across the
//! channel or in the other rail, with one part left out, with one chip a row off. A second pair of eyes
//! should notice nearly all of them, point at the leg that slipped, and never make things worse.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{Hole, Place, Sign, Strip};
use halfrow_core::nets::DisjointSets;
use halfrow_core::part::Leg;
use halfrow_core::parts;
use halfrow_core::solve::solve;
use halfrow_file::examples::ALL;
use halfrow_judge::{Finding, Severity, check, first_look};

/// The pins that are joined in one place: part and pin of each.
type Joined = Vec<(String, usize)>;

/// Which legs are joined, without a word of how: two benches with the same are the same circuit.
fn joins(bench: &Bench) -> Vec<Joined> {
    let legs: Vec<(LegId, Option<Strip>)> =
        bench.legs().map(|(id, leg)| (id, leg.hole.and_then(|hole| bench.strip(hole)))).collect();
    let mut strips: Vec<Strip> = legs.iter().filter_map(|it| it.1).collect();
    strips.sort_unstable();
    strips.dedup();
    let at = |strip: Strip| strips.binary_search(&strip).unwrap();
    let mut sets = DisjointSets::new(strips.len());
    for (index, part) in bench.parts.iter().enumerate() {
        for &(a, b) in part.card.metal {
            let strip = |pin: u8| {
                legs.iter().find(|it| it.0 == LegId { part: PartIx(index), pin: usize::from(pin) }).unwrap().1
            };
            if let (Some(a), Some(b)) = (strip(a), strip(b)) {
                sets.join(at(a), at(b));
            }
        }
    }
    let mut nets: Vec<Vec<(String, usize)>> = vec![Vec::new(); strips.len()];
    for (leg, strip) in legs {
        if let (Some(strip), false) = (strip, bench.part(leg.part).card.is_wire()) {
            // The ends of some parts are alike.
            let alike = ["resistor", "capacitor", "photoresistor", "thermistor"];
            let pin = if alike.contains(&bench.part(leg.part).card.kind) { 0 } else { leg.pin };
            nets[sets.root(at(strip))].push((bench.part(leg.part).id.clone(), pin));
        }
    }
    nets.retain(|net| net.len() > 1);
    for net in &mut nets {
        net.sort();
    }
    nets.sort();
    nets
}

/// A bench with a slip, and the hole where the leg that slipped is now.
struct Slip {
    name: String,
    bench: Bench,
    at: Option<Hole>,
}

/// Puts a leg into a hole of a strip that is free, the same column first.
fn put(bench: &Bench, leg: LegId, wanted: Hole) -> Option<(Bench, Hole)> {
    let board = bench.board_of(wanted)?;
    let strip = bench.strip(wanted)?;
    let mut holes = board.holes_of(strip);
    let far = |hole: &Hole| bench.distance(*hole, wanted).unwrap_or(f64::INFINITY);
    holes.sort_by(|a, b| far(a).total_cmp(&far(b)));
    holes.into_iter().find_map(|hole| {
        let mut bench = bench.clone();
        bench.put_leg(leg, Some(hole)).ok()?;
        Some((bench, hole))
    })
}

fn slips(right: &Bench) -> Vec<Slip> {
    let mut slips = Vec::new();
    for (leg, Leg { hole, .. }) in right.legs() {
        let (part, Some(hole)) = (right.part(leg.part), hole) else { continue };
        if part.is_rigid() {
            continue;
        }
        let mut wanted: Vec<(&str, Hole)> = Vec::new();
        let place = |place| Hole { place, ..hole };
        match hole.place {
            Place::Grid { row, column } => {
                wanted.push(("row up", place(Place::Grid { row: row - 1, column })));
                wanted.push(("row down", place(Place::Grid { row: row + 1, column })));
                wanted.push(("across", place(Place::Grid { row, column: 9 - column })));
            }
            Place::Rail { side, sign, n } => {
                let sign = if sign == Sign::Plus { Sign::Minus } else { Sign::Plus };
                wanted.push(("rail", place(Place::Rail { side, sign, n })));
            }
        }
        for (kind, hole) in wanted {
            if let Some((bench, at)) = put(right, leg, hole) {
                let name = format!("{kind}: {} pin {} to {at}", part.id, part.card.pins[leg.pin].name);
                slips.push(Slip { name, bench, at: Some(at) });
            }
        }
    }
    for (index, part) in right.parts.iter().enumerate() {
        if part.card.source.is_none() {
            let mut bench = right.clone();
            bench.parts.remove(index);
            slips.push(Slip { name: format!("missing: {}", part.id), bench, at: None });
        }
        let (true, Some(Hole { board, place: Place::Grid { row, column } })) =
            (part.is_rigid(), part.legs[0].hole)
        else {
            continue;
        };
        for row in [row - 1, row + 1] {
            let mut bench = right.clone();
            let pin1 = Hole { board, place: Place::Grid { row, column } };
            if bench.place_rigid(PartIx(index), pin1, part.turn).is_ok() {
                slips.push(Slip { name: format!("shift: {} to {pin1}", part.id), bench, at: Some(pin1) });
            }
        }
    }
    slips
}

/// The words of a remedy that are holes.
fn holes_in(words: &str) -> Vec<Hole> {
    words.split([' ', ',', ';', '.', '(', ')', ':']).filter_map(Hole::parse).collect()
}

/// The bench after one remedy, where the remedy is a leg to move, a part to move or a wire to add.
fn mended(bench: &Bench, finding: &Finding) -> Option<Bench> {
    let words = finding.remedy.as_str();
    let holes = holes_in(words);
    let sentence = words.starts_with("Move ") && words.contains(" from ");
    if sentence && !words.contains(" rows ") && !words.contains(" row up") && !words.contains(" row down") {
        let (&from, &to) = (holes.first()?, holes.last()?);
        let (leg, _) = bench.legs().find(|(_, leg)| leg.hole == Some(from))?;
        let mut bench = bench.clone();
        bench.put_leg(leg, Some(to)).ok()?;
        return Some(bench);
    }
    if words.starts_with("A wire from ") || words.starts_with("Put a wire from ") {
        let mut bench = bench.clone();
        let part = PartIx(bench.parts.len());
        let card = parts::card("wire")?;
        bench.parts.push(halfrow_core::part::Part::new("W99", card));
        for (pin, &hole) in holes.iter().take(2).enumerate() {
            bench.put_leg(LegId { part, pin }, Some(hole)).ok()?;
        }
        return Some(bench);
    }
    None
}

/// Findings that hurt a part: what a remedy must never bring about.
const HARM: [&str; 8] = [
    "short-circuit",
    "short-when-switched",
    "led-no-resistor",
    "output-shorted",
    "outputs-fight",
    "too-much-current",
    "chip-reversed",
    "too-much-reverse",
];

/// For each kind of slip: the least share that is told as a fault or a risk, and the least share of
/// the moves that are proposed that make the right circuit again. What stays untold is mostly a leg
/// that meets another chip's pin, which only the plan can tell from what was meant. Of chips and switches a
/// row off few are told as a move, and those four (a slide switch of the stairs) as a wire's move, wrongly.
/// The shares of legs a row off were 0.97 and 0.99 while fewer moves were proposed: of all kinds together 930 of
/// 959 were right then, 973 of 1005 are now.
const LEAST: [(&str, f64, f64); 6] = [
    ("rail", 0.92, 1.0),
    ("row up", 0.90, 0.96),
    ("row down", 0.92, 0.98),
    ("across", 0.84, 0.93),
    ("missing", 0.86, 1.0),
    ("shift", 0.95, 0.0),
];

#[derive(Default)]
struct Tally {
    all: usize,
    told: usize,
    habit: Vec<String>,
    silent: Vec<String>,
    /// The finding marks the leg that slipped.
    marked: usize,
    markable: usize,
    /// A leg is to be moved, and that makes the right circuit again.
    healed: usize,
    moved: usize,
    wrong: Vec<String>,
    harmful: Vec<String>,
    many: Vec<String>,
}

fn in_words(found: &[Finding]) -> String {
    let line = |it: &Finding| format!("{}: {} {}", it.code, it.says, it.remedy);
    found.iter().map(line).collect::<Vec<_>>().join("\n      ")
}

fn share(part: usize, all: usize) -> f64 {
    part as f64 / all.max(1) as f64
}

impl Tally {
    /// Adds a slip on the bench of a name, of which the right joints are known.
    fn add(&mut self, name: &str, slip: &Slip, meant: &[Joined]) {
        self.all += 1;
        let found = check(&slip.bench, &solve(&slip.bench));
        let told: Vec<Finding> = found.iter().filter(|it| it.severity != Severity::Habit).cloned().collect();
        if !told.is_empty() {
            self.told += 1;
        } else if found.is_empty() {
            self.silent.push(name.to_owned());
        } else {
            self.habit.push(format!("{name}\n      {}", in_words(&found)));
        }
        if told.len() > 2 {
            self.many.push(format!("{name}\n      {}", in_words(&told)));
        }
        if let Some(at) = slip.at {
            self.markable += 1;
            self.marked += usize::from(told.iter().any(|it| it.holes.contains(&at)));
        }
        self.look_for_harm(name, slip, &found, &told);
        if let (Some(first), Some(_)) = (told.first(), slip.at)
            && let Some(after) = mended(&slip.bench, first)
            && first.remedy.starts_with("Move ")
        {
            self.moved += 1;
            if joins(&after) == meant {
                self.healed += 1;
            } else {
                self.wrong.push(format!("{name}\n      {}", in_words(&told)));
            }
        }
    }

    fn look_for_harm(&mut self, name: &str, slip: &Slip, found: &[Finding], told: &[Finding]) {
        for finding in told {
            let Some(after) = mended(&slip.bench, finding) else { continue };
            let again = first_look(&after, &solve(&after));
            let is_new = |it: &&Finding| {
                HARM.contains(&it.code.word()) && !found.iter().any(|old| old.code == it.code)
            };
            if let Some(new) = again.iter().find(is_new) {
                let words = in_words(told);
                self.harmful.push(format!("{name}\n      {words}\n      THEN {}: {}", new.code, new.says));
            }
        }
    }

    fn print(&self, kind: &str) {
        println!(
            "{kind}: {} slips, {} told, {} habit, {} silent; marked {} of {}; healed {} of {}; harmful {}; more than two findings {}",
            self.all,
            self.told,
            self.habit.len(),
            self.silent.len(),
            self.marked,
            self.markable,
            self.healed,
            self.moved,
            self.harmful.len(),
            self.many.len()
        );
        if std::env::var("HALFROW_SLIPS").is_err() {
            return;
        }
        for (what, lines) in [
            ("SILENT", &self.silent),
            ("HABIT", &self.habit),
            ("WRONG", &self.wrong),
            ("HARMFUL", &self.harmful),
            ("MANY", &self.many),
        ] {
            for line in lines {
                println!("   {what} {line}");
            }
        }
    }

    fn is_enough(&self, kind: &str) {
        let (_, told, healed) = LEAST.iter().find(|least| least.0 == kind).expect("every kind has a least");
        assert!(share(self.told, self.all) >= *told, "{kind}: {} of {} told", self.told, self.all);
        let right = share(self.healed, self.moved);
        assert!(self.moved == 0 || right >= *healed, "{kind}: {} of {}", self.healed, self.moved);
        assert!(self.harmful.is_empty(), "{kind}: {}", self.harmful.join("\n"));
        assert!(share(self.many.len(), self.all) <= 0.03, "{kind}: {}", self.many.join("\n"));
    }
}

#[test]
fn slips_of_the_hand_are_noticed_and_mended() {
    let mut by_kind: Vec<(String, Tally)> = Vec::new();
    for example in ALL.iter().filter(|example| example.twin.is_none()) {
        let right = halfrow_file::read(example.text()).unwrap();
        let meant = joins(&right);
        for slip in slips(&right) {
            if joins(&slip.bench) == meant {
                continue;
            }
            let kind = slip.name.split(':').next().unwrap();
            let at = by_kind.iter().position(|(own, _)| own == kind).unwrap_or_else(|| {
                by_kind.push((kind.to_owned(), Tally::default()));
                by_kind.len() - 1
            });
            by_kind[at].1.add(&format!("{} {}", example.slug, slip.name), &slip, &meant);
        }
    }
    for (kind, tally) in &by_kind {
        tally.print(kind);
    }
    for (kind, tally) in &by_kind {
        tally.is_enough(kind);
    }
}
