//! Fingers that slide along their strings from what they stop to what they stop next, and so
//! guide the hand.

use std::ops::Range;

use apoyando_fingering::{Fingering, LeftFinger, Shift};
use apoyando_music::Bar;

use crate::broken::broken_shapes;
use crate::positions::Hand;
use crate::sounds::{CHORD, Sound, is_alone};

/// Frets along a string for which a finger slides and does not just move over; from a chord
/// to a chord, and in a line, one is enough: common practice, no source.
const FAR: u8 = 2;

/// Where a finger leaves and where it arrives that guides the hand, as indices of sounds.
pub(crate) fn guides(sounds: &[Sound], hand: &Hand, fingering: &Fingering) -> Vec<(usize, usize)> {
    in_shifts(sounds, fingering).chain(in_place(sounds, hand)).collect()
}

/// Where a finger leaves and where it arrives that guides the hand in a shift; with another one
/// that goes along its string beside it from a chord to the next. Of three or four, which are a
/// whole shape that moves, the guide alone is told.
fn in_shifts(sounds: &[Sound], fingering: &Fingering) -> impl Iterator<Item = (usize, usize)> {
    fingering.shifts.iter().filter_map(|shift| guide(sounds, shift)).flat_map(|guide| {
        let beside = from_chord_to_chord(sounds, together(sounds, guide.1).start);
        if beside.len() == 2 && beside.contains(&guide) { beside } else { vec![guide] }
    })
}

/// Where the guide of a shift leaves and where it arrives, if it has one.
fn guide(sounds: &[Sound], shift: &Shift) -> Option<(usize, usize)> {
    let (finger, string) = shift.guide?;
    let slides = |sound: &Sound| {
        sound.placement.is_some_and(|placement| {
            placement.finger == Some(finger) && placement.place.string == string
        })
    };
    let before = sounds.partition_point(|sound| sound.onset < shift.at);
    let mut after = sounds[before..].iter().take_while(|sound| sound.onset == shift.at);
    let arrives = before + after.position(slides)?;
    let leaves = sounds[..before].iter().rposition(slides)?;
    (sounds[leaves].placement != sounds[arrives].placement).then_some((leaves, arrives))
}

/// The fingers that go along their strings from the chord before an index to the chord that
/// begins there.
fn from_chord_to_chord(sounds: &[Sound], begin: usize) -> Vec<(usize, usize)> {
    let chord = |at| Some(together(sounds, at)).filter(|chord| chord.len() >= CHORD);
    let (Some(before), Some(after)) = (begin.checked_sub(1).and_then(chord), chord(begin)) else {
        return Vec::new();
    };
    let left = |arrives| before.clone().find(|leaves| frets_along(sounds, *leaves, arrives) > 0);
    after.filter_map(|arrives| Some((left(arrives)?, arrives))).collect()
}

/// The sounds that are struck with one, as indices.
fn together(sounds: &[Sound], at: usize) -> Range<usize> {
    let onset = sounds[at].onset;
    let begin = sounds.partition_point(|sound| sound.onset < onset);
    begin..sounds.partition_point(|sound| sound.onset <= onset)
}

/// How many frets a finger goes along its string from a sound to another; 0 if it is not the
/// finger and the string of both, or does not move.
fn frets_along(sounds: &[Sound], leaves: usize, arrives: usize) -> u8 {
    let (Some(from), Some(to)) = (sounds[leaves].placement, sounds[arrives].placement) else {
        return 0;
    };
    let same = (from.finger, from.place.string) == (to.finger, to.place.string);
    let frets = from.place.fret.0.abs_diff(to.place.fret.0);
    if same && to.finger.is_some() { frets } else { 0 }
}

/// The same of a finger that goes so far along its string, from one onset to the next,
/// that the hand goes with it, though it is said to stay: in a reach, or stretched. From
/// a chord to a chord, and from a note of a line to the next, a fret is enough, if it is alone
/// in that: another finger would be taken there. So it is from a chord to one that a reader
/// takes to be in another position, though the hand does not shift, as into a barre.
fn in_place(sounds: &[Sound], hand: &Hand) -> Vec<(usize, usize)> {
    let slides: Vec<Slide> =
        (0..sounds.len()).filter_map(|arrives| slide(sounds, arrives)).collect();
    let at_once = slides.chunk_by(|a, b| sounds[a.arrives].onset == sounds[b.arrives].onset);
    let leading = at_once.flat_map(|at_once| {
        at_once.iter().filter(|slide| {
            let (leaves, arrives) = (slide.leaves, slide.arrives);
            let chords =
                || [leaves, arrives].into_iter().all(|at| together(sounds, at).len() >= CHORD);
            let alone = |at| is_alone(sounds, at);
            let line =
                || sounds[leaves].voice == sounds[arrives].voice && alone(leaves) && alone(arrives);
            let [from, to] = [leaves, arrives].map(|at| hand.stay_at(sounds[at].onset));
            let stays = from == to;
            stays && slide.frets >= FAR || at_once.len() == 1 && (chords() || stays && line())
        })
    });
    leading.map(|slide| (slide.leaves, slide.arrives)).collect()
}

/// A finger that goes along its string from one onset to the next.
struct Slide {
    leaves: usize,
    arrives: usize,
    frets: u8,
}

/// The slide by which a finger arrives, if there is one.
fn slide(sounds: &[Sound], arrives: usize) -> Option<Slide> {
    let last = together(sounds, arrives).start.checked_sub(1)?;
    let slides = together(sounds, last).rev().map(|leaves| {
        let frets = frets_along(sounds, leaves, arrives);
        Slide { leaves, arrives, frets }
    });
    slides.into_iter().find(|slide| slide.frets > 0)
}

