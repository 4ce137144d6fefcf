//! Fingers put down before they sound: under a slur downwards the finger that stops the
//! lower note lies on the string before the upper one is let go. Printed in parentheses
//! before the digit of the upper note (common practice, no source).
//!
//! A finger that is there already, for it stopped the string before, is not prepared: it
//! stays. Where digits stand only where they are needed, a preparation is not told again
//! while the reader remembers it: in the bar where it was told and in the one after, as
//! long as the hand stays.

use std::collections::HashMap;

use apoyando_fingering::{Fingering, LeftFinger, Posture};
use apoyando_fretboard::Place;

use crate::marks::Density;
use crate::positions::Hand;
use crate::sounds::Sound;

/// What is remembered: the place of the note and that of the finger.
type Told = (Place, LeftFinger, Place);

/// Bars after the one where it was told in which a preparation is remembered.
const BARS: u32 = 1;

/// The finger that each sound prepares.
pub(crate) fn prepared(
    sounds: &[Sound],
    hand: &Hand,
    fingering: &Fingering,
    density: Density,
) -> Vec<Option<LeftFinger>> {
    let mut told: HashMap<Told, (u32, usize)> = HashMap::new();
    let mut found = vec![None; sounds.len()];
    let mut before: Option<&Posture> = None;
    for posture in &fingering.postures {
        for (finger, place) in posture.staying.iter().copied() {
            if before.is_some_and(|before| is_there(before, finger, place)) {
                continue;
            }
            let first = sounds.partition_point(|sound| sound.onset < posture.at);
            let struck = sounds[first..].iter().take_while(|sound| sound.onset == posture.at);
            let on_string =
                |sound: &Sound| sound.placement.is_some_and(|own| own.place.string == place.string);
            let Some(index) = struck.clone().position(on_string).map(|at| first + at) else {
                continue;
            };
            let (sound, stay) = (&sounds[index], hand.stay_at(posture.at));
            let Some(upper) = sound.placement else { continue };
            let fresh = told.insert((upper.place, finger, place), (sound.bar.0, stay));
            let remembered =
                fresh.is_some_and(|(bar, old)| old == stay && sound.bar.0 <= bar + BARS);
            if density == Density::EveryNote || !remembered {
                found[index] = Some(finger);
            }
        }
        before = Some(posture);
    }
    found
}

/// Whether a finger is at a place, sounding or not.
fn is_there(posture: &Posture, finger: LeftFinger, place: Place) -> bool {
    posture.staying.contains(&(finger, place))
        || posture.of_finger(finger).any(|placement| placement.place == place)
}

#[cfg(test)]
mod tests {
    use apoyando_fretboard::{Fret, StringNumber};

    use super::*;
    use crate::trial::{Trial, trial};

    /// A trial with slurs onto some notes, before which their fingers lie ready.
    fn slurred(text: &str, onto: &[(usize, u8, u8, u8)]) -> Trial {
        let mut trial = trial(text);
        for (onset, string, fret, finger) in onto {
            let place = Place { string: StringNumber::new(*string).unwrap(), fret: Fret(*fret) };
            let finger = LeftFinger::from_digit(*finger).unwrap();
            trial.fingering.postures[onset - 1].staying.push((finger, place));
            trial.fingering.tones[*onset].joined = true;
        }
        trial
    }

    fn told(trial: &Trial, density: Density) -> Vec<(usize, u8)> {
        let marks = trial.marked(density);
        let prepares = |mark: &Option<crate::LeftMark>| mark.and_then(|mark| mark.prepares);
        let all = marks.left.iter().enumerate();
        all.filter_map(|(at, mark)| Some((at, prepares(mark)?.digit()))).collect()
    }

    #[test]
    fn the_lower_finger_of_a_slur_downwards_is_told() {
        let trial = slurred("4 @1 1.0.0 2.3.4 2.1.1 1.0.0", &[(2, 2, 1, 1)]);
        assert_eq!(told(&trial, Density::WhereNeeded), [(1, 1)]);
        assert_eq!(told(&trial, Density::None), []);
    }

    #[test]
    fn a_finger_that_is_there_already_is_not() {
        let trial = slurred("4 @1 2.1.1 2.3.4 2.1.1 1.0.0", &[(2, 2, 1, 1)]);
        assert_eq!(told(&trial, Density::EveryNote), []);
    }

    #[test]
    fn what_the_reader_remembers_is_not_told_again() {
        let bar = "1.0.0 2.3.4 2.1.1 1.0.0";
        let text = format!("4 @1 {bar} | {bar} | {} | {bar}", "1.0.0 3.0.0 1.0.0 3.0.0");
        let onto = [(2, 2, 1, 1), (6, 2, 1, 1), (14, 2, 1, 1)];
        assert_eq!(told(&slurred(&text, &onto), Density::WhereNeeded), [(1, 1), (13, 1)]);
        assert_eq!(told(&slurred(&text, &onto), Density::EveryNote), [(1, 1), (5, 1), (13, 1)]);
    }
}
