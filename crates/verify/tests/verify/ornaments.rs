//! Ornaments and the fingers that they bind (P11, `ornament`).

use apoyando_fingering::{LeftFinger, LeftFingerSet, Term};
use apoyando_verify::{Fault, Rule};

use crate::kit::{Case, Fingertip, Stopped, at, case, held, quarters, score};

use LeftFinger::{One, Three};

/// A trill with D4 on C4, which 3 plays on ②3 over 1 on ②1. On paper: 2 for C4;
/// a bound finger strikes nothing of its own.
fn trill() -> Case {
    let postures = [held(1, &[(0, 2, 1, 1)]).bound(&[(3, 2, 3)])];
    Case::new(score(&[&["C4/4t r/2."]]), &postures, "i", &[]).costing(&[(
        Term::Stop,
        quarters(0),
        2,
    )])
}

/// Whether one note is without fault, and what its ornament costs.
fn played(note: &str, placed: Stopped, position: u8, bound: &[Fingertip]) -> (Vec<Fault>, i64) {
    let sounding = [placed];
    let case = case(score(&[&[note]]), &[held(position, &sounding).bound(bound)]);
    let faults = case.hand_faults();
    let cost = if faults.is_empty() { case.cost_of(Term::Ornament) } else { -1 };
    (faults, cost)
}

#[test]
fn an_ornament_binds_a_finger() {
    assert_eq!(trill().violations(), []);
    let mut bare = trill();
    bare.fingering.postures[0].bound.clear();
    let wanted = Fault::Item { term: Term::Ornament, found: 0, wanted: 200 };
    assert_eq!(bare.violations()[0].fault, wanted);
    assert_eq!(bare.rules(), [Rule::Price]);
}

/// Steps of C major: C4 up to D4 is ②3 or ③7, down to B3 is ② open or ③4. A grace
/// note counts as an ornament does.
#[test]
fn the_open_string_needs_no_finger() {
    let free = (vec![], 0);
    let bare = (vec![], 200);
    assert_eq!(played("C4/1m", (0, 2, 1, 1), 1, &[]), free);
    assert_eq!(played("C4/1m", (0, 3, 5, 2), 4, &[]), bare);
    assert_eq!(played("C4/1m", (0, 3, 5, 2), 4, &[(1, 3, 4)]), free);
    assert_eq!(played("C4/1tm", (0, 2, 1, 1), 1, &[(3, 2, 3)]), free);
    assert_eq!(played("{D4}C4/1", (0, 2, 1, 1), 1, &[(3, 2, 3)]), free);
    assert_eq!(played("E4/1t", (0, 1, 0, 0), 1, &[(1, 1, 1)]), free);
    assert_eq!(played("E4/1t", (0, 1, 0, 0), 0, &[]), bare);
    // Nothing on the guitar is below its lowest string.
    assert_eq!(played("E2/1m", (0, 6, 0, 0), 0, &[]), bare);
}

#[test]
fn an_ornament_is_whole_or_not_at_all() {
    let whole = played("C4/1tm", (0, 3, 5, 2), 4, &[(1, 3, 4), (4, 3, 7)]);
    assert_eq!(whole, (vec![], 0));
    let in_part = Fault::OrnamentInPart(apoyando_music::ToneId(0));
    for one in [(1, 3, 4), (4, 3, 7)] {
        assert_eq!(played("C4/1tm", (0, 3, 5, 2), 4, &[one]).0, std::slice::from_ref(&in_part));
    }
    assert_eq!(played("C4/1tm", (0, 3, 5, 2), 4, &[]).1, 200);
}

