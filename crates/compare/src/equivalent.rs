//! Another circuit that does the same, for a reason that can be named.
//!
//! Parts in series between two nets are made one piece whose order counts for nothing; what adds up, in
//! series or in parallel, is made one part; pins of which an exchange only turns round what the hand does are
//! taken as alike. Where the forms are one circuit then, and were not before, the build is equivalent.

use halfrow_core::card::Value;
use halfrow_core::part::Part;

use crate::equal::{Half, Same, same_in_portions};
use crate::form::{Form, Piece, Shape, Shapes};

/// The reasons, and the plan's names with the build's.
pub(crate) type Reasons = (Vec<String>, Vec<(String, String)>);

/// A part in a chain, and whether its first terminal comes first.
#[derive(Clone, Debug)]
struct Item {
    part: Part,
    forward: bool,
    /// The names of all parts that it is made of.
    ids: Vec<String>,
}

/// Parts in series between two nets.
#[derive(Clone, Debug)]
struct Chain {
    ends: [usize; 2],
    items: Vec<Item>,
}

/// A form with its chains made one piece each.
struct Reduced {
    form: Form,
    parts: Vec<Vec<Part>>,
    /// The chain of each piece that is one.
    chains: Vec<Chain>,
}

/// Why a build does the same as a plan that it is not equal to; `None` where it does not.
pub(crate) async fn reasons(plan: Half<'_>, build: Half<'_>, shapes: &Shapes) -> Option<Reasons> {
    let mut shapes = shapes.clone();
    let [own, other] = [plan, build].map(|half| reduce(half, &mut shapes));
    let of_plan = Half { form: &own.form, parts: plan.parts, chains: &own.parts };
    let of_build = Half { form: &other.form, parts: build.parts, chains: &other.parts };
    let Same::Yes(found) = same_in_portions(of_plan, of_build, &shapes).await else { return None };
    let mut reasons = Vec::new();
    let mut names = Vec::new();
    for (piece, &partner) in own.form.pieces.iter().zip(&found.pieces) {
        let with = &other.form.pieces[partner];
        match (piece.part.checked_sub(plan.parts.len()), with.part.checked_sub(build.parts.len())) {
            (Some(a), Some(b)) => {
                let (a, b) = (&own.chains[a], &other.chains[b]);
                reasons.extend(reason(a, b));
                if ids(a).len() == ids(b).len() {
                    // By kind: which of two equal resistors is which is all one.
                    names.extend(ids(a).into_iter().zip(ids(b)));
                }
            }
            _ => {
                let (part, partner) = (&plan.parts[piece.part], &build.parts[with.part]);
                let turned = part.card.handed.iter().any(|&(pin, _)| {
                    let at = |piece: &Piece| {
                        let terminal = piece.pins.iter().position(|pins| pins.contains(&usize::from(pin)));
                        terminal.and_then(|it| piece.nets[it])
                    };
                    at(piece).map(|net| found.nets[net]) != at(with)
                });
                if turned {
                    reasons.push(format!("{} works the other way round.", partner.id));
                }
                names.push((part.id.clone(), partner.id.clone()));
            }
        }
    }
    names.dedup();
    if reasons.is_empty() {
        reasons.push("What is in series is in another order.".to_owned());
    }
    Some((reasons, names))
}

fn ids(chain: &Chain) -> Vec<String> {
    let mut items: Vec<&Item> = chain.items.iter().collect();
    items.sort_by_key(|it| it.part.card.kind);
    items.into_iter().flat_map(|it| it.ids.clone()).collect()
}

