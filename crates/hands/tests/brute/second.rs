//! Second fingers, read plainly: M5, and what section 5 of the model charges for them.

use apoyando_fingering::{LeftFinger, LeftFingerSet, PinRule, Scope, Term};
use apoyando_hands::{RightPlan, finger};

use crate::best_by_itself;
use crate::compare::{by_own_account, differences, price_of};
use crate::grip::{Posture, Spot};
use crate::heard::Kind;
use crate::holding::let_go;
use crate::price::Bill;
use crate::puzzle::Puzzle;
use crate::question::Question;
use crate::walk::Walk;

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

/// Puzzles that ask for changes of finger: the search finds the same as the brute force.
#[test]
fn second_fingers_come_as_in_the_brute_force() {
    let (mut changes, mut shifts, mut asked_for) = (0, 0, 0);
    for seed in 700_000..706_000 {
        let puzzle = Puzzle::of_held(seed);
        let problem = puzzle.problem();
        let q = Question::new(&problem);
        if q.layers() == 0 {
            continue;
        }
        let answer = finger(&problem, &RightPlan::default()).expect("a fingering").fingering;
        let best = Walk::new(&q, price_of(&answer)).best().unwrap_or_else(|| {
            let best = best_by_itself(&q).expect("a fingering");
            let account = by_own_account(&q, &answer, &best);
            panic!("seed {seed}: nothing costs as little as {:?}\n{account}", answer.price)
        });
        let found = differences(&q, &answer, &best);
        assert!(found.is_empty(), "seed {seed}:\n{}", found.join("\n"));
        let faults: Vec<_> = apoyando_verify::verify(&problem, &answer)
            .into_iter()
            .filter(|violation| !violation.rule().is_authors())
            .filter(|violation| violation.rule() != apoyando_verify::Rule::RightHand)
            .collect();
        assert!(faults.is_empty(), "seed {seed}: {faults:#?}");
        for pair in best.way.windows(2) {
            let [s, n] = pair else { unreachable!() };
            for sound in changed(&q, s, n) {
                changes += 1;
                shifts += usize::from(s.position != n.position);
                asked_for += usize::from(asked(&q, sound).is_some());
            }
        }
    }
    let counts = [changes, shifts, asked_for];
    println!("{counts:?}");
    let least = [400, 100, 120];
    assert!(counts.iter().zip(least).all(|(count, least)| *count >= least), "too few: {counts:?}");
}
