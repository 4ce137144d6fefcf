//! The graph that is given to outside solvers is the one that is searched.

use apoyando_fingering::{EffortTable, Level, Pins, Problem};
use apoyando_fretboard::Instrument;
use apoyando_hands::{RightPlan, solve};
use apoyando_music::{Metre, PartIndex};

use crate::staff::score;

/// The cheapest way through it, found layer by layer, costs what the fingering
/// does; with open notes, a held bass and a shift it has all kinds of moves.
#[test]
fn the_cheapest_way_through_the_network_costs_the_effort() {
    let upper = "E4/8 F4/8 G4/8 A4/8 B4/8 C5/8 E4/4 | D5/8 B4/8 r/4 E4/8 F4/8 G5/4";
    let score = score(Metre::COMMON, None, &[upper, "C3/2 E2/2 | F2/2 A2/2"]);
    let (instrument, level) = (Instrument::guitar(), Level::open());
    let (effort, pins) = (EffortTable::default(), Pins::default());
    let problem = Problem {
        score: &score,
        part: PartIndex(0),
        instrument: &instrument,
        level: &level,
        pins: &pins,
        effort: &effort,
        house: &apoyando_fingering::NO_HOUSE,
    };
    let solved = solve(&problem, &RightPlan::default()).unwrap();
    let network = solved.network();
    let nodes: u32 = network.layers.iter().sum();
    let mut least: Vec<Option<i64>> = vec![None; nodes as usize];
    for (node, cost) in &network.first {
        least[*node as usize] = Some(*cost);
    }
    // Moves come layer by layer, so what they start from is known.
    for (from, to, cost) in &network.moves {
        assert!(from < to);
        let Some(before) = least[*from as usize] else { continue };
        let after = &mut least[*to as usize];
        *after = Some(after.map_or(before + cost, |old| old.min(before + cost)));
    }
    let last = *network.layers.last().unwrap();
    let best = least[(nodes - last) as usize..].iter().flatten().min().copied();
    let price = solved.solution().fingering.price;
    assert_eq!(best, i64::try_from(price.effort).ok());
    assert!(!solved.solution().fingering.shifts.is_empty());
}
