//! Where words on the board stand: the names of parts beside them, and off other parts, legs and words
//! where there is room.

use halfrow_core::bench::{Bench, PartIx};
use halfrow_core::card::Group;
use halfrow_core::shape::{Point, Shape, Sketch};

use crate::chip;
use crate::layout::{self, Area};

/// Height of the type, drawing units.
const SIZE: f32 = 11.5;

/// The largest type with which every label tells the part's value too; with larger ones only where there is
/// room for it.
pub const WITH_VALUE: f32 = 16.0;

/// How many square units of what matters a label in large type may cover to tell the value: less than the
/// end of a leg (twice twelve by twelve), so that each hole in use is still seen to be.
const ROOM: f32 = 250.0;

/// The largest type of words on the board: larger ones would hide it.
pub const LARGEST: f32 = 20.5;

/// What a unit of way from the usual place costs, in covered square units: with more, labels cover
/// legs; with less, they wander off to where nobody looks for them.
const WAY: f32 = 2.0;

/// How far labels may stand out beside the boards, in units.
const MARGIN: f32 = 20.0;

/// What a square unit of other words costs.
const OTHERS: f32 = 8.0;

/// A name and where it stands: the middle of its base line.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    /// Base line's middle.
    pub at: Point,
    /// The words.
    pub words: String,
}

impl Label {
    fn area(&self, size: f32) -> Area {
        chip::area(self.at, &self.words, size)
    }
}

/// Height of the bands that what is taken is sorted into, in units: a label asks four or five of them what is
/// near. Lower ones list long things many times, higher ones what is far away.
const BAND: f32 = 40.0;

/// Finds places for words where they cover little of what is there.
#[derive(Clone, Debug)]
pub struct Placer {
    sheet: Area,
    taken: Vec<(Area, f32)>,
    /// For each band of the sheet, from above, what reaches into it.
    bands: Vec<Vec<u32>>,
    size: f32,
}

impl Placer {
    /// For words in no type smaller than `least`, on a bench with these labels.
    pub fn new(bench: &Bench, least: f32, labels: &[Label]) -> Placer {
        let mut taken: Vec<(Area, f32)> = Vec::new();
        for ix in (0..bench.parts.len()).map(PartIx) {
            obstacles(bench, ix, &mut taken);
        }
        for index in 0..bench.boards.len() {
            // The rows' numbers.
            let x0 = f32::from(bench.board_x(index)) * 10.0;
            let height = layout::board(bench, index).height;
            for x in [x0 - 28.0, x0 + 228.0] {
                taken.push((Area { x, y: 0.0, width: 20.0, height }, 0.2));
            }
        }
        // Beside the boards there is a narrow margin on every picture.
        let (first, last) = (layout::board(bench, 0), layout::board(bench, bench.boards.len() - 1));
        let height = layout::bounds(bench).height;
        let sheet = Area {
            x: first.x - MARGIN,
            width: last.x + last.width - first.x + 2.0 * MARGIN,
            height,
            ..first
        };
        let size = least.max(SIZE);
        taken.extend(labels.iter().map(|label| (label.area(size), OTHERS)));
        let bands = vec![Vec::new(); (sheet.height / BAND).ceil().max(1.0) as usize];
        let mut placer = Placer { sheet, taken: Vec::with_capacity(taken.len() + labels.len()), bands, size };
        for (area, weight) in taken {
            placer.take(area, weight);
        }
        placer
    }

    /// The same once more, off these labels too.
    pub fn with(&self, labels: &[Label]) -> Placer {
        let mut placer = self.clone();
        for label in labels {
            placer.take(label.area(self.size), OTHERS);
        }
        placer
    }

    /// The labels of the parts off what is taken, see [`labels`].
    pub fn labels(&self, bench: &Bench, pointed: Option<PartIx>) -> Vec<Label> {
        let mut placer = self.clone();
        let all = (0..bench.parts.len()).map(PartIx);
        all.filter_map(|part| placer.label(bench, part, pointed == Some(part))).collect()
    }

