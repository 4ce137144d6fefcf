//! Section 5: what shifts and hops are charged, at the usual prices. Without a mark a
//! quarter lasts 833 ms (hurry 1), an eighth 416 ms (2), a sixteenth 208 ms (3).

use apoyando_fingering::Term;

use super::kit::{Case, charged, hand};
use crate::grip::Posture;
use crate::question::Question;

use Term::{Ease, Hop, HopStay, LeadStay, Shift, Slide, Travel};

/// From I to VII: 32, and 179.7 mm at 2 for ten: 35; times the hurry.
#[test]
fn shifts_cost_by_the_way_and_the_hurry() {
    let case = Case::new(&["F4.q A4.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let way = [hand(&q, 0, "1-1-1", Some(1)), hand(&q, 1, "2-10-4", Some(7))];
    assert_eq!([charged(&q, &way, Shift), charged(&q, &way, Travel)], [32, 35]);
    assert_eq!(charged(&q, &way, Ease), 0);
    let fast = Case::new(&["F4.s A4.s"]);
    let problem = fast.problem();
    let q = Question::new(&problem);
    let way = [hand(&q, 0, "1-1-1", Some(1)), hand(&q, 1, "2-10-4", Some(7))];
    assert_eq!([charged(&q, &way, Shift), charged(&q, &way, Travel)], [96, 105]);
}

/// The time counts since a finger was last down: an eighth and an eighth are 833
/// ms, hurry 1. In the air nothing shifts.
#[test]
fn shifts_over_open_strings_have_more_time() {
    let case = Case::new(&["F4.e E4.e A4.e"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let way = [
        hand(&q, 0, "1-1-1", Some(1)),
        hand(&q, 1, "1-0-0", Some(1)),
        hand(&q, 2, "1-5-1", Some(5)),
    ];
    // A third off for the open string: 57 · 30 / 100 is 17.
    let shift = [charged(&q, &way, Shift), charged(&q, &way, Travel), charged(&q, &way, Ease)];
    assert_eq!(shift, [32, 25, -17]);
    assert_eq!(charged(&q, &way[..2], Shift), 0);
    let direct = [hand(&q, 0, "1-1-1", Some(1)), hand(&q, 1, "2-5-1", Some(5))];
    assert_eq!(charged(&q, &direct, Shift), 64);
}

/// The eases of a shift from I to V, worth 57.
#[test]
fn shifts_are_eased() {
    let ease = |voices: &[&str], sharps: i32, s: &str, n: &str| {
        let case = Case::new(voices).sharps(sharps);
        let problem = case.problem();
        let q = Question::new(&problem);
        charged(&q, &[hand(&q, 0, s, Some(1)), hand(&q, 1, n, Some(5))], Ease)
    };
    assert_eq!(ease(&["F4.q A4.q"], 0, "1-1-1", "1-5-1"), -17, "a guide: 30 %");
    assert_eq!(ease(&["F4.q A4.q"], 0, "1-1-1", "1-5-2"), 0);
    assert_eq!(ease(&["F4.q A4.h"], 0, "1-1-2", "1-5-2"), -17);
    assert_eq!(ease(&["G#4.q G#4.q"], 0, "1-4-4", "1-4-4"), -34, "a pivot, a tone repeated: 60 %");
    let by_another = ease(&["G#4.q F4.q", "r.q G#4.q"], 0, "1-4-4", "2-6-2 1-4-1");
    assert_eq!(by_another, -11, "a tone repeated: 20 %");
}

/// Rests, phrases, beats, repeated and leading tones, one by one and at most 80.
#[test]
fn music_eases_shifts() {
    let ease = |voices: &[&str], sharps: i32| {
        let case = Case::new(voices).sharps(sharps);
        let problem = case.problem();
        let q = Question::new(&problem);
        let first = &q.places[q.struck[0][0]];
        let on = |places: &[(u8, u8)], string: u8| {
            places.iter().find(|place| place.0 == string).map(|place| place.1).unwrap()
        };
        let last = q.layers() - 1;
        let s = format!("2-{}-1", on(first, 2));
        let n = format!("3-{}-2", on(&q.places[q.struck[last][0]], 3));
        charged(&q, &[hand(&q, 0, &s, Some(1)), hand(&q, last, &n, Some(5))], Ease)
    };
    assert_eq!(ease(&["C4.q D4.q"], 0), 0);
    assert_eq!(ease(&["C4.q r.q D4.q"], 0), -28, "a rest: 50 %");
    assert_eq!(ease(&["C4.q^ D4.q"], 0), -22, "a fermata: 40 %");
    assert_eq!(ease(&["C4.q | D4.q"], 0), -5, "a bar begins: 10 %");
    assert_eq!(ease(&["C4.q || | D4.q"], 0), -28, "and a double line: 50 %");
    assert_eq!(ease(&["C4.q C4.q"], 0), -11, "a tone repeated: 20 %");
    assert_eq!(ease(&["C4.q^ r.q || | D4.q"], 0), -45, "100 %, and at most 80");
    // B to C in C, and in A minor; B flat to B is none; C sharp to D in D.
    assert_eq!(ease(&["B#3.q C#4.q"], 7), 12, "dearer by a fifth, rounded up");
    assert_eq!(ease(&["C#4.q D4.q"], 2), 12);
    assert_eq!(ease(&["C#4.q D4.q"], -1), 12, "D minor");
    assert_eq!(ease(&["C#4.q D4.q"], 0), 0);
    assert_eq!(ease(&["C#4.q | D4.q"], 2), 6, "20 less 10");
    // A bass sounds up to the next note: no rest.
    let case = Case::new(&["C4.q r.q D4.q", "E2.h r.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let way = [hand(&q, 0, "6-0-0 2-1-1", Some(1)), hand(&q, 1, "3-7-2", Some(5))];
    assert_eq!(charged(&q, &way, Ease), 0);
}

/// The hand goes four frets up and comes back for nothing: 40 and 25 for the way.
#[test]
fn hops_cost_less_than_two_shifts() {
    let case = Case::new(&["C4.q C5.q B4.q C4.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let c = |layer| hand(&q, layer, "2-1-1", Some(1));
    let c5 = hand(&q, 1, "1-8-4", Some(1)).going(4);
    let b = |away| hand(&q, 2, "1-7-3", Some(1)).going(away);
    let term = |way: &[Posture], term: Term| charged(&q, way, term);
    assert_eq!(term(&[c(0), c5.clone()], Hop), 65);
    let stays = [c(0), c5.clone(), b(4)];
    assert_eq!([term(&stays, Hop), term(&stays, HopStay)], [0, 24]);
    // 3 at 7 in IV would be out a fret; the hand in V to IV: a hop of its own.
    let other = [c(0), c5, b(3)];
    assert_eq!([term(&other, Hop), term(&other, HopStay)], [59, 0]);
    let back = [stays[0].clone(), stays[1].clone(), stays[2].clone(), c(3)];
    assert_eq!([Hop, HopStay, Shift, Travel, Slide].map(|own| term(&back, own)), [0; 5]);
}

/// Ten where finger 1 plays above its own fret and the hand was there already: not where
/// the hand comes, nor in I.
#[test]
fn finger_1_may_meet_a_position_above_its_fret_but_not_stay() {
    let case = Case::new(&["D4.q F#4.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let lead = |from, text: &str, (to, away)| {
        let way = [hand(&q, 0, "2-3-2", Some(from)), hand(&q, 1, text, Some(to)).going(away)];
        charged(&q, &way, LeadStay)
    };
    assert_eq!(lead(2, "2-7-1", (6, 0)), 0, "the hand comes");
    assert_eq!(lead(2, "1-2-1", (2, 0)), 0, "its own fret");
    assert_eq!(lead(1, "1-2-1", (1, 0)), 0, "in I");
    assert_eq!(lead(2, "1-2-1", (1, 0)), 0);
    let case = Case::new(&["D4.q G4.q G4.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let g = |layer, position, away| hand(&q, layer, "1-3-1", Some(position)).going(away);
    let d = hand(&q, 0, "2-3-2", Some(2));
    assert_eq!(charged(&q, &[d.clone(), g(1, 2, 0)], LeadStay), 10);
    assert_eq!(charged(&q, &[d.clone(), g(1, 2, 0), g(2, 2, 0)], LeadStay), 10, "once more");
    // A hand that hops to III has its own fret there; in the air it has no position.
    let case = Case::new(&["E4.q G4.q A4.q A4.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let open = hand(&q, 0, "1-0-0", None);
    assert_eq!(charged(&q, &[open.clone(), g_at(&q, 1)], LeadStay), 0);
    let hop = |layer| hand(&q, layer, "1-5-1", Some(2)).going(2);
    let hops = [open, g_at(&q, 1), hop(2), hop(3)];
    assert_eq!(charged(&q, &hops[..3], LeadStay), 0, "the place is another");
    assert_eq!(charged(&q, &hops, LeadStay), 10);
}

fn g_at(q: &Question<'_>, layer: usize) -> Posture {
    hand(q, layer, "1-3-1", Some(2))
}
