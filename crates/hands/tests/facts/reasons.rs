//! Why a note is where it is: sentences that follow from what is paid.

use apoyando_fingering::{
    EffortTable, LeftFinger, Level, Pin, PinAuthor, PinRule, Pins, Position, PositionSet, Problem,
    Scope, StringSet,
};
use apoyando_fretboard::{Fret, Instrument, StringNumber};
use apoyando_hands::{Difference, Reason, RightPlan, solve};
use apoyando_music::{Metre, PartIndex, Score, ToneId};

use crate::staff::score;

const TUNE: [&str; 2] = [
    "C4/8 D4/8 E4/8 F4/8 G4/4 E4/4 | D4/8 C4/8 D4/8 B3/8 C4/2 \
     | A4/8 G4/8 F4/8 E4/8 D4/4 G4/4 | C5/8 B4/8 A4/8 G4/8 E4/2",
    "C3/2 C3/2 | G2/2 C3/2 | F3/2 B2/2 | A2/2 C3/2",
];
const CHORDS: [&str; 2] = [
    "r/8 E3/8 A3/8 C4/8 E4/8 C4/8 A3/8 E3/8 | r/8 A3/8 D4/8 F4/8 D4/8 A3/8 r/4 \
     | r/8 E3/8 G#3/8 B3/8 E4/8 B3/8 G#3/8 E3/8 | r/8 G3/8 C4/8 E4/8 C4/8 G3/8 r/4",
    "A2/1 | D3/2. r/4 | E2/1 | C3/2. r/4",
];

fn reasons(score: &Score, level: &Level, pins: &[Pin], effort: &EffortTable) -> Vec<Reason> {
    let (instrument, pins) = (Instrument::guitar(), Pins(pins.to_vec()));
    let part = PartIndex(0);
    let problem = Problem {
        score,
        part,
        instrument: &instrument,
        level,
        pins: &pins,
        effort,
        house: &apoyando_fingering::NO_HOUSE,
    };
    let solved = solve(&problem, &RightPlan::default()).expect("a fingering");
    score.tones(part).as_slice().iter().filter_map(|tone| solved.reason(tone.id)).collect()
}

/// The reason for the first note of a single line.
fn first(line: &str, level: &Level, pins: &[Pin]) -> Reason {
    let score = score(Metre::COMMON, None, &[line]);
    reasons(&score, level, pins, &EffortTable::default()).swap_remove(0)
}

fn string(number: u8) -> StringNumber {
    StringNumber::new(number).expect("a string")
}

fn on_string(number: u8) -> Pin {
    Pin {
        scope: Scope::Tone(ToneId(0)),
        rule: PinRule::Strings(StringSet::NONE.with(string(number))),
        author: PinAuthor::Author,
    }
}

#[test]
fn every_note_has_a_reason_that_adds_up() {
    let effort = EffortTable::default();
    for voices in [TUNE, CHORDS] {
        for level in [Level::open(), Level::first()] {
            let score = score(Metre::COMMON, None, &voices);
            let all = reasons(&score, &level, &[], &effort);
            assert_eq!(all.len(), score.tones(PartIndex(0)).len());
            for reason in all {
                assert!(!reason.sentence.is_empty());
                let paid: i64 = reason.changes.iter().map(|c| c.amount).sum();
                assert_eq!(reason.against.map_or(0, |a| a.more as i64), paid, "{reason}");
            }
        }
    }
}

/// Words stand for terms: where a term costs nothing, its words are not used.
#[test]
fn what_costs_nothing_is_no_reason() {
    type Free = fn(&mut EffortTable);
    let cases: [(&str, Free); 5] = [
        ("the hand up to", |t| t.height = 0),
        ("shift to", |t| (t.shift, t.travel) = (0, 0)),
        ("ringing chord", |t| t.ring = 0),
        ("a weaker finger", |t| (t.finger_3, t.finger_4) = (0, 0)),
        ("jump strings", |t| (t.jump, t.jump_bass, t.twice) = (0, 0, 0)),
    ];
    for (words, free) in cases {
        let count = |effort: &EffortTable| {
            let said = [TUNE, CHORDS].into_iter().flat_map(|voices| {
                let score = score(Metre::COMMON, None, &voices);
                [Level::open(), Level::first()]
                    .into_iter()
                    .flat_map(|level| reasons(&score, &level, &[], effort))
                    .collect::<Vec<_>>()
            });
            said.filter(|reason| reason.sentence.contains(words)).count()
        };
        let mut effort = EffortTable::default();
        assert!(count(&effort) > 0, "nobody says “{words}” at all");
        free(&mut effort);
        assert_eq!(count(&effort), 0, "“{words}” is said for nothing");
    }
}

/// Common practice, no source: an open string is where the hand moves.
#[test]
fn the_open_string_gives_time_to_shift() {
    let score = score(
        Metre::COMMON,
        None,
        &["F2/8 G2/8 F3/8 C4/8 F4/8 G4/8 F4/8 E4/8 | A4/8 B4/8 C5/8 B4/8 A4/2"],
    );
    let all = reasons(&score, &Level::open(), &[], &EffortTable::default());
    assert!(all[7].sentence.contains("time for the shift to V"), "{}", all[7]);
}

#[test]
fn rules_that_stand_in_the_way_are_named() {
    let low = Level { highest_fret: Fret(4), ..Level::open() };
    let reason = first("E4/1", &low, &[]);
    assert_eq!(reason.against, None);
    assert_eq!(
        reason.sentence,
        "only here: on ②, ③, ④ and ⑤ it lies above fret 4, where the level ends"
    );
    let reason = first("F2/1", &low, &[]);
    assert!(reason.sentence.starts_with("no other string has this note; with finger "), "{reason}");
    let reason = first("E4/1", &Level::open(), &[on_string(1)]);
    assert_eq!(reason.sentence, "only here: ②, ③, ④ and ⑤ would break the pin “string ①”");

    let mut stopped = Level { highest_fret: Fret(5), ..Level::open() };
    stopped.fingers = stopped.fingers.without(None);
    let reason = first("E4/1", &stopped, &[]);
    assert!(reason.sentence.contains("the level does not allow ① open"), "{reason}");
    let at_home = Level { positions: PositionSet::NONE.with(Position::FIRST), ..Level::open() };
    let reason = first("A4/1", &at_home, &[]);
    assert!(
        reason.sentence.contains("②, ③ and ④ would need a position that is not allowed"),
        "{reason}"
    );
}

/// E2 has ⑥ only, so that A2 cannot go there.
#[test]
fn a_string_that_another_note_needs_is_named() {
    let low = Level { highest_fret: Fret(12), ..Level::open() };
    let reason = first("E2+A2/1", &low, &[]);
    assert!(reason.sentence.contains("no other string"), "{reason}");
    let score = score(Metre::COMMON, None, &["E2+A2/1"]);
    let all = reasons(&score, &low, &[], &EffortTable::default());
    assert_eq!(all[1].sentence, "only here: another note needs ⑥");
}

/// With finger 4 forbidden and no other place, the other fingers are weighed.
#[test]
fn fingers_are_weighed_where_no_other_place_is_left() {
    let mut level = Level { highest_fret: Fret(3), ..Level::open() };
    level.fingers = level.fingers.without(Some(LeftFinger::Four));
    let reason = first("F4/1", &level, &[]);
    let against = reason.against.expect("another finger");
    assert!(matches!(against.difference, Difference::Finger(_)));
    assert!(reason.sentence.contains("where the level ends; with finger"), "{reason}");
}
