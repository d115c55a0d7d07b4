//! Nodes and what stands between them.

use crate::law::Law;

/// A node of a circuit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Node(pub usize);

/// A law between two nodes. Current counts from the first through it to the second.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Branch {
    /// First node.
    pub a: Node,
    /// Second node.
    pub b: Node,
    /// The nodes that steer it, where its law is steered.
    pub controls: Option<[Node; 2]>,
    /// What it does.
    pub law: Law,
}

/// How voltages were found, and with how much work.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Work {
    /// Newton iterations.
    pub iterations: u32,
    /// Matrices factored.
    pub factorisations: u32,
    /// Number of unknowns.
    pub unknowns: u32,
}
