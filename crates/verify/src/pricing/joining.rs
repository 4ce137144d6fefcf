//! What the left hand joins, and what it cannot.

use apoyando_fingering::{LeftFinger, Term};
use apoyando_music::JoinKind;

use super::{Charges, Step};

pub(super) fn charge(step: &Step<'_>, charge: &mut Charges<'_>) {
    let sounds = &step.all.sounds;
    for struck in step.after.struck() {
        let Some(from) = sounds[struck.sound].joined.map(|joined| joined.from) else { continue };
        let played = step.after.joined.iter().find(|(sound, _)| *sound == struck.sound);
        match played {
            None if sounds[from].written_end == step.to => charge.times(Term::Join, 1),
            Some((_, JoinKind::Slur)) => {
                let was = step.before.sounding.iter().find(|was| was.sound == from);
                let pair = (was.and_then(|was| was.placement.finger), struck.placement.finger);
                let (three, four) = (Some(LeftFinger::Three), Some(LeftFinger::Four));
                if pair == (three, four) || pair == (four, three) {
                    charge.times(Term::JoinWeak, 1);
                }
            }
            _ => {}
        }
    }
}
