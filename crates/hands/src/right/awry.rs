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

#[cfg(test)]
mod tests {
    use super::*;

    /// Every hand of seven sounds, counted pair by pair.
    fn tried(allowed: &[u8]) -> (Disorder, Hand) {
        let hands = 0..1u32 << (2 * allowed.len());
        let finger = |bits: u32, sound: usize| bits >> (2 * (allowed.len() - 1 - sound)) & 3;
        let keeps = |bits: &u32| {
            (0..allowed.len()).all(|sound| allowed[sound] & (1 << finger(*bits, sound)) != 0)
        };
        let priced = hands.filter(keeps).map(|bits| {
            let mut found = (0, 0, 0);
            for thin in 0..allowed.len() {
                for thick in 0..thin {
                    let (a, b) = (finger(bits, thick), finger(bits, thin));
                    found.0 += u32::from(a == b && a > 0);
                    found.1 += u32::from(b < a);
                }
            }
            let thumbs = (0..allowed.len()).filter(|sound| finger(bits, *sound) == 0).count();
            found.2 = thumbs.saturating_sub(1) as u32;
            let hand = (0..allowed.len())
                .fold(Hand::default(), |hand, sound| hand.and(finger(bits, sound) as u8));
            (found, hand)
        });
        priced.min().expect("a hand")
    }

    /// More sounds than a guitar has strings, as on instruments of ten.
    #[test]
    fn the_least_awry_of_many_is_found() {
        let mut state = 1u32;
        for _ in 0..60 {
            let allowed: Vec<u8> = (0..7)
                .map(|_| {
                    state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                    ((state >> 24) as u8 & 15).max(1)
                })
                .collect();
            assert_eq!(least_awry(&allowed), tried(&allowed).1, "{allowed:?}");
        }
    }
}
