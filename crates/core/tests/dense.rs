//! The network of a bench against dense LU.

use halfrow_core::bench::PartIx;
use halfrow_core::circuit::{Element, Law, Node};
use halfrow_core::newton::settle;
use halfrow_core::sample::sixty_parts;
use halfrow_core::solve::solve;

#[test]
fn the_network_agrees_with_dense_lu_on_a_crowded_board() {
    let point = solve(&sixty_parts());
    let references: Vec<Node> = point.islands.iter().map(|island| island.reference).collect();
    // An ideal wire from the reference to nowhere forces the dense way.
    let mut dense = (*point.circuit).clone();
    dense.nodes += 1;
    dense.elements.push(Element {
        part: PartIx(0),
        a: references[0],
        b: Node(dense.nodes - 1),
        pin_a: None,
        pin_b: None,
        controls: None,
        law: Law::Resistance { ohms: 0.0 },
    });
    let other = settle(dense.nodes, &dense.branches(), &references);
    assert!(other.settled && other.work.unknowns == point.work.unknowns + 2);
    let off = point.node_volts.iter().zip(&other.node_volts).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
    // The strips of the dark lamp hang on leaks of a picosiemens, of which LU keeps fewer digits.
    assert!(off < 1e-8, "{off:e} V");
}
