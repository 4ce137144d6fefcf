//! Fingers that stay and stop nothing: P9, M3 and what they spare.

use apoyando_fingering::{LeftFinger, Term};
use apoyando_verify::{Fault, Rule, StayFault};

use crate::kit::{Case, Fingertip, at, case, held, quarters, score};

use LeftFinger::{One, Two};

/// C4 D4 C4 with 1 staying on ②1 under 3. On paper: C4 2, D4 2 + 1, C4 2; only 3
/// comes down anew, for 1.
fn common() -> Case {
    let postures = [
        held(1, &[(0, 2, 1, 1)]),
        held(1, &[(1, 2, 3, 3)]).staying(&[(1, 2, 1)]),
        held(1, &[(2, 2, 1, 1)]),
    ];
    Case::new(score(&[&["C4/4 D4/4 C4/4 r/4"]]), &postures, "imi", &[]).costing(&[
        (Term::Stop, quarters(0), 2),
        (Term::Stop, quarters(1), 2),
        (Term::Finger3, quarters(1), 1),
        (Term::Land, quarters(1), 1),
        (Term::Stop, quarters(2), 2),
    ])
}

#[test]
fn a_common_finger_stays() {
    assert_eq!(common().violations(), []);
    let mut lifted = common();
    lifted.fingering.postures[1].staying.clear();
    assert_eq!(lifted.rules(), [Rule::Price]);
    let land = Fault::Item { term: Term::Land, found: 0, wanted: 1 };
    assert_eq!(lifted.violations()[0].fault, land);
}

/// The faults of fingers planted in the second posture of the common finger.
fn planted(staying: &[Fingertip]) -> Vec<Fault> {
    let postures = [
        held(1, &[(0, 2, 1, 1)]),
        held(1, &[(1, 2, 3, 3)]).staying(staying),
        held(1, &[(2, 2, 1, 1)]),
    ];
    case(score(&[&["C4/4 D4/4 C4/4 r/4"]]), &postures).hand_faults()
}

fn stays(finger: LeftFinger, string: u8, fret: u8, fault: StayFault) -> Fault {
    Fault::Stays { finger, place: at(string, fret, 1).place, fault }
}

fn uncalled(finger: LeftFinger, string: u8, fret: u8) -> Fault {
    Fault::StaysUncalled { finger, place: at(string, fret, 1).place }
}

#[test]
fn faults_of_fingers_that_stay_are_found() {
    use StayFault::{Extended, IsDown, NoPlace, NoPurpose, NotInFront};
    assert_eq!(planted(&[(1, 2, 1)]), []);
    for fret in [0, 25, 255] {
        assert!(planted(&[(1, 2, fret)]).contains(&stays(One, 2, fret, NoPlace)), "{fret}");
    }
    assert!(planted(&[(3, 2, 2)]).contains(&stays(LeftFinger::Three, 2, 2, IsDown)));
    // On D4 itself, and in front of it.
    let front = NotInFront(at(2, 3, 3).place);
    assert!(planted(&[(1, 2, 3)]).contains(&stays(One, 2, 3, front)));
    assert!(planted(&[(4, 2, 4)]).contains(&stays(LeftFinger::Four, 2, 4, front)));
    assert!(planted(&[(2, 3, 3)]).contains(&stays(Two, 3, 3, Extended(1))));
    // A3 comes neither now nor soon, and on ③ nothing sounds.
    assert_eq!(planted(&[(2, 3, 2)]), [stays(Two, 3, 2, NoPurpose), uncalled(Two, 3, 2)]);
    // As a guide behind D4 finger 2 would have a purpose, but was not there.
    assert_eq!(planted(&[(2, 2, 2)]), [uncalled(Two, 2, 2)]);
    let three = planted(&[(1, 2, 1), (2, 2, 2), (4, 1, 4)]);
    assert!(three.contains(&Fault::TooManyStay(3)));
    let said = "bar 1, beat 2: finger 2 cannot stay on ③2: \
                it is no common, guide or prepared finger there [P9]";
    let mut case = common();
    case.fingering.postures[1].staying = vec![(Two, at(3, 2, 2).place)];
    assert!(case.violations().iter().any(|violation| violation.to_string() == said));
}

/// A common finger waits for one of the next two layers, not for the third.
#[test]
fn a_common_finger_waits_two_layers() {
    let waits = |bar: &str, rest: u32| {
        let others: Vec<_> = (1..=rest).map(|tone| [(tone, 3, 2, 2)]).collect();
        let mut postures = vec![held(1, &[(0, 2, 1, 1)])];
        postures.extend(others.iter().map(|sounding| held(1, sounding).staying(&[(1, 2, 1)])));
        let last = [(rest + 1, 2, 1, 1)];
        postures.push(held(1, &last));
        case(score(&[&[bar]]), &postures).hand_faults()
    };
    assert_eq!(waits("C4/4 A3/4 A3/4 C4/4", 2), []);
    let early = waits("C4/8 A3/8 A3/8 A3/8 C4/8 r/8 r/4", 3);
    assert_eq!(early, [stays(One, 2, 1, StayFault::NoPurpose)]);
}

