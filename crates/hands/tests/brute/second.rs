//! Second fingers, read plainly: M5, and what section 5 of the model charges for them.

use apoyando_fingering::{LeftFinger, LeftFingerSet, PinRule, Scope, Term};

use crate::grip::{Posture, Spot};
use crate::heard::Kind;
use crate::holding::let_go;
use crate::price::Bill;
use crate::question::Question;

/// The fingers that every pin on second fingers leaves a sound; none if there is no such
/// pin.
pub fn asked(q: &Question<'_>, sound: usize) -> Option<LeftFingerSet> {
    let own = |scope: Scope| q.sound(sound).tones.iter().any(|tone| scope == Scope::Tone(*tone));
    let sets = q.pins.iter().filter(|pin| own(pin.scope)).filter_map(|pin| match pin.rule {
        PinRule::SecondFingers(set) => Some(set),
        _ => None,
    });
    sets.reduce(LeftFingerSet::and)
}

/// Whether a sound that is at a spot in a posture may be taken over by a finger in the
/// next, as far as that does not depend on the next.
fn may_change(q: &Question<'_>, s: &Posture, (sound, was): (usize, Spot), digit: u8) -> bool {
    let finger = LeftFinger::from_digit(digit);
    let level = q.problem.level;
    let plain = q.sound(sound).kind == Kind::Plain && q.sound(sound).auxiliaries.is_empty();
    level.substitution
        && level.fingers.contains(finger)
        && plain
        && was.fret > 0
        && !was.changed
        && digit != was.finger
        && !s.finger(digit).down.any()
        && !(was.finger == 1 && s.barre.is_some())
        && asked(q, sound).is_none_or(|set| set.contains(finger))
}

/// What a kept sound may be stopped by in the next posture besides its own finger.
pub fn taken_over(q: &Question<'_>, s: &Posture, (sound, was): (usize, Spot)) -> Vec<Spot> {
    let comes = (1..=4).filter(|digit| may_change(q, s, (sound, was), *digit));
    comes.map(|finger| Spot { finger, changed: true, ..was }).collect()
}

/// The sounds that change their finger between two postures.
pub fn changed(q: &Question<'_>, s: &Posture, n: &Posture) -> Vec<usize> {
    let now = |(sound, at): &&(usize, Spot)| {
        at.changed && s.spot_of(q, *sound).is_some_and(|was| !was.changed)
    };
    n.kept.iter().filter(now).map(|(sound, _)| *sound).collect()
}

/// M5, but for what is the same whatever comes next: one at most, and not under a barre.
pub fn changes_stand(q: &Question<'_>, s: &Posture, n: &Posture) -> bool {
    let changed = changed(q, s, n);
    changed.len() <= 1
        && changed.iter().all(|sound| {
            let by_one = n.spot_of(q, *sound).is_some_and(|at| at.finger == 1);
            !(by_one && n.barre.is_some())
        })
}

/// Whether a kept spot follows from the one before.
pub fn follows(q: &Question<'_>, s: &Posture, (sound, was, is): (usize, Spot, Spot)) -> bool {
    was == is || taken_over(q, s, (sound, was)).contains(&is)
}

pub fn of_second(q: &Question<'_>, s: &Posture, n: &Posture, bill: Bill<'_>) {
    let h = q.hurry(s.layer, n.layer);
    for _ in changed(q, s, n) {
        bill(Term::Substitute, q.value(Term::Substitute) * h);
    }
    if !q.problem.level.substitution {
        return;
    }
    let next = n.layer + 1;
    let gone = let_go(q, s, n);
    let lasts =
        |sound: usize| next < q.layers() && q.is_reached(next) && q.wanted[next].contains(&sound);
    for sound in q.wanted[n.layer].iter().copied().filter(|sound| asked(q, *sound).is_some()) {
        let Some(was) = s.spot_of(q, sound) else { continue };
        let kept = n.kept.iter().any(|(own, at)| *own == sound && !at.changed);
        if !was.changed && (gone.contains(&sound) || (kept && !lasts(sound))) {
            bill(Term::Unchanged, q.value(Term::Unchanged));
        }
    }
}
