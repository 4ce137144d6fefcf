//! The playing order: cuts and seams.

use apoyando_fingering::{BarreSpan, LetGo, Position, PositionSpan, Seam, Shift, Term};
use apoyando_music::ToneId;
use apoyando_verify::{Fault, Rule};

use crate::kit::{Case, Held, barre, case, held, quarters, score, score_at, string};

/// C4 with D4 as first ending and E4 on ②5 as second: 1 goes from I to III, back
/// over one seam and to V over the other. On paper: 2 each, heights 3 and 7; the
/// move 8 + 6, of which 40 for the guide and 10 for the bar are 7; back 8 + 6, of
/// which 35 are 4; on 8 + 12 for 126.6 mm, of which 35 are 7.
fn endings() -> Case {
    let postures = [held(1, &[(0, 2, 1, 1)]), held(3, &[(1, 2, 3, 1)]), held(5, &[(2, 2, 5, 1)])];
    let music = score(&[&["|: C4/1", "|1 D4/1 :|", "|2 E4/1"]]);
    let mut case = Case::new(music, &postures, "iii", &[]).costing(&[
        (Term::Stop, quarters(0), 2),
        (Term::Shift, quarters(0), 8),
        (Term::Travel, quarters(0), 6),
        (Term::Ease, quarters(0), -4),
        (Term::Stop, quarters(4), 2),
        (Term::Height, quarters(4), 3),
        (Term::Shift, quarters(4), 8),
        (Term::Travel, quarters(4), 6),
        (Term::Ease, quarters(4), -7),
        (Term::Stop, quarters(8), 2),
        (Term::Height, quarters(8), 7),
        (Term::Shift, quarters(8), 8),
        (Term::Travel, quarters(8), 12),
        (Term::Ease, quarters(8), -7),
    ]);
    let position = |number| Position::new(number).unwrap();
    case.fingering.positions = [(1, 0), (3, 4), (5, 8)]
        .map(|(number, at)| PositionSpan {
            position: position(number),
            from: quarters(at),
            to: quarters(at),
        })
        .into();
    case.fingering.shifts = vec![Shift {
        at: quarters(4),
        from: position(1),
        to: position(3),
        guide: Some((apoyando_fingering::LeftFinger::One, string(2))),
        pivot: None,
        over_open: false,
    }];
    let seam = |from, to, shift: (u8, u8)| Seam {
        from: quarters(from),
        to: quarters(to),
        shift: Some((position(shift.0), position(shift.1))),
    };
    case.fingering.seams = vec![seam(0, 8, (1, 5)), seam(4, 0, (3, 1))];
    case
}

#[test]
fn seams_are_moves_and_cuts_are_none() {
    assert_eq!(endings().violations(), []);
}

#[test]
fn the_list_of_seams_is_checked() {
    let faults = |plant: fn(&mut Vec<Seam>)| {
        let mut case = endings();
        plant(&mut case.fingering.seams);
        case.violations().into_iter().map(|violation| violation.fault).collect::<Vec<_>>()
    };
    let seams = endings().fingering.seams;
    assert_eq!(faults(|list| list.reverse()), []);
    assert_eq!(faults(|list| list.truncate(1)), [Fault::SeamUnsaid(seams[1])]);
    assert_eq!(faults(|list| list.push(list[0])), [Fault::SeamInvented(seams[0])]);
    let unmoved = Seam { shift: None, ..seams[0] };
    assert_eq!(
        faults(|list| list[0].shift = None),
        [Fault::SeamInvented(unmoved), Fault::SeamUnsaid(seams[0])]
    );
    // The move over the cut is none, and not listed.
    let mut case = endings();
    let cut = Shift { at: quarters(8), ..case.fingering.shifts[0] };
    case.fingering.shifts.push(cut);
    assert_eq!(case.violations()[0].fault, Fault::Shift { found: Some(cut) });
}

