//! Barres: what they may span (P4), laying and lifting them, hinges.

use apoyando_fingering::{BarreLimit, BarreSpan, Hinge, LeftFinger, Term};
use apoyando_verify::{BarreFault, Fault, Rule};

use crate::kit::{Case, Held, at, barre, case, full_barre, held, quarters, score, string, tune};

fn barre_faults(case: &Case) -> Vec<BarreFault> {
    let fault = |violation: apoyando_verify::Violation| match violation.fault {
        Fault::Barre { fault, .. } => Some(fault),
        _ => None,
    };
    case.violations().into_iter().filter_map(fault).collect()
}

/// Each fault of a barre by itself.
#[test]
fn faults_of_a_barre_are_found() {
    let with = |barre| {
        let mut case = full_barre();
        case.fingering.postures[0].barre = Some(barre);
        case
    };
    let place = |string, fret| at(string, fret, 1).place;
    assert_eq!(barre_faults(&full_barre()), []);
    assert_eq!(barre_faults(&with(barre(1, 3, 3))), [BarreFault::NoBarre]);
    assert_eq!(barre_faults(&with(barre(1, 6, 1))), [BarreFault::NoBarre]);
    assert_eq!(barre_faults(&with(barre(0, 1, 6))), [BarreFault::NoBarre]);
    assert_eq!(barre_faults(&with(barre(1, 1, 7))), [BarreFault::NoBarre]);
    let outside = barre_faults(&with(barre(1, 1, 2)));
    assert_eq!(outside, [BarreFault::FingerOneOutside(place(6, 1))]);
    let mut other = full_barre();
    other.put(4, at(2, 1, 2));
    assert!(barre_faults(&other).contains(&BarreFault::NotByFingerOne(place(2, 1))));
    assert!(barre_faults(&with(barre(2, 1, 6))).contains(&BarreFault::Below(place(1, 1))));

    // A barre that stops nothing, and one wider than what is to come.
    let tune = |barre| {
        let mut case = tune();
        case.fingering.postures[0].barre = Some(barre);
        case
    };
    assert!(barre_faults(&tune(barre(1, 2, 3))).contains(&BarreFault::IdleEnd(string(3))));
    let mut idle = tune(barre(1, 1, 2));
    idle.put(0, at(2, 1, 2));
    assert!(barre_faults(&idle).contains(&BarreFault::StopsNothing));
}

/// C4 under a barre that ① needs for F4: in the next layer, or later in the
/// same broken chord, and no later in a line.
#[test]
fn a_barre_may_be_laid_a_layer_or_a_figure_early() {
    let early = |bar: &str, count: u32| {
        let middle: Vec<[(u32, u8, u8, u8); 1]> =
            (1..count).map(|tone| [(tone, 4, 7, 4)]).collect();
        let mut postures = vec![held(1, &[(0, 2, 1, 1)]).with(barre(1, 1, 2))];
        postures.extend(middle.iter().map(|sounding| held(1, sounding)));
        let last = [(count, 1, 1, 1)];
        postures.push(held(1, &last));
        barre_faults(&case(score(&[&[bar]]), &postures))
    };
    assert_eq!(early("C4/4 F4/4 r/2", 1), []);
    assert_eq!(early("C4/4 A3/4 F4/4 r/4", 2), [BarreFault::IdleEnd(string(1))]);
    assert_eq!(early("C4/8 A3/8 F4/8 r/8 r/2", 2), []);
    assert_eq!(early("C4/8 A3/8 C4/8 A3/8 F4/8 r/8 r/4", 4), []);
}