/// Why two chains do the same, where they are not the same.
fn reason(plan: &Chain, build: &Chain) -> Option<String> {
    let parts = |chain: &Chain| -> Vec<String> { chain.items.iter().flat_map(|it| it.ids.clone()).collect() };
    let list = |ids: &[String]| match ids {
        [all @ .., last] if !all.is_empty() => format!("{} and {last}", all.join(", ")),
        _ => ids.concat(),
    };
    for (own, other) in paired(plan, build) {
        if own.ids.len() != other.ids.len() {
            let verb = if other.ids.len() == 1 { "stands for" } else { "together stand for" };
            return Some(format!(
                "{} {verb} {} of the plan: the same value.",
                list(&other.ids),
                list(&own.ids)
            ));
        }
    }
    let kinds =
        |chain: &Chain| -> Vec<&'static str> { chain.items.iter().map(|it| it.part.card.kind).collect() };
    let (own, other) = (kinds(plan), kinds(build));
    let back: Vec<&str> = other.iter().rev().copied().collect();
    // Without a part that minds its way round, a chain reads the same from either end.
    let either_way = plan.items.iter().all(|it| is_alike(&it.part));
    if own != other && !(either_way && own == back) {
        let mut ids = parts(build);
        ids.sort();
        let words = list(&ids);
        return Some(format!("{words} are in series, so their order makes no difference."));
    }
    None
}

/// The items of two chains, sorted alike.
fn paired<'a>(plan: &'a Chain, build: &'a Chain) -> Vec<(&'a Item, &'a Item)> {
    let sorted = |chain: &'a Chain| -> Vec<&'a Item> {
        let mut items: Vec<&Item> = chain.items.iter().collect();
        items.sort_by_key(|it| sort_key(it));
        items
    };
    sorted(plan).into_iter().zip(sorted(build)).collect()
}

/// By kind, way and value, so that equal chains list their parts in one order.
fn sort_key(item: &Item) -> (&'static str, bool, Vec<i64>) {
    let value = |value: &Value| match *value {
        // Finer than any tolerance, whatever the size.
        Value::Number(x) => (1e6 * halfrow_core::math::log10(x.abs().max(1e-30))) as i64,
        Value::Whole(n) | Value::Choice(n) => i64::from(n),
        Value::Flag(on) => i64::from(on),
    };
    (item.part.card.kind, item.forward || is_alike(&item.part), item.part.values.iter().map(value).collect())
}

fn is_alike(part: &Part) -> bool {
    !part.card.alike.is_empty()
}

