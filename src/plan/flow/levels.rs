//! The nodes of a push-relabel run by their label.

/// The end of a list of nodes.
pub(super) const NONE: u32 = u32::MAX;

/// A doubly linked list of nodes for each label.
pub(super) struct Levels {
    first: Vec<u32>,
    after: Vec<u32>,
    before: Vec<u32>,
    /// No label above this has nodes.
    top: u32,
}

impl Levels {
    pub(super) fn new(nodes: usize) -> Self {
        Self { first: vec![NONE; nodes + 2], after: vec![NONE; nodes], before: vec![NONE; nodes], top: 0 }
    }

    pub(super) fn clear(&mut self) {
        self.first[..=self.top as usize].fill(NONE);
        self.top = 0;
    }

    /// Whether no node has this label.
    pub(super) fn is_empty(&self, label: u32) -> bool {
        self.first[label as usize] == NONE
    }

    pub(super) fn insert(&mut self, label: u32, node: u32) {
        let first = std::mem::replace(&mut self.first[label as usize], node);
        self.after[node as usize] = first;
        self.before[node as usize] = NONE;
        if first != NONE {
            self.before[first as usize] = node;
        }
        self.top = self.top.max(label);
    }

    pub(super) fn remove(&mut self, label: u32, node: u32) {
        let (before, after) = (self.before[node as usize], self.after[node as usize]);
        if before == NONE {
            self.first[label as usize] = after;
        } else {
            self.after[before as usize] = after;
        }
        if after != NONE {
            self.before[after as usize] = before;
        }
    }

    /// Empties all labels above `label`, reporting their nodes.
    pub(super) fn cut_above(&mut self, label: u32, mut node_cut: impl FnMut(u32)) {
        for level in label as usize + 1..=self.top as usize {
            let mut node = std::mem::replace(&mut self.first[level], NONE);
            while node != NONE {
                node_cut(node);
                node = self.after[node as usize];
            }
        }
        self.top = label;
    }
}