/// A bar repeated: from D4 in III back to the open E4, and from there to F4 in
/// I. 35 for the end of the phrase and 50 for the open string, of which 80 count:
/// 11 of 14, at the onset of F4. D4 lasts long enough; at 300 quarters a minute
/// its half is 400 ms: twice 8, twice 6, and 22.
#[test]
fn a_seam_is_paid_where_the_hand_is_down_again() {
    let postures =
        || [held(0, &[(0, 1, 0, 0)]), held(1, &[(1, 1, 1, 1)]), held(3, &[(2, 2, 3, 1)])];
    let bill = |tempo| {
        let music = score_at(&[&["|: E4/4 F4/4 D4/2 :|"]], tempo);
        let mut items = case(music, &postures()).bill();
        let seam = [Term::Shift, Term::Travel, Term::Ease];
        items.retain(|(layer, term, _)| *layer < 2 && seam.contains(term));
        items
    };
    assert_eq!(bill(None), [(1, Term::Shift, 8), (1, Term::Travel, 6), (1, Term::Ease, -11)]);
    let hurried = [(1, Term::Shift, 16), (1, Term::Travel, 12), (1, Term::Ease, -22)];
    assert_eq!(bill(Some(300)), hurried);
}

/// From the open E4 back to F4 in I while the hand is in III.
#[test]
fn a_seam_from_an_open_string_is_eased() {
    let postures = [held(1, &[(0, 1, 1, 1)]), held(3, &[(1, 2, 3, 1)]), held(3, &[(2, 1, 0, 0)])];
    let music = score(&[&["|: F4/4 D4/4 E4/2 :|"]]);
    let mut items = case(music, &postures).bill();
    items.retain(|(layer, term, _)| *layer == 0 && *term == Term::Ease);
    assert_eq!(items, [(0, Term::Ease, -11)]);
}

/// One onset repeated is its own seam.
#[test]
fn an_onset_may_follow_itself() {
    let case = case(score(&[&["|: F4/1 :|"]]), &[held(1, &[(0, 1, 1, 1)])]);
    let own = Seam { from: quarters(0), to: quarters(0), shift: None };
    assert!(case.violations().iter().any(|v| v.fault == Fault::SeamUnsaid(own)));
}

/// What passes over a seam is counted as played: the rest of a bar, bars of
/// rest, the beginning of a bar. A quarter at 300 lasts 200 ms, two 400 ms, and
/// three 600 ms.
#[test]
fn the_time_over_a_seam_is_that_of_playing() {
    let hurry = |bars: &[&str]| {
        let postures = [held(1, &[(0, 1, 1, 1)]), held(5, &[(1, 1, 5, 1)])];
        let case = case(score_at(&[bars], Some(300)), &postures);
        case.bill()
            .iter()
            .filter(|(layer, term, _)| *layer == 0 && *term == Term::Shift)
            .map(|(.., amount)| amount / 8)
            .sum::<i64>()
    };
    assert_eq!(hurry(&["|: F4/2. A4/4 :|"]), 3);
    assert_eq!(hurry(&["|: F4/2 A4/4 r/4 :|"]), 2);
    assert_eq!(hurry(&["|: r/4 F4/2 A4/4 :|"]), 2);
    assert_eq!(hurry(&["|: r/4 F4/4 A4/4 r/4 :|"]), 1);
    assert_eq!(hurry(&["|: F4/2. A4/4", "r/1 :|"]), 1);
    // The first ending has rests of a quarter or of two.
    assert_eq!(hurry(&["|: F4/2. A4/4", "[1] r/4 :|"]), 2);
    assert_eq!(hurry(&["|: F4/2. A4/4", "[2] r/2 :|"]), 1);
}

