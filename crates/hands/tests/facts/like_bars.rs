//! Bars with the same notes are fingered alike where that costs little. The music is
//! made up; that players learn a bar once is common practice, no source.

use apoyando_fingering::{EffortTable, Level, Pins, Placement, Problem};
use apoyando_fretboard::Instrument;
use apoyando_hands::{Alike, Likeness, RightPlan, solve};
use apoyando_music::{BarIndex, Metre, PartIndex, Score};

use crate::on_paper::on_paper;
use crate::staff::score;

struct Told {
    before: u64,
    after: u64,
    likenesses: Vec<Likeness>,
    sentences: Vec<String>,
    /// By tone, after.
    left: Vec<Option<Placement>>,
    /// The reason for the first note of the third bar.
    reason: String,
}

fn alike(score: &Score, effort: &EffortTable) -> Told {
    let (instrument, level, pins) = (Instrument::guitar(), Level::open(), Pins::default());
    let problem = Problem {
        score,
        part: PartIndex(0),
        instrument: &instrument,
        level: &level,
        pins: &pins,
        effort,
        house: &apoyando_fingering::NO_HOUSE,
    };
    let solved = solve(&problem, &RightPlan::default()).expect("a fingering");
    let before = solved.price().effort;
    let (solved, likenesses) = solved.alike().expect("a fingering");
    let fingering = &solved.solution().fingering;
    let violations = apoyando_verify::verify(&problem, fingering);
    assert!(violations.is_empty(), "{violations:#?}");
    let tones = score.tones(PartIndex(0));
    let third = tones.as_slice().iter().find(|t| t.onset >= score.bar(BarIndex(2)).start);
    let third = third.expect("three bars").id;
    for tone in tones.as_slice() {
        for alternative in solved.alternatives(tone.id) {
            let more: i64 = solved.changes(&alternative).iter().map(|c| c.amount).sum();
            assert_eq!(more, alternative.more as i64);
        }
    }
    Told {
        before,
        after: solved.price().effort,
        sentences: likenesses.iter().map(|like| like.sentence(score)).collect(),
        likenesses,
        left: fingering.tones.iter().map(|tone| tone.left).collect(),
        reason: solved.reason(third).expect("a reason").sentence,
    }
}

/// The bar between the two is high, and the last one low.
const TUNE: &str =
    "G4/4 A4/4 B4/4 C5/4 | E5/4 F5/4 G5/4 E5/4 | G4/4 A4/4 B4/4 C5/4 | D4/4 C4/4 B3/4 C4/4";

#[test]
fn a_bar_that_comes_again_is_fingered_again() {
    let told = alike(&score(Metre::COMMON, None, &[TUNE]), &on_paper());
    let [like] = &told.likenesses[..] else { panic!("{:?}", told.likenesses) };
    assert_eq!(like.bars, [BarIndex(0), BarIndex(2)]);
    let Alike::Made(made) = like.outcome else { panic!("{like:?}") };
    assert_eq!(told.after - told.before, made.more);
    assert!(made.more > 0 && made.more <= made.worth && made.worth == 6 * u64::from(made.notes));
    assert_eq!(told.left[0..4], told.left[8..12]);
    assert!(told.reason.starts_with("bars 1 and 3 have the same notes"), "{}", told.reason);
}

#[test]
fn what_costs_too_much_is_left_and_named() {
    let effort = EffortTable { alike: 0, ..on_paper() };
    let told = alike(&score(Metre::COMMON, None, &[TUNE]), &effort);
    assert_eq!(told.after, told.before);
    let Alike::TooDear(made) = told.likenesses[0].outcome else { panic!("{:?}", told.sentences) };
    assert_eq!(made.worth, 0);
    assert_ne!(told.left[0..4], told.left[8..12]);
    assert!(told.sentences[0].contains("are not fingered alike"), "{:?}", told.sentences);
}

#[test]
fn bars_of_other_rhythm_or_notes_are_not_like() {
    let tunes = ["G4/2 A4/2 | G4/2. A4/4", "G4/2 A4/2 | G4/2 B4/2", "G4/2 r/2 | G4/2 G4/2"];
    for tune in tunes {
        let tune = format!("{tune} | E4/1");
        let told = alike(&score(Metre::COMMON, None, &[&tune]), &EffortTable::default());
        assert_eq!(told.likenesses, [], "{tune}");
    }
}
