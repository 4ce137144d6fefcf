//! The right hand, as far as it is not a matter of price (section 6).

use apoyando_fingering::{Fingering, PinRule, Problem, RightFinger, Scope};

use crate::author::{in_bars, pins_in_force};
use crate::hand::{Hand, Sounding};
use crate::layers::Layers;
use crate::violation::{Fault, Violation};

/// More sounds than this and the thumb brushes several strings.
const ONE_FINGER_EACH: usize = 4;

pub(crate) fn check(
    problem: &Problem<'_>,
    all: &Layers<'_>,
    hands: &[Hand],
    fingering: &Fingering,
    found: &mut Vec<Violation>,
) {
    let pins: Vec<_> = pins_in_force(problem)
        .into_iter()
        .filter(|pin| matches!(pin.rule, PinRule::RightFingers(_)))
        .collect();
    for (layer, hand) in hands.iter().enumerate() {
        let mut report = |fault| found.push(Violation::at(all.spot(layer), fault));
        let plucked = fingers(all, hand, fingering, &mut report);
        // What pins fix goes before the order of the fingers.
        let mut free = Vec::new();
        for (struck, finger) in &plucked {
            let mut pinned = false;
            for pin in &pins {
                let PinRule::RightFingers(allowed) = pin.rule else { continue };
                let holds = match pin.scope {
                    Scope::Tone(tone) => all.sounds[struck.sound].tones.contains(&tone),
                    bars => in_bars(bars, all.layers[layer].bar),
                };
                pinned |= holds;
                if holds && !allowed.contains(*finger) {
                    report(Fault::RightPin { finger: *finger, pin: *pin });
                }
            }
            if !pinned {
                free.push(*finger);
            }
        }
        order(&free, plucked.len(), &mut report);
    }
}

/// The struck sounds with their fingers, from the thickest string.
fn fingers(
    all: &Layers<'_>,
    hand: &Hand,
    fingering: &Fingering,
    report: &mut impl FnMut(Fault),
) -> Vec<(Sounding, RightFinger)> {
    let mut plucked = Vec::new();
    for struck in hand.struck() {
        let tones = &all.sounds[struck.sound].tones;
        let right = |index: usize| fingering.tones[tones[index].0 as usize].right;
        if (1..tones.len()).any(|index| right(index) != right(0)) {
            report(Fault::RightSplit(tones[0]));
        }
        match right(0) {
            Some(finger) => plucked.push((struck, finger)),
            None => report(Fault::NoRightFinger(tones[0])),
        }
    }
    for sound in &hand.left_out {
        for tone in &all.sounds[*sound].tones {
            if fingering.tones[tone.0 as usize].right.is_some() {
                report(Fault::PluckedNothing(*tone));
            }
        }
    }
    plucked.sort_by_key(|(struck, _)| std::cmp::Reverse(struck.placement.place.string));
    plucked
}

/// p i m a from the thick strings, none twice but a brushing thumb.
fn order(fingers: &[RightFinger], sounds: usize, report: &mut impl FnMut(Fault)) {
    for pair in fingers.windows(2) {
        let (thick, thin) = (pair[0], pair[1]);
        let brushes = thick == RightFinger::P && sounds > ONE_FINGER_EACH;
        if thick == thin && !brushes {
            report(Fault::RightFingerTwice(thick));
        }
        if thin < thick {
            report(Fault::RightFingersOutOfOrder { thick, thin });
        }
    }
}
