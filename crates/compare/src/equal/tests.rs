//! Held against all permutations, and against graphs that are known to be hard.

use halfrow_core::parts::card;

use super::*;
use crate::form::Joined;

/// A graph of equal resistors: an edge is one, a point a joint.
fn net_of(edges: &[(usize, usize)]) -> Joined {
    let resistor = card("resistor").unwrap();
    let parts: Vec<Part> = (0..edges.len()).map(|at| Part::new(format!("R{}", at + 1), resistor)).collect();
    let points = edges.iter().map(|it| it.0.max(it.1) + 1).max().unwrap_or(0);
    let ends = |point: usize| {
        let of = |at: usize| [(edges[at].0, 0), (edges[at].1, 1)].map(|(end, pin)| (end, (at, pin)));
        let ends = (0..edges.len()).flat_map(of).filter(|it| it.0 == point);
        ends.map(|it| it.1).collect::<Vec<(usize, usize)>>()
    };
    let joints: Vec<Vec<(usize, usize)>> = (0..points).map(ends).filter(|joint| !joint.is_empty()).collect();
    Joined::on_paper(parts, &joints)
}

/// Forms of two graphs, and what is made of them.
fn with<T>(
    a: &[(usize, usize)],
    b: &[(usize, usize)],
    ask: impl FnOnce(Half<'_>, Half<'_>, &Shapes) -> T,
) -> T {
    let (a, b) = (net_of(a), net_of(b));
    let mut shapes = Shapes::default();
    let (own, other) = (shapes.form(&a).at_work(), shapes.form(&b).at_work());
    let half = |form, parts| Half { form, parts, chains: &[] };
    ask(half(&own, &a.parts), half(&other, &b.parts), &shapes)
}

fn is_same(a: &[(usize, usize)], b: &[(usize, usize)]) -> bool {
    match with(a, b, same) {
        Same::Yes(_) => true,
        Same::No => false,
        Same::Unknown => panic!("given up"),
    }
}

fn permutations(n: usize) -> Vec<Vec<usize>> {
    let Some(last) = n.checked_sub(1) else { return vec![vec![]] };
    let insert = |shorter: &Vec<usize>, at: usize| {
        let mut longer = shorter.clone();
        longer.insert(at, last);
        longer
    };
    permutations(last).iter().flat_map(|it| (0..n).map(move |at| insert(it, at))).collect()
}

fn sorted(edges: impl Iterator<Item = (usize, usize)>) -> Vec<(usize, usize)> {
    let mut edges: Vec<(usize, usize)> = edges.map(|(a, b)| (a.min(b), a.max(b))).collect();
    edges.sort_unstable();
    edges
}

/// What counts of a graph: an edge that meets no other is a part that is joined to nothing.
fn at_work(edges: &[(usize, usize)]) -> Vec<(usize, usize)> {
    let degree = |point: usize| edges.iter().filter(|it| it.0 == point || it.1 == point).count();
    sorted(edges.iter().copied().filter(|&(a, b)| degree(a) > 1 || degree(b) > 1))
}

#[test]
fn all_graphs_of_four_points_agree_with_all_permutations() {
    let pairs = [(0, 1), (0, 2), (0, 3), (1, 2), (1, 3), (2, 3)];
    let graphs: Vec<Vec<(usize, usize)>> = (0_u32..64)
        .map(|bits| {
            pairs.iter().copied().enumerate().filter(|it| bits >> it.0 & 1 == 1).map(|it| it.1).collect()
        })
        .collect();
    let permutations = permutations(4);
    let mut equal = 0;
    for a in &graphs {
        for b in &graphs {
            let (own, other) = (at_work(a), at_work(b));
            let image = |by: &Vec<usize>| sorted(own.iter().map(|&(p, q)| (by[p], by[q])));
            let expected = permutations.iter().any(|by| image(by) == other);
            assert_eq!(is_same(a, b), expected, "{a:?} {b:?}");
            equal += usize::from(expected);
        }
    }
    assert!((64..64 * 64).contains(&equal), "both answers come up: {equal}");
}

