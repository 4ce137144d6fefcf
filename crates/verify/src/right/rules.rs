//! Which hands a layer may take (R1 to R4).

use apoyando_fingering::{Pin, PinRule, RightFinger, RightPlan};
use apoyando_music::BarIndex;

use super::struck::{Beat, Struck};
use crate::layers::Layers;

type RightHand = Vec<RightFinger>;

/// What R1 and R2 leave.
pub(super) enum Orderly {
    /// Hands in order, all brushed alike.
    Hands(Vec<RightHand>),
    /// None in order; this one is played.
    Only(RightHand),
}

pub(super) fn allows(pin: &Pin, finger: RightFinger) -> bool {
    match pin.rule {
        PinRule::RightFingers(set) => set.contains(finger),
        _ => true,
    }
}

/// R1.
fn may(struck: &Struck, finger: RightFinger) -> bool {
    struck.contradicted || struck.pins.iter().all(|pin| allows(pin, finger))
}

/// Sounds under p but one.
pub(super) fn brushed(hand: &[RightFinger]) -> usize {
    hand.iter().filter(|finger| **finger == RightFinger::P).count().saturating_sub(1)
}

/// R1 and R2.
pub(super) fn orderly(beat: &Beat) -> Orderly {
    let mut hands = Vec::new();
    ascend(&beat.struck, &mut Vec::new(), &mut hands);
    match hands.iter().map(|hand| brushed(hand)).min() {
        Some(least) => {
            hands.retain(|hand| brushed(hand) == least);
            Orderly::Hands(hands)
        }
        None => {
            let mut best = None;
            least_disorder(&beat.struck, &mut Vec::new(), &mut best);
            Orderly::Only(best.map(|(_, hand)| hand).unwrap_or_default())
        }
    }
}

/// Every hand that goes from p towards a, p alone more than once.
fn ascend(struck: &[Struck], hand: &mut RightHand, hands: &mut Vec<RightHand>) {
    let Some(next) = struck.get(hand.len()) else {
        hands.push(hand.clone());
        return;
    };
    for finger in RightFinger::ALL {
        let goes_on = match hand.last() {
            None => true,
            Some(RightFinger::P) => true,
            Some(last) => finger > *last,
        };
        if goes_on && may(next, finger) {
            hand.push(finger);
            ascend(struck, hand, hands);
            hand.pop();
        }
    }
}

/// Doubled, crossed, brushed.
type Disorder = (usize, usize, usize);

/// Tries every hand from the smallest on, and leaves off where it cannot be
/// less disorderly than the best so far.
fn least_disorder(
    struck: &[Struck],
    hand: &mut RightHand,
    best: &mut Option<(Disorder, RightHand)>,
) {
    let disorder = disorder(hand);
    if best.as_ref().is_some_and(|(least, _)| disorder >= *least) {
        return;
    }
    let Some(next) = struck.get(hand.len()) else {
        *best = Some((disorder, hand.clone()));
        return;
    };
    for finger in RightFinger::ALL.into_iter().filter(|finger| may(next, *finger)) {
        hand.push(finger);
        least_disorder(struck, hand, best);
        hand.pop();
    }
}

fn disorder(hand: &[RightFinger]) -> Disorder {
    let mut found = (0, 0, brushed(hand));
    for (index, thick) in hand.iter().enumerate() {
        for thin in &hand[index + 1..] {
            found.0 += usize::from(thick == thin && *thick != RightFinger::P);
            found.1 += usize::from(thin < thick);
        }
    }
    found
}

/// The finger that a pattern gives each layer in which something is plucked.
pub(super) fn given(
    all: &Layers<'_>,
    beats: &[Beat],
    plan: &RightPlan,
) -> Vec<Option<RightFinger>> {
    let mut given = vec![None; beats.len()];
    for pattern in plan.patterns.iter().filter(|pattern| !pattern.fingers.is_empty()) {
        let inside = |bar: BarIndex| match pattern.bars {
            Some((first, last)) => first <= bar && bar <= last,
            None => true,
        };
        let mut turn = 0;
        for (beat, given) in beats.iter().zip(&mut given) {
            if inside(all.layers[beat.layer].bar) {
                *given = Some(pattern.fingers[turn % pattern.fingers.len()]);
                turn += 1;
            }
        }
    }
    given
}

/// R3 and R4.
pub(super) fn beyond_order(
    beat: &Beat,
    orderly: Vec<RightHand>,
    given: Option<RightFinger>,
    plan: &RightPlan,
) -> Vec<RightHand> {
    let follows = |hand: &RightHand| match given {
        Some(RightFinger::P) => hand.first().is_none_or(|finger| *finger == RightFinger::P),
        Some(given) => hand.last().is_none_or(|finger| *finger == given),
        None => true,
    };
    let of_pair = |hand: &RightHand| {
        let fits = |finger: &RightFinger| *finger == RightFinger::P || plan.pair.contains(finger);
        !beat.is_line() || hand.iter().all(fits)
    };
    obey(obey(orderly, follows), of_pair)
}

/// Those that obey, or all if none does.
fn obey(hands: Vec<RightHand>, rule: impl Fn(&RightHand) -> bool) -> Vec<RightHand> {
    let kept: Vec<RightHand> = hands.iter().filter(|hand| rule(hand)).cloned().collect();
    if kept.is_empty() { hands } else { kept }
}
