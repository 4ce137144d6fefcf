//! What a section asks that none before it did.

use std::collections::BTreeSet;

use apoyando_music::KeyNumber;

use super::said::Theme;
use super::{Subject, Subjects};

/// So many notes are named one by one; of more, the range is told. House value.
const NAMED: usize = 8;

/// What is new under one theme.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct News {
    /// The theme.
    pub theme: Theme,
    /// What is new, in a few words.
    pub said: String,
}

/// What is asked now and was not before, by theme. A note that was played in another
/// place before is new in this one; notes struck together are new where more are than
/// ever before.
#[must_use]
pub fn news(before: &Subjects, now: &Subjects) -> Vec<News> {
    let new: Vec<&Subject> = now.difference(before).collect();
    Theme::ALL
        .into_iter()
        .filter_map(|theme| {
            let here: Vec<&Subject> =
                new.iter().copied().filter(|subject| subject.theme() == theme).collect();
            let said = match theme {
                Theme::Notes => notes(&here),
                Theme::RightHand => right_hand(&here, before),
                _ => here.iter().map(|subject| subject.said()).collect::<Vec<_>>().join(", "),
            };
            (!said.is_empty()).then_some(News { theme, said })
        })
        .collect()
}

/// Of notes struck together, only the most.
fn right_hand(here: &[&Subject], before: &Subjects) -> String {
    let most = together(here.iter().copied()).filter(|most| Some(*most) > together(before));
    let others = here.iter().filter(|subject| !matches!(subject, Subject::Together(_)));
    let said = others.map(|subject| subject.said());
    said.chain(most.map(|notes| Subject::Together(notes).said())).collect::<Vec<_>>().join(", ")
}

/// The most notes that are struck together.
fn together<'a>(subjects: impl IntoIterator<Item = &'a Subject>) -> Option<usize> {
    let notes = subjects.into_iter().filter_map(|subject| match subject {
        Subject::Together(notes) => Some(*notes),
        _ => None,
    });
    notes.max()
}

/// Few notes each with its string, many as a range; one that lies in two places is one.
fn notes(here: &[&Subject]) -> String {
    let named = here.iter().filter_map(|subject| match subject {
        Subject::Note { key, name, .. } => Some((*key, name)),
        _ => None,
    });
    let low = named.clone().min_by_key(|(key, _)| *key);
    // The first of those that sound alike, as below.
    let high = named.clone().rev().max_by_key(|(key, _)| *key);
    let keys: BTreeSet<KeyNumber> = named.clone().map(|(key, _)| key).collect();
    match (low, high) {
        (Some((_, low)), Some((_, high))) if here.len() > NAMED => {
            format!("{}, from {low} to {high}", keys.len())
        }
        _ => here.iter().map(|subject| subject.said()).collect::<Vec<_>>().join(", "),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::subjects::{Movement, Sign};
    use apoyando_fingering::{LeftFinger, Position};
    use apoyando_fretboard::{Fret, StringNumber};
    use apoyando_music::Base;

    fn note(key: i16, name: &str, string: u8) -> Subject {
        Subject::Note {
            key: KeyNumber(key),
            name: name.to_owned(),
            string: StringNumber::new(string).expect("a string"),
            fret: Fret(1),
        }
    }

    fn said(before: &[Subject], now: &[Subject]) -> Vec<String> {
        let set = |subjects: &[Subject]| subjects.iter().cloned().collect::<Subjects>();
        news(&set(before), &set(now))
            .iter()
            .map(|it| format!("{}: {}", it.theme.title(), it.said))
            .collect()
    }

    #[test]
    fn only_what_is_new_is_told() {
        let first = Position::new(1).expect("I");
        let second = Position::new(2).expect("II");
        let before = [
            Subject::Signature(0),
            Subject::Position(first),
            Subject::Value(Base::Quarter, 0),
            Subject::Together(3),
            note(60, "C5", 2),
        ];
        let now = [
            Subject::Signature(1),
            Subject::Position(first),
            Subject::Position(second),
            Subject::Value(Base::Quarter, 1),
            Subject::Tuplet(3, 2),
            Subject::Together(2),
            Subject::Finger(LeftFinger::Four),
            Subject::Movement(Movement::Slurs),
            Subject::Movement(Movement::Substitution),
            Subject::Sign(Sign::Repeats),
            note(60, "C5", 2),
            note(60, "C5", 3),
        ];
        assert_eq!(
            said(&before, &now),
            [
                "Key signature: one sharp",
                "Position: II",
                "Notes: C5 on\u{a0}③",
                "Rhythm: dotted quarter notes, triplets",
                "Left hand: finger 4, slurs, finger substitution",
                "Signs: repeats",
            ]
        );
        assert!(said(&now, &now).is_empty());
    }

    #[test]
    fn many_notes_are_told_as_a_range() {
        let mut many: Vec<Subject> = (50..62).map(|key| note(key, &format!("N{key}"), 3)).collect();
        assert_eq!(said(&[], &many), ["Notes: 12, from N50 to N61"]);
        many.push(note(61, "N61", 2));
        assert_eq!(said(&[], &many), ["Notes: 12, from N50 to N61"], "one in two places");
    }
}
