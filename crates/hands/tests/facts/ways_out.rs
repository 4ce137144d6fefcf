//! What could be changed where notes are left out or rules broken. The music is
//! made up; what a hand cannot do is common practice, no source.

use apoyando_fingering::{
    EffortTable, FretSet, Level, Pin, PinAuthor, PinRule, Pins, Price, Problem, Scope,
};
use apoyando_fretboard::{Fret, Instrument};
use apoyando_hands::{ClashRule, QuestionChange, RightPlan, WaysOut, solve};
use apoyando_music::{Metre, PartIndex, Score, ToneId};

use crate::staff::score;

fn ways_out(score: &Score, level: &Level, pins: &[Pin]) -> (Price, WaysOut, Vec<String>) {
    let (instrument, effort) = (Instrument::guitar(), EffortTable::default());
    let pins = Pins(pins.to_vec());
    let problem = Problem {
        score,
        part: PartIndex(0),
        instrument: &instrument,
        level,
        pins: &pins,
        effort: &effort,
        house: &apoyando_fingering::NO_HOUSE,
    };
    let solved = solve(&problem, &RightPlan::default()).expect("a fingering");
    let before = solved.solution().clone();
    let ways = solved.ways_out().expect("ways out");
    assert_eq!(solved.solution(), &before, "asking changes nothing");
    let findings = before.findings.iter().map(ToString::to_string).collect();
    (before.fingering.price, ways, findings)
}

fn sentences(ways: &WaysOut) -> Vec<&str> {
    ways.spots[0].ways.iter().map(|way| way.sentence.as_str()).collect()
}

#[test]
fn where_all_is_well_there_is_nothing_to_get_out_of() {
    let (_, ways, _) = ways_out(&score(Metre::COMMON, None, &["C3+E3+G3/1"]), &Level::open(), &[]);
    assert_eq!(ways, WaysOut::default());
}

/// E2 and G2 lie on ⑥ alone.
#[test]
fn two_notes_of_one_string_clash() {
    let (price, ways, findings) =
        ways_out(&score(Metre::COMMON, None, &["C4/2 E4/2", "A2/2 E2+G2/2"]), &Level::open(), &[]);
    assert_eq!(price.escapes, 1);
    assert_eq!(ways.more, 0);
    let [spot] = &ways.spots[..] else { panic!("{ways:#?}") };
    assert_eq!((spot.bar, spot.beat.as_str()), (1, "3"));
    let [clash] = &spot.clashes[..] else { panic!("{spot:#?}") };
    assert_eq!(clash.rule, ClashRule::Strings);
    assert_eq!(clash.tones.len(), 2);
    assert!(
        findings.iter().any(|said| said.contains("both need ⑥") && said.contains("note-left-out")),
        "{findings:#?}"
    );
    // The bass up an octave is the cheapest, or as dear as to leave it out.
    let changes: Vec<QuestionChange> = spot.ways.iter().map(|way| way.change).collect();
    let bass = clash.tones[0];
    assert!(changes.contains(&QuestionChange::OctaveUp(bass)), "{changes:?}");
    assert!(changes.contains(&QuestionChange::LeaveOut(bass)), "{changes:?}");
    assert!(changes.contains(&QuestionChange::LeaveOut(clash.tones[1])), "{changes:?}");
    assert!(spot.ways.iter().all(|way| way.left_out == 0 && way.price.escapes == 1));
}

/// F2 at fret 1 and the others at fret 13 or more.
#[test]
fn what_lies_too_far_apart_clashes_by_reach() {
    let (price, ways, findings) =
        ways_out(&score(Metre::COMMON, None, &["F2+G#4+F5/1"]), &Level::open(), &[]);
    assert_eq!(price.escapes, 1);
    let [clash] = &ways.spots[0].clashes[..] else { panic!("{ways:#?}") };
    assert_eq!(clash.rule, ClashRule::Reach, "{findings:?}");
    assert!(findings[0].contains("farther apart than a hand reaches"), "{findings:?}");
}

/// Five stopped notes need a barre, four have a finger each.
#[test]
fn a_barre_that_the_level_lacks_can_be_allowed() {
    let level = Level { barre: apoyando_fingering::BarreLimit::None, ..Level::open() };
    let (price, ways, _) =
        ways_out(&score(Metre::COMMON, None, &["E4/2 F2+C3+F3+A3+C4/2"]), &level, &[]);
    assert_eq!((price.escapes, price.broken), (0, 1));
    let spot = &ways.spots[0];
    assert_eq!(spot.ways[0].change, QuestionChange::WiderBarre);
    assert_eq!(spot.ways[0].price, price);
    assert!(spot.ways[0].sentence.starts_with("allow a wider barre here: as dear as it is now"));
    let leave_out = |way: &&apoyando_hands::WayOut| {
        matches!(way.change, QuestionChange::LeaveOut(_)) && way.broken == 0
    };
    assert!(spot.ways.iter().any(|way| leave_out(&way)), "{:#?}", sentences(&ways));
}

#[test]
fn a_pin_that_stands_in_the_way_can_go() {
    let pin = Pin {
        scope: Scope::Tone(ToneId(1)),
        rule: PinRule::Frets(FretSet::NONE.with(Fret(9))),
        author: PinAuthor::Author,
    };
    let (price, ways, _) =
        ways_out(&score(Metre::COMMON, None, &["E3/2 F3/2"]), &Level::open(), &[pin]);
    assert_eq!(price.broken, 1);
    let changes: Vec<QuestionChange> = ways.spots[0].ways.iter().map(|way| way.change).collect();
    let wanted = [
        QuestionChange::HigherFret,
        QuestionChange::WithoutPin(pin),
        QuestionChange::LeaveOut(ToneId(1)),
    ];
    assert_eq!(changes, wanted);
}

/// The first 32 are looked at, the rest counted.
#[test]
fn too_many_spots_are_counted() {
    let bars = vec!["E2+G2/1"; 40].join(" | ");
    let (price, ways, _) = ways_out(&score(Metre::COMMON, None, &[&bars]), &Level::open(), &[]);
    assert_eq!(price.escapes, 40);
    assert_eq!((ways.spots.len(), ways.more), (32, 8));
    assert_eq!(ways.spots.last().map(|spot| spot.bar), Some(32));
}
