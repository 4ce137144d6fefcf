//! Finger substitution is a thing to know, and new where it first comes.

use apoyando_fingering::{
    EffortTable, LeftFinger, LeftFingerSet, Level, Pin, PinAuthor, PinRule, Pins, Problem, Scope,
};
use apoyando_fretboard::Instrument;
use apoyando_hands::{RightPlan, finger};
use apoyando_method::subjects::{Movement, Subject, Subjects, news, subjects};
use apoyando_music::{
    Base, Draft, DraftBar, DraftEvent, DraftPart, Heading, KeySignature, Metre, NoteValue,
    PartIndex, Pitch, Score, ToneId,
};

/// E4 and F4 over a held C3.
fn score() -> Score {
    let notes = |base, pitch: &str| {
        DraftEvent::notes(NoteValue::plain(base), &[pitch.parse::<Pitch>().unwrap()])
    };
    let mut part = DraftPart::guitar(String::new());
    part.voices = vec![
        vec![vec![notes(Base::Half, "E4"), notes(Base::Half, "F4")]],
        vec![vec![notes(Base::Whole, "C3")]],
    ];
    let bars = vec![DraftBar::new(1, Metre::COMMON, KeySignature::NONE)];
    Score::assemble(Draft { heading: Heading::default(), bars, parts: vec![part] }).unwrap()
}

fn asked(substitution: bool) -> Subjects {
    let score = score();
    let four = LeftFingerSet::NONE.with(Some(LeftFinger::Four));
    let pins = Pins(vec![Pin {
        scope: Scope::Tone(ToneId(1)),
        rule: PinRule::SecondFingers(four),
        author: PinAuthor::Author,
    }]);
    let level = Level { substitution, ..Level::open() };
    let problem = Problem {
        score: &score,
        part: PartIndex(0),
        instrument: &Instrument::guitar(),
        level: &level,
        pins: &pins,
        effort: &EffortTable::default(),
        house: &apoyando_fingering::NO_HOUSE,
    };
    subjects(&score, &finger(&problem, &RightPlan::default()).unwrap().fingering)
}

#[test]
fn a_note_that_is_taken_over_is_a_subject() {
    let (before, now) = (asked(false), asked(true));
    let substitution = Subject::Movement(Movement::Substitution);
    assert!(!before.contains(&substitution) && now.contains(&substitution));
    // The finger that takes over has to be known, too.
    let four = Subject::Finger(LeftFinger::Four);
    assert!(!before.contains(&four) && now.contains(&four));
    let new: Vec<String> = news(&before, &now).into_iter().map(|it| it.said).collect();
    assert!(new.contains(&"finger 4, finger substitution".to_owned()), "{new:?}");
}
