//! The right hand (section 6 of the model).

mod bass;
mod bill;
mod chord;
mod rules;
mod struck;

use std::cmp::Reverse;

use apoyando_fingering::{Fingering, Problem, RightFinger, RightPlan, Stroke};
use apoyando_music::VoiceNumber;

use crate::hand::Hand;
use crate::layers::Layers;
use crate::violation::{Fault, Violation};

use rules::{Orderly, beyond_order};
use struck::{Beat, beats};

/// What holds under any plan: every plucked sound has a finger, R1 and R2.
pub(crate) fn check(
    problem: &Problem<'_>,
    all: &Layers<'_>,
    hands: &[Hand],
    fingering: &Fingering,
    found: &mut Vec<Violation>,
) {
    for beat in &beats(problem, all, hands, fingering, found) {
        let mut report = |fault| found.push(Violation::at(all.spot(beat.layer), fault));
        let Some(hand) = beat.hand() else { continue };
        for struck in &beat.struck {
            for pin in struck.pins.iter().filter(|_| !struck.contradicted) {
                let finger = hand[struck.index];
                if !rules::allows(pin, finger) {
                    report(Fault::RightPin { finger, pin: *pin });
                }
            }
        }
        match rules::orderly(beat) {
            Orderly::Hands(orderly) => {
                let least = orderly.first().map_or(0, |hand| rules::brushed(hand));
                order(&hand, least, &mut report);
            }
            Orderly::Only(wanted) if wanted != hand => report(Fault::RightHand { wanted }),
            Orderly::Only(_) => {}
        }
    }
}

/// Fingers of which two pluck one thing, or lie the wrong way round.
fn order(hand: &[RightFinger], least: usize, report: &mut impl FnMut(Fault)) {
    for (index, thick) in hand.iter().enumerate() {
        for thin in &hand[index + 1..] {
            if thin < thick {
                report(Fault::RightFingersOutOfOrder { thick: *thick, thin: *thin });
            } else if thin == thick && *thin != RightFinger::P {
                report(Fault::RightFingerTwice(*thin));
            }
        }
    }
    if rules::brushed(hand) > least {
        report(Fault::RightFingerTwice(RightFinger::P));
    }
}

/// What holds under a plan besides: R3, R4 and the strokes.
pub(crate) fn check_plan(
    problem: &Problem<'_>,
    plan: &RightPlan,
    all: &Layers<'_>,
    (hands, fingering): (&[Hand], &Fingering),
    found: &mut Vec<Violation>,
) {
    let mut beats = beats(problem, all, hands, fingering, &mut Vec::new());
    bass::hear(problem, plan, all, &mut beats);
    let given = rules::given(all, &beats, plan);
    let voices = voices(all, problem);
    for (beat, given) in beats.iter().zip(given) {
        let mut report = |fault| found.push(Violation::at(all.spot(beat.layer), fault));
        let Some(hand) = beat.hand() else { continue };
        if let Orderly::Hands(orderly) = rules::orderly(beat) {
            let left = beyond_order(beat, orderly, given, plan);
            if !left.contains(&hand) {
                report(Fault::RightPlan { found: hand.clone() });
            }
        }
        for struck in &beat.struck {
            let wanted = stroke(plan, beat, hand[struck.index], (&voices, &struck.voices));
            for tone in &all.sounds[struck.sound].tones {
                let said = fingering.tones[tone.0 as usize].stroke;
                if said != Some(wanted) {
                    report(Fault::Stroke { tone: *tone, found: said, wanted });
                }
            }
        }
    }
}

/// The price of the right hand.
pub(crate) fn price(
    problem: &Problem<'_>,
    plan: &RightPlan,
    all: &Layers<'_>,
    (hands, fingering): (&[Hand], &Fingering),
) -> u64 {
    let mut beats = beats(problem, all, hands, fingering, &mut Vec::new());
    bass::hear(problem, plan, all, &mut beats);
    let voices = voices(all, problem).len();
    let effort = bill::effort(problem, plan, all, (&beats, voices));
    u64::try_from(effort).unwrap_or(0)
}

/// The voices that hold notes.
fn voices(all: &Layers<'_>, problem: &Problem<'_>) -> Vec<VoiceNumber> {
    let tones = all.score.tones(problem.part);
    let mut voices: Vec<VoiceNumber> = tones.as_slice().iter().map(|tone| tone.voice).collect();
    voices.sort_unstable();
    voices.dedup();
    voices
}

fn stroke(
    plan: &RightPlan,
    beat: &Beat,
    finger: RightFinger,
    (all, own): (&[VoiceNumber], &[VoiceNumber]),
) -> Stroke {
    let mut spoken: Vec<(VoiceNumber, Reverse<usize>, Stroke)> = plan
        .voice_strokes
        .iter()
        .enumerate()
        .filter(|(_, (voice, _))| own.contains(voice))
        .map(|(index, (voice, stroke))| (*voice, Reverse(index), *stroke))
        .collect();
    spoken.sort_by_key(|(voice, index, _)| (*voice, *index));
    let of_voice = spoken.first().map(|(.., stroke)| *stroke);
    of_voice.or(plan.stroke).unwrap_or_else(|| {
        let rest = all.len() < 2 && beat.is_line() && finger != RightFinger::P;
        if rest { Stroke::Rest } else { Stroke::Free }
    })
}
