//! Broken chords, bar after bar. A reader who is given the fingers of some of the shapes of
//! such a row looks for a reason why not of the others (common practice, no source: in a
//! study of broken chords every new shape has its fingers).
//!
//! Bars in a row, each of which is a broken chord or two halves that are: if one digit of the row
//! is needed, all that is stopped has its digit the first time in each bar. A chord is broken over
//! three strings or more, bar after bar in one rhythm, which may break off in the last of the
//! part; or it goes by leaps alone, in any rhythm. A bar that is the one before it again has no
//! digits. Where a shape lies on over several bars, if with another bass, what one of them has
//! told is not told again. In I an open string has its 0 only if it could be stopped on a string
//! that the shape does not have otherwise.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use apoyando_fingering::{Fingering, LeftFinger, Placement, Position};
use apoyando_fretboard::{Instrument, Place, StringNumber};
use apoyando_music::{Bar, Duration};

use crate::like::{FIGURE_ONSETS, between, figure};
use crate::positions::Hand;
use crate::sounds::{Sound, layers};
use crate::strings::LAST_FIRST_FRET;

/// Strings of a broken chord, and pitches of one that leaps.
const STRINGS: usize = 3;

/// Semitones of the least leap: a third.
const LEAP: u16 = 3;

/// Sounds that are struck at once in a broken chord at most: the bass and one other.
const AT_ONCE: usize = 2;

/// Places that are newly stopped in a shape that lies on at most: another bass.
const NEW: usize = 1;

/// A bar of broken chords with its sounds.
struct Broken<'b> {
    bar: &'b Bar,
    range: Range<usize>,
    /// The sounds of its shapes, one or two.
    shapes: Vec<Range<usize>>,
}

impl Broken<'_> {
    fn rhythm(&self, sounds: &[Sound]) -> Vec<Duration> {
        layers(&sounds[self.range.clone()]).map(|it| it[0].onset - self.bar.start).collect()
    }
}

/// Adds the digits that rows of broken chords want, and leaves out those of bars that come
/// again; those that are fixed stay.
pub(crate) fn rows(
    sounds: &[Sound],
    bars: &[Bar],
    knowing: &Knowing<'_>,
    fixed: &[bool],
    needed: &mut [bool],
) {
    let mut row: Vec<Broken<'_>> = Vec::new();
    for bar in bars {
        let next = broken(sounds, bar);
        let goes_on = match (&next, row.last()) {
            (Some(next), Some(last)) => {
                let (before, here) = (last.rhythm(sounds), next.rhythm(sounds));
                let is_end = bars.last() == Some(bar);
                before == here
                    || is_end && before.starts_with(&here)
                    || [next, last].iter().all(|it| leaps(&sounds[it.range.clone()]))
            }
            _ => false,
        };
        if !goes_on {
            of_row(sounds, &std::mem::take(&mut row), knowing, fixed, needed);
        }
        row.extend(next);
    }
    of_row(sounds, &row, knowing, fixed, needed);
}

/// The shapes that are broken, one after another: whole bars, or their halves.
pub(crate) fn broken_shapes(sounds: &[Sound], bars: &[Bar]) -> Vec<Range<usize>> {
    let found = bars.iter().filter_map(|bar| broken(sounds, bar));
    found.flat_map(|it| it.shapes).collect()
}

fn of_row(
    sounds: &[Sound],
    row: &[Broken<'_>],
    knowing: &Knowing<'_>,
    fixed: &[bool],
    needed: &mut [bool],
) {
    if row.len() < 2 || !row.iter().any(|bar| needed[bar.range.clone()].contains(&true)) {
        return;
    }
    let held = held(sounds, row);
    let figures: Vec<_> =
        row.iter().map(|bar| figure(&sounds[bar.range.clone()], bar.bar.start)).collect();
    for (rank, bar) in row.iter().enumerate() {
        let again = rank.checked_sub(1).is_some_and(|before| figures[before] == figures[rank]);
        if again && !fixed[bar.range.clone()].contains(&true) {
            needed[bar.range.clone()].fill(false);
            continue;
        }
        let begin = row[held[rank]].range.start;
        let told = &sounds[begin..bar.range.start];
        let mut met: Vec<_> = told.iter().map(|sound| sound.placement).collect();
        for at in bar.range.clone() {
            let sound = &sounds[at];
            if sound.is_stopped() {
                needed[at] = !met.contains(&sound.placement) || needed[at] && fixed[at];
                met.push(sound.placement);
            } else {
                needed[at] &= fixed[at] || !knowing.takes_open(sounds, sound, &bar.range);
            }
        }
    }
}

/// What a reader of broken chords knows besides their notes.
pub(crate) struct Knowing<'a> {
    pub instrument: &'a Instrument,
    pub hand: &'a Hand,
    pub fingering: &'a Fingering,
}

