//! What cannot be played ends in findings or typed errors, never in silence.

use apoyando_fingering::{
    EffortTable, FretSet, LeftFinger, LeftFingerSet, Level, Pin, PinAuthor, PinRule, Pins, Problem,
    Scope, Severity, StringSet,
};
use apoyando_fretboard::{Fret, Instrument, StringNumber};
use apoyando_hands::{HandsError, RightPlan, finger};
use apoyando_music::{Metre, PartIndex, ToneId};

use crate::staff::{score, shown, solve};

#[test]
fn notes_off_the_instrument_are_named_with_a_remedy() {
    let score = score(Metre::COMMON, None, &["D2/4 E3/4 C6/4 r/4"]);
    let solution = solve(&score, &Level::open(), &[]);
    assert_eq!(solution.fingering.price.escapes, 2);
    assert_eq!(shown(&solution), "— ④2/2 —");
    let said: Vec<String> = solution.findings.iter().map(ToString::to_string).collect();
    assert_eq!(
        said,
        [
            "bar 1, beat 1: error: D2 (written D3) lies below the lowest string and is left out \
             (write it an octave higher or tune the lowest string down) [note-below-range]",
            "bar 1, beat 3: error: C6 (written C7) lies above fret 19, the last one, and is left out \
             (write it an octave lower) [note-above-range]",
        ]
    );
}

#[test]
fn of_seven_notes_one_is_left_out() {
    let score = score(Metre::COMMON, None, &["r/2. E2+B2+E3+G3+B3+E4+G4/4"]);
    let solution = solve(&score, &Level::open(), &[]);
    assert_eq!(solution.fingering.price.escapes, 1);
    let [finding] = &solution.findings[..] else { panic!("{:?}", solution.findings) };
    assert_eq!((finding.rule, finding.severity), ("note-left-out", Severity::Error));
    assert_eq!((finding.place.bar, finding.place.beat.as_deref()), (Some(1), Some("4")));
    assert!(finding.message.contains("7 notes are struck together on 6 strings"));
}

#[test]
fn a_keyboard_cluster_ends_in_an_error_that_names_its_place() {
    let names = ["C", "C#", "D", "Eb", "E", "F", "F#", "G", "G#", "A", "Bb", "B"];
    let cluster: Vec<String> =
        (2..=4).flat_map(|o| names.map(|n| format!("{n}{o}"))).skip(4).collect();
    let text = format!("E3/2 {}/2", cluster.join("+"));
    let score = score(Metre::COMMON, None, &[&text]);
    let level = Level::open();
    let instrument = Instrument::guitar();
    let effort = EffortTable::default();
    let problem = Problem {
        score: &score,
        part: PartIndex(0),
        instrument: &instrument,
        level: &level,
        pins: &Pins::default(),
        effort: &effort,
        house: &apoyando_fingering::NO_HOUSE,
    };
    let error = finger(&problem, &RightPlan::default()).expect_err("too many notes");
    assert_eq!(error, HandsError::Crowded { bar: 1, beat: "3".to_owned(), sounds: cluster.len() });
    let no_part = Problem { part: PartIndex(3), ..problem };
    let error = finger(&no_part, &RightPlan::default()).expect_err("no such part");
    assert_eq!(error, HandsError::NoSuchPart { part: 4, parts: 1 });
    let negative = EffortTable { jump: -1, ..EffortTable::default() };
    let error = finger(&Problem { effort: &negative, ..problem }, &RightPlan::default());
    assert!(matches!(error, Err(HandsError::Effort { name: "jump", value: -1, .. })));
}

fn on_tone(tone: u32, rule: PinRule, author: PinAuthor) -> Pin {
    Pin { scope: Scope::Tone(ToneId(tone)), rule, author }
}

fn finger_only(digit: u8) -> PinRule {
    PinRule::LeftFingers(LeftFingerSet::NONE.with(LeftFinger::from_digit(digit)))
}

#[test]
fn pins_that_exclude_each_other_are_both_named() {
    let score = score(Metre::COMMON, None, &["E3/2 F3/2"]);
    let pins = [
        on_tone(1, finger_only(2), PinAuthor::Author),
        on_tone(1, finger_only(4), PinAuthor::Author),
    ];
    let solution = solve(&score, &Level::open(), &pins);
    assert_eq!(solution.fingering.price.broken, 1);
    let finding = &solution.findings[0];
    assert_eq!(finding.rule, "pins-contradict");
    assert_eq!((finding.place.bar, finding.place.beat.as_deref()), (Some(1), Some("3")));
    assert!(finding.message.contains("“finger 2” and “finger 4”"), "{}", finding.message);
}

#[test]
fn the_author_outranks_an_imported_file() {
    let score = score(Metre::COMMON, None, &["E3/2 F3/2"]);
    let pins = [
        on_tone(1, finger_only(2), PinAuthor::Import),
        on_tone(1, finger_only(4), PinAuthor::Author),
    ];
    let solution = solve(&score, &Level::open(), &pins);
    assert_eq!(solution.fingering.price.broken, 0);
    assert!(shown(&solution).ends_with("④3/4"), "{}", shown(&solution));
    let imported = solve(&score, &Level::open(), &pins[..1]);
    assert!(shown(&imported).ends_with("④3/2"), "{}", shown(&imported));
}

#[test]
fn a_pin_that_cannot_be_kept_is_named() {
    let score = score(Metre::COMMON, None, &["E3/1"]);
    let wrong = on_tone(0, PinRule::Frets(FretSet::NONE.with(Fret(5))), PinAuthor::Author);
    let solution = solve(&score, &Level::open(), &[wrong]);
    assert_eq!(solution.fingering.price.broken, 1);
    let [finding] = &solution.findings[..] else { panic!("{:?}", solution.findings) };
    assert_eq!(finding.rule, "pin-not-kept");
    assert!(finding.message.contains("fret 5"), "{}", finding.message);
}

#[test]
fn what_the_level_does_not_reach_is_named() {
    let score = score(Metre::COMMON, None, &["E4/2 B4/2"]);
    let strings = Pin {
        scope: Scope::Tone(ToneId(0)),
        rule: PinRule::Strings(StringSet::NONE.with(StringNumber::FIRST)),
        author: PinAuthor::Author,
    };
    let solution = solve(&score, &Level::first(), &[strings]);
    assert_eq!(solution.fingering.price.broken, 1);
    let [finding] = &solution.findings[..] else { panic!("{:?}", solution.findings) };
    assert_eq!(finding.rule, "fret-too-high");
    assert!(finding.message.contains("the level ends at 5"), "{}", finding.message);
}
