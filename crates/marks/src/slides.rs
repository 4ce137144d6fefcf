//! Fingers that slide along their strings from what they stop to what they stop next, and so
//! guide the hand.

use apoyando_fingering::Fingering;

use crate::positions::Hand;
use crate::sounds::Sound;

/// Frets along a string for which a finger slides and does not just move over; from a chord
/// to a chord one is enough: common practice, no source.
const FAR: u8 = 2;
/// Notes that make a chord.
const CHORD: usize = 3;

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
    let far = along(sounds, hand, FAR);
    let near = along(sounds, hand, 1);
    let is_chord = |at: usize| {
        let onset = sounds[at].onset;
        sounds.iter().filter(|sound| sound.onset == onset).count() >= CHORD
    };
    let lone = |arrives: usize| {
        let onset = sounds[arrives].onset;
        near.iter().filter(|(_, other)| sounds[*other].onset == onset).count() == 1
    };
    let leads = |(leaves, arrives): &(usize, usize)| {
        let chords = is_chord(*leaves) && is_chord(*arrives);
        far.contains(&(*leaves, *arrives)) || chords && lone(*arrives)
    };
    near.iter().copied().filter(leads).collect()
}

/// Where a finger leaves and arrives that goes so many frets along its string at least, from
/// one onset to the next, while the hand stays.
fn along(sounds: &[Sound], hand: &Hand, least: u8) -> Vec<(usize, usize)> {
    let slides = (0..sounds.len()).filter_map(|arrives| {
        let sound = &sounds[arrives];
        let to = sound.placement.filter(|to| to.finger.is_some())?;
        let before = sounds.partition_point(|other| other.onset < sound.onset);
        let last = sounds[..before].last()?.onset;
        if hand.stay_at(last) != hand.stay_at(sound.onset) {
            return None;
        }
        let slides = |other: &Sound| {
            other.onset == last
                && other.placement.is_some_and(|from| {
                    (from.finger, from.place.string) == (to.finger, to.place.string)
                        && from.place.fret.0.abs_diff(to.place.fret.0) >= least
                })
        };
        sounds[..before].iter().rposition(slides).map(|leaves| (leaves, arrives))
    });
    slides.collect()
}