/// 1 leads from ②1 in I to ②3 in III over an open string: 40 + 50, of which 80
/// count. In the last layer nothing is left to lead to.
#[test]
fn a_guide_stays_while_the_hand_is_idle() {
    let guided = |staying: &[Fingertip]| {
        let postures = [
            held(1, &[(0, 2, 1, 1)]),
            held(1, &[(1, 1, 0, 0)]).staying(staying),
            held(3, &[(2, 2, 3, 1)]),
        ];
        let case = case(score(&[&["C4/4 E4/4 D4/4 r/4"]]), &postures);
        (case.hand_faults(), case.cost_of(Term::Ease), case.cost_of(Term::Land))
    };
    assert_eq!(guided(&[(1, 2, 1)]), (vec![], -11, 0));
    assert_eq!(guided(&[]), (vec![], -7, 1));
    let last = [held(1, &[(0, 2, 1, 1)]), held(1, &[(1, 1, 0, 0)]).staying(&[(1, 2, 1)])];
    let last = case(score(&[&["C4/4 E4/4 r/2"]]), &last);
    assert_eq!(last.hand_faults(), [stays(One, 2, 1, StayFault::NoPurpose)]);
    // Before the first finger is down there is nothing to stay.
    let first = [held(0, &[(0, 1, 0, 0)]).staying(&[(1, 2, 1)]), held(1, &[(1, 2, 1, 1)])];
    let first = case(score(&[&["E4/4 C4/4 r/2"]]), &first);
    assert_eq!(first.hand_faults(), [stays(One, 2, 1, StayFault::NoPosition), uncalled(One, 2, 1)]);
}

/// 1 waits behind 3 for the lower note of a slur, from the first layer on;
/// without the slur it may not come from nowhere.
#[test]
fn a_finger_is_prepared_for_a_slur() {
    let postures = |fret| {
        let tip: &'static [Fingertip] = if fret == 1 { &[(1, 2, 1)] } else { &[(2, 2, 2)] };
        [held(1, &[(0, 2, 3, 3)]).staying(tip), held(1, &[(1, 2, 1, 1)])]
    };
    let slurred = |fret| case(score(&[&["(D4/4 C4/4) r/2"]]), &postures(fret)).hand_faults();
    assert_eq!(slurred(1), []);
    assert_eq!(slurred(2), [uncalled(Two, 2, 2)], "no note of the slur");
    let plain = case(score(&[&["D4/4 C4/4 r/2"]]), &postures(1)).hand_faults();
    assert_eq!(plain, [uncalled(One, 2, 1)]);
    let upwards = [held(1, &[(0, 2, 1, 1)]).staying(&[(3, 2, 3)]), held(1, &[(1, 2, 3, 3)])];
    let upwards = case(score(&[&["(C4/4 D4/4) r/2"]]), &upwards).hand_faults();
    assert!(upwards.contains(&uncalled(LeftFinger::Three, 2, 3)));
}

/// Fingers that stay keep the order, the reach and the frets of the hand. 2 on
/// ②1 waits for C4 while another finger plays.
#[test]
fn fingers_that_stay_are_in_the_way_of_others() {
    let with = |second: &str, placed: (u32, u8, u8, u8)| {
        let bar = format!("C4/4 {second}/4 C4/4 r/4");
        let sounding = [placed];
        let postures = [
            held(1, &[(0, 2, 1, 2)]),
            held(1, &sounding).staying(&[(2, 2, 1)]),
            held(1, &[(2, 2, 1, 2)]),
        ];
        let mut rules = case(score(&[&[&bar]]), &postures).rules_of_the_hand();
        rules.retain(|rule| *rule != Rule::RightHand);
        rules
    };
    assert_eq!(with("D4", (1, 2, 3, 4)), []);
    assert_eq!(with("A#3", (1, 3, 3, 1)), [Rule::P5, Rule::P7]);
    assert_eq!(with("A2", (1, 6, 5, 4)), [Rule::P6]);
    // Two fingers at one place.
    let postures = [
        held(1, &[(0, 2, 1, 1)]),
        held(1, &[(1, 1, 3, 4)]).staying(&[(1, 2, 1), (2, 2, 1)]),
        held(1, &[(2, 2, 1, 1)]),
    ];
    let case = case(score(&[&["C4/4 G4/4 C4/4 r/4"]]), &postures);
    let place = at(2, 1, 1).place;
    assert!(case.hand_faults().contains(&Fault::FingersAtOnePlace { fingers: (One, Two), place }));
}

#[test]
fn fingers_are_listed_in_order() {
    let mut case = common();
    let tip = (One, at(2, 1, 1).place);
    case.fingering.postures[1].staying = vec![tip, tip];
    assert!(case.violations().iter().any(|v| v.fault == Fault::FingerOrder(One)));
    case.fingering.postures[1].staying = vec![tip];
    case.fingering.postures[1].bound = vec![(Two, at(3, 2, 2).place), (One, at(3, 1, 1).place)];
    assert!(case.violations().iter().any(|v| v.fault == Fault::FingerOrder(One)));
}
