//! What it costs that another finger takes a sound over, and that one does not.

use apoyando_fingering::Term;

use super::{Charges, Step};
use crate::second::{asking, change, changed_at};

pub(super) fn charge(step: &Step<'_>, charge: &mut Charges<'_>) {
    let hands = (step.before, step.after);
    let sounds = step.before.sounding.iter().map(|sounding| sounding.sound);
    for sound in sounds {
        if change(hands, sound).is_some() {
            charge.times(Term::Substitute, step.hurry);
        } else if step.problem.level.substitution
            && asking(step.all, step.pins, sound).next().is_some()
            && changed_at(step.all, step.hands, sound, step.layer - 1).is_none()
            && is_last(step, sound)
        {
            charge.times(Term::Unchanged, 1);
        }
    }
}

/// Whether a sound with its first finger is let go here, or kept and cannot be any longer.
fn is_last(step: &Step<'_>, sound: usize) -> bool {
    let wanted_end = step.all.sounds[sound].wanted_end;
    if wanted_end <= step.to {
        return false;
    }
    let next = step.all.layers.get(step.layer + 1).filter(|next| next.reached);
    step.after.let_go.contains(&sound) || next.is_none_or(|next| wanted_end <= next.at)
}
