//! The hand away from its position for a moment: P10, M4, `hop`, `hop_stay`.

use apoyando_fingering::{LeftFinger, Position, PositionSet, PositionSpan, Term};
use apoyando_verify::{AwayFault, Fault, Rule};

use crate::kit::{Case, Held, barre, case, held, quarters, score};

/// F4 A4 F4 by 1 on ①, I and V and back. On paper: three times 2, 7 for V, and
/// 20 + 12 for 126.6 mm; it is no slide, and 1 does not leave its string.
fn hop() -> Case {
    let postures =
        [held(1, &[(0, 1, 1, 1)]), held(1, &[(1, 1, 5, 1)]).away(5), held(1, &[(2, 1, 1, 1)])];
    let mut case = Case::new(score(&[&["F4/4 A4/4 F4/4 r/4"]]), &postures, "imi", &[]).costing(&[
        (Term::Stop, quarters(0), 2),
        (Term::Stop, quarters(1), 2),
        (Term::Height, quarters(1), 7),
        (Term::Hop, quarters(1), 32),
        (Term::Stop, quarters(2), 2),
    ]);
    case.fingering.hops =
        vec![PositionSpan { position: fifth(), from: quarters(1), to: quarters(1) }];
    case
}

fn fifth() -> Position {
    Position::new(5).unwrap()
}

#[test]
fn a_hand_may_be_away_for_a_moment() {
    assert_eq!(hop().violations(), []);
    let mut unsaid = hop();
    unsaid.fingering.hops.clear();
    assert_eq!(unsaid.rules(), [Rule::Record]);
    assert!(matches!(unsaid.violations()[0].fault, Fault::HopSpan { found: None, .. }));
}

/// Eighths at 72 are 416 ms: twice 32. A second onset at the same place costs
/// 11, at another place another hop: 20 + 9 for 97.6 mm.
#[test]
fn a_hop_costs_its_way_and_its_stay() {
    let cost = |bar: &str, postures: &[Held<'_>]| {
        let case = case(score(&[&[bar]]), postures);
        assert_eq!(case.hand_faults(), []);
        (case.cost_of(Term::Hop), case.cost_of(Term::HopStay))
    };
    let there_and_back =
        [held(1, &[(0, 1, 1, 1)]), held(1, &[(1, 1, 5, 1)]).away(5), held(1, &[(2, 1, 1, 1)])];
    assert_eq!(cost("F4/8 A4/8 F4/8 r/8 r/2", &there_and_back), (64, 0));
    let stays = [
        held(1, &[(0, 1, 1, 1)]),
        held(1, &[(1, 1, 5, 1)]).away(5),
        held(1, &[(2, 1, 7, 3)]).away(5),
    ];
    assert_eq!(cost("F4/4 A4/4 B4/4 r/4", &stays), (32, 11));
    let on = [
        held(1, &[(0, 1, 1, 1)]),
        held(1, &[(1, 1, 5, 1)]).away(5),
        held(1, &[(2, 1, 4, 1)]).away(4),
    ];
    assert_eq!(cost("F4/4 A4/4 G#4/4 r/4", &on), (32 + 29, 0));
}

/// The faults of the second of two postures, in a hand that is away.
fn faults(second: &str, posture: Held<'_>) -> Vec<Fault> {
    let music = score(&[&[&format!("F4/4 {second}/4 r/2")], &["A2/1"]]);
    case(music, &[held(1, &[(0, 1, 1, 1), (1, 5, 0, 0)]), posture]).hand_faults()
}

fn away(place: u8, fault: AwayFault) -> Fault {
    Fault::Away { place: Position::new(place).unwrap(), fault }
}

