//! Section 5 of the model, worked out on paper for the smallest music that
//! shows each term. On a string of 650 mm: x(1) = 36.5 mm, x(2) = 70.9,
//! x(3) = 103.4, x(4) = 134.1, x(5) = 163.1 (rule of twelfth roots).

use apoyando_fingering::{Price, Term};
use apoyando_music::Score;

use crate::kit::{
    Case, Held, barre, case, full_barre, held, quarters, score, score_at, score_in, tune,
};

fn bill(score: Score, postures: &[Held<'_>]) -> Vec<(usize, Term, i64)> {
    case(score, postures).bill()
}

fn beyond_notes(score: Score, postures: &[Held<'_>]) -> Vec<(usize, Term, i64)> {
    case(score, postures).beyond_notes()
}

#[test]
fn whole_fingerings_cost_what_they_cost_on_paper() {
    let price = |effort| Ok(Price { escapes: 0, broken: 0, effort });
    assert_eq!(tune().price(), price(26));
    assert_eq!(full_barre().price(), price(63));
}

/// The open E4 lasts more than a second.
#[test]
fn a_sound_left_out_is_an_escape() {
    let postures = [held(0, &[(0, 1, 0, 0)]), held(0, &[])];
    let case = case(score(&[&["E4/2 D4/2"]]), &postures);
    assert_eq!(case.price(), Ok(Price { escapes: 1, broken: 0, effort: 17 }));
}

#[test]
fn height_grows_with_the_position_and_is_paid_once_an_onset() {
    let items = bill(score(&[&["B4/1"]]), &[held(7, &[(0, 1, 7, 1)])]);
    assert_eq!(items, [(0, Term::Stop, 2), (0, Term::Height, 11)]);
    let items = bill(score(&[&["G4+B4/1"]]), &[held(7, &[(0, 2, 8, 2), (1, 1, 7, 1)])]);
    assert_eq!(items, [(0, Term::Stop, 4), (0, Term::Height, 11)]);
    let items = bill(score(&[&["F#4/1"]]), &[held(2, &[(0, 1, 2, 1)])]);
    assert_eq!(items, [(0, Term::Stop, 2), (0, Term::Height, 1)]);
}

/// Finger 1 a fret above its own: 1 for the contraction and 7 for the lead,
/// once for two strings under a barre.
#[test]
fn finger_1_above_its_fret_leads_into_the_next_position() {
    let items = bill(score(&[&["C#4/1"]]), &[held(1, &[(0, 2, 2, 1)])]);
    assert_eq!(items, [(0, Term::Stop, 2), (0, Term::Contraction, 1), (0, Term::Lead, 7)]);
    let postures = [held(1, &[(0, 2, 2, 1), (1, 1, 2, 1)]).with(barre(2, 1, 2))];
    let two = beyond_notes(score(&[&["C#4+F#4/1"]]), &postures);
    assert_eq!(two, [(0, Term::Lead, 7), (0, Term::BarreHold, 2), (0, Term::BarreLay, 6)]);
}

/// 18 where the hand was there already; not in I, nor where it comes.
#[test]
fn finger_1_goes_on_above_its_fret_in_the_next_position() {
    let cost =
        |bar: &str, postures: &[Held<'_>]| case(score(&[&[bar]]), postures).cost_of(Term::LeadStay);
    let (own, above) = (held(2, &[(0, 2, 2, 1)]), held(2, &[(1, 2, 3, 1)]));
    assert_eq!(cost("C#4/4 D4/4 r/2", &[own, above]), 18);
    let comes = [held(1, &[(0, 2, 2, 2)]), held(2, &[(1, 2, 3, 1)])];
    assert_eq!(cost("C#4/4 D4/4 r/2", &comes), 0);
    let first = [held(1, &[(0, 2, 1, 1)]), held(1, &[(1, 2, 2, 1)])];
    assert_eq!(cost("C4/4 C#4/4 r/2", &first), 0);
    let again = [held(2, &[(0, 2, 3, 1)]), held(2, &[(1, 2, 3, 1)])];
    assert_eq!(cost("D4/4 D4/4 r/2", &again), 18, "the first is the beginning");
}

/// From G4 by 3 in I to A4 by 3 in III: 66.9 mm, a guide finger.
#[test]
fn a_shift_costs_its_way_and_a_guide_eases_it() {
    let postures = || [held(1, &[(0, 1, 3, 3)]), held(3, &[(1, 1, 5, 3)])];
    let slow = beyond_notes(score(&[&["G4/4 A4/4 r/2"]]), &postures());
    assert_eq!(slow, [(1, Term::Shift, 8), (1, Term::Travel, 6), (1, Term::Ease, -5)]);
    // A sixteenth at 120 is 125 ms: four times the hurry. 56 · 40 / 100 = 22.4.
    let fast = score_at(&[&["G4/16 A4/16 r/8 r/4 r/2"]], Some(120));
    let fast = beyond_notes(fast, &postures());
    assert_eq!(fast, [(1, Term::Shift, 32), (1, Term::Travel, 24), (1, Term::Ease, -22)]);
}

/// 150, 300 and 600 ms are the bounds: a quarter at 100 is 600 ms, at 101 less.
/// A mark of nothing a minute counts as 72.
#[test]
fn hurry_has_its_bounds() {
    let hurry = |bar: &str, tempo| {
        let postures = [held(1, &[(0, 1, 3, 3)]), held(3, &[(1, 1, 5, 3)])];
        beyond_notes(score_at(&[&[bar]], Some(tempo)), &postures)[0].2 / 8
    };
    let (quarter, sixteenth) = ("G4/4 A4/4 r/2", "G4/16 A4/16 r/8 r/4 r/2");
    assert_eq!(hurry(quarter, 100), 1);
    assert_eq!(hurry(quarter, 101), 2);
    assert_eq!(hurry(quarter, 200), 2);
    assert_eq!(hurry(quarter, 201), 3);
    assert_eq!(hurry(sixteenth, 100), 3);
    assert_eq!(hurry(sixteenth, 101), 4);
    assert_eq!(hurry(sixteenth, 0), 3);
}

/// Two eighths at 72 are 833 ms since the last stopped note: no hurry, though
/// each is in one.
#[test]
fn a_shift_over_an_open_string_has_all_the_time_since_the_last_stop() {
    let postures = [held(1, &[(0, 1, 3, 3)]), held(1, &[(1, 1, 0, 0)]), held(3, &[(2, 1, 5, 3)])];
    let items = beyond_notes(score(&[&["G4/8 E4/8 A4/4 r/2"]]), &postures);
    assert_eq!(items, [(2, Term::Shift, 8), (2, Term::Travel, 6), (2, Term::Ease, -7)]);
}

/// 1 stays on ②5 while the hand goes from V to IV, to the same key: 30 + 15. A
/// rest makes it 90 per cent, of which 80 count.
#[test]
fn eases_are_added_up_to_four_fifths() {
    let postures = || [held(5, &[(0, 2, 5, 1)]), held(4, &[(1, 2, 5, 1)])];
    let eased = |bar: &str| {
        let mut items = beyond_notes(score(&[&[bar]]), &postures());
        items.retain(|(_, term, _)| *term != Term::Lead);
        items
    };
    assert_eq!(
        eased("E4/4 E4/4 r/2"),
        [(1, Term::Shift, 8), (1, Term::Travel, 2), (1, Term::Ease, -4)]
    );
    assert_eq!(
        eased("E4/4 r/4 E4/2"),
        [(1, Term::Shift, 8), (1, Term::Travel, 2), (1, Term::Ease, -8)]
    );
}

/// From ①3 by 3 in I to ②6 by 2 in V no finger leads: 8 + 12 for 126.6 mm.
fn unled(bars: &[&str]) -> i64 {
    let postures = [held(1, &[(0, 1, 3, 3)]), held(5, &[(1, 2, 6, 2)])];
    let music = score(&[bars]);
    let case = case(music, &postures);
    assert_eq!((case.cost_of(Term::Shift), case.cost_of(Term::Travel)), (8, 12));
    case.cost_of(Term::Ease)
}

/// F4 after G4: 10 per cent of 20 where a bar begins, 35 at a fermata, 45 where
/// both are, as at a double bar or a repeat.
#[test]
fn strong_beats_and_ends_of_phrases_ease_a_shift() {
    assert_eq!(unled(&["G4/4 F4/4 r/2"]), 0);
    assert_eq!(unled(&["r/2 r/4 G4/4", "F4/1"]), -2);
    assert_eq!(unled(&["G4/4! F4/4 r/2"]), -7);
    assert_eq!(unled(&["G4/4 F4/4! r/2"]), 0);
    assert_eq!(unled(&["r/2 r/4 G4/4 ||", "F4/1"]), -9);
    assert_eq!(unled(&["r/2 r/4 G4/4", "|: F4/1 :|"]), -9);
    // A double bar before both notes is none between them.
    assert_eq!(unled(&["r/1 ||", "G4/4 F4/4 r/2"]), 0);
}

/// The fermata is that of voice 1, as it is written at the earlier onset.
#[test]
fn a_fermata_of_another_voice_is_none() {
    let postures = [held(1, &[(0, 1, 3, 3), (1, 6, 0, 0)]), held(5, &[(1, 6, 0, 0), (2, 2, 6, 2)])];
    let ease = |bass: &str| case(score(&[&["G4/2 F4/2"], &[bass]]), &postures).cost_of(Term::Ease);
    assert_eq!(ease("E2/1"), 0);
    assert_eq!(ease("E2/1!"), 0);
}

/// B3 on ③4 in I to C4 on ③5 in V: the leading note of C major. 25 per cent of
/// 20 more, which the ease of a beat lessens to 15. In G major it is none.
#[test]
fn a_shift_from_the_leading_note_is_dearer() {
    let postures = [held(1, &[(0, 3, 4, 4)]), held(5, &[(1, 3, 5, 1)])];
    let ease = |bars: &[&str], sharps| {
        case(score_in(&[bars], None, sharps), &postures).cost_of(Term::Ease)
    };
    assert_eq!(ease(&["B3/4 C4/4 r/2"], 0), 5);
    assert_eq!(ease(&["r/2 r/4 B3/4", "C4/1"], 0), 3);
    assert_eq!(ease(&["B3/4 C4/4 r/2"], 1), 0);
    // C minor has three flats.
    assert_eq!(ease(&["B3/4 C4/4 r/2"], -3), 5);
    // The same as inner parts of chords.
    let postures = [held(1, &[(0, 3, 4, 4), (1, 1, 3, 3)]), held(5, &[(2, 3, 5, 1), (3, 1, 7, 3)])];
    let chords = case(score(&[&["B3+G4/4 C4+B4/4 r/2"]]), &postures);
    assert_eq!(chords.cost_of(Term::Ease), -8, "3 is a guide on ①, nothing more");
}

#[test]
fn a_finger_that_jumps_strings_is_charged_and_a_barre_is_not() {
    let music = || score(&[&["C4/4 F4/4 r/2"]]);
    let jump = beyond_notes(music(), &[held(1, &[(0, 2, 1, 1)]), held(1, &[(1, 1, 1, 1)])]);
    assert_eq!(jump, [(1, Term::Jump, 3), (1, Term::Twice, 9)]);
    let laid = [held(1, &[(0, 2, 1, 1)]).with(barre(1, 1, 2)), held(1, &[(1, 1, 1, 1)])];
    let barre = [(0, Term::BarreHold, 2), (0, Term::BarreLay, 6)];
    assert_eq!(beyond_notes(music(), &laid), barre);
}

/// B2 by 2 and E3 under G4: 19 if 2 jumps there, as a bass, and not if 3 takes it.
#[test]
fn a_bass_goes_from_finger_to_finger() {
    let cost = |finger: u8| {
        let second = [(2, 1, 3, 4), (3, 4, 2, finger)];
        let postures = [held(1, &[(0, 1, 3, 4), (1, 5, 2, 2)]), held(1, &second)];
        let two = case(score(&[&["G4/4 G4/4 r/2"], &["B2/4 E3/4 r/2"]]), &postures);
        [Term::Jump, Term::JumpBass].map(|term| two.cost_of(term))
    };
    assert_eq!(cost(2), [3, 19]);
    assert_eq!(cost(3), [0, 0]);
}

/// In a chord of three a finger may jump, and comes down where it will.
#[test]
fn in_chords_fingers_come_down_and_jump_for_nothing() {
    let music = |second: &str| score(&[&[&format!("C4/4 {second}/4 r/2")]]);
    let first = || held(1, &[(0, 2, 1, 1)]);
    let two = [first(), held(1, &[(1, 3, 0, 0), (2, 1, 1, 1)])];
    assert_eq!(
        bill(music("G3+F4"), &two),
        [
            (0, Term::Stop, 2),
            (1, Term::Stop, 2),
            (1, Term::Land, 1),
            (1, Term::Jump, 3),
            (1, Term::Twice, 9)
        ]
    );
    let three = [first(), held(1, &[(1, 4, 0, 0), (2, 3, 0, 0), (3, 1, 1, 1)])];
    assert_eq!(bill(music("D3+G3+F4"), &three), [(0, Term::Stop, 2), (1, Term::Stop, 2)]);
}

/// A3 and E3 running, and F♯4 and D4: 4 where the second finger passes the first by a
/// string, unless the hand moves or a rest is between.
#[test]
fn fingers_that_pass_in_a_melody_are_crossed() {
    let passed = |bar: &str, first: (u8, u8, u8), second: (u8, u8, u8), position| {
        let (a, b) = ([(0, first.0, first.1, first.2)], [(1, second.0, second.1, second.2)]);
        let postures = [held(2, &a), held(position, &b)];
        case(score(&[&[bar]]), &postures).cost_of(Term::Crossed)
    };
    let (thirds, fourth) = ("F#4/4 D4/4 r/2", "A3/4 E3/4 r/2");
    assert_eq!(passed(fourth, (3, 2, 1), (4, 2, 2), 2), 4);
    assert_eq!(passed(fourth, (3, 2, 2), (4, 2, 1), 2), 0);
    assert_eq!(passed(thirds, (1, 2, 3), (2, 3, 2), 2), 4);
    assert_eq!(passed(thirds, (1, 2, 1), (2, 3, 2), 2), 0);
    assert_eq!(passed(thirds, (1, 2, 3), (2, 3, 2), 1), 0);
    assert_eq!(passed("F#4/4 r/4 D4/4 r/4", (1, 2, 3), (2, 3, 2), 2), 0);
}

/// A pair on one fret pays when it comes there, by the strings it is crossed over, and
/// not when it is struck again.
#[test]
fn fingers_come_to_one_fret_once() {
    let bill = |first: &[(u32, u8, u8, u8)], second: &[(u32, u8, u8, u8)]| {
        let postures = [held(1, first), held(1, second)];
        let mut bill = case(score(&[&["E3+C#4/4 E3+C#4/4 r/2"]]), &postures).bill();
        bill.retain(|(_, term, _)| [Term::Crossed, Term::Crowd].contains(term));
        bill
    };
    let turned = |n: u32| [(n, 4, 2, 3), (n + 1, 2, 2, 2)];
    let usual = |n: u32| [(n, 4, 2, 2), (n + 1, 2, 2, 3)];
    assert_eq!(bill(&turned(0), &turned(2)), [(0, Term::Crossed, 8)]);
    assert_eq!(bill(&usual(0), &turned(2)), [(1, Term::Crossed, 8)]);
    assert_eq!(bill(&turned(0), &usual(2)), [(0, Term::Crossed, 8)]);
}

/// 2 stays on ③2 while 3 comes to ④2, and is crossed when it strikes; but it comes there
/// no more, and does not crowd.
#[test]
fn a_finger_that_stayed_is_crossed_when_it_strikes() {
    let voices: &[&[&str]] = &[&["A3/4 B3/4 A3/4 r/4"], &["r/4 E3/2 r/4"]];
    let bill = |low: u8, high: u8, staying: &[(u8, u8, u8)]| {
        let strikes = [(2, 4, 2, low), (3, 3, 2, high)];
        let (first, between) = ([(0, 3, 2, high)], [(1, 2, 0, 0), (2, 4, 2, low)]);
        let postures = [held(1, &first), held(1, &between).staying(staying), held(1, &strikes)];
        let mut bill = case(score(voices), &postures).bill();
        bill.retain(|(_, term, _)| [Term::Crossed, Term::Crowd].contains(term));
        bill
    };
    assert_eq!(bill(3, 2, &[(2, 3, 2)]), [(2, Term::Crossed, 4)]);
    assert_eq!(bill(3, 2, &[]), [(2, Term::Crossed, 4), (2, Term::Crowd, 5)]);
    assert_eq!(bill(2, 3, &[(3, 3, 2)]), []);
}

/// Coming down on a string costs 1, twice or three times that in a hurry; going
/// along it nothing, and in the first layer there is nothing before.
#[test]
fn a_finger_that_comes_down_anew_lands() {
    let land =
        |bar: &str, postures: &[Held<'_>]| case(score(&[&[bar]]), postures).cost_of(Term::Land);
    let other = [held(1, &[(0, 2, 1, 1)]), held(1, &[(1, 2, 3, 3)])];
    assert_eq!(land("C4/4 D4/4 r/2", &other), 1);
    assert_eq!(land("C4/8 D4/8 r/4 r/2", &other), 2);
    assert_eq!(land("C4/16 D4/16 r/8 r/4 r/2", &other), 3);
    let same = [held(1, &[(0, 2, 1, 1)]), held(1, &[(1, 2, 2, 1)])];
    assert_eq!(land("C4/4 C#4/4 r/2", &same), 0);
}

/// C4 by 1 and, after an open string, by 2: ten, once. Not if 1 has been elsewhere or 2
/// slides there, nor into a chord of three.
#[test]
fn a_note_that_comes_again_under_another_finger_is_charged() {
    let cost =
        |bar: &str, postures: &[Held<'_>]| case(score(&[&[bar]]), postures).cost_of(Term::Exchange);
    let (one, open) = (|| held(1, &[(0, 2, 1, 1)]), || held(1, &[(1, 1, 0, 0)]));
    let exchanged = [one(), open(), held(1, &[(2, 2, 1, 2)])];
    assert_eq!(cost("C4/4 E4/4 C4/4 r/4", &exchanged), 10);
    assert_eq!(cost("C4/2 E4/4 C4/4", &exchanged), 10, "2500 ms");
    let same = [one(), open(), held(1, &[(2, 2, 1, 1)])];
    assert_eq!(cost("C4/4 E4/4 C4/4 r/4", &same), 0);
    let elsewhere = [one(), held(1, &[(1, 3, 1, 1)]), held(1, &[(2, 2, 1, 2)])];
    assert_eq!(cost("C4/4 G#3/4 C4/4 r/4", &elsewhere), 0);
    let chord = [one(), open(), held(1, &[(2, 4, 0, 0), (3, 3, 0, 0), (4, 2, 1, 2)])];
    assert_eq!(cost("C4/4 E4/4 D3+G3+C4/4 r/4", &chord), 0);
    let slides = [one(), held(1, &[(1, 2, 2, 2)]), held(1, &[(2, 2, 1, 2)])];
    assert_eq!(cost("C4/4 C#4/4 C4/4 r/4", &slides), 0);
    // From the last time it was struck, four onsets on at the most.
    let thrice = [
        one(),
        open(),
        held(1, &[(2, 2, 1, 2)]),
        held(1, &[(3, 1, 0, 0)]),
        held(1, &[(4, 2, 1, 2)]),
    ];
    assert_eq!(cost("C4/8 E4/8 C4/8 E4/8 C4/8 r/8 r/4", &thrice), 10);
}

/// C4 and F4 by 1 with a short open E4 between. Two sixteenths at 72 are 416 ms,
/// at 144 they are 208 ms: 7 times 1 and 2.
#[test]
fn a_finger_that_leaps_over_a_short_note_is_charged() {
    let bar = "C4/16 E4/16 F4/16 r/16 r/4 r/2";
    let leap = [held(1, &[(0, 2, 1, 1)]), held(1, &[(1, 1, 0, 0)]), held(1, &[(2, 1, 1, 1)])];
    let cost = |music: Score, postures: &[Held<'_>]| case(music, postures).cost_of(Term::Leap);
    assert_eq!(cost(score(&[&[bar]]), &leap), 7);
    assert_eq!(cost(score_at(&[&[bar]], Some(144)), &leap), 14);
    assert_eq!(cost(score(&[&["C4/8 E4/8 F4/8 r/8 r/2"]]), &leap), 0);
    // On its own string it comes back; down between it does not leap but jump.
    let back = [held(1, &[(0, 2, 1, 1)]), held(1, &[(1, 1, 0, 0)]), held(1, &[(2, 2, 1, 1)])];
    assert_eq!(cost(score(&[&["C4/16 E4/16 C4/16 r/16 r/4 r/2"]]), &back), 0);
    let down = [held(1, &[(0, 2, 1, 1)]), held(1, &[(1, 3, 1, 1)]), held(1, &[(2, 1, 1, 1)])];
    assert_eq!(cost(score(&[&["C4/16 G#3/16 F4/16 r/16 r/4 r/2"]]), &down), 0);
    // From a chord of two it does not, nor into a chord of three.
    let chord = [
        held(1, &[(0, 3, 0, 0), (1, 2, 1, 1)]),
        held(1, &[(2, 1, 0, 0)]),
        held(1, &[(3, 1, 1, 1)]),
    ];
    assert_eq!(cost(score(&[&["G3+C4/16 E4/16 F4/16 r/16 r/4 r/2"]]), &chord), 0);
    let into = [
        held(1, &[(0, 2, 1, 1)]),
        held(1, &[(1, 1, 0, 0)]),
        held(1, &[(2, 4, 0, 0), (3, 3, 0, 0), (4, 1, 1, 1)]),
    ];
    assert_eq!(cost(score(&[&["C4/16 E4/16 D3+G3+F4/16 r/16 r/4 r/2"]]), &into), 0);
}

#[test]
fn sliding_replacing_and_weak_pairs_are_charged() {
    let slide = [held(2, &[(0, 2, 1, 1)]), held(2, &[(1, 2, 2, 1)])];
    let mut items = beyond_notes(score(&[&["C4/4 C#4/4 r/2"]]), &slide);
    items.retain(|(_, term, _)| *term != Term::Extension);
    assert_eq!(items, [(1, Term::Slide, 4)]);
    let replace = [held(1, &[(0, 2, 1, 1)]), held(1, &[(1, 2, 1, 2)])];
    let items = beyond_notes(score(&[&["C4/4 C4/4 r/2"]]), &replace);
    assert_eq!(items, [(1, Term::Replace, 6), (1, Term::Exchange, 10)]);
    // Where the hand goes elsewhere, and in a chord, it is no exchange.
    let moved = [held(1, &[(0, 2, 3, 3)]), held(2, &[(1, 2, 3, 2)])];
    let cost =
        |bar: &str, postures: &[Held<'_>], term| case(score(&[&[bar]]), postures).cost_of(term);
    assert_eq!(cost("D4/4 D4/4 r/2", &moved, Term::Replace), 6);
    assert_eq!(cost("D4/4 D4/4 r/2", &moved, Term::Exchange), 0);
    let chord = [held(1, &[(0, 2, 1, 1)]), held(1, &[(1, 4, 0, 0), (2, 3, 0, 0), (3, 2, 1, 2)])];
    assert_eq!(cost("C4/4 D3+G3+C4/4 r/2", &chord, Term::Exchange), 0);
    let weak = [held(1, &[(0, 2, 3, 3)]), held(1, &[(1, 2, 4, 4)])];
    let items = beyond_notes(score(&[&["D4/4 D#4/4 r/2"]]), &weak);
    assert_eq!(items, [(1, Term::WeakPair, 1)]);
    // Eighths at 72 last 416 ms: twice the price.
    let items = beyond_notes(score(&[&["D4/8 D#4/8 r/4 r/2"]]), &weak);
    assert_eq!(items, [(1, Term::WeakPair, 2)]);
}

/// 3 on ④2 and 2 on ③2 are crossed; 2 on ⑤2 and 3 on ④2 are not. Both pairs are
/// in each other's way, 2 on ⑤2 and 3 on ③2 are not.
#[test]
fn fingers_on_one_fret_are_crossed_or_crowded() {
    let crossed = [held(1, &[(0, 4, 2, 3), (1, 3, 2, 2)])];
    assert_eq!(
        beyond_notes(score(&[&["E3+A3/1"]]), &crossed),
        [(0, Term::Crossed, 4), (0, Term::Crowd, 5)]
    );
    let side_by_side = [held(1, &[(0, 5, 2, 2), (1, 4, 2, 3)])];
    assert_eq!(beyond_notes(score(&[&["B2+E3/1"]]), &side_by_side), [(0, Term::Crowd, 5)]);
    let apart = [held(1, &[(0, 5, 2, 2), (1, 3, 2, 3)])];
    assert_eq!(beyond_notes(score(&[&["B2+A3/1"]]), &apart), []);
}

/// What is only held does not crowd again.
#[test]
fn held_fingers_do_not_crowd_again() {
    let held_chord: &[(u32, u8, u8, u8)] = &[(0, 5, 2, 2), (1, 4, 2, 3)];
    let postures = [held(1, held_chord), held(1, &[(0, 5, 2, 2), (1, 4, 2, 3), (2, 1, 0, 0)])];
    let items = beyond_notes(score(&[&["B2+E3/1"], &["r/2 E4/2"]]), &postures);
    assert_eq!(items, [(0, Term::Crowd, 5)]);
}

/// 2 on ③2 and 3 on ④4 in I: 63.2 mm along the neck and 2.0 of slant, 32.5 at
/// rest: 3 · 327 / 100 = 9. Finger 3 is a fret out: 8.
#[test]
fn a_stretch_is_charged_in_millimetres() {
    let wide = [held(1, &[(0, 4, 4, 3), (1, 3, 2, 2)])];
    assert_eq!(
        beyond_notes(score(&[&["F#3+A3/1"]]), &wide),
        [(0, Term::Extension, 8), (0, Term::Stretch, 9)]
    );
}

/// A held finger out of its fret is charged in every posture.
#[test]
fn extension_is_charged_while_it_lasts() {
    let music = score(&[&["A4/1"], &["r/2 E2/2"]]);
    let postures = [held(1, &[(0, 1, 5, 4)]), held(1, &[(0, 1, 5, 4), (1, 6, 0, 0)])];
    let items = beyond_notes(music, &postures);
    assert_eq!(items, [(0, Term::Extension, 8), (1, Term::Extension, 8)]);
}

/// 2 on ⑤3 in I leans towards 3 and 4, for 4, once; where 1 comes down under it, it is held
/// open, for 8. In a single line it is out of its fret.
#[test]
fn a_finger_that_opens_nothing_leans() {
    let music = score(&[&["D#4/4 E4/4 G#3/2"], &["C3/1"]]);
    let bass = (1, 5, 3, 2);
    let [first, open, opened] = [[(0, 2, 4, 4), bass], [bass, (2, 1, 0, 0)], [bass, (3, 3, 1, 1)]];
    let postures = [held(1, &first), held(1, &open), held(1, &opened)];
    let mut items = beyond_notes(music, &postures);
    items.retain(|(_, term, _)| *term != Term::Stretch);
    assert_eq!(items, [(0, Term::Lean, 4), (2, Term::Extension, 8)]);
    let lone = beyond_notes(score(&[&["C3/1"]]), &[held(1, &[(0, 5, 3, 2)])]);
    assert_eq!(lone, [(0, Term::Extension, 8)]);
    // A fret beyond finger 4.
    let far = [held(1, &[(0, 1, 0, 0), (1, 6, 5, 2)])];
    let far = beyond_notes(score(&[&["E4/1"], &["A2/1"]]), &far);
    assert_eq!(far, [(0, Term::Extension, 24)]);
}

/// An open string after a stopped one in IV or above, idle or not; not in III,
/// not in an inner voice.
#[test]
fn an_open_string_of_the_melody_stands_out_high_up() {
    let after = |bar: &str, position, fret| {
        let first = [(0, 1, fret, 1)];
        let postures = [held(position, &first), held(position, &[(1, 1, 0, 0)])];
        case(score(&[&[bar]]), &postures).cost_of(Term::ToneHigh)
    };
    assert_eq!(after("G#4/4 E4/4 r/2", 4, 4), 14);
    assert_eq!(after("G4/4 E4/4 r/2", 3, 3), 0);
    let inner = [held(5, &[(0, 2, 0, 0), (1, 1, 5, 1)])];
    assert_eq!(case(score(&[&["B3+A4/1"]]), &inner).cost_of(Term::ToneHigh), 0);
    let first = [held(0, &[(0, 1, 0, 0)])];
    assert_eq!(case(score(&[&["E4/1"]]), &first).cost_of(Term::ToneHigh), 0);
}

/// A quarter at 60 is a second, at 61 less.
#[test]
fn a_long_open_string_of_the_melody_is_charged() {
    let cost = |voices: &[&[&str]], tempo| {
        let postures = [held(0, &[(0, 1, 0, 0)])];
        case(score_at(voices, Some(tempo)), &postures).cost_of(Term::ToneLong)
    };
    assert_eq!(cost(&[&["E4/4 r/2."]], 60), 17);
    assert_eq!(cost(&[&["E4/4 r/2."]], 61), 0);
    // Tied over, it lasts as long as all of it.
    assert_eq!(cost(&[&["E4/4~ E4/8 r/8 r/2"]], 61), 17);
    assert_eq!(cost(&[&["r/1"], &["E4/1"]], 60), 0);
}

#[test]
fn cutting_a_value_short_costs_by_its_voice() {
    let two = |melody: &str, bass: &str| score(&[&[melody], &[bass]]);
    let bass = [held(0, &[(0, 2, 0, 0), (1, 6, 0, 0)]), held(1, &[(2, 2, 1, 1)])];
    let items = beyond_notes(two("B3/2 C4/2", "E2/1"), &bass);
    assert_eq!(items, [(1, Term::CutBass, 30)]);
    // The last quarter of the value: 30 · 15 / 100 = 4.
    let items = beyond_notes(two("B3/2. C4/4", "E2/1"), &bass);
    assert_eq!(items, [(1, Term::CutBass, 4)]);
    let melody = [held(0, &[(0, 2, 0, 0), (1, 6, 0, 0)]), held(0, &[(2, 5, 0, 0)])];
    let items = beyond_notes(two("B3/1", "E2/2 A2/2"), &melody);
    assert_eq!(items, [(1, Term::CutMelody, 60)]);
    let inner = [
        held(0, &[(0, 3, 0, 0), (1, 2, 0, 0), (2, 6, 0, 0)]),
        held(0, &[(1, 2, 0, 0), (3, 5, 0, 0)]),
    ];
    let items = beyond_notes(two("G3+B3/1", "E2/2 A2/2"), &inner);
    assert_eq!(items, [(1, Term::CutInner, 15)]);
}

/// C major broken over one shape: its tones are wanted until the last is over.
/// Let go after their written ends they cost `ring`, before them the cut too.
#[test]
fn the_tones_of_a_broken_chord_are_wanted_on() {
    let music = || score(&[&["C3/8 E3/8 G3/8 C4/8 r/2"]]);
    let shape: &[(u32, u8, u8, u8)] = &[(0, 5, 3, 3), (1, 4, 2, 2), (2, 3, 0, 0), (3, 2, 1, 1)];
    let whole: Vec<Held<'_>> = (1..=4).map(|count| held(1, &shape[..count])).collect();
    // 1 and 2 two strings apart, 1 and 3 three: 4.0 and 6.0 mm of slant.
    assert_eq!(beyond_notes(music(), &whole), [(3, Term::Stretch, 2)]);
    let line: Vec<Held<'_>> = (0..4).map(|tone| held(1, &shape[tone..=tone])).collect();
    let rings = [(1, Term::Ring, 12), (2, Term::Ring, 12), (3, Term::Ring, 12)];
    assert_eq!(beyond_notes(music(), &line), rings);
}

/// In quarter notes a broken chord is a line: nothing is wanted on.
#[test]
fn a_chord_broken_in_quarters_is_a_line() {
    let shape: &[(u32, u8, u8, u8)] = &[(0, 5, 3, 3), (1, 4, 2, 2), (2, 3, 0, 0), (3, 2, 1, 1)];
    let line: Vec<Held<'_>> = (0..4).map(|tone| held(1, &shape[tone..=tone])).collect();
    assert_eq!(beyond_notes(score(&[&["C3/4 E3/4 G3/4 C4/4"]]), &line), []);
}

/// A figure ends with its bar: what is broken in it is wanted up to the next
/// bar and no longer. B3 and the E4 after it are long open strings.
#[test]
fn a_figure_ends_at_the_barline() {
    let shape: &[(u32, u8, u8, u8)] = &[(0, 6, 0, 0), (1, 3, 0, 0), (2, 2, 0, 0)];
    let mut postures: Vec<Held<'_>> = (1..=3).map(|count| held(0, &shape[..count])).collect();
    postures.push(held(0, &[(3, 1, 0, 0)]));
    let score = score(&[&["E2/8 G3/8 B3/2.", "E4/1"]]);
    let case = Case::new(score, &postures, "pimm", &[quarters(4); 3])
        .costing(&[(Term::ToneLong, quarters(1), 17), (Term::ToneLong, quarters(4), 17)]);
    assert_eq!(case.violations(), []);
}
