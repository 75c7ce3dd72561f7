//! The worth of an item at its final grade, in the closure relaxation.
//!
//! An item's price takes one of a few values. The lowest is paid for certain; each next higher one adds a *tranche*,
//! price difference × what remains of the item, if the item reaches it. A tranche is either kept unless something
//! spoils it (a node that the spoiling steps require), or gained by something done for it (a node that requires those
//! steps).

use super::fixing::StepMark;
use super::net::{Key, Lit, Net, PricedInequality};

/// A rule that may still match.
struct OpenRule {
    rule: usize,
    /// Its steps that are not settled.
    lits: Vec<Lit>,
    price: i64,
}

/// The prices an item can still have.
struct Prices {
    /// As freed, by the way of freeing it; a single entry applies whichever way is taken.
    base: Vec<(Lit, i64)>,
    rules: Vec<OpenRule>,
}

/// Adds the value of an item, once present, to the relaxation.
pub(super) fn add_item(net: &mut Net, item: usize) {
    let structure = net.problem.structure();
    if let (&[price], []) = (structure.way_prices.row(item), structure.rules_of.row(item)) {
        pay(net, item, price);
        return;
    }
    let prices = prices(net, item);
    let mut levels: Vec<i64> = prices.base.iter().map(|b| b.1).chain(prices.rules.iter().map(|r| r.price)).collect();
    levels.sort_unstable();
    levels.dedup();
    pay(net, item, levels[0]);
    for pair in levels.windows(2) {
        add_tranche(net, item, &prices, pair[0], pair[1]);
    }
}

/// Pays for what remains of the item at `price`.
fn pay(net: &mut Net, item: usize, price: i64) {
    pay_worth(net, item, net.millicent * i128::from(price));
}

/// Pays for what remains of the item at `worth` a gram.
fn pay_worth(net: &mut Net, item: usize, worth: i128) {
    net.weigh(net.freed[item], worth * mass(net, item));
    for &part in net.problem.structure().parts.row(item) {
        net.weigh(net.freed[part as usize], -worth * mass(net, part as usize));
    }
}

fn mass(net: &Net, item: usize) -> i128 {
    i128::from(net.problem.items()[item].mass_g)
}

fn prices(net: &Net, item: usize) -> Prices {
    let structure = net.problem.structure();
    let mut prices = Prices { base: base_prices(net, item), rules: Vec::new() };
    for &r in structure.rules_of.row(item) {
        let rule = &structure.rules[r as usize];
        if rule.all_of.iter().any(|&s| net.marks[s] == StepMark::Out) {
            continue;
        }
        let lits: Vec<Lit> = rule.all_of.iter().map(|&s| net.steps[s]).filter(|l| *l != Lit::True).collect();
        if lits.is_empty() {
            prices = Prices { base: vec![(Lit::True, rule.price)], rules: Vec::new() };
        } else {
            prices.rules.push(OpenRule { rule: r as usize, lits, price: rule.price });
        }
    }
    prices
}

fn base_prices(net: &Net, item: usize) -> Vec<(Lit, i64)> {
    let structure = net.problem.structure();
    let Some(group) = structure.freed_by[item] else { return vec![(Lit::True, structure.whole_price)] };
    let ways = structure.members.row(group).iter().map(|&s| net.steps[s as usize]);
    let mut base: Vec<(Lit, i64)> = ways.zip(structure.way_prices.row(item).iter().copied()).collect();
    base.retain(|b| b.0 != Lit::False);
    if let Some(&settled) = base.iter().find(|b| b.0 == Lit::True) {
        base = vec![settled];
    }
    if base.iter().all(|b| b.1 == base[0].1) {
        base.truncate(1);
    }
    base
}

/// Adds the difference between two neighbouring prices, paid if the item reaches the upper one.
fn add_tranche(net: &mut Net, item: usize, prices: &Prices, below: i64, price: i64) {
    let tranche = Tranche { item, price, worth: net.millicent * i128::from(price - below) };
    if prices.base.iter().all(|b| b.1 >= price) {
        tranche.keep(net, &prices.rules);
    } else {
        tranche.gain(net, prices);
    }
}

struct Tranche {
    item: usize,
    price: i64,
    /// Worth of one gram.
    worth: i128,
}

impl Tranche {
    /// Paid unless a rule spoils it.
    fn keep(&self, net: &mut Net, rules: &[OpenRule]) {
        pay_worth(net, self.item, self.worth);
        if rules.iter().any(|r| r.price < self.price) {
            self.lose(net, rules);
        }
    }

    /// A node that takes the tranche back, required by every rule that spoils it.
    fn lose(&self, net: &mut Net, rules: &[OpenRule]) -> Lit {
        let lost = net.node();
        net.weigh(lost, -self.worth * mass(net, self.item));
        net.require(lost, net.freed[self.item]);
        for part in net.problem.structure().parts.row(self.item).to_vec() {
            self.give_back(net, lost, part as usize);
        }
        for (at, rule) in rules.iter().enumerate().filter(|(_, r)| r.price < self.price) {
            self.spoil(net, lost, rule, &rules[at + 1..]);
        }
        lost
    }