#[test]
fn faults_of_a_hand_away_are_found() {
    use AwayFault::{Barre, Bound, Extended, Frets, Holds, NoPosition, NoneAtRest, NothingDown};
    let bass = (1, 5, 0, 0);
    let alone = |string, fret, finger| [bass, (2, string, fret, finger)];
    let on_v = alone(1, 5, 1);
    assert_eq!(faults("A4", held(1, &alone(1, 5, 1)).away(5)), []);
    assert_eq!(faults("F#4", held(1, &alone(1, 2, 1)).away(2)), [away(2, Frets(1))]);
    assert_eq!(faults("A#4", held(1, &alone(1, 6, 1)).away(6)), [away(6, Frets(5))]);
    assert_eq!(faults("F4", held(1, &alone(1, 1, 1)).away(1))[0], away(1, Frets(0)));
    let nowhere = faults("A4", held(0, &alone(1, 5, 1)).away(5));
    assert!(nowhere.contains(&away(5, NoPosition)) && nowhere.contains(&Fault::NoPosition));
    assert_eq!(faults("E4", held(1, &alone(1, 0, 0)).away(5)), [away(5, NothingDown)]);
    let under_one = [bass, (2, 2, 5, 1), (3, 1, 5, 1)];
    let barred = held(1, &under_one).with(barre(5, 1, 2)).away(5);
    assert_eq!(faults("E4+A4", barred), [away(5, Barre)]);
    assert!(faults("A4", held(1, &alone(1, 5, 1)).away(4)).contains(&away(4, NoneAtRest)));
    let apart = [bass, (2, 2, 5, 1), (3, 1, 9, 4)];
    let wide = held(1, &apart).away(5);
    assert!(faults("E4+C#5", wide).contains(&away(5, Extended(LeftFinger::Four))));
    let stays = held(1, &on_v).away(5).staying(&[(2, 1, 3)]);
    let stays = faults("A4", stays);
    assert!(stays.contains(&away(5, AwayFault::Stays(LeftFinger::Two))));
    assert!(stays.iter().any(|fault| matches!(
        fault,
        Fault::Stays { fault: apoyando_verify::StayFault::HandAway, .. }
    )));
    let trilled = held(1, &on_v).away(5).bound(&[(3, 1, 7)]);
    let music = score(&[&["F4/4 A4/4t r/2"], &["A2/1"]]);
    let trilled = case(music, &[held(1, &[(0, 1, 1, 1), (1, 5, 0, 0)]), trilled]);
    assert_eq!(trilled.hand_faults(), [away(5, Bound(LeftFinger::Three))]);
    // C3 is held by 3.
    let holds =
        [held(1, &[(0, 1, 1, 1), (1, 5, 3, 3)]), held(1, &[(1, 5, 3, 3), (2, 1, 3, 1)]).away(3)];
    let holds = case(score(&[&["F4/4 G4/4 r/2"], &["C3/1"]]), &holds);
    assert!(holds.hand_faults().contains(&away(3, Holds(LeftFinger::Three))));
}

#[test]
fn the_hand_comes_straight_back() {
    let first = [held(1, &[(0, 1, 5, 1)]).away(5), held(1, &[(1, 1, 1, 1)])];
    let first = case(score(&[&["A4/4 F4/4 r/2"]]), &first);
    assert_eq!(first.hand_faults(), [Fault::AwayAtOnce(fifth())]);
    let on =
        |postures: &[Held<'_>]| case(score(&[&["F4/4 A4/4 B4/4 r/4"]]), postures).hand_faults();
    let elsewhere =
        [held(1, &[(0, 1, 1, 1)]), held(1, &[(1, 1, 5, 1)]).away(5), held(7, &[(2, 1, 7, 1)])];
    let moving =
        |from, to| Fault::AwayInMoving { from: Position::new(from), to: Position::new(to) };
    assert_eq!(on(&elsewhere), [moving(1, 7)]);
    let shifts_first =
        [held(1, &[(0, 1, 1, 1)]), held(3, &[(1, 1, 5, 1)]).away(5), held(3, &[(2, 1, 7, 4)])];
    assert_eq!(on(&shifts_first)[0], moving(1, 3));
    // From nowhere it cannot be away.
    let unknown = [held(0, &[(0, 1, 0, 0)]), held(1, &[(1, 1, 5, 1)]).away(5)];
    let unknown = case(score(&[&["E4/4 A4/4 r/2"]]), &unknown);
    assert_eq!(unknown.hand_faults(), [moving(0, 1)]);
    let unknown = [held(0, &[(0, 1, 0, 0)]), held(0, &[(1, 1, 5, 1)]).away(5)];
    let unknown = case(score(&[&["E4/4 A4/4 r/2"]]), &unknown);
    assert!(unknown.hand_faults().contains(&moving(0, 0)));
}

/// The place of the hand counts, not its position.
#[test]
fn the_author_limits_the_place_of_the_hand() {
    let mut case = hop();
    case.level.positions = PositionSet::only(Position::FIRST);
    case.fingering.price.broken = 1;
    let found = case.violations();
    assert_eq!(
        found.iter().map(|v| &v.fault).collect::<Vec<_>>(),
        [&Fault::PositionNotAllowed(fifth())]
    );
}