impl Knowing<'_> {
    /// Whether an open string of a broken shape is taken for what it is: the hand is in I, or a
    /// barre was just lifted from it and nothing is stopped, and it could be stopped only on
    /// strings that the shape has otherwise.
    fn takes_open(&self, sounds: &[Sound], sound: &Sound, shape: &Range<usize>) -> bool {
        let own = &sounds[shape.clone()];
        let has = |string| {
            own.iter().any(|it| it.placement.is_some_and(|own| own.place.string == string))
        };
        let in_reach = |place: &Place| (1..=LAST_FIRST_FRET).contains(&place.fret.0);
        let lifted = || {
            let before = sounds[..shape.start].iter().rev().find(|it| it.is_stopped());
            let mut barres = self.fingering.barres.iter();
            !own.iter().any(Sound::is_stopped)
                && before.is_some_and(|it| barres.any(|at| (at.from..=at.to).contains(&it.onset)))
        };
        (self.hand.position_at(sound.onset) == Position::FIRST || lifted())
            && self.instrument.places(sound.key).filter(in_reach).all(|place| has(place.string))
    }
}

/// For each bar of a row the first one from which on its shape lies; itself, if it is put down
/// there.
fn held(sounds: &[Sound], row: &[Broken<'_>]) -> Vec<usize> {
    let mut first: Vec<usize> = (0..row.len()).collect();
    for to in 1..row.len() {
        let stopped =
            |bar: usize| sounds[row[bar].range.clone()].iter().filter(|sound| sound.is_stopped());
        let before: BTreeSet<_> = stopped(to - 1).map(|it| it.placement).collect();
        let here: BTreeSet<_> = stopped(to).map(|it| it.placement).collect();
        let lies = !before.is_disjoint(&here) && here.difference(&before).count() <= NEW;
        let from = first[to - 1];
        if lies && is_one_hand(&sounds[row[from].range.start..row[to].range.end]) {
            first[to] = from;
        }
    }
    first
}

/// Whether each string and each finger has one place, but for finger 1, which has one fret.
fn is_one_hand(sounds: &[Sound]) -> bool {
    let mut fingers: BTreeMap<LeftFinger, Place> = BTreeMap::new();
    let one = |Placement { finger, place }: Placement| {
        let Some(finger) = finger else { return true };
        let own = fingers.entry(finger).or_insert(place);
        own.fret == place.fret && (finger == LeftFinger::One || *own == place)
    };
    is_one_place(sounds) && sounds.iter().filter_map(|sound| sound.placement).all(one)
}

/// A bar as a broken chord, or as two; `None` if it is neither.
fn broken<'b>(sounds: &[Sound], bar: &'b Bar) -> Option<Broken<'b>> {
    let end = bar.end_moment();
    let middle = bar.start + bar.length.scaled(Duration::new(1, 2).ratio());
    let range = between(sounds, bar.start, end);
    let halves = [between(sounds, bar.start, middle), between(sounds, middle, end)];
    let is = |part: &Range<usize>| {
        let sounds = &sounds[part.clone()];
        is_shape(sounds) || is_leaping(sounds)
    };
    let shapes = if is(&range) { vec![range.clone()] } else { halves.to_vec() };
    shapes.iter().all(is).then_some(Broken { bar, range, shapes })
}

/// Whether each string has one place only.
pub(crate) fn is_one_place(sounds: &[Sound]) -> bool {
    let mut places: BTreeMap<StringNumber, Placement> = BTreeMap::new();
    sounds.iter().all(|sound| {
        sound.placement.is_some_and(|placement| {
            *places.entry(placement.place.string).or_insert(placement) == placement
        })
    })
}

