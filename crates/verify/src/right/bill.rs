//! What the right hand costs (the tables of section 6).

use apoyando_fingering::{Problem, RightFinger, RightPlan};
use apoyando_music::Duration;

use super::chord::usual;
use super::struck::{Beat, Struck};
use crate::layers::Layers;
use crate::playing::Playing;
use crate::time::Clock;

use RightFinger::{A, I, M, P};

/// The sum of all terms.
pub(super) fn effort(
    problem: &Problem<'_>,
    plan: &RightPlan,
    all: &Layers<'_>,
    (beats, voices): (&[Beat], usize),
) -> i64 {
    let mut sum = 0;
    for beat in beats {
        sum += beat
            .struck
            .iter()
            .map(|struck| of_sound(problem, plan, beat, struck, voices))
            .sum::<i64>();
    }
    if let Some(first) = beats.first().filter(|beat| beat.is_line())
        && first.lone().and_then(|lone| lone.finger) != Some(plan.pair[0])
    {
        sum += i64::from(problem.effort.rh_first);
    }
    let clock = Clock::of(all.score);
    for Move { from, to, lasts } in moves(all, beats) {
        let at = all.layers[beats[from].layer].at;
        let (from, to) = (&beats[from], &beats[to]);
        let hurry = clock.hurry_of(at, lasts);
        let passes = clock.lasting(at, lasts);
        sum += again(problem, plan, (from, to), hurry, passes);
        if let (Some(first), Some(second)) = (from.lone(), to.lone()) {
            let in_a_line = from.is_line() || to.is_line();
            sum += across(problem, (first, second), in_a_line, hurry);
        } else if let (Some(first), Some(second)) = (over_thumb(from), over_thumb(to)) {
            let crosses = against_the_order(first, second);
            sum += if crosses { i64::from(problem.effort.rh_cross) } else { 0 };
        }
    }
    sum
}

/// The sound that i, m or a plucks on the thinnest string while p has all the others, if any,
/// outside broken chords.
fn over_thumb(beat: &Beat) -> Option<&Struck> {
    let (above, others) = beat.struck.split_last()?;
    let is_so = beat.broken.is_none()
        && matches!(above.finger, Some(I | M | A))
        && others.iter().all(|struck| struck.finger == Some(P));
    is_so.then_some(above)
}

/// From something plucked to what is plucked next, somewhere in the playing order.
struct Move {
    from: usize,
    to: usize,
    lasts: Duration,
}

/// Every move once: those written, where they are played, and those over seams.
fn moves(all: &Layers<'_>, beats: &[Beat]) -> Vec<Move> {
    let onset = |beat: &Beat| (all.layers[beat.layer].bar, all.layers[beat.layer].at);
    let onsets: Vec<_> = beats.iter().map(onset).collect();
    let Playing { reached, seams } = Playing::of(all.score, &onsets);
    let written = (1..beats.len()).filter(|to| reached[*to]);
    let written =
        written.map(|to| Move { from: to - 1, to, lasts: onsets[to].1 - onsets[to - 1].1 });
    let sewn = seams.iter().map(|seam| Move { from: seam.from, to: seam.to, lasts: seam.lasts });
    written.chain(sewn).collect()
}

fn of_sound(
    problem: &Problem<'_>,
    plan: &RightPlan,
    beat: &Beat,
    struck: &Struck,
    voices: usize,
) -> i64 {
    let table = problem.effort;
    let Some(finger) = struck.finger else { return 0 };
    let mut sum = 0;
    let for_the_thumb = beat.lone_bass || (struck.bass && voices >= 2);
    if for_the_thumb && finger != P {
        sum += table.rh_bass;
    }
    let lone = beat.struck.len() == 1;
    if finger == P && lone && !struck.bass && !beat.lone_bass {
        let misplaced = beat.broken.is_none() || struck.string.get() <= 3;
        let of_the_pair = beat.is_line() && plan.pair.contains(&P);
        if misplaced && !of_the_pair {
            sum += table.rh_thumb_line;
        }
    }
    if !lone || beat.broken.is_some() {
        let (each, at_home) = match &beat.broken {
            Some(chord) => (table.rh_figure, chord.at_home(struck.string)),
            None => (table.rh_home, usual(struck.string)),
        };
        sum += each * (finger as i32 - at_home as i32).abs();
    }
    if beat.thumb_begins && finger != P {
        sum += table.rh_begin;
    }
    if beat.is_line() && finger == A {
        sum += table.rh_ring;
    }
    i64::from(sum)
}

/// Fingers that play in two layers running.
fn again(
    problem: &Problem<'_>,
    plan: &RightPlan,
    (from, to): (&Beat, &Beat),
    hurry: i64,
    passes: i128,
) -> i64 {
    let table = problem.effort;
    let plays = |beat: &Beat, finger| beat.struck.iter().any(|s| s.finger == Some(finger));
    // Of i, m and a just one plays.
    let alone =
        |beat: &Beat| [I, M, A].into_iter().filter(|finger| plays(beat, *finger)).count() == 1;
    let soon = passes < 1000;
    // A line that waits for two seconds begins anew.
    let both_lone = from.lone().is_some() && to.lone().is_some() && passes < 2000;
    let both_lines = from.is_line() && to.is_line() && passes < 2000;
    let mut sum = 0;
    for finger in RightFinger::ALL {
        if !plays(from, finger) || !plays(to, finger) {
            continue;
        }
        sum += if finger != P {
            if soon || both_lone {
                i64::from(table.rh_repeat)
            } else if alone(from) && alone(to) {
                i64::from(table.rh_again)
            } else {
                0
            }
        } else if both_lines && plan.pair.contains(&P) {
            i64::from(table.rh_repeat)
        } else if soon {
            i64::from(table.rh_thumb_repeat) * hurry
        } else {
            0
        };
    }
    sum
}

/// Whether a finger nearer the thumb comes to a thinner string, or one farther from it to a
/// thicker one. Thin strings have small numbers.
fn against_the_order(from: &Struck, to: &Struck) -> bool {
    let (strings, fingers) = (to.string.cmp(&from.string), to.finger.cmp(&from.finger));
    strings.is_ne() && strings == fingers
}

/// From one lone sound to another.
fn across(
    problem: &Problem<'_>,
    (from, to): (&Struck, &Struck),
    in_a_line: bool,
    hurry: i64,
) -> i64 {
    let table = problem.effort;
    let (Some(first), Some(second)) = (from.finger, to.finger) else { return 0 };
    let mut sum = 0;
    if against_the_order(from, to) {
        let with_thumb = first == P || second == P;
        sum += if in_a_line && !with_thumb { table.rh_cross } else { table.rh_tangle };
    }
    if !in_a_line && hurry > 1 && to.string == from.string && first != P && second == P {
        sum += table.rh_tangle;
    }
    let mut sum = i64::from(sum);
    if hurry > 2 && matches!((first, second), (M, A) | (A, M)) {
        sum += i64::from(table.rh_weak) * (hurry - 2);
    }
    sum
}