fn reduce(half: Half<'_>, shapes: &mut Shapes) -> Reduced {
    let mut chains: Vec<Chain> = Vec::new();
    let mut pieces: Vec<Piece> = Vec::new();
    for piece in &half.form.pieces {
        let part = &half.parts[piece.part];
        let ends = [piece.nets.first().copied().flatten(), piece.nets.get(1).copied().flatten()];
        if let ([Some(a), Some(b)], 2, false, None) = (ends, piece.nets.len(), piece.gate, part.card.source) {
            let item = Item { part: part.clone(), forward: true, ids: vec![part.id.clone()] };
            chains.push(Chain { ends: [a, b], items: vec![item] });
        } else {
            pieces.push(piece.clone());
        }
    }
    while in_series(&mut chains, &pieces, half.form.nets) || in_parallel(&mut chains) {}
    // Nets that have vanished are numbered no more.
    let mut used: Vec<usize> = chains.iter().flat_map(|it| it.ends).collect();
    used.extend(pieces.iter().flat_map(|it| it.nets.iter().flatten().copied()));
    used.sort_unstable();
    used.dedup();
    let number = |net: usize| used.binary_search(&net).expect("listed above");
    for piece in &mut pieces {
        piece.nets.iter_mut().flatten().for_each(|net| *net = number(*net));
        let card = half.parts[piece.part].card;
        if !card.handed.is_empty() {
            let mut shape = shapes.0[piece.shape].clone();
            for &(a, b) in card.handed {
                let at = |pin: u8| piece.pins.iter().position(|pins| pins.contains(&usize::from(pin)));
                if let (Some(a), Some(b)) = (at(a), at(b)) {
                    shape.roles[b] = shape.roles[a];
                }
            }
            shape.kind += ", either way";
            piece.shape = shapes.number(shape);
        }
    }
    let mut parts = Vec::new();
    for chain in &mut chains {
        let word = |chain: &Chain, back: bool| -> Vec<(&'static str, bool)> {
            let mut words: Vec<(&'static str, bool)> = chain
                .items
                .iter()
                .map(|it| (it.part.card.kind, is_alike(&it.part) || (it.forward != back)))
                .collect();
            words.sort_unstable();
            words
        };
        if word(chain, true) < word(chain, false) {
            chain.ends.reverse();
            chain.items.reverse();
            chain.items.iter_mut().for_each(|it| it.forward = !it.forward);
        }
        let alike = word(chain, true) == word(chain, false);
        let kind = format!("{:?}", word(chain, false));
        let shape =
            shapes.number(Shape { kind, gate: false, roles: if alike { vec![0, 0] } else { vec![0, 1] } });
        let nets = chain.ends.map(|net| Some(number(net))).to_vec();
        pieces.push(Piece {
            part: half.parts.len() + parts.len(),
            gate: false,
            shape,
            pins: vec![vec![0], vec![1]],
            nets,
        });
        let mut items: Vec<&Item> = chain.items.iter().collect();
        items.sort_by_key(|it| sort_key(it));
        parts.push(items.into_iter().map(|it| it.part.clone()).collect());
    }
    Reduced { form: Form { pieces, nets: used.len(), unjoined: vec![] }, parts, chains }
}

/// Makes two chains one where a net joins nothing but their ends.
fn in_series(chains: &mut Vec<Chain>, pieces: &[Piece], nets: usize) -> bool {
    let mut crowd = vec![0_u32; nets];
    pieces.iter().flat_map(|it| it.nets.iter().flatten()).for_each(|&net| crowd[net] += 1);
    chains.iter().flat_map(|it| it.ends).for_each(|net| crowd[net] += 1);
    for one in 0..chains.len() {
        for other in one + 1..chains.len() {
            let shared = chains[one].ends.iter().copied().find(|net| {
                crowd[*net] == 2
                    && chains[other].ends.contains(net)
                    && chains[one].ends[0] != chains[one].ends[1]
            });
            let Some(net) = shared else { continue };
            let mut second = chains.remove(other);
            let first = &mut chains[one];
            let turn = |chain: &mut Chain| {
                chain.ends.reverse();
                chain.items.reverse();
                chain.items.iter_mut().for_each(|it| it.forward = !it.forward);
            };
            if first.ends[1] != net {
                turn(first);
            }
            if second.ends[0] != net {
                turn(&mut second);
            }
            first.ends[1] = second.ends[1];
            first.items.extend(second.items);
            add_up(first);
            return true;
        }
    }
    false
}

/// Makes parts of a chain one that add up in series.
fn add_up(chain: &mut Chain) {
    let mut items: Vec<Item> = Vec::new();
    for item in chain.items.drain(..) {
        let fellow =
            items.iter_mut().find(|it| it.part.card == item.part.card && item.part.card.sums.is_some());
        match fellow {
            Some(own) => own.join(&item, true),
            None => items.push(item),
        }
    }
    chain.items = items;
}

/// Makes two chains one that are a part each, of a kind that adds up, between the same nets.
fn in_parallel(chains: &mut Vec<Chain>) -> bool {
    for one in 0..chains.len() {
        for other in one + 1..chains.len() {
            let (a, b) = (&chains[one], &chains[other]);
            let ([own], [with]) = (&a.items[..], &b.items[..]) else { continue };
            let same_ends = a.ends == b.ends || (a.ends == [b.ends[1], b.ends[0]] && is_alike(&own.part));
            if same_ends && own.part.card == with.part.card && own.part.card.sums.is_some() {
                let second = chains.remove(other);
                chains[one].items[0].join(&second.items[0], false);
                return true;
            }
        }
    }
    false
}

impl Item {
    /// Takes in another part of its kind.
    fn join(&mut self, other: &Item, in_series: bool) {
        let Some(sums) = self.part.card.sums else { return };
        let param = usize::from(sums.param);
        let (a, b) = (self.part.number(param), other.part.number(param));
        let sum = if sums.in_series == in_series { a + b } else { a * b / (a + b) };
        self.part.values[param] = Value::Number(sum);
        self.ids.extend(other.ids.iter().cloned());
    }
}
