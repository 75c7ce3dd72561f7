use super::{ClosureGraph, Solver};

/// The smallest closure of largest weight by exhaustive search.
fn tried(nodes: usize, arcs: &[(u32, u32)], weights: &[i128]) -> Vec<bool> {
    let holds = |set: u32, node: u32| set >> node & 1 == 1;
    let closed = |set: &u32| arcs.iter().all(|&(a, b)| !holds(*set, a) || holds(*set, b));
    let weight = |set: u32| (0..nodes).filter(|&n| holds(set, n as u32)).map(|n| weights[n]).sum::<i128>();
    let best = (0..1_u32 << nodes).filter(closed).max_by_key(|&s| (weight(s), -(s.count_ones() as i32)));
    (0..nodes as u32).map(|n| holds(best.unwrap(), n)).collect()
}

/// Numbers below a bound, reproducible for a seed.
fn dice(mut seed: u64) -> impl FnMut(u64) -> u64 {
    move |below| {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        (seed >> 33) % below
    }
}

#[test]
fn agrees_with_trying_every_set() {
    let mut roll = dice(7);
    for round in 0..3000 {
        let nodes = 1 + roll(14) as usize;
        let arcs: Vec<(u32, u32)> =
            (0..roll(30)).map(|_| (roll(nodes as u64) as u32, roll(nodes as u64) as u32)).collect();
        let wide: i128 = if round % 2 == 0 { 1 } else { 1 << 80 };
        let weights: Vec<i128> = (0..nodes).map(|_| wide * (i128::from(roll(41)) - 20)).collect();
        let graph = ClosureGraph::new(nodes, &arcs);
        assert_eq!(graph.heaviest(&weights), tried(nodes, &arcs, &weights), "{arcs:?} {weights:?}");
    }
}

#[test]
fn what_is_left_at_the_nodes_bounds_every_other_closure() {
    let mut roll = dice(11);
    let mut told = 0;
    for _ in 0..1000 {
        let nodes = 2 + roll(8) as usize;
        let arcs: Vec<(u32, u32)> =
            (0..roll(16)).map(|_| (roll(nodes as u64) as u32, roll(nodes as u64) as u32)).collect();
        let weights: Vec<i128> = (0..nodes).map(|_| i128::from(roll(41)) - 20).collect();
        let graph = ClosureGraph::new(nodes, &arcs);
        let mut solver = Solver::new(&graph);
        let best = solver.heaviest(&weights);
        let balances = solver.balances();
        let weight = |mask: u32| (0..nodes).filter(|&n| mask >> n & 1 == 1).map(|n| weights[n]).sum::<i128>();
        let most: i128 = (0..nodes).filter(|&n| best[n]).map(|n| weights[n]).sum();
        assert_eq!(most, balances.iter().map(|&b| b.max(0)).sum::<i128>());
        let closed = |set: &u32| arcs.iter().all(|&(a, b)| set >> a & 1 == 0 || set >> b & 1 == 1);
        for (node, &taken) in best.iter().enumerate() {
            let other = |set: &u32| (set >> node & 1 == 1) != taken;
            let Some(second) = (0..1_u32 << nodes).filter(closed).filter(other).map(weight).max() else { continue };
            let (mut fall, sign) = (0, if taken { 1 } else { -1 });
            graph.follow(node, !taken, &mut vec![0; nodes], |v| fall += (sign * balances[v]).max(0));
            assert!(second <= most - fall, "{arcs:?} {weights:?} {node}: {second} {most} {fall}");
            told += usize::from(fall > 0);
        }
    }
    assert!(told > 1000, "only {told} bounds said anything");
}
