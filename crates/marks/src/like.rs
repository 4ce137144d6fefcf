//! What is alike is marked alike (house: a reader who sees two bars with the same notes and
//! the same fingers, but other digits, looks for a difference that is not there).
//!
//! - *Bars.* Of bars of a part with the same notes, strings and fingers, each has the digits
//!   that any of them needs, or none: the first has them, and of the others those that need
//!   any.
//! - *Figures.* A half bar or a beat of three onsets or more that is the one right before it
//!   again has none.

use apoyando_fingering::Placement;
use apoyando_music::{Bar, Duration, KeyNumber, Moment, VoiceNumber};

use crate::sounds::{Sound, layers};

/// Onsets from which a half bar or a beat counts as a figure.
pub(crate) const FIGURE_ONSETS: usize = 3;

/// A sound as far as it makes a figure: when, in which voice, what and how.
type Part = (Duration, VoiceNumber, KeyNumber, Option<Placement>);

/// What is played, from a moment on.
pub(crate) fn figure(sounds: &[Sound], from: Moment) -> Vec<Part> {
    sounds
        .iter()
        .map(|sound| (sound.onset - from, sound.voice, sound.key, sound.placement))
        .collect()
}

/// The sounds of a stretch of time, by their indices.
pub(crate) fn between(sounds: &[Sound], from: Moment, to: Moment) -> std::ops::Range<usize> {
    let start = sounds.partition_point(|sound| sound.onset < from);
    let end = sounds.partition_point(|sound| sound.onset < to);
    start..end
}

/// The half bar and the beat of a bar, each with the moments at which it comes once more.
pub(crate) fn units(bar: &Bar) -> impl Iterator<Item = (Duration, Vec<Moment>)> {
    let half = bar.length.scaled(Duration::new(1, 2).ratio());
    let units = [half, bar.metre.beat()].into_iter().filter(|unit| *unit > Duration::ZERO);
    units.map(|unit| {
        let after = |at: &Moment| Some(*at + unit).filter(|next| *next < bar.end_moment());
        (unit, std::iter::successors(after(&bar.start), after).collect())
    })
}

/// Sounds by their indices, and the moment from which on they are.
pub(crate) type Stretch = (std::ops::Range<usize>, Moment);

/// The sounds from a moment on for so long, if they have onsets enough for a figure, and those
/// for as long before it.
pub(crate) fn beside_before(sounds: &[Sound], at: Moment, unit: Duration) -> Option<[Stretch; 2]> {
    let earlier = Moment::START + (at.since_start() - unit);
    let (now, then) = (between(sounds, at, at + unit), between(sounds, earlier, at));
    let enough = layers(&sounds[now.clone()]).count() >= FIGURE_ONSETS;
    enough.then_some([(now, at), (then, earlier)])
}

/// Gives like bars like digits.
pub(crate) fn bars(sounds: &[Sound], bars: &[Bar], needed: &mut [bool]) {
    let mut kinds: Vec<(Vec<Part>, Vec<std::ops::Range<usize>>)> = Vec::new();
    for bar in bars {
        let range = between(sounds, bar.start, bar.end_moment());
        if range.is_empty() {
            continue;
        }
        let figure = figure(&sounds[range.clone()], bar.start);
        match kinds.iter_mut().find(|(other, _)| *other == figure) {
            Some((_, members)) => members.push(range),
            None => kinds.push((figure, vec![range])),
        }
    }
    for (figure, members) in kinds {
        let wanted: Vec<bool> = (0..figure.len())
            .map(|at| members.iter().any(|range| needed[range.start + at]))
            .collect();
        for (rank, range) in members.into_iter().enumerate() {
            if rank == 0 || needed[range.clone()].contains(&true) {
                needed[range].copy_from_slice(&wanted);
            }
        }
    }
}

/// Leaves out the digits of half bars and beats that are the one before again, but for those
/// that have to be there.
pub(crate) fn figures(sounds: &[Sound], bars: &[Bar], fixed: &[bool], needed: &mut [bool]) {
    for (unit, begins) in bars.iter().flat_map(units) {
        for at in begins {
            let Some([now, then]) = beside_before(sounds, at, unit) else { continue };
            let part = |(range, from): &Stretch| figure(&sounds[range.clone()], *from);
            if part(&now) == part(&then) {
                now.0.for_each(|index| needed[index] &= fixed[index]);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::{digits as needed, trial};

    /// C with 1, first after an open string, then after F with 1 on another string.
    #[test]
    fn like_bars_have_the_same_digits_or_none() {
        let (bar, open) = ("2.1.1 2.3.3 2.1.1 2.3.3", "1.0.0 3.0.0 1.0.0 4.0.0");
        let (first, hop) = ("3.2.2 3.0.0 1.0.0 4.0.0", "1.0.0 3.0.0 1.0.0 1.1.1");
        // The first one has what a later one needs.
        let text = format!("4 @1 {first} | {bar} | {open} | {hop} | {bar} | {open} | {bar}");
        assert_eq!(needed(&text), "2···1···········1···········");
    }

    #[test]
    fn the_first_note_of_a_part_is_marked_in_like_bars_too() {
        let bar = "1.1.1 1.3.4 1.0.0 1.3.4";
        let other = "2.1.1 2.1.1 3.0.0 3.0.0";
        let text = format!("4 @1 {bar} | {other} | {other} | {bar}");
        assert_eq!(needed(&text), "14··········14··");
    }

    /// D with 4 on ⑤, of which there is an open string.
    #[test]
    fn a_figure_that_comes_again_at_once_has_no_digits() {
        let half = "5.5.4 4.4.3 3.2.1 3.0.0";
        let shown = needed(&format!("8 @2 {half} {half}"));
        assert!(shown.ends_with("····"), "{shown}");
        let other = needed(&format!("8 @2 {half} 5.5.4 4.4.3 3.2.1 2.3.2"));
        assert_eq!(other.chars().nth(4), Some('4'), "{other}");
    }

    #[test]
    fn the_dash_of_a_shift_stays_where_a_figure_comes_again() {
        let half = "@1 1.1.1 1.3.3 @3 1.5.3 1.3.1";
        let marks = trial(&format!("8 {half} {half}")).needed().left;
        assert!(marks[6].is_some_and(|mark| mark.guide), "{marks:?}");
    }
}