#[test]
fn fingers_are_bound_only_where_an_ornament_needs_them() {
    let for_nothing =
        |finger, string, fret| Fault::BoundForNothing { finger, place: at(string, fret, 1).place };
    let on_another_fret = played("C4/1t", (0, 2, 1, 1), 1, &[(2, 2, 2)]).0;
    assert_eq!(on_another_fret, [for_nothing(LeftFinger::Two, 2, 2)]);
    let unornamented = played("C4/1", (0, 2, 1, 1), 1, &[(3, 2, 3)]).0;
    assert_eq!(unornamented, [for_nothing(Three, 2, 3)]);
    let by_itself = played("C4/1t", (0, 2, 1, 1), 1, &[(1, 2, 3)]).0;
    assert!(by_itself.contains(&Fault::BoundBySounding { finger: One, place: at(2, 3, 1).place }));
    assert!(by_itself.iter().any(|fault| fault.rule() == Rule::P4));
    // Kept, the note is ornamented no longer.
    let kept = [
        held(1, &[(0, 2, 1, 1)]).bound(&[(3, 2, 3)]),
        held(1, &[(0, 2, 1, 1), (1, 6, 0, 0)]).bound(&[(3, 2, 3)]),
    ];
    let kept = case(score(&[&["C4/1t"], &["r/2 E2/2"]]), &kept);
    assert_eq!(kept.hand_faults(), [for_nothing(Three, 2, 3)]);
    // Left out, it is not ornamented at all, and costs nothing more.
    let left_out = [held(1, &[]).bound(&[(3, 2, 3)])];
    let left_out = case(score(&[&["C4/1t"]]), &left_out);
    assert_eq!(left_out.hand_faults(), [for_nothing(Three, 2, 3)]);
    let left_out = case(score(&[&["C4/1t"]]), &[held(0, &[])]);
    assert_eq!((left_out.hand_faults(), left_out.cost_of(Term::Ornament)), (vec![], 0));
    // A harmonic has no ornament.
    let harmonic = played("E5/1ot", (0, 1, 12, 1), 12, &[]);
    assert_eq!(harmonic, (vec![], 200));
    assert!(!played("E5/1ot", (0, 1, 12, 1), 12, &[(2, 1, 13)]).0.is_empty());
}

/// A bound finger is down: it keeps order, reach and frets, is extended, and
/// what it leaves it left from there.
#[test]
fn a_bound_finger_is_down() {
    let rules = |note: &str, placed: Stopped, bound: &[Fingertip]| -> Vec<Rule> {
        played(note, placed, 1, bound).0.iter().map(Fault::rule).collect()
    };
    assert_eq!(rules("C4/1t", (0, 2, 1, 2), &[(1, 2, 3)]), [Rule::P5, Rule::P7]);
    assert_eq!(rules("C4/1t", (0, 2, 1, 2), &[(3, 2, 3)]), [Rule::P6]);
    let extended = [held(1, &[(0, 2, 1, 1)]).bound(&[(2, 2, 3)])];
    let extended = case(score(&[&["C4/1t"]]), &extended);
    assert_eq!(extended.cost_of(Term::Extension), 8);
    // The open string is idle, but not under a trill.
    let mut idle = case(score(&[&["E4/1t"]]), &[held(1, &[(0, 1, 0, 0)]).bound(&[(1, 1, 1)])]);
    assert_eq!(idle.hand_faults(), []);
    idle.fingering.postures[0].idle = true;
    assert!(idle.violations().iter().any(|v| v.fault == Fault::IdleFlag { found: true }));
    // D4 by 4 after 3 was bound there.
    let replaced = [held(1, &[(0, 2, 1, 1)]).bound(&[(3, 2, 3)]), held(1, &[(1, 2, 3, 4)])];
    let replaced = case(score(&[&["C4/4t D4/4 r/2"]]), &replaced);
    assert_eq!(replaced.cost_of(Term::Replace), 6);
    // 3 stays where it was bound, to play D4 after E4.
    let stays = [
        held(1, &[(0, 2, 1, 1)]).bound(&[(3, 2, 3)]),
        held(1, &[(1, 1, 0, 0)]).staying(&[(3, 2, 3)]),
        held(1, &[(2, 2, 3, 3)]),
    ];
    assert_eq!(case(score(&[&["C4/4t E4/4 D4/4 r/4"]]), &stays).hand_faults(), []);
    // 3 bound on ②3 goes on to E♭4 on its string, and to B♭3 on another.
    let on = |second: &str, placed| {
        let sounding = [placed];
        let postures = [held(2, &[(0, 2, 1, 1)]).bound(&[(3, 2, 3)]), held(2, &sounding)];
        let case = case(score(&[&[&format!("C4/4t {second}/4 r/2")]]), &postures);
        (case.cost_of(Term::Slide), case.cost_of(Term::Jump), case.cost_of(Term::Land))
    };
    assert_eq!(on("Eb4", (1, 2, 4, 3)), (4, 0, 0));
    assert_eq!(on("B3", (1, 3, 4, 3)), (0, 3, 1));
}

#[test]
fn a_bound_finger_that_the_level_does_not_allow_is_counted() {
    let mut case = trill();
    case.level.fingers = LeftFingerSet::ALL.without(Some(Three));
    case.fingering.price.broken = 1;
    let found = case.violations();
    let wanted = Fault::FingerNotAllowed { place: at(2, 3, 3).place, finger: Some(Three) };
    assert_eq!(found.iter().map(|v| &v.fault).collect::<Vec<_>>(), [&wanted]);
}
