//! Moves of the whole hand.

use apoyando_fingering::{LeftFinger, Position, Term};
use apoyando_fretboard::{Instrument, StringNumber};
use apoyando_music::{Bar, BarEnd, EventMark, Mode, VoiceNumber};

use super::{Charges, Step, from_nut};
use crate::hand::Hand;
use crate::layers::Layers;
use crate::sounds::{Role, Sound};

/// The most that eases take off a shift, in per cent.
const MOST_EASE: i64 = 80;

/// A shift from one layer to the next.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct Shifting {
    pub(crate) from: Position,
    pub(crate) to: Position,
    /// Fingers on the same string at another fret before and after.
    pub(crate) guides: Vec<(LeftFinger, StringNumber)>,
    /// Fingers at the same place before and after.
    pub(crate) pivots: Vec<(LeftFinger, StringNumber)>,
    pub(crate) over_open: bool,
}

/// The shift between two hands, if there is one.
pub(crate) fn shifting(before: &Hand, after: &Hand) -> Option<Shifting> {
    let (from, to) = (before.position?, after.position?);
    if from == to || after.idle() {
        return None;
    }
    let mut guides = Vec::new();
    let mut pivots = Vec::new();
    for finger in LeftFinger::ALL {
        for was in before.all_places(finger) {
            for is in after.places(finger).filter(|is| is.string == was.string) {
                let list = if is == was { &mut pivots } else { &mut guides };
                list.push((finger, is.string));
            }
        }
    }
    Some(Shifting { from, to, guides, pivots, over_open: before.idle() })
}

pub(super) fn charge(step: &Step<'_>, hurry: i64, rested: bool, charge: &mut Charges<'_>) {
    let Some(shift) = shifting(step.before, step.after) else { return };
    let finger =
        [(!shift.guides.is_empty(), Term::EaseGuide), (!shift.pivots.is_empty(), Term::EasePivot)];
    let finger = finger.into_iter().filter(|(applies, _)| *applies);
    let larger = finger.map(|(_, term)| charge.value(term)).max().unwrap_or(0);
    let eases: i64 = [
        (shift.over_open, Term::EaseOpen),
        (rested, Term::EaseRest),
        (phrase_ends(step), Term::EasePhrase),
        (bar_begins(step), Term::EaseBeat),
        (key_repeats(step), Term::EaseRepeat),
    ]
    .into_iter()
    .filter(|(applies, _)| *applies)
    .map(|(_, term)| charge.value(term))
    .sum();
    let less = if leads(step) { charge.value(Term::Leading) } else { 0 };
    let ease = larger + eases - less;
    pay(step.problem.instrument, (shift.from, shift.to), hurry, ease, charge);
}

/// Charges a shift, its way and what eases it by `ease` per cent.
pub(super) fn pay(
    instrument: &Instrument,
    (from, to): (Position, Position),
    hurry: i64,
    ease: i64,
    charge: &mut Charges<'_>,
) {
    let way = |position: Position| from_nut(instrument, i64::from(position.get()));
    let far = (way(to) - way(from)).abs();
    let shifted = hurry * charge.value(Term::Shift);
    let travelled = hurry * (charge.value(Term::Travel) * far).div_euclid(100);
    charge.amount(Term::Shift, shifted);
    charge.amount(Term::Travel, travelled);
    let eased = ((shifted + travelled) * ease.min(MOST_EASE)).div_euclid(100);
    charge.amount(Term::Ease, -eased);
}

/// The bars from that of the earlier layer to that of the later one.
fn bars<'a>(all: &'a Layers<'_>, layer: usize) -> &'a [Bar] {
    let bar = |layer: usize| all.layers[layer].bar.0 as usize;
    &all.score.bars()[bar(layer - 1)..=bar(layer)]
}

/// Whether a repeat, double bar, final bar or fermata lies between the layers.
fn phrase_ends(step: &Step<'_>) -> bool {
    let between = |at| step.from < at && at <= step.to;
    let sign = bars(step.all, step.layer).iter().any(|bar| {
        let ends = bar.repeat_end.is_some() || bar.end != BarEnd::Plain;
        (bar.repeat_start && between(bar.start)) || (ends && between(bar.end_moment()))
    });
    sign || fermata(step)
}

/// Whether an event of voice 1 at the earlier layer has a fermata.
fn fermata(step: &Step<'_>) -> bool {
    let all = step.all;
    let bar = all.layers[step.layer - 1].bar.0 as usize;
    let first = all.score.part(all.part).voices.iter().find(|voice| voice.number == VoiceNumber(1));
    let mut events = first.and_then(|voice| voice.bars.get(bar)).into_iter().flatten();
    events.any(|event| event.onset == step.from && event.marks.contains(&EventMark::Fermata))
}

fn bar_begins(step: &Step<'_>) -> bool {
    step.all.score.bar(step.all.layers[step.layer].bar).start == step.to
}

fn key_repeats(step: &Step<'_>) -> bool {
    let before = step.all.struck(step.layer - 1);
    step.all.struck(step.layer).iter().any(|is| before.iter().any(|was| was.key == is.key))
}

/// Whether the melody goes from the leading note to the tonic.
fn leads(step: &Step<'_>) -> bool {
    let melody = |layer: usize| -> Option<&Sound> {
        step.all.struck(layer).iter().find(|sound| sound.role == Role::Melody)
    };
    let (Some(first), Some(second)) = (melody(step.layer - 1), melody(step.layer)) else {
        return false;
    };
    let signature = step.all.score.bar(step.all.layers[step.layer].bar).signature;
    let tonic = |mode| signature.key(mode).tonic().pitch_class();
    let class = i32::from(second.key.0).rem_euclid(12);
    second.key.0 - first.key.0 == 1 && [Mode::Major, Mode::Minor].map(tonic).contains(&class)
}
