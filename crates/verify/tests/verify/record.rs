//! What a fingering says beside its postures.

use apoyando_fingering::{
    BarreSpan, EffortItem, LetGo, Position, PositionSpan, RightFinger, Shift, Term,
};
use apoyando_music::{PartIndex, ToneId};
use apoyando_verify::{Fault, Rule, Violation};

use crate::kit::{Case, at, barre, full_barre, quarters, score, tune};

/// Plants a fault in the tune and gives all that is found.
fn planted(plant: impl FnOnce(&mut Case)) -> Vec<Fault> {
    let mut case = tune();
    plant(&mut case);
    case.violations().into_iter().map(|violation| violation.fault).collect()
}

#[test]
fn a_fingering_of_another_score_is_refused() {
    let mut case = tune();
    case.score = score(&[&["C4/1"]]);
    assert_eq!(case.violations(), [Violation { spot: None, fault: Fault::Revision }]);
    assert!(case.price().is_err());
    let faults = planted(|case| case.fingering.part = PartIndex(1));
    assert!(matches!(faults[..], [Fault::Part { .. }]));
}

#[test]
fn missing_tones_and_postures_are_found() {
    let faults = planted(|case| case.fingering.tones.truncate(10));
    assert_eq!(faults, [Fault::ToneCount { found: 10, wanted: 11 }]);
    let faults = planted(|case| case.fingering.postures.truncate(7));
    assert_eq!(faults, [Fault::PostureCount { found: 7, wanted: 8 }]);
    let faults = planted(|case| case.fingering.postures[1].at = quarters(3));
    assert_eq!(faults, [Fault::PostureOnset { found: quarters(3), wanted: quarters(1) }]);
}

#[test]
fn postures_that_name_the_wrong_tones_are_found() {
    let faults =
        planted(|case| case.fingering.postures[7].sounding.push((ToneId(99), at(4, 0, 0))));
    assert_eq!(faults, [Fault::UnknownTone(ToneId(99))]);
    let faults = planted(|case| case.fingering.postures[1].sounding.swap(0, 1));
    assert_eq!(faults, [Fault::ToneOrder(ToneId(1))]);
    // C4 is over when D4 is struck.
    let faults =
        planted(|case| case.fingering.postures[1].sounding.insert(0, (ToneId(0), at(2, 1, 1))));
    assert_eq!(faults, [Fault::NotSounding(ToneId(0))]);
}

#[test]
fn idle_hands_are_checked() {
    let faults = planted(|case| case.fingering.postures[0].idle = true);
    assert_eq!(faults, [Fault::IdleFlag { found: true }]);
    let faults = planted(|case| case.move_hand(4, 3));
    assert!(matches!(faults[0], Fault::IdlePosition { .. }), "{faults:?}");
}

#[test]
fn tones_are_held_against_the_postures() {
    let faults = planted(|case| case.fingering.tones[2].left = Some(at(3, 7, 4)));
    assert!(matches!(faults[..], [Fault::TonePlacement { tone: ToneId(2), .. }]));
    let faults = planted(|case| case.fingering.tones[7].sounds_until = quarters(7));
    assert!(matches!(faults[..], [Fault::SoundsUntil { tone: ToneId(7), .. }]));
}

#[test]
fn lists_are_held_against_the_postures() {
    let faults = planted(|case| case.fingering.positions.clear());
    assert!(matches!(faults[..], [Fault::PositionSpan { found: None, .. }]));
    let second = Position::new(2).unwrap();
    let span = PositionSpan { position: second, from: quarters(0), to: quarters(7) };
    let faults = planted(|case| case.fingering.positions = vec![span]);
    assert!(matches!(faults[..], [Fault::PositionSpan { .. }]));

    let laid = BarreSpan { barre: barre(1, 1, 6), from: quarters(0), to: quarters(0) };
    let faults = planted(|case| case.fingering.barres = vec![laid]);
    assert!(matches!(faults[..], [Fault::BarreSpan { wanted: None, .. }]));
    let mut unsaid = full_barre();
    unsaid.fingering.barres.clear();
    assert_eq!(unsaid.rules(), [Rule::Record]);

    let shift = Shift {
        at: quarters(1),
        from: Position::FIRST,
        to: second,
        guide: None,
        pivot: None,
        over_open: false,
    };
    let faults = planted(|case| case.fingering.shifts.push(shift));
    assert_eq!(faults, [Fault::Shift { found: Some(shift) }]);

    let gone = LetGo { tone: ToneId(7), at: quarters(6), written: true };
    let faults = planted(|case| case.fingering.let_go.push(gone));
    assert_eq!(faults, [Fault::LetGoInvented(gone)]);
}

/// The bass of the second bar is let go on its third beat, and no list says so.
#[test]
fn a_sound_let_go_in_silence_is_found() {
    let faults = planted(|case| {
        for layer in [6, 7] {
            case.fingering.postures[layer].sounding.retain(|(tone, _)| tone.0 != 7);
        }
    });
    let gone = LetGo { tone: ToneId(7), at: quarters(6), written: true };
    assert!(faults.contains(&Fault::LetGoUnsaid(gone)), "{faults:?}");
    assert!(faults.contains(&Fault::Item { term: Term::CutBass, found: 0, wanted: 30 }));
}

#[test]
fn items_are_held_against_the_postures() {
    let item = |amount, at| EffortItem { term: Term::Jump, at, amount };
    let faults = planted(|case| case.fingering.items.push(item(3, quarters(1))));
    let sum = Fault::ItemSum { sum: 29, price: 26 };
    assert_eq!(faults, [Fault::Item { term: Term::Jump, found: 3, wanted: 0 }, sum.clone()]);
    let nowhere = item(3, crate::kit::eighths(1));
    let faults = planted(|case| case.fingering.items.push(nowhere));
    assert_eq!(faults, [Fault::ItemNowhere(nowhere), sum]);
}

/// A unison of two voices is one sound: its two tones are played alike.
#[test]
fn tones_of_one_sound_are_played_alike() {
    use crate::kit::held;
    let case = || {
        let score = score(&[&["E4/2 r/2"], &["E4/1"]]);
        let until = [quarters(4), quarters(4)];
        Case::new(score, &[held(0, &[(0, 1, 0, 0), (1, 1, 0, 0)])], "mm", &until).costing(&[(
            Term::ToneLong,
            quarters(0),
            17,
        )])
    };
    assert_eq!(case().violations(), []);
    let mut split = case();
    split.fingering.postures[0].sounding.pop();
    assert!(split.violations().iter().any(|v| v.fault == Fault::SoundSplit(ToneId(0))));
    let mut apart = case();
    apart.put(1, at(2, 5, 4));
    let found = apart.violations();
    assert!(found.iter().any(|v| matches!(v.fault, Fault::SoundInTwoPlaces { .. })));
    let mut right = case();
    right.fingering.tones[1].right = Some(RightFinger::I);
    assert_eq!(right.rules(), [Rule::RightHand]);
}