/// Whether sounds are struck one after the other and each string has one place only.
pub(crate) fn is_shape(sounds: &[Sound]) -> bool {
    let strings: BTreeSet<StringNumber> =
        sounds.iter().filter_map(|sound| Some(sound.placement?.place.string)).collect();
    is_one_place(sounds)
        && strings.len() >= STRINGS
        && layers(sounds).count() >= FIGURE_ONSETS
        && layers(sounds).all(|layer| layer.len() <= AT_ONCE)
}

/// Whether sounds go by leaps alone, over three pitches or more, of which two are stopped, and
/// each string is stopped at one place only: a triad, of which two notes may be on one string,
/// one of them open.
fn is_leaping(sounds: &[Sound]) -> bool {
    let keys = |sounds: &[Sound]| -> usize {
        sounds.iter().map(|sound| sound.key).collect::<BTreeSet<_>>().len()
    };
    let stopped: Vec<Sound> = sounds.iter().filter(|sound| sound.is_stopped()).copied().collect();
    keys(sounds) >= STRINGS
        && keys(&stopped) > 1
        && sounds.iter().all(|sound| sound.placement.is_some())
        && is_one_place(&stopped)
        && leaps(sounds)
}

/// Whether sounds are struck one after the other, each a third or more from the one before.
fn leaps(sounds: &[Sound]) -> bool {
    sounds
        .windows(2)
        .all(|pair| pair[0].onset < pair[1].onset && pair[0].key.0.abs_diff(pair[1].key.0) >= LEAP)
}

#[cfg(test)]
mod tests {
    use crate::trial::{digits as needed, trial};

    const C: &str = "5.3.3 3.0.0 2.1.1 1.0.0 5.3.3 3.0.0 2.1.1 1.0.0";
    const C_OVER_E: &str = "4.2.2 3.0.0 2.1.1 1.0.0 4.2.2 3.0.0 2.1.1 1.0.0";
    const F: &str = "4.3.3 3.2.2 2.1.1 3.2.2 4.3.3 3.2.2 2.1.1 3.2.2";

    #[test]
    fn every_shape_of_a_row_has_its_digits_once() {
        assert_eq!(needed(&format!("8 @1 {C} | {F}")), "3·1·····321·····");
        // With a new bass the shape lies on; after another one it has its digits again.
        let lying = needed(&format!("8 @1 {C} | {C_OVER_E} | {C}"));
        assert_eq!(lying, "3·1·····2···············");
        let four = needed(&format!("8 @1 {C} | {F} | {C} | {C}"));
        assert_eq!(four, "3·1·····321·····3·1·············");
        // D on ⑤ is told once, though it could be open.
        let (up, down) = ("5.5.4 4.4.3 3.2.1", "3.2.1 4.4.3 5.5.4");
        let turned = needed(&format!("8 @2 {up} {down} | 5.3.2 4.4.3 3.2.1 3.2.1 4.4.3 5.3.2"));
        assert_eq!(turned, "431···231···");
        // Two shapes in a bar.
        let two = "5.3.3 3.0.0 2.1.1 1.0.0 4.3.3 3.2.2 2.1.1 3.2.2";
        assert_eq!(needed(&format!("8 @1 {C} | {two}")), "3·1·····3·1·32··");
    }

    /// B♭ x13331 with p on ⑤ and on ④ by turns.
    #[test]
    fn a_shape_with_a_barre_that_lies_on_is_told_once() {
        let bar = |bass: &str| format!("{bass} 3.3.3 2.3.4 1.1.1 {bass} 3.3.3 2.3.4 1.1.1");
        let (own, other) = (bar("5.1.1"), bar("4.3.2"));
        assert_eq!(needed(&format!("8 @1 {own} | {other} | {own}")), "1341····2···············");
        assert_eq!(needed(&format!("8 @1 {own} | {other}")), "1341····2·······");
        // Another shape in between.
        let moved = other.replace("3.3.3", "3.2.3");
        let told = needed(&format!("8 @1 {own} | {moved} | {own}"));
        assert!(told.starts_with("1341····2341····"), "{told}");
    }

    /// B on ③ fret 4; and C after a bar in III.
    #[test]
    fn what_comes_again_after_another_shape_has_its_digits_but_no_circle() {
        let bar = |first: &str| format!("{first} {first}");
        let (own, other) = (bar("5.2.1 3.4.4 2.3.2 1.2.1"), bar("4.4.4 3.3.3 2.2.1 1.0.0"));
        let marks = trial(&format!("8 @2 {own} | {other} | {own}")).needed();
        assert!(marks.left[16].is_some() && marks.strings.is_empty(), "{marks:?}");
        let high = bar("5.5.3 4.4.2 3.0.0 2.0.0");
        let away = needed(&format!("8 @1 {C} | @3 {high} | @1 {C}"));
        assert!(away.ends_with("3·1·····"), "{away}");
    }

