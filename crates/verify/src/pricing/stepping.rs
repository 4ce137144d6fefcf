//! What the fingers do from one layer to the next.

use apoyando_fingering::{LeftFinger, Term};
use apoyando_fretboard::{Place, StringNumber};
use apoyando_music::JoinKind;

use super::{Charges, Step};
use crate::hand::{Hand, Sounding};

pub(super) fn charge(step: &Step<'_>, charge: &mut Charges<'_>) {
    let in_place =
        step.before.position == step.after.position && step.before.place() == step.after.place();
    for finger in LeftFinger::ALL {
        if step.in_a_line() {
            land(step, finger, charge);
            leap(step, finger, charge);
        }
        if stays(step, finger) {
            continue;
        }
        if step.in_a_line() {
            jump(step, finger, charge);
        }
        if in_place {
            slide(step, finger, charge);
        }
    }
    if in_place {
        lead(step, charge);
    }
    replace(step, in_place, charge);
    weak_pair(step, charge);
}

/// `lead_stay`: finger 1 plays above its own fret where the hand was already.
fn lead(step: &Step<'_>, charge: &mut Charges<'_>) {
    let above_first = step.after.place().filter(|place| place.get() > 1);
    if above_first.is_some_and(|place| super::posture::leads(step.after, place)) {
        charge.times(Term::LeadStay, 1);
    }
}

/// The struck sounds of a finger.
fn strikes(hand: &Hand, finger: LeftFinger) -> impl Iterator<Item = Sounding> + '_ {
    hand.played_by(finger).filter(|sounding| sounding.struck)
}

/// The strings on which a finger strikes; none if it strikes nothing.
fn struck_strings(hand: &Hand, finger: LeftFinger) -> Vec<StringNumber> {
    strikes(hand, finger).map(|sounding| sounding.placement.place.string).collect()
}

/// Whether a finger is in the same place before and after.
fn stays(step: &Step<'_>, finger: LeftFinger) -> bool {
    step.before.places(finger).any(|from| step.after.places(finger).any(|to| from == to))
}

/// Where a finger was, with what it strikes.
fn from_to<'a>(
    step: &'a Step<'_>,
    finger: LeftFinger,
) -> impl Iterator<Item = (Place, Sounding)> + 'a {
    let before = step.before.places(finger);
    before.flat_map(move |from| strikes(step.after, finger).map(move |to| (from, to)))
}

/// `land`: a finger comes down on a string that it was not on.
fn land(step: &Step<'_>, finger: LeftFinger, charge: &mut Charges<'_>) {
    let strings = struck_strings(step.after, finger);
    let was_on = step.before.all_places(finger).any(|place| strings.contains(&place.string));
    // Finger 1 lies there already as a barre.
    let lies = finger == LeftFinger::One
        && strikes(step.after, finger).any(|to| step.before.lays_over(to.placement.place));
    if !strings.is_empty() && !was_on && !lies {
        charge.times(Term::Land, step.hurry);
    }
}

/// The finger that plays the one plain bass note struck.
fn bass_by(step: &Step<'_>) -> Option<LeftFinger> {
    let mut basses = step.all.struck(step.layer).iter().filter(|sound| sound.is_plain_bass());
    basses.next().filter(|_| basses.next().is_none())?;
    let mut struck = step.after.struck();
    struck.find(|is| step.all.sounds[is.sound].is_plain_bass())?.placement.finger
}

/// `jump`, and `jump_bass`: a finger goes from one string to another.
fn jump(step: &Step<'_>, finger: LeftFinger, charge: &mut Charges<'_>) {
    let mut pairs = from_to(step, finger).peekable();
    let moves = pairs.peek().is_some();
    let eased = |(from, to): (Place, Sounding)| {
        let to = to.placement.place;
        from.string == to.string || under_barre(step, finger, from, to)
    };
    if moves && !pairs.any(eased) {
        charge.times(Term::Jump, step.hurry);
        if bass_by(step) == Some(finger) {
            charge.times(Term::JumpBass, step.hurry);
        }
    }
}

/// Whether a finger lies as a barre over both places, before or after.
fn under_barre(step: &Step<'_>, finger: LeftFinger, from: Place, to: Place) -> bool {
    [step.before, step.after].into_iter().filter_map(|hand| hand.lies_as_barre(finger)).any(
        |barre| {
            [from, to].iter().all(|place| barre.fret == place.fret && barre.covers(place.string))
        },
    )
}

/// `leap`: the same over one short note that it does not play.
fn leap(step: &Step<'_>, finger: LeftFinger, charge: &mut Charges<'_>) {
    let before = step.layer - 1;
    let Some(first) = before.checked_sub(1) else { return };
    if !step.all.layers[before].reached || step.all.lone(first).is_none() {
        return;
    }
    let hurry = step.clock.hurry(step.all.layers[first].at, step.to);
    let left = strikes(&step.hands[first], finger).next().map(|s| s.placement.place.string);
    let strings = struck_strings(step.after, finger);
    let leaps = left.is_some_and(|left| !strings.is_empty() && !strings.contains(&left));
    if leaps && step.before.places(finger).next().is_none() {
        charge.times(Term::Leap, hurry - 1);
    }
}

/// `slide`: a finger goes along its string, but not to glide.
fn slide(step: &Step<'_>, finger: LeftFinger, charge: &mut Charges<'_>) {
    let slides = from_to(step, finger).any(|(from, to)| {
        let place = to.placement.place;
        from.string == place.string && from != place && !glides(step, finger, to)
    });
    if slides {
        charge.times(Term::Slide, step.hurry);
    }
}

/// Whether a sound glides from one that a finger stopped.
fn glides(step: &Step<'_>, finger: LeftFinger, to: Sounding) -> bool {
    step.all.sounds[to.sound].joined.is_some_and(|joined| {
        let stopped = step.before.stopped_by(finger).any(|was| was.sound == joined.from);
        joined.kind == JoinKind::Glide && stopped
    })
}

/// `replace`, and `exchange` but for a chord: a place struck by another finger than was
/// on it.
fn replace(step: &Step<'_>, in_place: bool, charge: &mut Charges<'_>) {
    for finger in LeftFinger::ALL {
        for was in step.before.places(finger) {
            let replaced = step.after.struck().any(|is| {
                let other = is.placement.finger.is_some_and(|other| other != finger);
                is.placement.place == was && other
            });
            if replaced {
                charge.times(Term::Replace, step.hurry);
                if in_place && step.in_a_line() {
                    charge.times(Term::Exchange, 1);
                }
            }
        }
    }
}

/// `weak_pair`: 3 and 4 alternate, each alone.
fn weak_pair(step: &Step<'_>, charge: &mut Charges<'_>) {
    let alone = |hand: &Hand| {
        let mut struck = hand.struck();
        match (struck.next(), struck.next()) {
            (Some(only), None) => only.placement.finger,
            _ => None,
        }
    };
    let pair = (alone(step.before), alone(step.after));
    let (three, four) = (Some(LeftFinger::Three), Some(LeftFinger::Four));
    if pair == (three, four) || pair == (four, three) {
        charge.times(Term::WeakPair, step.hurry);
    }
}