/// From one string to two 6, to three another 6; from the air the first string
/// is free.
#[test]
fn laying_a_barre_costs_its_new_strings() {
    let music = score(&[&["C4/4 C4+F4/4 G#3+C4+F4/2"]]);
    let postures = [
        held(1, &[(0, 2, 1, 1)]),
        held(1, &[(1, 2, 1, 1), (2, 1, 1, 1)]).with(barre(1, 1, 2)),
        held(1, &[(3, 3, 1, 1), (4, 2, 1, 1), (5, 1, 1, 1)]).with(barre(1, 1, 3)),
    ];
    assert_eq!(
        case(music, &postures).beyond_notes(),
        [
            (1, Term::BarreHold, 2),
            (1, Term::BarreLay, 6),
            (2, Term::BarreHold, 2),
            (2, Term::BarreLay, 6),
        ]
    );
    let from = |first: Held<'_>| {
        let postures = [first, held(1, &[(1, 2, 1, 1), (2, 1, 1, 1)]).with(barre(1, 1, 2))];
        case(score(&[&["G3/4 C4+F4/4 r/2"]]), &postures).cost_of(Term::BarreLay)
    };
    assert_eq!(from(held(0, &[(0, 3, 0, 0)])), 6);
    // Where finger 1 stays on ①, the others are new.
    let chord: &[_] = &[(2, 4, 1, 1), (3, 3, 1, 1), (4, 2, 1, 1), (5, 1, 1, 1)];
    let postures = [
        held(1, &[(0, 1, 1, 1)]),
        held(1, &[(1, 3, 0, 0)]).staying(&[(1, 1, 1)]),
        held(1, chord).with(barre(1, 1, 4)),
    ];
    let music = score(&[&["F4/4 G3/4 D#3+G#3+C4+F4/4 r/4"]]);
    assert_eq!(case(music, &postures).cost_of(Term::BarreLay), 18);
}

/// Two strings cost 2 to hold, once in a bar and again in the next.
#[test]
fn a_barre_is_held_once_a_bar() {
    let chords: Vec<[(u32, u8, u8, u8); 2]> =
        (0..3).map(|n| [(2 * n, 2, 1, 1), (2 * n + 1, 1, 1, 1)]).collect();
    let postures: Vec<Held<'_>> =
        chords.iter().map(|chord| held(1, chord).with(barre(1, 1, 2))).collect();
    let mut bill = case(score(&[&["C4+F4/2 C4+F4/2", "C4+F4/1"]]), &postures).bill();
    bill.retain(|(_, term, _)| *term == Term::BarreHold);
    assert_eq!(bill, [(0, Term::BarreHold, 2), (2, Term::BarreHold, 2)]);
}

/// C4 sounds on under finger 1, which is laid flat for F4: 6 for a string, 6 for the
/// tip.
#[test]
fn a_fingertip_that_plays_on_is_laid_flat() {
    let flat = [(0, 2, 1, 1), (1, 1, 1, 1)];
    let postures = [held(1, &[(0, 2, 1, 1)]), held(1, &flat).with(barre(1, 1, 2))];
    let case = case(score(&[&["r/4 F4/4 r/2"], &["C4/2 r/2"]]), &postures);
    assert_eq!(case.cost_of(Term::BarreLay), 12);
}

/// While 2 holds E3 the barre over ① ② costs twice 6; a bass on an open string
/// holds no finger.
#[test]
fn laying_a_barre_over_held_fingers_costs_twice() {
    let lay = |bass: (&str, u32, u8, u8, u8)| {
        let (name, _, string, fret, finger) = bass;
        let first = [(0, 3, 0, 0), (1, string, fret, finger)];
        let second = [(1, string, fret, finger), (2, 2, 1, 1), (3, 1, 1, 1)];
        let postures = [held(u8::from(finger > 0), &first), held(1, &second).with(barre(1, 1, 2))];
        let music = score(&[&["G3/2 C4+F4/2"], &[&format!("{name}/1")]]);
        case(music, &postures).cost_of(Term::BarreLay)
    };
    assert_eq!(lay(("E3", 1, 4, 2, 2)), 12);
    assert_eq!(lay(("A2", 1, 5, 0, 0)), 6);
    // What 2 strikes now it does not hold.
    let struck = [
        held(0, &[(0, 3, 0, 0)]),
        held(1, &[(1, 3, 2, 2), (2, 2, 1, 1), (3, 1, 1, 1)]).with(barre(1, 1, 2)),
    ];
    let struck = case(score(&[&["G3/2 A3+C4+F4/2"]]), &struck);
    assert_eq!(struck.cost_of(Term::BarreLay), 6);
}