    /// Finds a place for the label of a part, where it has one: in full where the part is pointed at.
    fn label(&mut self, bench: &Bench, ix: PartIx, pointed: bool) -> Option<Label> {
        let (part, size) = (bench.part(ix), self.size);
        let left_out = size > LARGEST && !pointed;
        if part.card.is_wire() || layout::is_off_board(bench, ix) || left_out {
            return None;
        }
        let (id, title) = (part.id.clone(), part.title());
        let long = places(bench, ix, &title, size);
        let short = !pointed
            && (part.card.group == Group::Light
                || (size > WITH_VALUE && self.best(&long, &title).covered > ROOM));
        let (words, places) = if short { (id.clone(), places(bench, ix, &id, size)) } else { (title, long) };
        let (at, _) = self.put(&places, &words);
        Some(Label { at, words })
    }

    /// The bands that an area reaches into; what is above or below the sheet counts to its edge.
    fn bands_of(&self, area: &Area) -> std::ops::RangeInclusive<usize> {
        let band = |y: f32| (((y - self.sheet.y) / BAND).max(0.0) as usize).min(self.bands.len() - 1);
        band(area.y)..=band(area.y + area.height)
    }

    fn take(&mut self, area: Area, weight: f32) {
        let index = self.taken.len() as u32;
        for band in self.bands_of(&area) {
            self.bands[band].push(index);
        }
        self.taken.push((area, weight));
    }

    /// What is taken and has something in common with an area, in the order in which it was.
    fn near(&self, reach: &Area) -> Vec<(Area, f32)> {
        let mut found: Vec<u32> = self.bands[self.bands_of(reach)].iter().flatten().copied().collect();
        found.sort_unstable();
        found.dedup();
        let near = found.into_iter().map(|index| self.taken[index as usize]);
        near.filter(|(area, _)| area.common(reach) > 0.0).collect()
    }

    /// The place for words, of those on offer, and how many square units of what matters they cover
    /// there. From now on it is taken.
    pub fn put(&mut self, places: &[Point], words: &str) -> (Point, f32) {
        let best = self.best(places, words);
        self.take(best.area, OTHERS);
        (best.at, best.covered)
    }

    /// The best of the places on offer.
    fn best(&self, places: &[Point], words: &str) -> Best {
        let areas: Vec<Area> = places.iter().map(|at| chip::area(*at, words, self.size)).collect();
        // Most of what is on a board is out of reach of all of them.
        let far =
            |area: &Area| [Point::new(area.x, area.y), Point::new(area.x + area.width, area.y + area.height)];
        let reach = layout::around(&areas.iter().flat_map(far).collect::<Vec<_>>(), 0.0);
        let near = self.near(&reach);
        // What is covered, or infinity where that is certainly not less than `most`.
        let covered = |area: &Area, most: f32| {
            let mut covered = 0.0_f32;
            for (other, weight) in &near {
                covered += area.common(other) * weight;
                if covered >= most {
                    return f32::INFINITY;
                }
            }
            covered + (area.width * area.height - area.common(&self.sheet)) * 4.0
        };
        // The first of equals, so that the usual place wins.
        let mut best = (f32::INFINITY, 0);
        for (index, (area, at)) in areas.iter().zip(places).enumerate() {
            // What is too far away needs no closer look.
            let way = WAY * at.distance(places[0]);
            if way < best.0 {
                let price = covered(area, best.0 - way) + way;
                if price < best.0 {
                    best = (price, index);
                }
            }
        }
        let area = areas[best.1];
        Best { at: places[best.1], area, covered: covered(&area, f32::INFINITY) }
    }
}

/// A place for words, what they take up there, and how many square units of what matters they cover.
struct Best {
    at: Point,
    area: Area,
    covered: f32,
}

