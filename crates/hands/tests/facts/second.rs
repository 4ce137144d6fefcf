//! Another finger takes over a note that sounds on. The music is made up; what a teacher
//! would do is common practice, no source.

use apoyando_fingering::{
    LeftFinger, LeftFingerSet, Level, Pin, PinAuthor, PinRule, Scope, Severity, Term,
};
use apoyando_hands::{RightPlan, Solution};
use apoyando_music::{Metre, Score, ToneId};

use crate::staff::{asked, score, solve};

fn taught() -> Level {
    Level { substitution: true, extension: 0, ..Level::open() }
}

fn second_of(solution: &Solution, tone: usize) -> Option<u8> {
    solution.fingering.tones[tone].second.map(|second| second.finger.digit())
}

fn asks(tone: u32, finger: LeftFinger, author: PinAuthor) -> Pin {
    let rule = PinRule::SecondFingers(LeftFingerSet::NONE.with(Some(finger)));
    Pin { scope: Scope::Tone(ToneId(tone)), rule, author }
}

/// G2 on ⑥3 is held through the bar. B flat lies on ⑤1 under it, where 1 is needed; the
/// high B flat on ①6 is reached from there by 4 if 1 holds the bass.
fn held_bass() -> Score {
    score(Metre::COMMON, None, &["Bb2/4 D3/4 Bb4/2", "G2/1"])
}

#[test]
fn a_held_bass_is_taken_over_where_the_melody_goes_up() {
    let score = held_bass();
    let solution = solve(&score, &taught(), &[]);
    let bass = &solution.fingering.tones[1];
    let first = bass.left.and_then(|left| left.finger).map(LeftFinger::digit);
    assert_eq!((first, second_of(&solution, 1)), (Some(3), Some(1)));
    assert!(solution.fingering.let_go.is_empty(), "the bass sounds through");
    assert_eq!(solution.fingering.price.broken, 0);
    // Before it is taught the bass has to go.
    let before = solve(&score, &Level { substitution: false, ..taught() }, &[]);
    assert_eq!(second_of(&before, 1), None);
    assert!(!before.fingering.let_go.is_empty());
    assert!(solution.fingering.price.effort < before.fingering.price.effort);
}

/// Why a note is played as it is.
fn reason(score: &Score, pins: &[Pin], tone: u32) -> String {
    asked(score, &taught(), pins, |problem| {
        let solved = apoyando_hands::solve(problem, &RightPlan::default()).expect("a fingering");
        solved.reason(ToneId(tone)).expect("a reason").sentence
    })
}

#[test]
fn the_reason_says_what_the_change_is_for() {
    let said = reason(&held_bass(), &[], 1);
    let change = "1 takes it over on beat 3, so that the hand reaches ① fret 6";
    assert_eq!(said.split("; ").last(), Some(change));
}

/// C3 by 3, and D4 on ②3 wants 3 as well. 4 on the bass would cross it; 1 does not, and
/// comes while the open E sounds.
#[test]
fn the_reason_says_what_the_first_finger_plays_then() {
    let score = score(Metre::COMMON, None, &["C4/4 E4/4 D4/4 E4/4", "C3/1"]);
    let three = PinRule::LeftFingers(LeftFingerSet::NONE.with(Some(LeftFinger::Three)));
    let pins = [1, 3].map(|tone| Pin {
        scope: Scope::Tone(ToneId(tone)),
        rule: three,
        author: PinAuthor::Author,
    });
    let solution = solve(&score, &taught(), &pins);
    assert_eq!(second_of(&solution, 1), Some(1));
    assert_eq!(
        reason(&score, &pins, 1).split("; ").last(),
        Some("1 takes it over on beat 2, so that 3 is free for ② fret 3")
    );
}

#[test]
fn no_finger_takes_over_without_need() {
    // C3 by 3 and what lies around it in I.
    let score = score(Metre::COMMON, None, &["C4/4 E4/4 F4/4 E4/4", "C3/1"]);
    let solution = solve(&score, &taught(), &[]);
    assert_eq!(second_of(&solution, 1), None, "{:?}", solution.fingering.items);
}

#[test]
fn a_teacher_may_ask_for_it() {
    let score = score(Metre::COMMON, None, &["C4/4 E4/4 F4/4 E4/4", "C3/1"]);
    for finger in [LeftFinger::Two, LeftFinger::Four] {
        let solution = solve(&score, &taught(), &[asks(1, finger, PinAuthor::Author)]);
        assert_eq!(second_of(&solution, 1), Some(finger.digit()));
        assert!(solution.findings.is_empty(), "{:?}", solution.findings);
        assert!(solution.fingering.items.iter().any(|item| item.term == Term::Substitute));
        let said = reason(&score, &[asks(1, finger, PinAuthor::Author)], 1);
        assert!(said.ends_with(", as is asked"), "{said}");
    }
}

fn found(score: &Score, level: &Level, pins: &[Pin]) -> Vec<(&'static str, Severity, String)> {
    let findings = solve(score, level, pins).findings;
    findings.into_iter().map(|it| (it.rule, it.severity, it.message)).collect()
}

#[test]
fn asked_before_it_is_taught_is_found() {
    let score = score(Metre::COMMON, None, &["C4/4 E4/4 F4/4 E4/4", "C3/1"]);
    for (author, severity) in
        [(PinAuthor::Author, Severity::Error), (PinAuthor::Import, Severity::Warning)]
    {
        let found = found(&score, &Level::open(), &[asks(1, LeftFinger::Four, author)]);
        let [(rule, weight, said)] = &found[..] else { panic!("{found:?}") };
        assert_eq!((*rule, *weight), ("substitution-not-taught", severity), "{said}");
    }
}

#[test]
fn what_cannot_be_taken_over_is_found() {
    let taught = taught();
    let why = |voices: &[&str], finger| {
        let score = score(Metre::COMMON, None, voices);
        let found = found(&score, &taught, &[asks(1, finger, PinAuthor::Author)]);
        let not_made = found.iter().filter(|(rule, ..)| *rule == "substitution-not-made");
        let said: Vec<&str> = not_made.map(|(.., said)| said.as_str()).collect();
        let [said] = said[..] else { panic!("{found:?}") };
        said.to_owned()
    };
    let open = why(&["C4/4 E4/4 F4/4 E4/4", "E2/1"], LeftFinger::Two);
    assert!(open.ends_with("it is an open string"), "{open}");
    let alone = why(&["C4/1", "C3/1"], LeftFinger::Two);
    assert!(alone.ends_with("nothing else is struck while it sounds"), "{alone}");
}
