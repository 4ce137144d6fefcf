//! Fingers that slide along their strings from what they stop to what they stop next, and so
//! guide the hand.

use apoyando_fingering::Fingering;

use crate::positions::Hand;
use crate::sounds::{CHORD, Sound};

/// Frets along a string for which a finger slides and does not just move over; from a chord
/// to a chord one is enough: common practice, no source.
const FAR: u8 = 2;

/// Where a finger leaves and where it arrives that guides the hand, as indices of sounds.
pub(crate) fn guides(sounds: &[Sound], hand: &Hand, fingering: &Fingering) -> Vec<(usize, usize)> {
    in_shifts(sounds, fingering).chain(in_place(sounds, hand)).collect()
}

/// Where a finger leaves and where it arrives that guides the hand in a shift.
fn in_shifts(sounds: &[Sound], fingering: &Fingering) -> impl Iterator<Item = (usize, usize)> {
    fingering.shifts.iter().filter_map(|shift| {
        let (finger, string) = shift.guide?;
        let slides = |sound: &Sound| {
            sound.placement.is_some_and(|placement| {
                placement.finger == Some(finger) && placement.place.string == string
            })
        };
        let before = sounds.partition_point(|sound| sound.onset < shift.at);
        let mut together = sounds[before..].iter().take_while(|sound| sound.onset == shift.at);
        let arrives = before + together.position(slides)?;
        let leaves = sounds[..before].iter().rposition(slides)?;
        (sounds[leaves].placement != sounds[arrives].placement).then_some((leaves, arrives))
    })
}

/// The same of a finger that goes so far along its string, from one onset to the next,
/// that the hand goes with it, though it is said to stay: in a reach, or stretched. From
/// a chord to a chord it leads the hand by a fret, too, if it is alone in that.
fn in_place(sounds: &[Sound], hand: &Hand) -> Vec<(usize, usize)> {
    let slides: Vec<Slide> =
        (0..sounds.len()).filter_map(|arrives| slide(sounds, hand, arrives)).collect();
    let notes = |at: usize| {
        let onset = sounds[at].onset;
        let begin = sounds.partition_point(|sound| sound.onset < onset);
        sounds[begin..].iter().take_while(|sound| sound.onset == onset).count()
    };
    let together = slides.chunk_by(|a, b| sounds[a.arrives].onset == sounds[b.arrives].onset);
    let leading = together.flat_map(|together| {
        together.iter().filter(|slide| {
            let chords = || [slide.leaves, slide.arrives].into_iter().all(|at| notes(at) >= CHORD);
            slide.frets >= FAR || together.len() == 1 && chords()
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

/// The slide by which a finger arrives while the hand stays, if there is one.
fn slide(sounds: &[Sound], hand: &Hand, arrives: usize) -> Option<Slide> {
    let sound = &sounds[arrives];
    let to = sound.placement.filter(|to| to.finger.is_some())?;
    let before = &sounds[..sounds.partition_point(|other| other.onset < sound.onset)];
    let last = before.last()?.onset;
    if hand.stay_at(last) != hand.stay_at(sound.onset) {
        return None;
    }
    let frets = |other: &Sound| {
        let from = other.placement?;
        let same = (from.finger, from.place.string) == (to.finger, to.place.string);
        let frets = from.place.fret.0.abs_diff(to.place.fret.0);
        (same && frets > 0).then_some(frets)
    };
    let mut from = before.iter().enumerate().rev().take_while(|(_, other)| other.onset == last);
    let (leaves, frets) = from.find_map(|(leaves, other)| Some((leaves, frets(other)?)))?;
    Some(Slide { leaves, arrives, frets })
}
