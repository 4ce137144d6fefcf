//! The right hand, as far as it is not a matter of price (section 6).

use apoyando_fingering::{Fingering, PinRule, Problem, RightFinger, Scope};

use crate::author::{in_bars, pins_in_force};
use crate::hand::{Hand, Sounding};
use crate::layers::Layers;
use crate::violation::{Fault, Violation};

/// With more sounds than this the thumb brushes several strings.
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
        let mut pinned = vec![false; plucked.len()];
        for pin in &pins {
            let PinRule::RightFingers(allowed) = pin.rule else { continue };
            for ((struck, finger), pinned) in plucked.iter().zip(&mut pinned) {
                let holds = match pin.scope {
                    Scope::Tone(tone) => all.sounds[struck.sound].tones.contains(&tone),
                    bars => in_bars(bars, all.layers[layer].bar),
                };
                *pinned |= holds;
                if holds && !allowed.contains(*finger) {
                    report(Fault::RightPin { finger: *finger, pin: *pin });
                }
            }
        }
        // What pins fix goes before the order of the fingers.
        let fingers: Vec<(RightFinger, bool)> =
            plucked.iter().map(|(_, finger)| *finger).zip(pinned).collect();
        order(&fingers, &mut report);
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

/// p i m a from the thick strings, none twice; of more than four sounds the
/// thumb takes all but the three thinnest.
fn order(fingers: &[(RightFinger, bool)], report: &mut impl FnMut(Fault)) {
    let thumbs = if fingers.len() > ONE_FINGER_EACH { fingers.len() - 3 } else { 1 };
    for (index, pair) in fingers.windows(2).enumerate() {
        let [(thick, _), (thin, _)] = *pair else { continue };
        if pair.iter().any(|(_, pinned)| *pinned) {
            continue;
        }
        let brushes = thick == RightFinger::P && index + 1 < thumbs;
        if thick == thin && !brushes {
            report(Fault::RightFingerTwice(thick));
        }
        if thin < thick {
            report(Fault::RightFingersOutOfOrder { thick, thin });
        }
    }
}
