//! Which steps still wait for others, and which some order of work reaches.

use super::structure::Structure;

/// How many groups each step still waits for.
pub(super) struct Waiting<'a> {
    structure: &'a Structure,
    pub(super) missing: Vec<u32>,
    satisfied: Vec<bool>,
}

impl<'a> Waiting<'a> {
    pub(super) fn new(structure: &'a Structure) -> Self {
        let missing = (0..structure.needs.len()).map(|s| structure.needs.row(s).len() as u32).collect();
        Self { structure, missing, satisfied: vec![false; structure.members.len()] }
    }

    /// Notes that a step is done and reports each step that now waits for nothing.
    pub(super) fn complete(&mut self, step: usize, mut ready: impl FnMut(usize)) {
        for &group in self.structure.helps.row(step) {
            if std::mem::replace(&mut self.satisfied[group as usize], true) {
                continue;
            }
            for &user in self.structure.users.row(group as usize) {
                self.missing[user as usize] -= 1;
                if self.missing[user as usize] == 0 {
                    ready(user as usize);
                }
            }
        }
    }
}

/// The steps that some order of work with allowed steps reaches, leaving exclusion aside, and such an order.
pub(super) fn reachable(structure: &Structure, allowed: impl Fn(usize) -> bool) -> (Vec<bool>, Vec<usize>) {
    let mut wait = Waiting::new(structure);
    let mut order: Vec<usize> = (0..wait.missing.len()).filter(|&s| wait.missing[s] == 0 && allowed(s)).collect();
    let mut reached = vec![false; wait.missing.len()];
    let mut next = 0;
    while let Some(&step) = order.get(next) {
        next += 1;
        reached[step] = true;
        wait.complete(step, |user| {
            if allowed(user) {
                order.push(user);
            }
        });
    }
    (reached, order)
}