/// The labels of the parts on the board, in the order of parts; wires have none, and parts beside the
/// board carry theirs with them. No type is smaller than `least`: where it is large, labels tell the value only
/// if there is room, but that of the part that is pointed at; where it is larger still, they are left out.
pub fn labels(bench: &Bench, least: f32, pointed: Option<PartIx>) -> Vec<Label> {
    Placer::new(bench, least, &[]).labels(bench, pointed)
}

/// The labels once more with that of the part that is pointed at in full; the others stay where they are.
/// `bare` is a placer of the same bench without labels.
pub fn pointed_at(bench: &Bench, bare: &Placer, labels: &[Label], part: PartIx) -> Vec<Label> {
    let own = |it: &&Label| it.words.split(' ').next() == Some(bench.part(part).id.as_str());
    let mut all: Vec<Label> = labels.iter().filter(|it| !own(it)).cloned().collect();
    all.extend(bare.with(&all).label(bench, part, true));
    all
}

/// What a label should not cover of a part, and how much that hurts a square unit.
fn obstacles(bench: &Bench, ix: PartIx, taken: &mut Vec<(Area, f32)>) {
    let square =
        |at: Point, half: f32| Area { x: at.x - half, y: at.y - half, width: 2.0 * half, height: 2.0 * half };
    if layout::is_off_board(bench, ix) {
        taken.push((layout::shelf(bench, ix), 2.0));
        return;
    }
    let part = bench.part(ix);
    let ends: Vec<Point> = layout::legs(bench, ix).into_iter().flatten().collect();
    if part.is_rigid() && !ends.is_empty() {
        taken.push((layout::around(&ends, 12.0), 2.0));
        return;
    }
    taken.extend(ends.iter().map(|end| (square(*end, 6.0), 2.0)));
    if !part.card.is_wire() {
        taken.push((square(layout::centre(bench, ix), 15.0), 2.0));
    }
    if let [from, to, ..] = ends[..] {
        let pieces = (from.distance(to) / 12.0).ceil().max(1.0);
        let weight = if part.card.is_wire() { 0.6 } else { 1.5 };
        let mut along = 0.5;
        while along < pieces {
            taken.push((square(from.towards(to, along / pieces), 6.0), weight));
            along += 1.0;
        }
    }
}

/// Where a part's label may stand, the usual place first.
fn places(bench: &Bench, ix: PartIx, words: &str, size: f32) -> Vec<Point> {
    let part = bench.part(ix);
    let centre = layout::centre(bench, ix);
    let ends: Vec<Point> = layout::legs(bench, ix).into_iter().flatten().collect();
    let body = layout::around(&ends, 0.0);
    let steep = ends.len() >= 2 && (ends[1].y - ends[0].y).abs() > (ends[1].x - ends[0].x).abs();
    let half = chip::area(centre, words, size).width / 2.0;
    // Half of what the body takes up across, and above and below it.
    let (beside, over) = if part.is_rigid() {
        (body.width / 2.0 + 14.0, body.height / 2.0 + 16.0)
    } else {
        match part.card.group {
            // A buzzer is wider than what else stands on two legs.
            Group::Move => (33.0, 33.0),
            Group::Light => (22.0, 20.0),
            _ => (14.0, 14.0),
        }
    };
    let below = Point::new(centre.x, centre.y + over + if part.is_rigid() { 18.0 } else { 12.0 });
    let above = Point::new(centre.x, centre.y - over - 4.0);
    let right = Point::new(centre.x + beside + half, centre.y + 4.0);
    let left = Point::new(centre.x - beside - half, centre.y + 4.0);
    let mut places = if part.is_rigid() {
        vec![below, above, right, left]
    } else if steep && part.card.group != Group::Light {
        vec![right, left, above, below]
    } else {
        vec![above, below, right, left]
    };
    for shift in [20.0, -20.0, 40.0, -40.0, 60.0, -60.0] {
        places.extend([right, left].map(|at| Point::new(at.x, at.y + shift)));
        places.extend([above, below].map(|at| Point::new(at.x + shift, at.y)));
    }
    places
}

