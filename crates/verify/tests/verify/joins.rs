//! Slurs and glissandi of the left hand.

use apoyando_fingering::{LeftFinger, Position, PositionSpan, RightFinger, Shift, Term};
use apoyando_music::ToneId;
use apoyando_verify::{Fault, Rule};

use crate::kit::{Case, Fingertip, Held, case, eighths, held, quarters, score, string};

/// C4 hammered on to D4. On paper: 2, and 2 + 1 for finger 3, which comes down
/// anew for 1.
fn hammered() -> Case {
    let postures = [held(1, &[(0, 2, 1, 1)]), held(1, &[(1, 2, 3, 3)])];
    let mut case = Case::new(score(&[&["(C4/4 D4/4) r/2"]]), &postures, "i-", &[]).costing(&[
        (Term::Stop, quarters(0), 2),
        (Term::Stop, quarters(1), 2),
        (Term::Finger3, quarters(1), 1),
        (Term::Land, quarters(1), 1),
    ]);
    case.fingering.tones[1].joined = true;
    case
}

#[test]
fn a_slur_is_played_by_the_left_hand() {
    assert_eq!(hammered().violations(), []);
    let mut unsaid = hammered();
    unsaid.fingering.tones[1].joined = false;
    let fault = Fault::JoinedFlag { tone: ToneId(1), found: false };
    assert_eq!(unsaid.violations().into_iter().map(|v| v.fault).collect::<Vec<_>>(), [fault]);
    let mut invented = hammered();
    invented.fingering.tones[0].joined = true;
    assert_eq!(invented.rules(), [Rule::Record]);
    let mut plucked = hammered();
    plucked.fingering.tones[1].right = Some(RightFinger::M);
    assert_eq!(plucked.violations()[0].fault, Fault::PluckedJoined(ToneId(1)));
}

