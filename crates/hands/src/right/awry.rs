//! The one hand of a layer whose pins leave none in order (model §6, R2).

use std::collections::BTreeMap;

use super::hand::{Hand, THUMB};

/// How far a hand is from order: doubled, crossed, brushed.
type Disorder = (u32, u32, u32);

/// How many sounds each finger has so far.
type Counts = [u8; 4];

/// The least disorderly hand within the fingers allowed, the smallest of
/// equals. What a further finger adds depends on how many sounds each finger
/// has, not on which, so the best for each such count is enough.
pub(super) fn least_awry(allowed: &[u8]) -> Hand {
    let mut best: BTreeMap<Counts, (Disorder, Hand)> = BTreeMap::new();
    best.insert([0; 4], ((0, 0, 0), Hand::default()));
    for set in allowed {
        let mut next: BTreeMap<Counts, (Disorder, Hand)> = BTreeMap::new();
        for (counts, (disorder, hand)) in &best {
            for finger in (0..4u8).filter(|finger| set & (1 << finger) != 0) {
                let mut counts = *counts;
                let with = (add(*disorder, counts, finger), hand.and(finger));
                counts[usize::from(finger)] += 1;
                next.entry(counts).and_modify(|old| *old = (*old).min(with)).or_insert(with);
            }
        }
        best = next;
    }
    best.into_values().min().map_or_else(Hand::default, |(_, hand)| hand)
}

fn add((doubled, crossed, brushed): Disorder, counts: Counts, finger: u8) -> Disorder {
    let own = u32::from(counts[usize::from(finger)]);
    let larger: u32 = counts[usize::from(finger) + 1..].iter().map(|n| u32::from(*n)).sum();
    if finger == THUMB {
        (doubled, crossed + larger, brushed + own.min(1))
    } else {
        (doubled + own, crossed + larger, brushed)
    }
}
