//! Section 5 of the model, worked out on paper for the smallest music that
//! shows each term. On a string of 650 mm: x(1) = 36.5 mm, x(2) = 70.9,
//! x(3) = 103.4, x(4) = 134.1, x(5) = 163.0 (rule of twelfth roots).

use apoyando_fingering::{Price, Term};
use apoyando_music::Score;
use apoyando_verify::{Fault, Violation};

use crate::kit::{Case, Held, barre, full_barre, held, quarters, score, score_at, tune};

/// The effort of every layer and term, as the checker asks for it.
fn bill(score: Score, postures: &[Held<'_>]) -> Vec<(usize, Term, i64)> {
    let case = Case::new(score, postures, "", &[]);
    let item = |violation: Violation| match (violation.spot, violation.fault) {
        (Some(spot), Fault::Item { term, wanted, .. }) => Some((spot.layer, term, wanted)),
        _ => None,
    };
    let items: Vec<_> = case.violations().into_iter().filter_map(item).collect();
    let effort: i64 = items.iter().map(|(.., amount)| amount).sum();
    assert_eq!(case.price().unwrap().effort, effort as u64);
    items
}

/// The same without `stop`, `finger_3`, `finger_4`, `height` and `contraction`.
fn beyond_stopping(score: Score, postures: &[Held<'_>]) -> Vec<(usize, Term, i64)> {
    let stopping = [Term::Stop, Term::Finger3, Term::Finger4, Term::Height, Term::Contraction];
    let mut items = bill(score, postures);
    items.retain(|(_, term, _)| !stopping.contains(term));
    items
}

#[test]
fn whole_fingerings_cost_what_they_cost_on_paper() {
    let price = |effort| Ok(Price { escapes: 0, broken: 0, effort });
    assert_eq!(tune().price(), price(16));
    assert_eq!(full_barre().price(), price(30));
}

#[test]
fn a_sound_left_out_is_an_escape() {
    let postures = [held(0, &[(0, 1, 0, 0)]), held(0, &[])];
    let case = Case::new(score(&[&["E4/2 D4/2"]]), &postures, "i", &[]);
    assert_eq!(case.price(), Ok(Price { escapes: 1, broken: 0, effort: 0 }));
}

#[test]
fn height_grows_with_the_position() {
    let items = bill(score(&[&["B4/1"]]), &[held(7, &[(0, 1, 7, 1)])]);
    assert_eq!(items, [(0, Term::Stop, 2), (0, Term::Height, 11)]);
}

/// From G4 by 3 in I to A4 by 3 in III: 66.9 mm, a guide finger.
#[test]
fn a_shift_costs_its_way_and_a_guide_eases_it() {
    let postures = || [held(1, &[(0, 1, 3, 3)]), held(3, &[(1, 1, 5, 3)])];
    let slow = beyond_stopping(score(&[&["G4/4 A4/4 r/2"]]), &postures());
    assert_eq!(slow, [(1, Term::Shift, 8), (1, Term::Travel, 6), (1, Term::Ease, -5)]);
    // A sixteenth at 120 is 125 ms: four times the hurry. 56 · 40 / 100 = 22.4.
    let fast = score_at(&[&["G4/16 A4/16 r/8 r/4 r/2"]], Some(120));
    let fast = beyond_stopping(fast, &postures());
    assert_eq!(fast, [(1, Term::Shift, 32), (1, Term::Travel, 24), (1, Term::Ease, -22)]);
}

/// 150, 300 and 600 ms are the bounds: a quarter at 100 is 600 ms, at 101 less.
#[test]
fn hurry_has_its_bounds() {
    let hurry = |bar: &str, tempo| {
        let postures = [held(1, &[(0, 1, 3, 3)]), held(3, &[(1, 1, 5, 3)])];
        beyond_stopping(score_at(&[&[bar]], Some(tempo)), &postures)[0].2 / 8
    };
    let (quarter, sixteenth) = ("G4/4 A4/4 r/2", "G4/16 A4/16 r/8 r/4 r/2");
    assert_eq!(hurry(quarter, 100), 1);
    assert_eq!(hurry(quarter, 101), 2);
    assert_eq!(hurry(quarter, 200), 2);
    assert_eq!(hurry(quarter, 201), 3);
    assert_eq!(hurry(sixteenth, 100), 3);
    assert_eq!(hurry(sixteenth, 101), 4);
}

/// Two eighths at 72 are 833 ms since the last stopped note: no hurry, though
/// each is in one.
#[test]
fn a_shift_over_an_open_string_has_all_the_time_since_the_last_stop() {
    let postures = [held(1, &[(0, 1, 3, 3)]), held(1, &[(1, 1, 0, 0)]), held(3, &[(2, 1, 5, 3)])];
    let items = beyond_stopping(score(&[&["G4/8 E4/8 A4/4 r/2"]]), &postures);
    assert_eq!(items, [(2, Term::Shift, 8), (2, Term::Travel, 6), (2, Term::Ease, -7)]);
}

/// 1 stays on ②5 while the hand goes from V to IV; a rest eases more.
#[test]
fn a_pivot_and_a_rest_ease_a_shift() {
    let postures = || [held(5, &[(0, 2, 5, 1)]), held(4, &[(1, 2, 5, 1)])];
    let items = beyond_stopping(score(&[&["E4/4 E4/4 r/2"]]), &postures());
    assert_eq!(items, [(1, Term::Shift, 8), (1, Term::Travel, 2), (1, Term::Ease, -4)]);
    let items = beyond_stopping(score(&[&["E4/4 r/4 E4/2"]]), &postures());
    assert_eq!(items, [(1, Term::Shift, 8), (1, Term::Travel, 2), (1, Term::Ease, -5)]);
}

#[test]
fn a_finger_that_jumps_strings_is_charged_and_a_barre_is_not() {
    let music = || score(&[&["C4/4 F4/4 r/2"]]);
    let jump = beyond_stopping(music(), &[held(1, &[(0, 2, 1, 1)]), held(1, &[(1, 1, 1, 1)])]);
    assert_eq!(jump, [(1, Term::Jump, 3)]);
    let laid = [held(1, &[(0, 2, 1, 1)]).with(barre(1, 1, 2)), held(1, &[(1, 1, 1, 1)])];
    assert_eq!(beyond_stopping(music(), &laid), [(0, Term::BarreHold, 4)]);
}

#[test]
fn laying_a_barre_costs_its_new_strings() {
    let music = score(&[&["C4/4 F4+C4/4 F4+C4+G#3/2"]]);
    let postures = [
        held(1, &[(0, 2, 1, 1)]),
        held(1, &[(1, 2, 1, 1), (2, 1, 1, 1)]).with(barre(1, 1, 2)),
        held(1, &[(3, 3, 1, 1), (4, 2, 1, 1), (5, 1, 1, 1)]).with(barre(1, 1, 3)),
    ];
    assert_eq!(
        beyond_stopping(music, &postures),
        [
            (1, Term::BarreHold, 4),
            (1, Term::BarreLay, 12),
            (2, Term::BarreHold, 6),
            (2, Term::BarreLay, 6),
        ]
    );
}

#[test]
fn sliding_replacing_and_weak_pairs_are_charged() {
    let slide = [held(1, &[(0, 2, 1, 1)]), held(1, &[(1, 2, 2, 1)])];
    let items = beyond_stopping(score(&[&["C4/4 C#4/4 r/2"]]), &slide);
    assert_eq!(items, [(1, Term::Slide, 4)]);
    let replace = [held(1, &[(0, 2, 1, 1)]), held(1, &[(1, 2, 1, 2)])];
    let items = beyond_stopping(score(&[&["C4/4 C4/4 r/2"]]), &replace);
    assert_eq!(items, [(1, Term::Replace, 6)]);
    let weak = [held(1, &[(0, 2, 3, 3)]), held(1, &[(1, 2, 4, 4)])];
    let items = beyond_stopping(score(&[&["D4/4 D#4/4 r/2"]]), &weak);
    assert_eq!(items, [(1, Term::WeakPair, 1)]);
    // Eighths at 72 last 416 ms: twice the price.
    let items = beyond_stopping(score(&[&["D4/8 D#4/8 r/4 r/2"]]), &weak);
    assert_eq!(items, [(1, Term::WeakPair, 2)]);
}

#[test]
fn a_lower_finger_on_the_thinner_string_of_a_fret_is_crossed() {
    let crossed = [held(1, &[(0, 4, 2, 3), (1, 3, 2, 2)])];
    assert_eq!(beyond_stopping(score(&[&["A3+E3/1"]]), &crossed), [(0, Term::Crossed, 4)]);
}

/// 2 on ③2 and 3 on ④4 in I: 63.2 mm along the neck and 2.0 of slant, 32.5 at
/// rest: 3 · 327 / 100 = 9. Finger 3 is a fret out: 8.
#[test]
fn a_stretch_is_charged_in_millimetres() {
    let wide = [held(1, &[(0, 4, 4, 3), (1, 3, 2, 2)])];
    assert_eq!(
        beyond_stopping(score(&[&["F#3+A3/1"]]), &wide),
        [(0, Term::Extension, 8), (0, Term::Stretch, 9)]
    );
}

/// A held finger out of its fret is charged in every posture.
#[test]
fn extension_is_charged_while_it_lasts() {
    let music = score(&[&["A4/1"], &["r/2 E2/2"]]);
    let postures = [held(1, &[(0, 1, 5, 4)]), held(1, &[(0, 1, 5, 4), (1, 6, 0, 0)])];
    let items = beyond_stopping(music, &postures);
    assert_eq!(items, [(0, Term::Extension, 8), (1, Term::Extension, 8)]);
}

#[test]
fn cutting_a_value_short_costs_by_its_voice() {
    let two = |melody: &str, bass: &str| score(&[&[melody], &[bass]]);
    let bass = [held(0, &[(0, 2, 0, 0), (1, 6, 0, 0)]), held(1, &[(2, 2, 1, 1)])];
    let items = beyond_stopping(two("B3/2 C4/2", "E2/1"), &bass);
    assert_eq!(items, [(1, Term::CutBass, 30)]);
    // The last quarter of the value: 30 · 15 / 100 = 4.
    let items = beyond_stopping(two("B3/2. C4/4", "E2/1"), &bass);
    assert_eq!(items, [(1, Term::CutBass, 4)]);
    let melody = [held(0, &[(0, 2, 0, 0), (1, 6, 0, 0)]), held(0, &[(2, 5, 0, 0)])];
    let items = beyond_stopping(two("B3/1", "E2/2 A2/2"), &melody);
    assert_eq!(items, [(1, Term::CutMelody, 60)]);
    let inner = [
        held(0, &[(0, 3, 0, 0), (1, 2, 0, 0), (2, 6, 0, 0)]),
        held(0, &[(1, 2, 0, 0), (3, 5, 0, 0)]),
    ];
    let items = beyond_stopping(two("G3+B3/1", "E2/2 A2/2"), &inner);
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
    assert_eq!(beyond_stopping(music(), &whole), [(3, Term::Stretch, 2)]);
    let line: Vec<Held<'_>> = (0..4).map(|tone| held(1, &shape[tone..=tone])).collect();
    let rings = [(1, Term::Ring, 12), (2, Term::Ring, 12), (3, Term::Ring, 12)];
    assert_eq!(beyond_stopping(music(), &line), rings);
}

/// In quarter notes a broken chord is a line: nothing is wanted on.
#[test]
fn a_chord_broken_in_quarters_is_a_line() {
    let shape: &[(u32, u8, u8, u8)] = &[(0, 5, 3, 3), (1, 4, 2, 2), (2, 3, 0, 0), (3, 2, 1, 1)];
    let line: Vec<Held<'_>> = (0..4).map(|tone| held(1, &shape[tone..=tone])).collect();
    assert_eq!(beyond_stopping(score(&[&["C3/4 E3/4 G3/4 C4/4"]]), &line), []);
}

/// A figure ends with its bar: what is broken in it is wanted up to the next
/// bar and no longer.
#[test]
fn a_figure_ends_at_the_barline() {
    let shape: &[(u32, u8, u8, u8)] = &[(0, 6, 0, 0), (1, 3, 0, 0), (2, 2, 0, 0)];
    let mut postures: Vec<Held<'_>> = (1..=3).map(|count| held(0, &shape[..count])).collect();
    postures.push(held(0, &[(3, 1, 0, 0)]));
    let score = score(&[&["E2/8 G3/8 B3/2.", "E4/1"]]);
    let case = Case::new(score, &postures, "pimm", &[quarters(4); 3]);
    assert_eq!(case.violations(), []);
}