/// Nothing is moved over a seam where the hand stays, or is nowhere.
#[test]
fn a_seam_without_a_shift_is_listed_all_the_same() {
    let seams = |postures: &[Held<'_>]| {
        let mut case = case(score(&[&["|: E4/2 F4/2 :|"]]), postures);
        case.fingering.seams = vec![Seam { from: quarters(2), to: quarters(0), shift: None }];
        case.violations().iter().filter(|v| v.fault.to_string().contains("seam")).count()
    };
    assert_eq!(seams(&[held(0, &[(0, 1, 0, 0)]), held(1, &[(1, 1, 1, 1)])]), 0);
    assert_eq!(seams(&[held(5, &[(0, 2, 5, 1)]), held(1, &[(1, 1, 1, 1)])]), 2);
    assert_eq!(seams(&[held(0, &[(0, 1, 0, 0)]), held(0, &[])]), 0);
}

/// A repeat that is never closed is played as written.
#[test]
fn what_cannot_be_unfolded_is_played_as_written() {
    let postures = [held(1, &[(0, 2, 1, 1)]), held(3, &[(1, 2, 3, 1)]), held(5, &[(2, 2, 5, 1)])];
    let open = case(score(&[&["|: C4/1", "|1 D4/1", "|2 E4/1"]]), &postures);
    let shifts = open.bill().iter().filter(|(_, term, _)| *term == Term::Shift).count();
    assert_eq!(shifts, 2);
    let seams = open.violations().iter().any(|v| matches!(v.fault, Fault::SeamUnsaid(_)));
    assert!(!seams);
}

/// The bass of the first ending lasts into the second, where it is gone: it is
/// listed as let go and costs nothing; kept it is a fault.
#[test]
fn nothing_is_kept_over_a_cut() {
    let music = || score(&[&["|: C4/1", "|1 D4/1 :|", "|2 C4/1"], &["r/1", "A2/1~", "A2/1"]]);
    let postures = |last: &'static [(u32, u8, u8, u8)]| {
        [held(1, &[(0, 2, 1, 1)]), held(1, &[(1, 2, 3, 3), (2, 5, 0, 0)]), held(1, last)]
    };
    let until = [quarters(4), quarters(8), quarters(8), quarters(12)];
    let mut gone = Case::new(music(), &postures(&[(3, 2, 1, 1)]), "", &until);
    gone.fingering.let_go = vec![LetGo { tone: ToneId(2), at: quarters(8), written: true }];
    assert_eq!(gone.hand_faults(), []);
    assert_eq!(gone.cost_of(Term::CutBass), 0);
    let found = gone.violations();
    assert!(!found.iter().any(|v| matches!(
        v.fault,
        Fault::LetGoInvented(_) | Fault::LetGoUnsaid(_) | Fault::SoundsUntil { .. }
    )));
    let kept = case(music(), &postures(&[(2, 5, 0, 0), (3, 2, 1, 1)]));
    let place = crate::kit::at(5, 0, 0).place;
    assert_eq!(kept.hand_faults(), [Fault::KeptOverCut { tone: ToneId(2), place }]);
    // Written on, without endings, it is kept.
    let on = score(&[&["C4/1", "D4/1", "C4/1"], &["r/1", "A2/1~", "A2/1"]]);
    assert_eq!(case(on, &postures(&[(2, 5, 0, 0), (3, 2, 1, 1)])).hand_faults(), []);
}

