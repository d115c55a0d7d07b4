//! Whether two forms are one circuit: colour refinement, individualisation, and a bijection that is checked.
//!
//! Pieces and nets of both forms are coloured together: first by what they are, then again and again by
//! the colours around them, until nothing changes (1-WL). Where colours tell not enough apart, one piece is
//! given a partner by hand and everything is coloured anew (McKay and Piperno, J. Symb. Comput. 60, 2014).
//! Colours are ranks of sorted descriptions, never hashes; and what is answered has been checked pin by pin.

use std::future::Future;
use std::pin::Pin;

use halfrow_core::nets::DisjointSets;
use halfrow_core::part::Part;
use halfrow_core::time::portions::{LetGo, finish};

use crate::form::{Form, Shapes, does_for};

/// The most colourings before the question is given up. A plan of a hundred parts in ten equal copies
/// takes about a hundred; a strongly regular graph of resistors some thousands.
const MAX_COLOURINGS: usize = 30_000;

/// Which is which.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Match {
    /// For each piece of the plan the piece of the build.
    pub pieces: Vec<usize>,
    /// For each net of the plan the net of the build.
    pub nets: Vec<usize>,
}

/// An answer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Same {
    /// They are one circuit.
    Yes(Match),
    /// They are not: every bijection has been ruled out.
    No,
    /// Given up.
    Unknown,
}

/// One of the forms with what belongs to it.
#[derive(Clone, Copy)]
pub(crate) struct Half<'a> {
    pub form: &'a Form,
    pub parts: &'a [Part],
    /// Parts that were made one: a piece whose part has a number beyond all parts is one of these.
    pub chains: &'a [Vec<Part>],
}

impl Half<'_> {
    /// The parts of a piece, by the number that it gives.
    fn parts_of(&self, part: usize) -> &[Part] {
        match part.checked_sub(self.parts.len()) {
            None => &self.parts[part..=part],
            Some(chain) => &self.chains[chain],
        }
    }
}

struct Comparison<'a> {
    halves: [Half<'a>; 2],
    shapes: &'a Shapes,
    /// How many colourings are left.
    left: usize,
    /// Whether both halves are the same form, which is asked for its symmetries: values count to the last
    /// digit then, and as little as possible changes places.
    symmetry: bool,
    /// For each net, its terminals: piece, role; one list a half.
    around: [Vec<Vec<(usize, u8)>>; 2],
}

/// Colours: pieces of the plan, pieces of the build, nets of the plan, nets of the build.
#[derive(Clone)]
struct Colours {
    pieces: [Vec<u32>; 2],
    nets: [Vec<u32>; 2],
    count: usize,
}

/// A description of a vertex by the colours around it.
type Words = Vec<u32>;

/// Compares.
pub(crate) fn same(plan: Half<'_>, build: Half<'_>, shapes: &Shapes) -> Same {
    finish(same_in_portions(plan, build, shapes))
}

/// The same; lets go after each colouring.
pub(crate) async fn same_in_portions(plan: Half<'_>, build: Half<'_>, shapes: &Shapes) -> Same {
    ask(plan, build, shapes, None).await
}

/// Looks for a symmetry of a form that takes some nets to others, and leaves alone what it can.
pub(crate) fn symmetry(half: Half<'_>, shapes: &Shapes, takes: &[(usize, usize)]) -> Same {
    finish(ask(half, half, shapes, Some(takes)))
}

/// The colours of a form's nets: nets that a symmetry exchanges have the same.
pub(crate) fn net_colours(half: Half<'_>, shapes: &Shapes) -> Vec<u32> {
    let mut comparison = Comparison::of(half, half, shapes, true);
    let mut colours = comparison.first();
    comparison.refine(&mut colours);
    let [nets, _] = colours.nets;
    nets
}

async fn ask(plan: Half<'_>, build: Half<'_>, shapes: &Shapes, takes: Option<&[(usize, usize)]>) -> Same {
    if plan.form.pieces.len() != build.form.pieces.len() || plan.form.nets != build.form.nets {
        return Same::No;
    }
    let mut comparison = Comparison::of(plan, build, shapes, takes.is_some());
    let mut colours = comparison.first();
    for (number, &(a, b)) in takes.unwrap_or_default().iter().enumerate() {
        let own = (colours.count + number) as u32;
        colours.nets[0][a] = own;
        colours.nets[1][b] = own;
    }
    comparison.find(colours).await
}

