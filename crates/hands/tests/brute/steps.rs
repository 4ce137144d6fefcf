//! The steps of the walk one by one against the plain rules: what may follow a
//! posture, and what sequences cost that are not the best.

use crate::best_by_itself;
use crate::dice::Dice;
use crate::grip::Posture;
use crate::plain::{all_postures, follows};
use crate::puzzle::{Puzzle, Size};
use crate::question::Question;
use crate::seams::moved;
use crate::ties::rank;
use crate::walk::Walk;
use crate::whole::{Cost, price};

/// A price that lets the walk follow more than the best.
fn loose(best: Cost, slack: i64) -> Cost {
    Cost(best.0, best.1, best.2 + slack)
}

/// What the walk remembers is what is looked up in the whole sequence.
#[test]
fn any_sequence_costs_what_its_steps_cost() {
    let (mut seams, mut away, mut over_idle) = (0, 0, 0);
    for seed in 200_000..201_000 {
        let puzzle = Puzzle::new(seed);
        let problem = puzzle.problem();
        let q = Question::new(&problem);
        let Some(best) = best_by_itself(&q) else { continue };
        let mut walk = Walk::new(&q, loose(best.price, 100));
        walk.widest = 2000;
        let ways = walk.ways();
        let mut dice = Dice(seed);
        for _ in 0..50 {
            let (way, cost) = ways.some(&mut |count| dice.below(count as u64) as usize);
            assert_eq!(price(&q, &way), cost, "seed {seed}: {way:#?}");
            let shifts = q.played.seams.iter().filter(|seam| moved(seam, &way).is_some());
            seams += shifts.count();
            away += way.iter().filter(|posture| posture.away > 0).count();
            let waits = |n: &&[Posture]| n[1].idle() && n[1].position.is_some();
            over_idle += way.windows(2).filter(waits).count();
        }
    }
    assert!(seams > 1000 && away > 500 && over_idle > 1000, "{seams}, {away}, {over_idle}");
}

/// What may follow is what the rules leave of all postures there are.
#[test]
fn what_follows_is_what_the_rules_leave() {
    let (mut compared, mut followed, mut hopping, mut staying) = (0, 0, 0, 0);
    for seed in 300_000..300_150 {
        let mut dice = Dice(seed);
        let frets = 2 + dice.below(6) as u8;
        let onsets = 2 + dice.below(2) as usize;
        let puzzle = Puzzle::of_size(&mut dice, Size { strings: 4, frets, onsets });
        let problem = puzzle.problem();
        let q = Question::new(&problem);
        let Some(best) = best_by_itself(&q) else { continue };
        let mut walk = Walk::new(&q, loose(best.price, 200));
        let ways = walk.ways();
        for layer in 0..q.layers().min(3) {
            let all = all_postures(&q, layer);
            for _ in 0..6 {
                let (way, _) = ways.some(&mut |count| dice.below(count as u64) as usize);
                let before = q.is_reached(layer).then(|| &way[layer - 1]);
                let ordered = |mut postures: Vec<Posture>| {
                    postures.sort_by_key(|posture| (rank(&q, posture), posture.bound));
                    postures
                };
                let plain: Vec<Posture> =
                    all.iter().filter(|n| follows(&q, before, n)).cloned().collect();
                let plain = ordered(plain);
                let next = ordered(walk.next(layer, before));
                assert!(plain == next, "seed {seed}, layer {layer}, after {before:#?}");
                compared += 1;
                followed += next.len();
                hopping += next.iter().filter(|n| n.away > 0).count();
                staying += next.iter().filter(|n| n.stays.iter().flatten().count() == 2).count();
            }
        }
    }
    println!(
        "{compared} compared, {followed} followed, {hopping} away, {staying} with two staying"
    );
    assert!(compared > 1500 && hopping > 500 && staying > 50);
}
