//! Bars with the same notes are fingered alike where that costs little. The music is
//! made up; that players learn a bar once is common practice, no source.

use apoyando_fingering::{
    EffortTable, Level, Pin, PinAuthor, PinRule, Pins, Placement, Position, Problem, Scope,
};
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
    alike_under(score, effort, &Pins::default())
}

fn alike_under(score: &Score, effort: &EffortTable, pins: &Pins) -> Told {
    let (instrument, level) = (Instrument::guitar(), Level::open());
    let problem = Problem {
        score,
        part: PartIndex(0),
        instrument: &instrument,
        level: &level,
        pins,
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

/// B4 in twelve places of the hand, each between bars that are pinned there: ①7, ②12
/// and ③16 with each finger.
#[test]
fn bars_fingered_in_too_many_ways_are_named() {
    let hands = [4, 5, 6, 7, 9, 10, 11, 12, 13, 14, 15, 16];
    let pinned = "B4/8 C5/8 B4/8 C5/8 B4/8 C5/8 B4/8 C5/8";
    let group = format!("{pinned} | B4/1 | {pinned}");
    let tune = vec![group; hands.len()].join(" | ");
    let pin = |bar: u32, hand: u8| Pin {
        scope: Scope::Bars { first: BarIndex(bar), last: BarIndex(bar) },
        rule: PinRule::Positions(Position::new(hand).into_iter().collect()),
        author: PinAuthor::Author,
    };
    let pins =
        (0..).step_by(3).zip(hands).flat_map(|(bar, hand)| [pin(bar, hand), pin(bar + 2, hand)]);
    let pins = Pins(pins.collect());
    let told = alike_under(&score(Metre::COMMON, Some(200), &[&tune]), &on_paper(), &pins);
    let of_b4 = told.likenesses.iter().find(|like| like.bars[0] == BarIndex(1));
    let of_b4 = of_b4.expect("bars of one B4");
    assert_eq!(of_b4.bars.len(), hands.len());
    let Alike::NotTried { ways } = of_b4.outcome else { panic!("{of_b4:?}") };
    assert!(ways > 8, "{ways}");
    assert!(told.sentences.iter().any(|said| said.contains("too many to try")));
}