/// A barre in the first layer and one after a cut are laid from an empty hand:
/// two strings 6, and not twice for finger 3 beside.
#[test]
fn where_the_hand_begins_anew_a_barre_is_laid_from_an_empty_hand() {
    let chord = held(1, &[(0, 2, 1, 1), (1, 1, 1, 1)]).with(barre(1, 1, 2));
    let first = case(score(&[&["C4+F4/1"]]), &[chord]);
    assert_eq!(first.beyond_notes(), [(0, Term::BarreHold, 2), (0, Term::BarreLay, 6)]);
    let beside = held(1, &[(0, 4, 3, 3), (1, 2, 1, 1), (2, 1, 1, 1)]).with(barre(1, 1, 2));
    assert_eq!(case(score(&[&["F3+C4+F4/1"]]), &[beside]).cost_of(Term::BarreLay), 6);
    // It lies through three bars, but not over the cut before a second ending.
    let lay = |bars: &[&str]| {
        let chords = [[(0, 2, 1, 1), (1, 1, 1, 1)], [(2, 2, 1, 1), (3, 1, 1, 1)]];
        let last = [(4, 2, 1, 1), (5, 1, 1, 1)];
        let lying = |chord| held(1, chord).with(barre(1, 1, 2));
        let mut bill =
            case(score(&[bars]), &[lying(&chords[0]), lying(&chords[1]), lying(&last)]).bill();
        bill.retain(|(_, term, _)| *term == Term::BarreLay);
        bill
    };
    assert_eq!(lay(&["C4+F4/1", "C4+F4/1", "C4+F4/1"]), [(0, Term::BarreLay, 6)]);
    assert_eq!(
        lay(&["|: C4+F4/1", "|1 C4+F4/1 :|", "|2 C4+F4/1"]),
        [(0, Term::BarreLay, 6), (2, Term::BarreLay, 6)]
    );
}

/// G♯3 and C4 on ③1 and ②1 are held; ① sounds open, then F4, under one barre
/// whose thin side is lifted first: two strings of its three are paid to hold, all
/// three to lay, and laying ① again costs 2 to hold it, the 9 of the hinge and no
/// laying.
fn hinged() -> Case {
    let postures = [
        held(1, &[(0, 1, 0, 0), (1, 3, 1, 1), (2, 2, 1, 1)])
            .with(barre(1, 1, 3))
            .lifting(Hinge::Thin),
        held(1, &[(1, 3, 1, 1), (2, 2, 1, 1), (3, 1, 1, 1)]).with(barre(1, 1, 3)),
    ];
    let music = score(&[&["E4/2 F4/2"], &["G#3+C4/1"]]);
    let mut case = Case::new(music, &postures, "mpim", &[]).costing(&[
        (Term::Stop, quarters(0), 4),
        (Term::ToneLong, quarters(0), 17),
        (Term::BarreHold, quarters(0), 2),
        (Term::BarreLay, quarters(0), 12),
        (Term::Stop, quarters(2), 2),
        (Term::BarreHold, quarters(2), 2),
        (Term::Hinge, quarters(2), 9),
        (Term::Land, quarters(2), 1),
    ]);
    case.fingering.barres =
        vec![BarreSpan { barre: barre(1, 1, 3), from: quarters(0), to: quarters(2) }];
    case
}

#[test]
fn a_barre_may_be_a_hinge() {
    assert_eq!(hinged().violations(), []);
}

#[test]
fn faults_of_a_hinge_are_found() {
    let mut flat = hinged();
    flat.fingering.postures[0].hinge = None;
    assert_eq!(barre_faults(&flat), [BarreFault::Below(at(1, 0, 0).place)]);
    let mut other_side = hinged();
    other_side.fingering.postures[0].hinge = Some(Hinge::Thick);
    assert_eq!(
        barre_faults(&other_side),
        [BarreFault::Below(at(1, 0, 0).place), BarreFault::LiftsNothing]
    );
    let mut nothing_open = hinged();
    nothing_open.fingering.postures[1].hinge = Some(Hinge::Thin);
    assert_eq!(barre_faults(&nothing_open), [BarreFault::LiftsNothing]);
    // ① is lifted and sounds, but stopped by 2.
    let stopped = [
        held(1, &[(0, 3, 1, 1), (1, 2, 1, 1), (2, 1, 2, 2)])
            .with(barre(1, 1, 3))
            .lifting(Hinge::Thin),
        held(1, &[(3, 1, 1, 1)]),
    ];
    let stopped = case(score(&[&["G#3+C4+F#4/2 F4/2"]]), &stopped);
    assert_eq!(barre_faults(&stopped), [BarreFault::LiftsNothing]);
    let mut no_barre = hinged();
    no_barre.fingering.postures[0].barre = None;
    let place = |string| at(string, 1, 1).place;
    let (one, other) = (place(3), place(2));
    let two_places = Fault::FingerInTwoPlaces { finger: LeftFinger::One, one, other };
    assert_eq!(no_barre.hand_faults(), [two_places, Fault::HingeWithoutBarre]);
    let under = [held(3, &[(0, 2, 3, 1), (1, 1, 1, 2)]).with(barre(3, 1, 2)).lifting(Hinge::Thin)];
    let case = case(score(&[&["D4+F4/1"]]), &under);
    assert!(barre_faults(&case).contains(&BarreFault::UnderLifted(at(1, 1, 2).place)));
}

