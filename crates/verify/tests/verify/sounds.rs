//! Sounds: unisons on one string or two.

use apoyando_fingering::{LetGo, Pin, PinAuthor, PinRule, Scope, StringSet, Term};
use apoyando_music::ToneId;
use apoyando_verify::{Fault, Rule};

use crate::kit::{Case, held, quarters, score, string};

fn on_string(tone: u32, number: u8, author: PinAuthor) -> Pin {
    let strings: StringSet = [string(number)].into_iter().collect();
    Pin { scope: Scope::Tone(ToneId(tone)), rule: PinRule::Strings(strings), author }
}

/// E4 of two voices on ① and on ②5, pinned there or not. On paper: E4 on ② by 1
/// in V 2 + 7; the open one is melody and long.
fn unison(pins: &[Pin]) -> Case {
    let postures = [held(5, &[(0, 1, 0, 0), (1, 2, 5, 1)])];
    let mut case = Case::new(score(&[&["E4/1"], &["E4/1"]]), &postures, "mi", &[]).costing(&[
        (Term::Stop, quarters(0), 2),
        (Term::Height, quarters(0), 7),
        (Term::ToneHigh, quarters(0), 14),
        (Term::ToneLong, quarters(0), 17),
    ]);
    case.pins.0.extend_from_slice(pins);
    case
}

#[test]
fn tones_of_one_key_are_two_sounds_where_pins_part_them() {
    use PinAuthor::{Author, Import};
    let parted = [on_string(0, 1, Author), on_string(1, 2, Import)];
    assert_eq!(unison(&parted).violations(), []);
    // Without both pins they are one sound, which is in two places.
    for pins in [&parted[..1], &parted[1..], &[]] {
        let found = unison(pins).violations();
        assert!(
            found.iter().any(|v| matches!(v.fault, Fault::SoundInTwoPlaces { .. })),
            "{pins:?}"
        );
    }
    // Strings that both allow do not part them.
    let one = Pin { rule: PinRule::Strings(StringSet::ALL), ..on_string(0, 1, Author) };
    let found = unison(&[one, on_string(1, 2, Author)]).violations();
    assert!(found.iter().any(|v| matches!(v.fault, Fault::SoundInTwoPlaces { .. })));
    // An imported pin that has given way is not in force.
    let outranked = [
        on_string(0, 1, Author),
        on_string(1, 2, Import),
        Pin { rule: PinRule::Strings(StringSet::ALL), ..on_string(1, 2, Author) },
    ];
    let found = unison(&outranked).violations();
    assert!(found.iter().any(|v| matches!(v.fault, Fault::SoundInTwoPlaces { .. })));
}

/// E4 and F♭4 in one chord are plucked on two strings; on one they are not
/// played, and one sound less is an escape.
#[test]
fn tones_of_one_key_in_one_event_are_two_sounds() {
    let music = || score(&[&["E4+Fb4/1"]]);
    let both = Case::new(music(), &[held(5, &[(0, 1, 0, 0), (1, 2, 5, 1)])], "mi", &[]);
    assert_eq!(both.hand_faults(), []);
    assert_eq!(both.price().unwrap().escapes, 0);
    let shared = Case::new(music(), &[held(0, &[(0, 1, 0, 0), (1, 1, 0, 0)])], "mm", &[]);
    assert_eq!(shared.rules_of_the_hand(), [Rule::P2, Rule::RightHand]);
    let one = Case::new(music(), &[held(0, &[(0, 1, 0, 0)])], "m-", &[]);
    assert_eq!(one.hand_faults(), []);
    assert_eq!(one.price().unwrap().escapes, 1);
}

/// Both sounds of a unison end when the key is struck again, and neither when
/// the other is.
#[test]
fn a_unison_ends_when_it_is_struck_again() {
    let postures = [held(5, &[(0, 1, 0, 0), (1, 2, 5, 1)]), held(5, &[(2, 1, 0, 0)])];
    let music = || score(&[&["E4+Fb4/1"], &["r/2 E4/2"]]);
    let ended = Case::new(music(), &postures, "mim", &[quarters(2); 2]);
    assert!(!ended.violations().iter().any(|v| v.rule() == Rule::Record));
    let on = Case::new(music(), &postures, "mim", &[quarters(4), quarters(2)]);
    let found = on.violations();
    assert!(found.iter().any(|v| matches!(v.fault, Fault::SoundsUntil { tone: ToneId(0), .. })));
}

/// The open E4 of two voices, held over and let go, is listed by all its tones.
#[test]
fn all_tones_of_a_sound_are_let_go() {
    let postures = [held(0, &[(0, 1, 0, 0), (1, 1, 0, 0)]), held(1, &[(2, 1, 1, 1)])];
    let music = score(&[&["E4/1"], &["E4/2 F4/2"]]);
    let mut case = Case::new(music, &postures, "mmi", &[quarters(2); 2]);
    let found: Vec<Fault> = case.violations().into_iter().map(|v| v.fault).collect();
    let gone = |tone| LetGo { tone: ToneId(tone), at: quarters(2), written: true };
    assert!(
        found.contains(&Fault::LetGoUnsaid(gone(0)))
            && found.contains(&Fault::LetGoUnsaid(gone(1)))
    );
    case.fingering.let_go = vec![gone(0), gone(1)];
    assert!(!case.violations().iter().any(|v| v.rule() == Rule::Record));
}