/// The checker of bijections against all maps there are: it lets a map pass only if that takes every edge to
/// an edge, and it lets all of these pass. A comparison that returned any other map would be caught by it.
#[test]
fn the_checker_refuses_every_map_that_is_no_bijection_of_the_circuit() {
    let edges = [(0, 1), (1, 2), (2, 0), (2, 3), (3, 0)];
    with(&edges, &edges, |plan, build, shapes| {
        let comparison = Comparison::of(plan, build, shapes, false);
        let mut passed = 0;
        for nets in permutations(4) {
            for pieces in permutations(5) {
                let right = edges.iter().zip(&pieces).all(|(&(a, b), &to)| {
                    let ends = |edge: (usize, usize)| [edge.0, edge.1].map(|it| number(&plan, it));
                    let image = ends((a, b)).map(|net| nets[net]);
                    let there = ends(edges[to]);
                    image == there || image == [there[1], there[0]]
                });
                let found = Match { pieces: pieces.clone(), nets: nets.clone() };
                assert_eq!(comparison.holds(&found), right, "{found:?}");
                passed += usize::from(right);
            }
        }
        // A square with one diagonal turns over in four ways.
        assert_eq!(passed, 4);
        let twice = Match { pieces: vec![0, 0, 2, 3, 4], nets: vec![0, 1, 2, 3] };
        assert!(!comparison.holds(&twice));
        let short = Match { pieces: vec![0, 1, 2, 3], nets: vec![0, 1, 2, 3] };
        assert!(!comparison.holds(&short));
    });
}

/// The net that a point of the graph became: that of the edges' ends there.
fn number(half: &Half<'_>, point: usize) -> usize {
    let edges = [(0, 1), (1, 2), (2, 0), (2, 3), (3, 0)];
    let (piece, end) = (0..5)
        .find_map(|at| [edges[at].0, edges[at].1].iter().position(|it| *it == point).map(|end| (at, end)))
        .unwrap();
    half.form.pieces[piece].nets[end].unwrap()
}

/// Gadgets of Cai, Fürer and Immerman (Combinatorica 12, 389-410, 1992) over the complete graph of four
/// points, with some of its edges twisted. Colours alone, even of pairs, never tell one twist from none; two
/// twists undo each other.
fn gadgets(twisted: &[(usize, usize)]) -> Vec<(usize, usize)> {
    let base = [(0, 1), (0, 2), (0, 3), (1, 2), (1, 3), (2, 3)];
    // Ends: gadget, neighbour, which of two. Middles: gadget, an even set of neighbours.
    let end =
        |gadget: usize, to: usize, which: usize| gadget * 12 + (to - usize::from(to > gadget)) * 2 + which;
    let middle = |gadget: usize, set: usize| gadget * 12 + 6 + set;
    let mut edges = Vec::new();
    for gadget in 0..4 {
        let others: Vec<usize> = (0..4).filter(|&it| it != gadget).collect();
        let even = (0..8_usize).filter(|set| set.count_ones().is_multiple_of(2));
        for (at, set) in even.enumerate() {
            for (bit, &to) in others.iter().enumerate() {
                edges.push((middle(gadget, at), end(gadget, to, set >> bit & 1)));
            }
        }
    }
    for (a, b) in base {
        let twist = usize::from(twisted.contains(&(a, b)));
        for which in 0..2 {
            edges.push((end(a, b, which), end(b, a, which ^ twist)));
        }
    }
    edges
}

#[test]
fn a_twist_is_seen_and_two_twists_are_none() {
    assert!(!is_same(&gadgets(&[]), &gadgets(&[(0, 1)])));
    assert!(is_same(&gadgets(&[(0, 1)]), &gadgets(&[(2, 3)])));
    assert!(is_same(&gadgets(&[]), &gadgets(&[(0, 1), (1, 2)])));
    assert!(!is_same(&gadgets(&[]), &gadgets(&[(0, 1), (1, 2), (0, 3)])));
}