/// After a cut the hand begins anew: it has no position, nothing stays but what
/// is prepared, it is not away, and no finger lands, slides or replaces.
#[test]
fn after_a_cut_the_hand_begins_anew() {
    let third = |third: Held<'_>, bar: &str| {
        let music = score(&[&["|: C4/1", "|1 D4/1 :|", &format!("|2 {bar}")]]);
        case(music, &[held(1, &[(0, 2, 1, 1)]), held(1, &[(1, 2, 3, 3)]), third])
    };
    let idle = |position| third(held(position, &[(2, 1, 0, 0)]), "E4/1");
    assert!(!idle(0).violations().iter().any(|v| matches!(v.fault, Fault::IdlePosition { .. })));
    let wanted = Fault::IdlePosition { found: Some(Position::FIRST), wanted: None };
    assert!(idle(1).violations().iter().any(|v| v.fault == wanted));
    let away = third(held(1, &[(2, 1, 5, 1)]).away(5), "A4/1");
    assert_eq!(away.hand_faults(), [Fault::AwayAtOnce(Position::new(5).unwrap())]);
    // D4 by 4 where 3 was: neither landed nor replaced.
    let replaced = third(held(1, &[(2, 2, 3, 4)]), "D4/1");
    assert!(!replaced.bill().iter().any(|(layer, term, _)| {
        *layer == 2 && [Term::Land, Term::Replace, Term::WeakPair].contains(term)
    }));
    // 3 on ②3 is down before the cut, and may not stay after it.
    let music = || score(&[&["|: C4/1", "|1 D4/1 :|", "|2 E4/2 D4/2"]]);
    let stays = [
        held(1, &[(0, 2, 1, 1)]),
        held(1, &[(1, 2, 3, 3)]),
        held(1, &[(2, 2, 5, 4)]).staying(&[(3, 2, 3)]),
        held(1, &[(3, 2, 3, 3)]),
    ];
    let place = crate::kit::at(2, 3, 3).place;
    let finger = apoyando_fingering::LeftFinger::Three;
    assert_eq!(case(music(), &stays).hand_faults(), [Fault::StaysUncalled { finger, place }]);
    let slurred = score(&[&["|: C4/1", "|1 D4/1 :|", "|2 (E4/2 D4/2)"]]);
    assert_eq!(case(slurred, &stays).hand_faults(), []);
    // Without endings it may stay.
    let on = score(&[&["C4/1", "D4/1", "E4/2 D4/2"]]);
    assert_eq!(case(on, &stays).hand_faults(), []);
}

/// Positions and barres end at a cut.
#[test]
fn runs_end_at_a_cut() {
    let chord = |tone: u32| [(tone, 2, 1, 1), (tone + 1, 1, 1, 1)];
    let chords = [chord(0), chord(2), chord(4)];
    let postures: Vec<Held<'_>> =
        chords.iter().map(|chord| held(1, chord).with(barre(1, 1, 2))).collect();
    let record = |bars: &[&str], from: &[(i64, i64)]| {
        let mut case = case(score(&[bars]), &postures);
        let spans = || from.iter().map(|(from, to)| (quarters(*from), quarters(*to)));
        case.fingering.positions = spans()
            .map(|(from, to)| PositionSpan { position: Position::FIRST, from, to })
            .collect();
        case.fingering.barres =
            spans().map(|(from, to)| BarreSpan { barre: barre(1, 1, 2), from, to }).collect();
        let mut found = case.violations();
        found.retain(|v| v.rule() == Rule::Record && !matches!(v.fault, Fault::SeamUnsaid(_)));
        found
    };
    let music = ["|: C4+F4/1", "|1 C4+F4/1 :|", "|2 C4+F4/1"];
    assert_eq!(record(&music, &[(0, 4), (8, 8)]), []);
    assert_eq!(record(&music, &[(0, 8)]).len(), 2);
    assert_eq!(record(&["C4+F4/1"; 3], &[(0, 8)]), []);
}

/// Over a cut no finger leaps: C4 by 1, a quarter of E4, F4 by 1. Two quarters at
/// 250 last 480 ms.
#[test]
fn what_lies_before_a_cut_is_not_remembered() {
    let leap = |bars: &[&str], position| {
        let postures = [
            held(1, &[(0, 2, 1, 1)]),
            held(1, &[(1, 2, 1, 1)]),
            held(position, &[(2, 1, 0, 0)]),
            held(1, &[(3, 1, 1, 1)]),
        ];
        case(score_at(&[bars], Some(250)), &postures).cost_of(Term::Leap)
    };
    assert_eq!(leap(&["C4/1", "r/2. C4/4", "E4/4 F4/4 r/2"], 1), 7);
    assert_eq!(leap(&["|: C4/1", "|1 r/2. C4/4 :|", "|2 E4/4 F4/4 r/2"], 0), 0);
}