/// G3 sounds open under the lifted thick side, C4 and F4 by 1; G♯3 comes next.
#[test]
fn the_thick_side_may_be_lifted_too() {
    let postures = [
        held(1, &[(0, 3, 0, 0), (1, 2, 1, 1), (2, 1, 1, 1)])
            .with(barre(1, 1, 3))
            .lifting(Hinge::Thick),
        held(1, &[(3, 3, 1, 1)]),
    ];
    let case = case(score(&[&["G3+C4+F4/2 G#3/2"]]), &postures);
    assert_eq!(case.hand_faults(), []);
    assert_eq!(case.cost_of(Term::BarreHold), 2);
}

/// C4 by 1 with ① open, or F4 with ② open: one string is laid, and that is no
/// barre.
#[test]
fn a_hinge_lies_on_two_strings() {
    let faults = |notes: &str, sounding: &[(u32, u8, u8, u8)], side, next| {
        let first = held(1, sounding).with(barre(1, 1, 2)).lifting(side);
        barre_faults(&case(score(&[&[notes]]), &[first, held(1, &[next])]))
    };
    let thin = [(0, 2, 1, 1), (1, 1, 0, 0)];
    let thin = faults("C4+E4/2 F4/2", &thin, Hinge::Thin, (2, 1, 1, 1));
    assert_eq!(thin, [BarreFault::LaidOnOne]);
    let thick = [(0, 2, 0, 0), (1, 1, 1, 1)];
    let thick = faults("B3+F4/2 C4/2", &thick, Hinge::Thick, (2, 2, 1, 1));
    assert_eq!(thick, [BarreFault::LaidOnOne]);
}

/// A barre at another fret is laid anew, whatever is lifted.
#[test]
fn a_hinge_is_no_other_barre() {
    let postures = [
        held(1, &[(0, 2, 1, 1), (1, 1, 1, 1)]).with(barre(1, 1, 2)),
        held(3, &[(2, 3, 3, 1), (3, 2, 3, 1), (4, 1, 0, 0)])
            .with(barre(3, 1, 3))
            .lifting(Hinge::Thin),
        held(3, &[(5, 1, 3, 1)]),
    ];
    let case = case(score(&[&["C4+F4/4 A#3+D4+E4/4 G4/4 r/4"]]), &postures);
    assert_eq!(case.hand_faults(), []);
    // Two strings in I, three in III.
    assert_eq!((case.cost_of(Term::Hinge), case.cost_of(Term::BarreLay)), (0, 6 + 12));
}

/// The lifted part counts in the width of a barre.
#[test]
fn a_lifted_side_counts_in_the_width() {
    let mut case = hinged();
    case.level.barre = BarreLimit::None;
    case.fingering.price.broken = 2;
    let rules: Vec<Rule> = case.violations().iter().map(|v| v.rule()).collect();
    assert_eq!(rules, [Rule::A4, Rule::A4]);
}

/// A chord of three under a barre of which it needs ② costs 21, and nothing where the F
/// on ① is still to come in its bar, or only two sounds are struck.
#[test]
fn a_barre_that_a_chord_does_not_need_is_idle() {
    let idle = |bars: &[&str], chord: &[(u32, u8, u8, u8)]| {
        let after = chord.len() as u32;
        let last = [(after, 1, 1, 1)];
        let postures = [held(1, chord).with(barre(1, 1, 2)), held(1, &last)];
        let mut case = case(score(&[bars]), &postures);
        case.effort.barre_idle = 21;
        case.cost_of(Term::BarreIdle)
    };
    let three = [(0, 4, 2, 2), (1, 3, 2, 3), (2, 2, 1, 1)];
    assert_eq!(idle(&["E3+A3+C4/4 r/2.", "F4/1"], &three), 21);
    assert_eq!(idle(&["E3+A3+C4/4 F4/2."], &three), 0);
    assert_eq!(idle(&["A3+C4/4 r/2.", "F4/1"], &[(0, 3, 2, 3), (1, 2, 1, 1)]), 0);
}