impl<'a> Comparison<'a> {
    fn of(plan: Half<'a>, build: Half<'a>, shapes: &'a Shapes, symmetry: bool) -> Comparison<'a> {
        let around = [plan, build].map(|half| {
            let mut around = vec![Vec::new(); half.form.nets];
            for (index, piece) in half.form.pieces.iter().enumerate() {
                for (at, net) in piece.nets.iter().enumerate() {
                    if let Some(net) = net {
                        around[*net].push((index, shapes.0[piece.shape].roles[at]));
                    }
                }
            }
            around
        });
        let left = if symmetry { MAX_COLOURINGS / 100 } else { MAX_COLOURINGS };
        Comparison { halves: [plan, build], shapes, left, symmetry, around }
    }

    /// Colours by what things are: the shape, and for values the crowd of those that can stand for each
    /// other.
    fn first(&self) -> Colours {
        let [plan, build] = self.halves;
        let n = plan.form.pieces.len();
        let mut sets = DisjointSets::new(2 * n);
        for (index, piece) in plan.form.pieces.iter().enumerate() {
            for (other, partner) in build.form.pieces.iter().enumerate() {
                if piece.shape == partner.shape && self.values_do(piece.part, partner.part) {
                    sets.join(index, n + other);
                }
            }
        }
        let pieces = [0, 1].map(|half| (0..n).map(|index| sets.root(half * n + index) as u32).collect());
        let nets = [0, 1].map(|half| vec![2 * n as u32; self.halves[half].form.nets]);
        Colours { pieces, nets, count: 2 * n + 1 }
    }

    /// Whether the parts of two pieces do for each other by their values.
    fn values_do(&self, plan: usize, build: usize) -> bool {
        let [own, other] = self.halves;
        let (own, other) = (own.parts_of(plan), other.parts_of(build));
        own.len() == other.len()
            && own.iter().zip(other).all(|(plan, build)| {
                if self.symmetry {
                    plan.card == build.card && plan.values == build.values
                } else {
                    does_for(plan, build)
                }
            })
    }

    fn words_of_piece(&self, half: usize, index: usize, colours: &Colours, words: &mut Words) {
        let piece = &self.halves[half].form.pieces[index];
        let roles = &self.shapes.0[piece.shape].roles;
        words.clear();
        words.push(colours.pieces[half][index]);
        // Terminals that can be exchanged are listed in the order of their colours.
        let mut list: Vec<(u8, u32)> = piece
            .nets
            .iter()
            .zip(roles)
            .map(|(net, &role)| (role, net.map_or(u32::MAX, |net| colours.nets[half][net])))
            .collect();
        list.sort_unstable();
        words.extend(list.into_iter().map(|it| it.1));
    }

    fn words_of_net(&self, half: usize, net: usize, colours: &Colours, words: &mut Words) {
        words.clear();
        words.push(colours.nets[half][net]);
        let mut list: Vec<(u32, u32)> = self.around[half][net]
            .iter()
            .map(|&(piece, role)| (colours.pieces[half][piece], u32::from(role)))
            .collect();
        list.sort_unstable();
        for (colour, role) in list {
            words.extend([colour, role]);
        }
    }

    /// Colours until nothing changes. `false` where a colour is worn more often in one form.
    fn refine(&mut self, colours: &mut Colours) -> bool {
        colours.count = usize::MAX;
        loop {
            self.left = self.left.saturating_sub(1);
            let mut all: Vec<(Words, usize, bool, usize)> = Vec::new();
            for half in 0..2 {
                for index in 0..colours.pieces[half].len() {
                    let mut words = Words::new();
                    self.words_of_piece(half, index, colours, &mut words);
                    all.push((words, half, false, index));
                }
                for net in 0..colours.nets[half].len() {
                    let mut words = Words::new();
                    self.words_of_net(half, net, colours, &mut words);
                    // Pieces and nets never share a colour: a net's description begins with one of nets.
                    all.push((words, half, true, net));
                }
            }
            all.sort_unstable();
            let mut count = 0;
            let mut at = 0;
            while at < all.len() {
                let end = at + all[at..].iter().take_while(|it| it.0 == all[at].0).count();
                let of_plan = all[at..end].iter().filter(|it| it.1 == 0).count();
                if 2 * of_plan != end - at {
                    return false;
                }
                for &(_, half, is_net, index) in &all[at..end] {
                    let list = if is_net { &mut colours.nets } else { &mut colours.pieces };
                    list[half][index] = count as u32;
                }
                count += 1;
                at = end;
            }
            if count == colours.count {
                return true;
            }
            colours.count = count;
        }
    }

    /// Looks for a bijection within colours.
    fn find<'s>(&'s mut self, colours: Colours) -> Pin<Box<dyn Future<Output = Same> + 's>> {
        Box::pin(self.find_within(colours))
    }

    async fn find_within(&mut self, mut colours: Colours) -> Same {
        if !self.refine(&mut colours) {
            return Same::No;
        }
        LetGo::default().await;
        let Some((is_net, colour)) = self.smallest_crowd(&colours) else {
            let found = self.read(&colours);
            return if self.holds(&found) { Same::Yes(found) } else { Same::No };
        };
        let (one, partners) = self.partners(&colours, is_net, colour);
        for partner in partners {
            if self.left == 0 {
                return Same::Unknown;
            }
            let mut next = colours.clone();
            let list = if is_net { &mut next.nets } else { &mut next.pieces };
            list[0][one] = u32::MAX - 1;
            list[1][partner] = u32::MAX - 1;
            match self.find(next).await {
                Same::No => {}
                answer => return answer,
            }
        }
        Same::No
    }

    /// The first of the plan that wears a colour, and who of the build could be its partner: the likeliest
    /// first.
    fn partners(&self, colours: &Colours, is_net: bool, colour: u32) -> (usize, Vec<usize>) {
        let list = if is_net { &colours.nets } else { &colours.pieces };
        let members = |half: usize| -> Vec<usize> {
            (0..list[half].len()).filter(|&index| list[half][index] == colour).collect()
        };
        let one = members(0)[0];
        let mut partners = members(1);
        if !is_net {
            let [plan, build] = self.halves;
            let own = plan.form.pieces[one].part;
            let other = |partner: usize| build.form.pieces[partner].part;
            partners.retain(|&partner| self.values_do(own, other(partner)));
            let id = |parts: &[Part]| parts.first().map(|it| it.id.clone());
            let own = id(plan.parts_of(own));
            partners.sort_by_key(|&partner| id(build.parts_of(other(partner))) != own);
        }
        if self.symmetry {
            // Itself, or who stands where it stood.
            let taken = (0..list[0].len()).find(|&it| list[0][it] == list[1][one]);
            partners.sort_by_key(|&partner| (partner != one, Some(partner) != taken));
        }
        (one, partners)
    }

    /// The smallest colour that more than one of each form wear: pieces before nets.
    fn smallest_crowd(&self, colours: &Colours) -> Option<(bool, u32)> {
        let mut counts = vec![(0_u32, false); colours.count];
        for (is_net, list) in [(false, &colours.pieces[0]), (true, &colours.nets[0])] {
            for &colour in list {
                counts[colour as usize].0 += 1;
                counts[colour as usize].1 = is_net;
            }
        }
        let crowds = counts.iter().enumerate().filter(|it| it.1.0 > 1);
        crowds.min_by_key(|it| (it.1.1, it.1.0)).map(|(colour, it)| (it.1, colour as u32))
    }

    /// Which is which, where each colour is worn once in each form.
    fn read(&self, colours: &Colours) -> Match {
        let partner = |lists: &[Vec<u32>; 2]| -> Vec<usize> {
            let mut at = vec![0; colours.count];
            for (index, &colour) in lists[1].iter().enumerate() {
                at[colour as usize] = index;
            }
            lists[0].iter().map(|&colour| at[colour as usize]).collect()
        };
        Match { pieces: partner(&colours.pieces), nets: partner(&colours.nets) }
    }

    /// Whether it is a bijection that joins the same pins, part by part of values that do.
    fn holds(&self, found: &Match) -> bool {
        let [plan, build] = self.halves;
        let once = |list: &[usize], n: usize| {
            let mut seen = vec![false; n];
            list.len() == n && list.iter().all(|&it| !std::mem::replace(&mut seen[it], true))
        };
        once(&found.pieces, build.form.pieces.len())
            && once(&found.nets, build.form.nets)
            && plan.form.pieces.iter().zip(&found.pieces).all(|(piece, &partner)| {
                let other = &build.form.pieces[partner];
                let roles = &self.shapes.0[piece.shape].roles;
                let mut own: Vec<(u8, Option<usize>)> = piece
                    .nets
                    .iter()
                    .zip(roles)
                    .map(|(net, &role)| (role, net.map(|net| found.nets[net])))
                    .collect();
                let mut theirs: Vec<(u8, Option<usize>)> =
                    other.nets.iter().zip(roles).map(|(&net, &role)| (role, net)).collect();
                own.sort_unstable();
                theirs.sort_unstable();
                piece.shape == other.shape && own == theirs && self.values_do(piece.part, other.part)
            })
    }
}

#[cfg(test)]
mod tests;