    /// A part that has been taken out is not spoilt with its host.
    fn give_back(&self, net: &mut Net, spoilt: Lit, part: usize) {
        let weight = self.worth * mass(net, part);
        match net.freed[part] {
            Lit::False => {}
            Lit::True => net.weigh(spoilt, weight),
            freed @ Lit::Node(_) => {
                let both = net.node();
                net.weigh(both, weight);
                net.require(both, freed);
                net.require(both, spoilt);
            }
        }
    }

    /// If all steps of the rule are done on a present item and no later rule restores it, the item is spoilt.
    fn spoil(&self, net: &mut Net, spoilt: Lit, rule: &OpenRule, later: &[OpenRule]) {
        let present = if implies_presence(net, rule, self.item) { Lit::True } else { net.freed[self.item] };
        let made_good = later.iter().any(|r| r.price >= self.price);
        if let (&[only], Lit::True, false) = (rule.lits.as_slice(), present, made_good) {
            net.require(only, spoilt);
            return;
        }
        let mut priced = self.unmatched(net, rule, later);
        priced.constant += 1;
        priced.add(spoilt, 1);
        priced.add(present, -1);
        net.price(priced);
    }

    /// The rule's steps not done, minus one, plus later matching rules that restore the item: negative if the rule
    /// counts.
    fn unmatched(&self, net: &mut Net, rule: &OpenRule, later: &[OpenRule]) -> PricedInequality {
        let range = (0, self.worth * mass(net, self.item));
        let mut priced = PricedInequality::new(Key::Rule { rule: rule.rule, price: self.price }, range);
        priced.constant = rule.lits.len() as i128 - 1;
        rule.lits.iter().for_each(|&lit| priced.add(lit, -1));
        for good in later.iter().filter(|r| r.price >= self.price) {
            let matches = all(net, &good.lits);
            priced.add(matches, 1);
        }
        priced
    }

    /// Pays only if something brings the item to this price.
    fn gain(&self, net: &mut Net, prices: &Prices) {
        let ways: Vec<&[Lit]> = prices
            .base
            .iter()
            .filter(|b| b.1 >= self.price)
            .map(|b| std::slice::from_ref(&b.0))
            .chain(prices.rules.iter().filter(|r| r.price >= self.price).map(|r| r.lits.as_slice()))
            .collect();
        let spoilt = prices.rules.iter().any(|r| r.price < self.price);
        match ways.as_slice() {
            [only] if !spoilt && self.has_no_open_part(net, only) => self.gain_by(net, only),
            _ => {
                pay_worth(net, self.item, self.worth);
                let lost = self.lose(net, &prices.rules);
                self.unless_lost(net, lost, &ways);
            }
        }
    }

    /// Whether each part is certain to be in or out of the item once `way` has been taken.
    fn has_no_open_part(&self, net: &Net, way: &[Lit]) -> bool {
        let freed = |&part: &u32| net.freed[part as usize];
        let parts = net.problem.structure().parts.row(self.item);
        parts.iter().map(freed).all(|freed| !matches!(freed, Lit::Node(_)) || way.contains(&freed))
    }

    /// A node for the tranche that requires the single way to it, so nothing need be priced.
    fn gain_by(&self, net: &mut Net, way: &[Lit]) {
        let gained = net.node();
        net.weigh(gained, self.worth * mass(net, self.item));
        net.require(gained, net.freed[self.item]);
        way.iter().for_each(|&lit| net.require(gained, lit));
        for &part in net.problem.structure().parts.row(self.item) {
            if net.freed[part as usize] != Lit::False {
                net.weigh(gained, -self.worth * mass(net, part as usize));
            }
        }
    }

    /// Some way is taken to the price of a present item, or the tranche is lost.
    fn unless_lost(&self, net: &mut Net, lost: Lit, ways: &[&[Lit]]) {
        let range = (0, self.worth * mass(net, self.item));
        let mut priced = PricedInequality::new(Key::Upgrade { item: self.item, price: self.price }, range);
        priced.add(lost, 1);
        priced.add(net.freed[self.item], -1);
        for way in ways {
            let taken = all(net, way);
            priced.add(taken, 1);
        }
        net.price(priced);
    }
}

/// A condition that holds only if all of these do.
fn all(net: &mut Net, lits: &[Lit]) -> Lit {
    if let &[only] = lits {
        return only;
    }
    let all = net.node();
    lits.iter().for_each(|&lit| net.require(all, lit));
    all
}

/// Whether a rule's steps require the item to be present: one of them, or a prerequisite, is done on the item.
fn implies_presence(net: &Net, rule: &OpenRule, item: usize) -> bool {
    let structure = net.problem.structure();
    let Some(target) = structure.freed_by[item] else { return true };
    let mut stack: Vec<usize> = structure.rules[rule.rule].all_of.clone();
    let mut seen = std::collections::HashSet::new();
    while let Some(step) = stack.pop() {
        if !seen.insert(step) {
            continue;
        }
        if structure.members.row(target) == [step as u32] {
            return true;
        }
        for &group in structure.needs.row(step) {
            if group as usize == target {
                return true;
            }
            if let [only] = structure.members.row(group as usize) {
                stack.push(*only as usize);
            }
        }
    }
    false
}
