//! Hold lines: a finger that stays down after its note is over, up to the note at which it
//! stops the same place again. They are asked for; they are not among what a page needs.
//!
//! Where the finger has another reason to stay, sliding on or lying ready under a slur,
//! there is none: the dash of the guide, and the slur, say it. Holds of one finger that
//! follow one another at one place are one line.

use apoyando_fingering::{Fingering, LeftFinger, Posture};
use apoyando_fretboard::Place;
use apoyando_music::{NoteId, Score, ToneId};

use crate::marks::HoldMark;

/// A finger that has stayed since a note.
struct Held {
    finger: LeftFinger,
    place: Place,
    from: ToneId,
}

/// The tone that a finger stops at a place.
fn stopped(posture: &Posture, finger: LeftFinger, place: Place) -> Option<ToneId> {
    let here = |placement: &apoyando_fingering::Placement| {
        placement.finger == Some(finger) && placement.place == place
    };
    posture.sounding.iter().find(|(_, placement)| here(placement)).map(|(tone, _)| *tone)
}

/// The hold lines of a part, in the order of the notes they begin at.
pub(crate) fn holds(score: &Score, fingering: &Fingering) -> Vec<HoldMark> {
    let tones = score.tones(fingering.part);
    let head = |tone: ToneId| tones.get(tone).head();
    let mut open: Vec<Held> = Vec::new();
    let mut found: Vec<(Place, HoldMark)> = Vec::new();
    let mut before: Option<&Posture> = None;
    for posture in &fingering.postures {
        let still = |held: &Held| posture.staying.contains(&(held.finger, held.place));
        for held in open.extract_if(.., |held| !still(held)) {
            let Held { finger, place, from } = held;
            let again =
                stopped(posture, finger, place).filter(|tone| tones.get(*tone).onset == posture.at);
            // Under a slur the finger only lay ready.
            let again = again.filter(|tone| !fingering.tone(*tone).joined);
            let Some(to) = again.map(head) else { continue };
            push(&mut found, place, HoldMark { finger, from: head(from), to });
        }
        for (finger, place) in posture.staying.iter().copied() {
            let known = open.iter().any(|held| (held.finger, held.place) == (finger, place));
            let from = before.and_then(|before| stopped(before, finger, place));
            open.extend(from.filter(|_| !known).map(|from| Held { finger, place, from }));
        }
        before = Some(posture);
    }
    found.sort_by_key(|(_, mark)| {
        let note = score.note(mark.from);
        (note.onset, mark.from)
    });
    found.into_iter().map(|(_, mark)| mark).collect()
}

/// Adds a hold, or makes the one that ends where it begins longer.
fn push(found: &mut Vec<(Place, HoldMark)>, place: Place, mark: HoldMark) {
    let goes_on = |(at, other): &&mut (Place, HoldMark)| {
        (*at, other.finger) == (place, mark.finger) && other.to == mark.from
    };
    let note: NoteId = mark.to;
    match found.iter_mut().find(goes_on) {
        Some((_, other)) => other.to = note,
        None => found.push((place, mark)),
    }
}

#[cfg(test)]
mod tests {
    use apoyando_fretboard::{Fret, StringNumber};

    use super::*;
    use crate::trial::{Trial, trial};

    /// A trial in which fingers stay at onsets, counted from 0: `onset string.fret.finger`.
    fn staying(text: &str, stays: &[(usize, u8, u8, u8)]) -> Trial {
        let mut trial = trial(text);
        for (onset, string, fret, finger) in stays {
            let place = Place { string: StringNumber::new(*string).unwrap(), fret: Fret(*fret) };
            let finger = LeftFinger::from_digit(*finger).unwrap();
            trial.fingering.postures[*onset].staying.push((finger, place));
        }
        trial
    }

    fn lines(trial: &Trial) -> Vec<(u8, u32, u32)> {
        let holds = holds(&trial.score, &trial.fingering);
        holds.iter().map(|hold| (hold.finger.digit(), hold.from.0, hold.to.0)).collect()
    }

    #[test]
    fn a_line_leads_to_where_the_finger_stops_its_place_again() {
        let up_and_down = "4 @1 2.1.1 2.3.3 2.1.1 1.0.0";
        assert_eq!(lines(&staying(up_and_down, &[(1, 2, 1, 1)])), [(1, 0, 2)]);
        assert_eq!(lines(&staying(up_and_down, &[])), []);
        let longer = "4 @1 2.1.1 2.3.3 1.0.0 2.1.1";
        assert_eq!(lines(&staying(longer, &[(1, 2, 1, 1), (2, 2, 1, 1)])), [(1, 0, 3)]);
    }

    #[test]
    fn a_finger_that_slides_on_or_goes_up_has_no_line() {
        let guide = "4 @1 2.1.1 1.0.0 @3 2.3.1 1.0.0";
        assert_eq!(lines(&staying(guide, &[(1, 2, 1, 1)])), []);
        let leaves = "4 @1 2.1.1 1.0.0 3.0.0 1.0.0";
        assert_eq!(lines(&staying(leaves, &[(1, 2, 1, 1)])), []);
        // It has come down for what follows.
        let prepared = "4 @1 1.0.0 2.3.3 2.1.1 1.0.0";
        assert_eq!(lines(&staying(prepared, &[(1, 2, 1, 1)])), []);
    }

    #[test]
    fn a_note_under_a_slur_ends_no_line() {
        let mut trial = staying("4 @1 2.1.1 2.3.3 2.1.1 1.0.0", &[(1, 2, 1, 1)]);
        trial.fingering.tones[2].joined = true;
        assert_eq!(lines(&trial), []);
    }

    #[test]
    fn holds_that_follow_one_another_are_one_line() {
        let text = "4 @1 2.1.1 2.3.3 2.1.1 2.3.4 | 2.1.1 1.0.0";
        let trial = staying(text, &[(1, 2, 1, 1), (3, 2, 1, 1)]);
        assert_eq!(lines(&trial), [(1, 0, 4)]);
    }

    #[test]
    fn they_are_asked_for_and_only_for_their_own_score() {
        let trial = staying("4 @1 2.1.1 2.3.3 2.1.1 1.0.0", &[(1, 2, 1, 1)]);
        let marks = trial.needed();
        assert_eq!(marks.holds, []);
        let with = marks.clone().with_holds(&trial.score, &trial.fingering);
        assert_eq!(with.holds.len(), 1);
        let mut other = trial.fingering.clone();
        other.revision = apoyando_music::Revision(1);
        assert_eq!(marks.with_holds(&trial.score, &other).holds, []);
    }
}
