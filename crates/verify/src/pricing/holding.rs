//! What it costs to let go.

use apoyando_fingering::Term;

use super::{Charges, Step};
use crate::sounds::Role;

pub(super) fn charge(step: &Step<'_>, charge: &mut Charges<'_>) {
    for sound in &step.after.let_go {
        let sound = &step.all.sounds[*sound];
        if sound.wanted_end > sound.written_end {
            charge.times(Term::Ring, 1);
        }
        if sound.written_end <= step.to {
            continue;
        }
        let term = match sound.role {
            Role::Melody => Term::CutMelody,
            Role::Bass => Term::CutBass,
            Role::Inner => Term::CutInner,
        };
        let left = sound.written_end - step.to;
        if left * 4 <= sound.written_end - sound.onset {
            let value = charge.value(term) * charge.value(Term::CutTail);
            charge.amount(term, value.div_euclid(100));
        } else {
            charge.times(term, 1);
        }
    }
}
