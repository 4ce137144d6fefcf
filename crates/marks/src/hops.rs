//! A finger that goes to another string from one note to the next, or over an open string in
//! the same bar. A reader who has just
//! put it down takes another one, even where its fret is its own; so it has its digit the
//! first time in each bar (common practice, no source).

use apoyando_fingering::{Fingering, LeftFinger, Placement};
use apoyando_fretboard::Place;

use crate::sounds::Sound;

/// Whether the finger of each sound has just come from another string: it stopped the note
/// before in the same voice, or one of those struck right before, or one that it has held until
/// now. Among several notes of a
/// chord it is the shape that is read, and under a barre the finger stays.
pub(crate) fn hops(sounds: &[Sound], fingering: &Fingering) -> Vec<bool> {
    let mut told: Vec<(LeftFinger, Place, Place)> = Vec::new();
    let mut found = Vec::with_capacity(sounds.len());
    for (index, sound) in sounds.iter().enumerate() {
        if index.checked_sub(1).is_some_and(|before| sounds[before].bar != sound.bar) {
            told.clear();
        }
        let hop = from(sounds, index, fingering).filter(|hop| !told.contains(hop));
        told.extend(hop);
        found.push(hop.is_some());
    }
    found
}

/// The finger, where it comes from and where it goes, if it hops to a sound.
fn from(
    sounds: &[Sound],
    index: usize,
    fingering: &Fingering,
) -> Option<(LeftFinger, Place, Place)> {
    let sound = &sounds[index];
    let Placement { place, finger: Some(finger) } = sound.placement? else { return None };
    let struck = |other: &Sound| other.head != sound.head && other.same_event(sound);
    let begin = sounds[..index].iter().rposition(|other| other.onset < sound.onset)?;
    if sounds[begin..].iter().take_while(|it| it.onset <= sound.onset).any(struck) {
        return None;
    }
    let earlier = &sounds[..=begin];
    let last = earlier.iter().rev().take_while(|other| other.onset == sounds[begin].onset);
    let mut voice = earlier.iter().rev().filter(|other| other.voice == sound.voice);
    let own = voice.next();
    let over_open = voice.next().filter(|first| {
        first.bar == sound.bar
            && own.is_some_and(|own| !own.is_stopped() && own.onset > first.onset)
    });
    let notes = last.chain(own).chain(over_open);
    let notes = notes.filter_map(|before| Some((before.onset, before.placement?)));
    // What it has held up to now, of any voice.
    let held = fingering.postures.binary_search_by_key(&sounds[begin].onset, |it| it.at).ok();
    let held = held.into_iter().flat_map(|at| {
        fingering.postures[at]
            .sounding
            .iter()
            .map(|(_, placement)| (sounds[begin].onset, *placement))
    });
    notes.chain(held).find_map(|(onset, before)| {
        let then = Some(before).filter(|then| then.finger == Some(finger))?.place;
        let barre = fingering.barres.iter().any(|span| {
            span.from <= onset
                && sound.onset <= span.to
                && [then, place]
                    .iter()
                    .all(|it| it.fret == span.barre.fret && span.barre.covers(it.string))
        });
        (then.string != place.string && !barre).then_some((finger, then, place))
    })
}

#[cfg(test)]
mod tests {
    use crate::trial::digits as needed;

    #[test]
    fn a_finger_that_goes_to_another_string_has_its_digit() {
        // A and E with 2, one after the other, and over an open string.
        assert_eq!(needed("4 @1 2.1.1 3.0.0 3.2.2 4.2.2"), "1··2");
        assert_eq!(needed("4 @1 2.1.1 3.2.2 3.0.0 4.2.2"), "1··2");
        assert_eq!(needed("8 @1 2.1.1 3.2.2 3.0.0 3.0.0 4.2.2"), "1····");
        assert_eq!(needed("4 @1 2.1.1 3.0.0 3.2.2 3.0.0 | 4.2.2 2.1.1"), "1·····");
        // Over a barline.
        assert_eq!(needed("4 @1 2.1.1 3.0.0 3.0.0 3.2.2 | 4.2.2 2.1.1"), "1···2·");
    }

    /// C under D and B♭, which takes the finger of the C.
    #[test]
    fn a_finger_that_leaves_a_bass_has_its_digit() {
        assert_eq!(needed("4 @1 1.1.1 2.1.1 3.3.3 1.1.1 / 1 5.3.3"), "113·3");
    }

    #[test]
    fn it_is_told_once_in_a_bar() {
        let bar = "3.2.2 4.2.2 3.2.2 4.2.2";
        assert_eq!(needed(&format!("8 @1 {bar} {bar} | {bar}")), "222·····22··");
    }

    #[test]
    fn it_is_seen_within_a_voice_too() {
        assert_eq!(needed("2 @1 2.3.3 1.3.3 / 4 5.0.0 4.0.0 5.0.0 4.0.0"), "33····");
        assert_eq!(needed("2 @1 2.3.3 1.1.1 / 4 5.0.0 4.0.0 5.0.0 4.0.0"), "3·····");
    }

    #[test]
    fn neither_a_chord_nor_a_barre_has_hops() {
        assert_eq!(needed("4 @1 4.2.2 5.3.3 4.3.3+1.1.1"), "2···");
        let under =
            |barre: &str, end: &str| needed(&format!("4 @1 {barre} 1.1.1 2.1.1 {end} 1.3.3"));
        assert_eq!(under("[1:1-3", "]"), "1··");
        assert_eq!(under("", ""), "11·");
    }
}