/// Labels as shapes, above all parts, with no type smaller than `least`.
pub fn draw(labels: &[Label], least: f32) -> Vec<Shape> {
    let mut sketch = Sketch::default();
    for label in labels {
        chip::draw(&mut sketch, label.at, &label.words, least.max(SIZE), true);
    }
    sketch.shapes
}

#[cfg(test)]
mod tests {
    use super::*;
    use halfrow_core::board::Hole;
    use halfrow_core::sample::blinker;

    #[test]
    fn labels_of_neighbours_keep_clear_of_each_other() {
        for least in [0.0, 14.0, 18.0] {
            let labels = labels(&blinker(1.0), least, None);
            assert!(labels.len() >= 5);
            for (index, one) in labels.iter().enumerate() {
                for other in &labels[index + 1..] {
                    let size = least.max(SIZE);
                    assert_eq!(one.area(size).common(&other.area(size)), 0.0, "{one:?} lies on {other:?}");
                }
            }
        }
    }

    #[test]
    fn values_are_told_where_there_is_room_and_always_of_the_part_that_is_pointed_at() {
        let bench = blinker(1.0);
        let is_long = |label: &Label| label.words.contains(' ');
        assert!(labels(&bench, 12.0, None).iter().filter(|it| is_long(it)).count() > 3);
        // On a board with much room the largest type has values too.
        let mut roomy = bench.clone();
        roomy.parts.retain(|part| part.card.kind == "resistor");
        assert!(labels(&roomy, 20.0, None).iter().all(is_long));
        let part = bench.parts.iter().position(|part| part.card.kind == "resistor").unwrap();
        for least in [18.0, 30.0] {
            let all = labels(&bench, least, Some(PartIx(part)));
            let id = &bench.parts[part].id;
            assert!(all.iter().any(|it| is_long(it) && it.words.starts_with(id)), "{least}");
        }
        assert!(labels(&bench, 30.0, None).is_empty());
    }

    #[test]
    fn what_is_pointed_at_is_told_in_full_and_nothing_else_moves() {
        let bench = blinker(1.0);
        let (least, all) = (18.0, labels(&bench, 18.0, None));
        let bare = Placer::new(&bench, least, &[]);
        for part in (0..bench.parts.len()).map(PartIx) {
            let told = pointed_at(&bench, &bare, &all, part);
            assert_eq!(told.len(), all.len(), "{part:?}");
            let own = |it: &Label| it.words.split(' ').next() == Some(bench.part(part).id.as_str());
            let others = told.iter().filter(|it| !own(it));
            assert!(others.clone().all(|it| all.contains(it)), "{part:?}");
            assert!(others.count() + 1 >= all.len(), "{part:?}");
        }
    }

    #[test]
    fn a_part_that_is_alone_has_its_label_in_the_usual_place() {
        let mut bench = blinker(1.0);
        bench.parts.retain(|part| part.card.kind == "resistor");
        bench.parts.truncate(1);
        for (leg, hole) in bench.parts[0].legs.iter_mut().zip(["c5", "c10"]) {
            leg.hole = Hole::parse(hole);
        }
        let centre = layout::centre(&bench, PartIx(0));
        let label = &labels(&bench, 0.0, None)[0];
        assert!(label.at.x > centre.x + 14.0 && (label.at.y - centre.y).abs() < 5.0, "{label:?}");
    }

    #[test]
    fn figures_keep_clear_of_labels_and_of_each_other() {
        let bench = blinker(1.0);
        let labels = labels(&bench, 0.0, None);
        let mut placer = Placer::new(&bench, 0.0, &labels);
        let mut taken: Vec<Area> = labels.iter().map(|label| label.area(SIZE)).collect();
        for label in &labels {
            let places: Vec<Point> =
                (0..12).map(|step| Point::new(label.at.x, label.at.y + 20.0 * step as f32)).collect();
            let (at, _) = placer.put(&places, "5.46 V");
            let area = chip::area(at, "5.46 V", SIZE);
            assert!(taken.iter().all(|other| other.common(&area) == 0.0), "{at:?}");
            taken.push(area);
        }
    }
}