/// The same from one broken shape to the next, which is put down whole: of a finger that goes
/// far, or that is alone in going along its string, however far.
pub(crate) fn between_shapes(sounds: &[Sound], bars: &[Bar]) -> Vec<(usize, usize)> {
    let shapes = broken_shapes(sounds, bars);
    let next = shapes.windows(2).filter(|pair| pair[0].end == pair[1].start);
    next.flat_map(|pair| {
        let slides = LeftFinger::ALL.into_iter().filter_map(|it| along(sounds, pair, it));
        let slides: Vec<Slide> = slides.collect();
        let alone = slides.len() == 1;
        let leading = slides.into_iter().filter(move |slide| slide.frets >= FAR || alone);
        leading.map(|slide| (slide.leaves, slide.arrives))
    })
    .collect()
}

/// The slide of a finger that stops a string in both of two shapes, each time at one fret, if
/// it goes along it.
fn along(sounds: &[Sound], pair: &[Range<usize>], finger: LeftFinger) -> Option<Slide> {
    let stops = |at: &usize| sounds[*at].placement.is_some_and(|it| it.finger == Some(finger));
    let place = |at: usize| sounds[at].placement.map(|placement| placement.place);
    let [before, after]: [Vec<usize>; 2] =
        [&pair[0], &pair[1]].map(|shape| shape.clone().filter(stops).collect());
    let [from, to] = [*before.first()?, *after.first()?].map(place);
    let (from, to) = (from?.fret, to?.fret);
    let at = |shape: &[usize], fret| {
        shape.iter().all(|it| place(*it).is_some_and(|place| place.fret == fret))
    };
    if from == to || !at(&before, from) || !at(&after, to) {
        return None;
    }
    let string = |at: usize| place(at).map(|place| place.string);
    let leaves = |arrives: usize| before.iter().rfind(|it| string(**it) == string(arrives));
    let (leaves, arrives) = after.iter().find_map(|it| Some((*leaves(*it)?, *it)))?;
    Some(Slide { leaves, arrives, frets: from.0.abs_diff(to.0) })
}

#[cfg(test)]
mod tests {
    use apoyando_fingering::LeftFinger;

    use crate::marks::Density;
    use crate::trial::trial;

    /// The fingers with a dash.
    fn dashes(text: &str, density: Density) -> Vec<u8> {
        let left = trial(text).marked(density).left;
        let fingers = left.into_iter().flatten().filter(|it| it.guide).map(|it| it.finger);
        fingers.flatten().map(LeftFinger::digit).collect()
    }

    /// Common practice, no source: as struck, so broken; 3 stays on ② from A to D.
    /// A minor, then B with 2 and 3 two frets up; and a whole shape that moves.
    #[test]
    fn two_fingers_that_slide_from_chord_to_chord_both_have_dashes() {
        let minor = "4.2.2+3.2.3+2.1.1";
        let told = |next: &str| dashes(&format!("2 @1 {minor} @3 {next}"), Density::WhereNeeded);
        assert_eq!(told("5.3.1+4.4.2+3.4.3"), [2, 3]);
        assert_eq!(told("4.4.2+3.4.3+2.3.1").len(), 1);
        assert_eq!(told("5.3.1+4.4.2+3.5.3+2.5.4").len(), 2);
        assert_eq!(told("5.3.1+4.4.2+2.5.4").len(), 1);
    }

    /// C♯m with 1 on ③ 1, then F♯m with a barre at fret 2.
    #[test]
    fn a_finger_that_slides_into_a_barre_has_its_dash() {
        let text = "1 @1 5.4.4+4.2.2+3.1.1 | @2 [2:1-3 4.4.4+3.2.1+2.2.1+1.2.1 ]";
        assert_eq!(dashes(text, Density::WhereNeeded), [1]);
    }

    #[test]
    fn a_finger_leads_from_one_broken_shape_to_the_next() {
        let a = "5.0.0 4.2.1 3.2.2 2.2.3 5.0.0 4.2.1 3.2.2 2.2.3";
        let d = "4.0.0 3.2.1 2.3.3 1.2.2 4.0.0 3.2.1 2.3.3 1.2.2";
        for density in [Density::EveryNote, Density::WhereNeeded] {
            assert_eq!(dashes(&format!("8 @1 {a} | {d}"), density), [3]);
        }
        assert!(dashes(&format!("8 @1 {a} | {d}"), Density::None).is_empty());
        // Into a barre, too.
        let f_sharp = "4.4.3 3.2.1 2.2.1 1.2.1 4.4.3 3.2.1 2.2.1 1.2.1";
        let e = "6.0.0 3.1.1 2.0.0 1.0.0 6.0.0 3.1.1 2.0.0 1.0.0";
        let barred = format!("8 @1 {e} | @2 [2:1-3 {f_sharp} ]");
        assert_eq!(dashes(&barred, Density::EveryNote), [1]);
        // Not back in the figure itself, nor from a line, nor where two fingers go along.
        assert_eq!(dashes(&format!("8 @1 {a} | {d} | {a}"), Density::EveryNote), [3, 3]);
        let line = "5.0.0 4.2.1 3.2.2 2.2.3 2.2.3 2.1.1 2.0.0 2.2.3";
        assert!(dashes(&format!("8 @1 {line} | {d}"), Density::EveryNote).is_empty());
        let two = "4.0.0 3.1.2 2.3.3 1.0.0 4.0.0 3.1.2 2.3.3 1.0.0";
        assert!(dashes(&format!("8 @1 {a} | {two}"), Density::EveryNote).is_empty());
    }
}