    /// B7: the open B could be on ③ 4, if A were not there; C with G at the end, broken without ③.
    #[test]
    fn an_open_string_that_can_be_nothing_else_in_its_shape_has_no_digit() {
        let seventh = "5.2.2 3.2.3 2.0.0 1.2.4 5.2.2 3.2.3 2.0.0 1.2.4";
        assert!(needed(&format!("8 @1 {C} | {seventh}")).ends_with("23·4····"));
        // In II a bare B is finger 3.
        let second =
            needed(&format!("8 @2 5.5.4 4.4.3 3.2.1 2.3.2 5.5.4 4.4.3 3.2.1 2.3.2 | {seventh}"));
        assert!(second.ends_with("2304····"), "{second}");
        let without = "5.2.2 4.2.3 2.0.0 1.2.4 5.2.2 4.2.3 2.0.0 1.2.4";
        assert!(needed(&format!("8 @1 {C} | {without}")).ends_with("2304····"));
    }

    /// A row of E and A minor that ends on the fourth eighth.
    #[test]
    fn a_row_that_breaks_off_has_its_digits_to_the_end() {
        let e = "6.0.0 3.1.1 2.0.0 1.0.0 2.0.0 3.1.1";
        let am = "5.0.0 3.2.2 2.1.1 1.0.0";
        let shown = needed(&format!("8 @1 {am} 2.1.1 3.2.2 | {e} | {am}"));
        assert_eq!(shown, "·21····1·····21·");
    }

    /// A minor with two notes on ⑤, which is open and stopped, in three rhythms; and with one
    /// that is stopped.
    #[test]
    fn a_chord_that_leaps_has_its_digits_whatever_its_rhythm() {
        let (e, am) = ("6.0.0 5.2.1 4.2.2", "5.0.0 5.3.3 4.2.2");
        let row = format!("8 @1 {e} {e} | {am} {am} | {am} 4 5.0.0 | 8 {e} {e}");
        // The finger on ⑤ leaves it for the open string: the shape does not lie on.
        assert_eq!(needed(&row), "·12····32····32··12···");
        let last = format!("8 @1 {am} {am} | {e} {e} | {am} 4 5.0.0");
        assert!(needed(&last).ends_with("·32·"), "{}", needed(&last));
        let one = "5.0.0 5.3.3 1.0.0";
        assert!(needed(&format!("8 @1 {e} {e} | {one} {one}")).ends_with("······"));
    }

    #[test]
    fn basses_under_whole_chords_are_no_broken_chords() {
        let chord = "3.0.0+2.1.1+1.0.0";
        let bar = |bass: &str| format!("{bass} {chord} 4.2.2 {chord}");
        let line = "2.1.1 2.3.3 1.1.1 1.0.0";
        let shown = needed(&format!("4 @1 {line} | {} | {}", bar("5.3.3"), bar("5.3.4")));
        assert!(shown.starts_with("1···········"), "{shown}");
    }

    /// The chords before are struck: how they are broken is something else.
    #[test]
    fn a_row_has_its_digits_after_chords_that_are_struck() {
        let chord = "1 5.3.3+3.0.0+2.1.1+1.0.0";
        let seventh = "6.3.3 2.0.0 1.1.1 2.0.0 6.3.3 2.0.0 1.1.1 2.0.0";
        let shown = needed(&format!("@1 {chord} | 8 {C} | {seventh}"));
        assert_eq!(shown, "30103·1·····301·····");
    }

    #[test]
    fn a_row_in_which_nothing_is_needed_has_no_digits() {
        let line = "2.1.1 2.3.3 1.1.1 1.3.3 2.1.1 2.3.3 2.1.1 1.0.0";
        let shown = needed(&format!("8 @1 {line} | {C} | {F}"));
        assert_eq!(shown, format!("1{}", "·".repeat(23)));
        // A bar alone is no row, nor are bars of another rhythm.
        let alone = needed(&format!("8 @1 {C} | {line} | {F}"));
        assert!(alone.ends_with("········"), "{alone}");
    }
}