/// What two notes cost because of their join.
fn cost(bar: &str, postures: &[Held<'_>]) -> (i64, i64) {
    let case = case(score(&[&[bar]]), postures);
    assert_eq!(case.hand_faults(), []);
    (case.cost_of(Term::Join), case.cost_of(Term::JoinWeak))
}

const JOINED: (i64, i64) = (0, 0);
const APART: (i64, i64) = (100, 0);

#[test]
fn a_slur_upwards_takes_another_finger_on_the_string() {
    let up = |first, second| cost("(C4/4 D4/4) r/2", &[held(1, &[first]), held(1, &[second])]);
    assert_eq!(up((0, 2, 1, 1), (1, 2, 3, 3)), JOINED);
    let other_string = [held(3, &[(0, 3, 5, 3)]), held(3, &[(1, 2, 3, 1)])];
    assert_eq!(cost("(C4/4 D4/4) r/2", &other_string), APART);
    assert_eq!(up((0, 2, 1, 2), (1, 2, 3, 2)), APART);
    let moved = [held(1, &[(0, 2, 1, 1)]), held(2, &[(1, 2, 3, 2)])];
    assert_eq!(cost("(C4/4 D4/4) r/2", &moved), APART);
    // From the open string, in a position or none.
    let open = |position| [held(position, &[(0, 2, 0, 0)]), held(1, &[(1, 2, 1, 1)])];
    assert_eq!(cost("(B3/4 C4/4) r/2", &open(0)), JOINED);
    let idle = [held(3, &[(0, 2, 3, 1)]), held(3, &[(1, 2, 0, 0)]), held(1, &[(2, 2, 1, 1)])];
    assert_eq!(cost("D4/4 (B3/4 C4/4) r/4", &idle), APART);
}

/// Downwards the finger has to wait on its fret, or the string is open.
#[test]
fn a_slur_downwards_finds_its_finger_waiting() {
    let down = |tips: &[Fingertip], second| {
        let sounding = [second];
        let postures = [held(1, &[(0, 2, 3, 3)]).staying(tips), held(1, &sounding)];
        cost("(D4/4 C4/4) r/2", &postures)
    };
    assert_eq!(down(&[(1, 2, 1)], (1, 2, 1, 1)), JOINED);
    assert_eq!(down(&[], (1, 2, 1, 1)), APART);
    assert_eq!(down(&[(1, 2, 1)], (1, 2, 1, 2)), APART);
    let open = [held(1, &[(0, 2, 1, 1)]), held(1, &[(1, 2, 0, 0)])];
    assert_eq!(cost("(C4/4 B3/4) r/2", &open), JOINED);
    // 1 is bound on ②1 by the mordent of D4.
    let bound = [held(1, &[(0, 2, 3, 3)]).bound(&[(1, 2, 1)]), held(1, &[(1, 2, 1, 1)])];
    assert_eq!(cost("(D4/4m C4/4) r/2", &bound), JOINED);
}

/// D4 by 3, D♯4 by 4; going down 3 waits.
#[test]
fn slurs_between_3_and_4_are_weak() {
    let up = [held(1, &[(0, 2, 3, 3)]), held(1, &[(1, 2, 4, 4)])];
    assert_eq!(cost("(D4/4 D#4/4) r/2", &up), (0, 13));
    let down = [held(1, &[(0, 2, 4, 4)]).staying(&[(3, 2, 3)]), held(1, &[(1, 2, 3, 3)])];
    assert_eq!(cost("(D#4/4 D4/4) r/2", &down), (0, 13));
    let strong = [held(1, &[(0, 2, 3, 2)]), held(1, &[(1, 2, 4, 3)])];
    assert_eq!(cost("(D4/4 D#4/4) r/2", &strong), JOINED);
}

/// A hand that is away joins nothing by slurs; it may glide.
#[test]
fn a_hand_away_does_not_slur() {
    let slur = [
        held(1, &[(0, 1, 1, 1)]),
        held(1, &[(1, 1, 5, 1)]).away(5),
        held(1, &[(2, 1, 7, 3)]).away(5),
    ];
    assert_eq!(cost("F4/4 (A4/4 B4/4) r/4", &slur), APART);
    let goes = [held(1, &[(0, 1, 1, 1)]), held(1, &[(1, 1, 5, 3)]).away(3)];
    assert_eq!(cost("(F4/4 A4/4) r/2", &goes), APART);
    let comes =
        [held(1, &[(0, 1, 1, 1)]), held(1, &[(1, 1, 5, 3)]).away(3), held(1, &[(2, 1, 0, 0)])];
    assert_eq!(cost("F4/4 (A4/4 E4/4) r/4", &comes), APART);
    let glide = [held(1, &[(0, 1, 1, 1)]), held(1, &[(1, 1, 5, 1)]).away(5)];
    assert_eq!(cost("<F4/4 A4/4> r/2", &glide), JOINED);
}

/// From C4 to D4 by 1, from I to III: a shift with a guide, and joined.
#[test]
fn a_glissando_keeps_its_finger() {
    let third = Position::new(3).unwrap();
    let postures = [held(1, &[(0, 2, 1, 1)]), held(3, &[(1, 2, 3, 1)])];
    let mut glide = Case::new(score(&[&["<C4/4 D4/4> r/2"]]), &postures, "i-", &[]).costing(&[
        (Term::Stop, quarters(0), 2),
        (Term::Stop, quarters(1), 2),
        (Term::Height, quarters(1), 3),
        (Term::Shift, quarters(1), 8),
        (Term::Travel, quarters(1), 6),
        (Term::Ease, quarters(1), -5),
    ]);
    glide.fingering.tones[1].joined = true;
    glide.fingering.positions = [(Position::FIRST, 0), (third, 1)]
        .map(|(position, at)| PositionSpan { position, from: quarters(at), to: quarters(at) })
        .into();
    glide.fingering.shifts.push(Shift {
        at: quarters(1),
        from: Position::FIRST,
        to: third,
        guide: Some((LeftFinger::One, string(2))),
        pivot: None,
        over_open: false,
    });
    assert_eq!(glide.violations(), []);
    let other_finger = [held(1, &[(0, 2, 1, 1)]), held(1, &[(1, 2, 3, 3)])];
    assert_eq!(cost("<C4/4 D4/4> r/2", &other_finger), APART);
    let other_string = [held(1, &[(0, 2, 1, 1)]), held(7, &[(1, 3, 7, 1)])];
    assert_eq!(cost("<C4/4 D4/4> r/2", &other_string), APART);
    let open = [held(1, &[(0, 2, 1, 1)]), held(1, &[(1, 2, 0, 0)])];
    assert_eq!(cost("<C4/4 B3/4> r/2", &open), APART);
}

/// The same way in one position is a slide where nothing says to glide.
#[test]
fn a_glissando_is_no_slide() {
    let slide = |bar: &str| {
        let postures = [held(2, &[(0, 2, 1, 1)]), held(2, &[(1, 2, 2, 1)])];
        case(score(&[&[bar]]), &postures).cost_of(Term::Slide)
    };
    assert_eq!(slide("C4/4 C#4/4 r/2"), 4);
    assert_eq!(slide("(C4/4 C#4/4) r/2"), 4);
    assert_eq!(slide("<C4/4 C#4/4> r/2"), 0);
}

/// A harmonic cannot be slurred from or to: B5 touched on ②5, C4 on ②1.
#[test]
fn only_plain_sounds_are_joined() {
    let down = [held(5, &[(0, 2, 5, 1)]), held(5, &[(1, 2, 0, 0)])];
    assert_eq!(cost("(E4/4 B3/4) r/2", &down), JOINED);
    assert_eq!(cost("(B5/4o B3/4) r/2", &down), APART);
}

/// From a sound that lasts on through another voice nothing is joined: C4 of the
/// lower voice lasts the bar.
#[test]
fn a_sound_that_lasts_on_asks_for_no_join() {
    let music = || score(&[&["(C4/4 D4/4) r/2"], &["C4/1"]]);
    let elsewhere = [
        held(4, &[(0, 3, 5, 2), (1, 3, 5, 2)]),
        held(4, &[(0, 3, 5, 2), (1, 3, 5, 2), (2, 2, 3, 1)]),
    ];
    let elsewhere = case(music(), &elsewhere);
    assert_eq!((elsewhere.hand_faults(), elsewhere.cost_of(Term::Join)), (vec![], 0));
    let on_it = [held(1, &[(0, 2, 1, 1), (1, 2, 1, 1)]), held(1, &[(2, 2, 3, 3)])];
    let on_it = case(music(), &on_it);
    assert_eq!((on_it.hand_faults(), on_it.cost_of(Term::Join)), (vec![], 0));
    let of_a_join = |fault: &Fault| matches!(fault, Fault::JoinedFlag { .. });
    assert!(!on_it.violations().iter().any(|v| of_a_join(&v.fault)));
}

/// A note left out is not joined, but one that follows it is asked to be.
#[test]
fn a_left_out_note_is_not_joined() {
    let postures = [held(1, &[(0, 2, 1, 1)]), held(1, &[])];
    assert_eq!(cost("(C4/4 D4/4) r/2", &postures), JOINED);
    let postures = [held(0, &[]), held(1, &[(1, 2, 3, 3)])];
    assert_eq!(cost("(C4/4 D4/4) r/2", &postures), APART, "from nothing nothing comes");
}

/// C major broken with E3 slurred to G3 on ④: the E3 is wanted until then, the
/// others until the chord is over.
#[test]
fn in_a_broken_chord_a_slur_ends_the_note_before() {
    let postures = |last: &'static [(u32, u8, u8, u8)]| {
        [held(2, &[(0, 5, 3, 2)]), held(2, &[(0, 5, 3, 2), (1, 4, 2, 1)]), held(2, last)]
    };
    let until = [eighths(8), eighths(2), eighths(8)];
    let music = || score(&[&["C3/8 (E3/8 G3/2.)"]]);
    let clean = Case::new(music(), &postures(&[(0, 5, 3, 2), (2, 4, 5, 4)]), "", &until);
    assert_eq!(clean.hand_faults(), []);
    assert_eq!((clean.cost_of(Term::Join), clean.cost_of(Term::Ring)), (0, 0));
    let flag = Fault::JoinedFlag { tone: ToneId(2), found: false };
    let record: Vec<Fault> = clean
        .violations()
        .into_iter()
        .filter(|violation| violation.rule() == Rule::Record)
        .map(|violation| violation.fault)
        .collect();
    assert_eq!(record, [flag]);
    let on = &[(0, 5, 3, 2), (1, 4, 2, 1), (2, 3, 0, 0)];
    let on = case(music(), &postures(on));
    assert!(on.violations().iter().any(|v| v.fault == Fault::NotSounding(ToneId(1))));
}

/// D4 of two voices is joined from C4 in voice 1 and from B3 in voice 2: the
/// first of its tones decides, so that C4 on ③ is what it has to come from, and
/// not the open ②.
#[test]
fn the_first_joined_tone_of_a_sound_decides() {
    let to = |string, fret, finger| {
        let second = [(2, string, fret, finger), (3, string, fret, finger)];
        let postures = [held(3, &[(0, 3, 5, 3), (1, 2, 0, 0)]), held(3, &second)];
        let music = score(&[&["(C4/4 D4/4) r/2"], &["(B3/4 D4/4) r/2"]]);
        let case = case(music, &postures);
        assert_eq!(case.hand_faults(), []);
        case.cost_of(Term::Join)
    };
    assert_eq!(to(3, 7, 4), 0);
    assert_eq!(to(2, 3, 1), 100);
}
