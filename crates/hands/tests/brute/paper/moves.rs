//! Section 5: what a move is charged, at the usual prices. Without a mark a
//! quarter lasts 833 ms (hurry 1), an eighth 416 ms (2), a sixteenth 208 ms (3).

use apoyando_fingering::{Hinge, Term};

use super::kit::{Case, charged, hand, moved};
use crate::grip::Posture;
use crate::question::Question;
use crate::whole::items;

use Term::{
    BarreHold, BarreLay, Crossed, Crowd, CutBass, CutInner, CutMelody, Ease, Exchange, Hop,
    HopStay, Jump, JumpBass, Land, LeadStay, Leap, Replace, Ring, Shift, Slide, Travel, Twice,
    WeakPair,
};

/// Eight for each string beyond the first, for each where finger 1 already was
/// none of them; twice while others hold.
#[test]
fn laying_a_barre_costs_by_the_string() {
    let case = Case::new(&["F3+C4+F4.q F3+C4+F4.q", "r.q F2.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let lay = |s: Posture, n: Posture| charged(&q, &[s, n], BarreLay);
    let full = || hand(&q, 1, "6-1-1 4-3-3 2-1-1 1-1-1", Some(1)).laid(1, 6);
    let small = |text: &str| hand(&q, 0, text, Some(1));
    assert_eq!(lay(small("x x x"), full()), 40);
    assert_eq!(lay(small("x x 1-1-1"), full()), 40, "five more");
    assert_eq!(lay(small("x x x").staying(1, 1, 1), full()), 40);
    assert_eq!(lay(small("4-3-3 2-1-1 1-1-1").laid(1, 2), full()), 32);
    assert_eq!(lay(small("4-3-3 2-1-1 1-1-1").laid(1, 6), full()), 0);
    let higher = hand(&q, 0, "x x 1-1-1", Some(1));
    assert_eq!(lay(higher, hand(&q, 1, "x 4-3-1 x x", Some(3)).laid(3, 4)), 8);
    let held = Case::new(&["D4.h", "r.q C3+F3.q"]);
    let problem = held.problem();
    let q = Question::new(&problem);
    let before = hand(&q, 0, "2-3-4", Some(1));
    let barre = |kept: &str| hand(&q, 1, &format!("5-3-1 4-3-1{kept}"), Some(3)).laid(4, 5);
    assert_eq!(charged(&q, &[before.clone(), barre(" | 0=2-3-4")], BarreLay), 16);
    assert_eq!(charged(&q, &[before, barre("")], BarreLay), 8);
}

/// From the air at the beginning and after a cut: eight for each string of the span
/// beyond the first, the lifted part among them, and once beside other fingers.
#[test]
fn a_barre_is_laid_where_the_hand_begins() {
    let case = Case::new(&["|: E3+A3+C#4+E4.q F#4.q | [1 E3+A3+C#4+F#4.q :| | [2 C#4+F#4.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let first = |hand: Posture| items(&q, &[hand]).get(&(0, BarreLay)).copied().unwrap_or(0);
    let chord = || hand(&q, 0, "4-2-1 3-2-1 2-2-1 1-0-0", Some(2));
    assert_eq!(first(chord().laid(2, 4)), 16);
    assert_eq!(first(chord().hinged(1, 4, Some(Hinge::Thin))), 24);
    assert_eq!(first(hand(&q, 0, "4-2-1 3-2-2 2-2-3 1-0-0", Some(2))), 0);
    // Lying on from layer to layer it is laid once, but for the cut.
    let way = [
        chord().hinged(1, 4, Some(Hinge::Thin)),
        hand(&q, 1, "1-2-1", Some(2)).laid(1, 4),
        hand(&q, 2, "4-2-1 3-2-1 2-2-1 1-2-1", Some(2)).laid(1, 4),
        hand(&q, 3, "2-2-1 1-2-1", Some(2)).laid(1, 2),
    ];
    let laid: Vec<(usize, i64)> = items(&q, &way)
        .into_iter()
        .filter(|((_, term), _)| *term == BarreLay)
        .map(|((layer, _), amount)| (layer, amount))
        .collect();
    assert_eq!(laid, [(0, 24), (3, 8)]);
    // F chord with 2 3 4 beside the full barre: 40 and not 80.
    let case = Case::new(&["F2+C3+F3+A3+C4+F4.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let full = hand(&q, 0, "6-1-1 5-3-3 4-3-4 3-2-2 2-1-1 1-1-1", Some(1)).laid(1, 6);
    assert_eq!(items(&q, &[full]).get(&(0, BarreLay)), Some(&40));
}

/// Four for each string beyond the first: nothing while it lies on, one string more
/// where it gets wider, and all of it in the next bar.
#[test]
fn a_barre_is_paid_for_once_a_bar() {
    let case = Case::new(&["C4+F4.q C4+F4.q G#3+C4+F4.q C4+F4.q | C4+F4.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let two = |layer| hand(&q, layer, "2-1-1 1-1-1", Some(1)).laid(1, 2);
    let three = hand(&q, 2, "3-1-1 2-1-1 1-1-1", Some(1)).laid(1, 3);
    let held: Vec<(usize, i64)> = items(&q, &[two(0), two(1), three, two(3), two(4)])
        .into_iter()
        .filter(|((_, term), _)| *term == BarreHold)
        .map(|((layer, _), amount)| (layer, amount))
        .collect();
    assert_eq!(held, [(0, 4), (2, 4), (4, 4)]);
}

/// C4 sounds on under finger 1, which is laid flat for F4: a string and one more.
#[test]
fn a_fingertip_is_laid_flat() {
    let case = Case::new(&["r.q F4.q", "C4.h"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let tip = || hand(&q, 0, "2-1-1", Some(1));
    let flat = || hand(&q, 1, "1-1-1 | 0=2-1-1", Some(1)).laid(1, 2);
    assert_eq!(charged(&q, &[tip(), flat()], BarreLay), 16);
    assert_eq!(charged(&q, &[tip().laid(1, 2), flat()], BarreLay), 0);
    let again = Case::new(&["C4.q C4+F4.q"]);
    let problem = again.problem();
    let q = Question::new(&problem);
    let struck = hand(&q, 1, "2-1-1 1-1-1", Some(1)).laid(1, 2);
    assert_eq!(charged(&q, &[hand(&q, 0, "2-1-1", Some(1)), struck], BarreLay), 8);
}

/// What is struck again while its fingers lie does not crowd anew.
#[test]
fn fingers_come_to_one_fret_once() {
    let case = Case::new(&["E3+A3.q E3+A3.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let chord = |layer, text: &str| hand(&q, layer, text, Some(1));
    let (usual, turned) = ("4-2-1 3-2-2", "4-2-2 3-2-1");
    let crowd = |from: &str, to: &str| {
        let way = [chord(0, from), chord(1, to)];
        (charged(&q, &way, Crowd), charged(&q, &way, Crossed))
    };
    assert_eq!(crowd(usual, usual), (0, 0));
    assert_eq!(crowd(turned, turned), (0, 0));
    assert_eq!(crowd(usual, turned), (3, 8));
    assert_eq!(crowd("4-2-1 3-2-3", usual), (3, 0));
}

/// 2 waits on ③2 while 3 comes to ④2, and is crossed when it strikes, whether it stayed or
/// not; the crowd is charged only if it comes.
#[test]
fn a_finger_that_stayed_is_crossed_when_it_strikes() {
    let case = Case::new(&["A3.q B3.q A3.q", "r.q E3.h"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let pairs = |stays: bool, low: u8, high: u8| {
        let between = hand(&q, 1, &format!("4-2-{low} 2-0-0"), Some(1));
        let between = if stays { between.staying(high, 3, 2) } else { between };
        let strikes = hand(&q, 2, &format!("3-2-{high} | 1=4-2-{low}"), Some(1));
        let way = [hand(&q, 0, &format!("3-2-{high}"), Some(1)), between, strikes];
        let items = items(&q, &way);
        let charged = |layer, term| items.get(&(layer, term)).copied().unwrap_or(0);
        [1, 2].map(|layer| (charged(layer, Crossed), charged(layer, Crowd)))
    };
    assert_eq!(pairs(true, 3, 2), [(0, 0), (8, 0)]);
    assert_eq!(pairs(false, 3, 2), [(0, 0), (8, 3)]);
    assert_eq!(pairs(true, 2, 3), [(0, 0), (0, 0)]);
}

/// A3 and E3 running, and F♯4 and D4: the second finger passes the first, by a
/// string.
#[test]
fn fingers_pass_one_another_in_a_melody() {
    let passed = |notes: &str, first: &str, second: (&str, u8)| {
        let case = Case::new(&[notes]);
        let problem = case.problem();
        let q = Question::new(&problem);
        let way = [hand(&q, 0, first, Some(2)), hand(&q, 1, second.0, Some(second.1))];
        charged(&q, &way, Crossed)
    };
    assert_eq!(passed("A3.q E3.q", "3-2-1", ("4-2-2", 2)), 8);
    assert_eq!(passed("A3.q E3.q", "3-2-2", ("4-2-1", 2)), 0);
    assert_eq!(passed("F#4.q D4.q", "1-2-3", ("2-3-2", 2)), 8);
    assert_eq!(passed("F#4.q D4.q", "1-2-1", ("2-3-2", 2)), 0);
    assert_eq!(passed("F#4.q D4.q", "1-2-3", ("2-3-2", 1)), 0, "the hand shifts");
    assert_eq!(passed("F#4.q r.q D4.q", "1-2-3", ("2-3-2", 2)), 0, "a rest");
}

#[test]
fn a_hinge_turns() {
    let case = Case::new(&["E3+A3+C#4+E4.q E3+A3+C#4+F#4.q E3+A3+C#4+E4.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let open = |layer| {
        let hand = hand(&q, layer, "4-2-1 3-2-1 2-2-1 1-0-0", Some(2));
        hand.hinged(1, 4, Some(Hinge::Thin))
    };
    let laid = |layer| hand(&q, layer, "4-2-1 3-2-1 2-2-1 1-2-1", Some(2)).laid(1, 4);
    // A fourth string is laid besides.
    assert_eq!(moved(&q, &[open(0), laid(1)]), [(BarreHold, 4), (Term::Hinge, 6)]);
    assert_eq!(moved(&q, &[open(0), laid(1), open(2)]), [(Term::Hinge, 6)]);
    assert_eq!(moved(&q, &[laid(0), laid(1)]), []);
}

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

/// A finger lands where it was on none of the strings, down or staying; from
/// another string it jumps.
#[test]
fn fingers_land_and_jump() {
    let case = Case::new(&["F4.e C4.e"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let f = || hand(&q, 0, "1-1-1", Some(1));
    let to = |s: Posture, text: &str| moved(&q, &[s, hand(&q, 1, text, Some(1))]);
    assert_eq!(to(f(), "2-1-1"), [(Land, 2), (Jump, 4), (Twice, 16)]);
    // 2 on the thicker string passes 1.
    assert_eq!(to(f(), "2-1-2"), [(Crossed, 8), (Land, 2)]);
    assert_eq!(to(f().staying(2, 2, 1), "2-1-2"), [(Crossed, 8)]);
    let jumps = to(f().staying(2, 3, 1), "2-1-2");
    assert_eq!(jumps, [(Crossed, 8), (Land, 2)], "staying it does not jump");
    let idle = hand(&q, 0, "1-1-1", Some(1));
    assert_eq!(to(idle, "x"), []);
    // A barre at that fret over both strings: it lies there, and does not jump.
    assert_eq!(to(f().laid(1, 2), "2-1-1"), []);
    let n = hand(&q, 1, "2-1-1", Some(1)).laid(1, 2);
    assert_eq!(
        moved(&q, &[f(), n]),
        [(Land, 2), (BarreLay, 8), (BarreHold, 4)].into_iter().rev().collect::<Vec<_>>()
    );
}

/// ④1 is beyond the barre over ① and ②.
#[test]
fn a_barre_spares_a_jump_only_in_its_span() {
    let case = Case::new(&["C4+F4.e D#3.e"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let barre = hand(&q, 0, "2-1-1 1-1-1", Some(1)).laid(1, 2);
    let way = [barre, hand(&q, 1, "4-1-1", Some(1))];
    assert_eq!(moved(&q, &way), [(Land, 2), (Jump, 4), (Twice, 16)]);
}

/// In chords of three nobody counts landings and jumps; a sound left out is
/// struck there all the same.
#[test]
fn chords_are_not_landed_in() {
    let case = Case::new(&["F4.e E3+A3+C4.e"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let f = hand(&q, 0, "1-1-1", Some(1));
    let moved = |text: &str| moved(&q, &[f.clone(), hand(&q, 1, text, Some(1))]);
    assert_eq!(moved("4-2-2 3-2-3 2-1-1"), [(Crowd, 3)]);
    assert_eq!(moved("x x 2-1-1"), []);
}

/// F, an open string, C: finger 1 leaps over an eighth; 833 ms are too long.
#[test]
fn fingers_leap_over_a_short_note() {
    let leap = |line: &str, middle: &str, last: &str| {
        let case = Case::new(&[line]);
        let problem = case.problem();
        let q = Question::new(&problem);
        let idle = (middle == "1-0-0").then_some(1);
        let way = [
            hand(&q, 0, "1-1-1", Some(1)),
            hand(&q, 1, middle, idle.or(Some(1))),
            hand(&q, 2, last, Some(1)),
        ];
        charged(&q, &way, Leap)
    };
    assert_eq!(leap("F4.s E4.s C4.s", "1-0-0", "2-1-1"), 2, "416 ms: 2 · (2 − 1)");
    assert_eq!(leap("F4.e E4.e C4.e", "1-0-0", "2-1-1"), 0);
    assert_eq!(leap("F4.s E4.s F4.s", "1-0-0", "1-1-1"), 0, "on its string");
    assert_eq!(leap("F4.s E4.s C4.s", "1-0-0", "2-1-2"), 0, "another finger");
    assert_eq!(leap("F4.s C4.s G#3.s", "2-1-1", "3-1-1"), 0, "it is down between");
    assert_eq!(leap("F4.s E4.s C4.s", "2-5-4", "2-1-1"), 2);
    // Into a chord of three and from a chord nothing leaps.
    let case = Case::new(&["F4.s E4.s E3+A3+C4.s"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let chord = hand(&q, 2, "4-2-2 3-2-3 2-1-1", Some(1));
    let way = [hand(&q, 0, "1-1-1", Some(1)), hand(&q, 1, "1-0-0", Some(1)), chord];
    assert_eq!(charged(&q, &way, Leap), 0);
    let case = Case::new(&["C4+F4.s E4.s G#3.s"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let way = [
        hand(&q, 0, "2-1-2 1-1-1", Some(1)),
        hand(&q, 1, "1-0-0", Some(1)),
        hand(&q, 2, "3-1-1", Some(1)),
    ];
    assert_eq!(charged(&q, &way, Leap), 0);
}

/// C4 on ② by 1, an open string, C4 again: eight by any other finger on its string, up to
/// four onsets and 3 s on. Not on another string, in a broken chord, by a finger that slides
/// there, nor if finger 1 has been elsewhere or is still there; a note that is struck
/// between comes again from there.
#[test]
fn fingers_are_exchanged_on_a_note_that_comes_again() {
    let exchanged = |line: &str, hands: &[(&str, u8)]| {
        let case = Case::new(&[line]);
        let problem = case.problem();
        let q = Question::new(&problem);
        let way: Vec<Posture> = hands
            .iter()
            .enumerate()
            .map(|(layer, (text, position))| hand(&q, layer, text, Some(*position)))
            .collect();
        charged(&q, &way, Exchange)
    };
    let (one, two, open) = (("2-1-1", 1), ("2-1-2", 1), ("1-0-0", 1));
    assert_eq!(exchanged("C4.q E4.q C4.q", &[one, open, two]), 8);
    assert_eq!(exchanged("C4.q E4.q C4.q", &[one, open, one]), 0);
    assert_eq!(exchanged("C4.q E4.q C4.q", &[one, open, ("3-5-4", 2)]), 0, "on another string");
    assert_eq!(exchanged("C4.q G#3.q C4.q", &[one, ("3-1-1", 1), two]), 0, "it was elsewhere");
    assert_eq!(exchanged("C4.q C#4.q C4.q", &[one, ("2-2-2", 1), two]), 0, "it slides there");
    // A G E is a chord, which is taken as its shape wants it.
    let chord = [("3-2-2", 1), ("3-0-0", 1), open, ("3-2-3", 1)];
    assert_eq!(exchanged("A3.e G3.e E4.e A3.e", &chord), 8);
    let chord = [("3-2-2", 1), ("2-1-1", 1), open, ("3-2-3", 1)];
    assert_eq!(exchanged("A3.e C4.e E4.e A3.e", &chord), 0);
    assert_eq!(exchanged("C4.q G3.q E4.q C4.q", &[one, ("3-0-0", 1), open, two]), 8);
    let more = |last| [one, ("3-0-0", 1), open, ("4-0-0", 1), last];
    assert_eq!(exchanged("C4.e G3.e E4.e D3.e C4.e", &more(two)), 8);
    assert_eq!(exchanged("C4.q G3.q E4.q D3.q C4.q", &more(two)), 0, "after 3333 ms");
    let line = "C4.q E4.q C4.q E4.q C4.q";
    assert_eq!(exchanged(line, &[one, open, two, open, two]), 0, "from the last time");
    assert_eq!(exchanged(line, &[two, open, one, open, two]), 8);
}

/// Five more, times the hurry, where the finger that jumps plays the bass; not into a chord
/// of three, nor for a finger of the melody.
#[test]
fn the_bass_goes_from_finger_to_finger() {
    let case = Case::new(&["G4.e G4.e G3+G4.e", "B2.e E3.e B2.e"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let low = |text: &str| {
        let way = [hand(&q, 0, "5-2-2 1-3-4", Some(1)), hand(&q, 1, text, Some(1))];
        [Jump, JumpBass].map(|term| charged(&q, &way, term))
    };
    assert_eq!(low("4-2-2 1-3-4"), [4, 10]);
    assert_eq!(low("4-2-3 1-3-4"), [0, 0]);
    assert_eq!(low("4-2-4 1-3-3"), [4, 10], "from the melody");
    let chord = [
        hand(&q, 0, "5-2-2 1-3-4", Some(1)),
        hand(&q, 1, "4-2-2 1-3-4", Some(1)),
        hand(&q, 2, "5-2-2 3-0-0 1-3-4", Some(1)),
    ];
    assert_eq!([Jump, JumpBass].map(|term| charged(&q, &chord, term)), [0, 0]);
    let case = Case::new(&["F4.e C4.e"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let way = [hand(&q, 0, "1-1-1", Some(1)), hand(&q, 1, "2-1-1", Some(1))];
    assert_eq!([Jump, JumpBass].map(|term| charged(&q, &way, term)), [4, 0]);
}

/// Eight a slide, times the hurry; not with the whole hand, nor from one string
/// to another.
#[test]
fn fingers_slide_on_their_string() {
    let case = Case::new(&["F4.e F#4.e"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let slide = |from, to, away| {
        let n = hand(&q, 1, "1-2-1", Some(to)).going(away);
        charged(&q, &[hand(&q, 0, "1-1-1", Some(from)), n], Slide)
    };
    assert_eq!(slide(1, 1, 0), 16);
    assert_eq!(slide(1, 2, 0), 0, "a shift");
    assert_eq!(slide(1, 1, 2), 0, "the place of the hand is another");
    let other = hand(&q, 1, "2-7-1", Some(1));
    assert_eq!(charged(&q, &[hand(&q, 0, "1-1-1", Some(1)), other], Slide), 0);
    // A glissando is meant to slide.
    let case = Case::new(&["F4.e< F#4.e>"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let way = [hand(&q, 0, "1-1-1", Some(1)), hand(&q, 1, "1-2-1", Some(1))];
    assert_eq!(moved(&q, &way), []);
}

/// Twelve for a place that another finger takes over; two where 3 and 4 follow
/// one another alone.
#[test]
fn fingers_replace_and_alternate() {
    let case = Case::new(&["G4.e G4.e"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let from = |s: &str, n: &str| {
        let way = [hand(&q, 0, s, Some(1)), hand(&q, 1, n, Some(1))];
        [Replace, WeakPair].map(|term| charged(&q, &way, term))
    };
    assert_eq!(from("1-3-3", "1-3-3"), [0, 0]);
    assert_eq!(from("1-3-3", "1-3-4"), [24, 4]);
    assert_eq!(from("1-3-2", "1-3-4"), [24, 0]);
    assert_eq!(from("2-8-3", "1-3-4"), [0, 4]);
    // What an ornament bound is replaced as well.
    let case = Case::new(&["F4.et G4.e"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let bound = hand(&q, 0, "1-1-1", Some(1)).binding(&q, 3, 1, 3);
    let way = [bound, hand(&q, 1, "1-3-4", Some(1))];
    assert_eq!([Replace, WeakPair].map(|term| charged(&q, &way, term)), [24, 0]);
    // Two sounds are no alternation, though one of them is left out.
    let case = Case::new(&["G4.q D4+G4.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let weak =
        |n: &str| charged(&q, &[hand(&q, 0, "1-3-3", Some(1)), hand(&q, 1, n, Some(1))], WeakPair);
    assert_eq!([weak("2-3-4 1-3-3"), weak("2-3-4 x"), weak("x 1-3-4")], [0, 2, 2]);
}

/// Eight more where the hand stays and no chord is struck, a bass that lies there among
/// them, whatever the hurry.
#[test]
fn what_lies_where_it_is_struck_again_keeps_its_finger() {
    let case = Case::new(&["E4.q D4.q D4+G4.q", "C3.h C3.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let first = hand(&q, 0, "5-3-2 1-0-0", Some(1));
    let kept = hand(&q, 1, "2-3-3 | 0=5-3-2", Some(1));
    let bass = |finger: u8, position| {
        let n = hand(&q, 2, &format!("5-3-{finger} 2-3-4 1-3-4"), Some(position));
        charged(&q, &[first.clone(), kept.clone(), n], Exchange)
    };
    assert_eq!(bass(3, 1), 0, "a chord of three");
    let case = Case::new(&["E4.q D4.q D4.q", "C3.h C3.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let first = hand(&q, 0, "5-3-2 1-0-0", Some(1));
    let kept = hand(&q, 1, "2-3-3 | 0=5-3-2", Some(1));
    let bass = |text: &str, position| {
        let way = [first.clone(), kept.clone(), hand(&q, 2, text, Some(position))];
        [Exchange, Replace].map(|term| charged(&q, &way, term))
    };
    assert_eq!(bass("5-3-2 2-3-3", 1), [0, 0]);
    assert_eq!(bass("5-3-3 2-3-4", 1), [16, 24], "both");
    assert_eq!(bass("5-3-2 2-3-4", 1), [8, 12]);
    assert_eq!(bass("5-3-2 2-3-4", 2), [0, 12], "the hand goes elsewhere");
    let case = Case::new(&["G4.e G4.e"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let way = [hand(&q, 0, "1-3-3", Some(1)), hand(&q, 1, "1-3-4", Some(1))];
    assert_eq!(charged(&q, &way, Exchange), 8);
}

/// A half note let go at its middle: 120, 60 or 30 by its role; at its last
/// quarter 15 % of that.
#[test]
fn what_is_let_go_is_cut() {
    let case = Case::new(&["E4.h. F4.q", "E2+G2.h. r.q", "r.q C4.q D4.q r.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    // Of three voices the third is that of the basses.
    let first = hand(&q, 0, "6-0-0 6-3-3 1-0-0", Some(1));
    let n = |kept: &str| hand(&q, 1, &format!("2-1-1 | {kept}"), Some(1));
    let cut = |n: Posture| {
        let way = [first.clone(), n];
        [CutMelody, CutBass, CutInner].map(|term| charged(&q, &way, term))
    };
    assert_eq!(cut(n("0=6-0-0 1=6-3-3 2=1-0-0")), [0, 0, 0]);
    assert_eq!(cut(n("0=6-0-0 1=6-3-3")), [120, 0, 0]);
    assert_eq!(cut(n("1=6-3-3 2=1-0-0")), [0, 0, 30]);
    assert_eq!(cut(n("2=1-0-0")), [0, 0, 60]);
    let case = Case::new(&["C4.q D4.q E4.q F4.q", "A2.w"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let a = |layer: usize, struck: &str| hand(&q, layer, &format!("{struck} | 0=5-0-0"), Some(1));
    let first = hand(&q, 0, "5-0-0 2-1-1", Some(1));
    let second = a(1, "2-3-3");
    let gone = |layer: usize, struck: &str| hand(&q, layer, struck, Some(1));
    assert_eq!(charged(&q, &[first.clone(), gone(1, "2-3-3")], CutBass), 60);
    let late = [first.clone(), second.clone(), a(2, "1-0-0"), gone(3, "1-1-1")];
    assert_eq!(charged(&q, &late, CutBass), 9, "60 · 15 / 100");
    let left_out = hand(&q, 0, "x 2-1-1", Some(1));
    assert_eq!(charged(&q, &[left_out, gone(1, "2-3-3")], CutBass), 0);
}

/// C E G broken: C rings on after its eighth; let go, it costs 16, and its cut as
/// well if it is cut.
#[test]
fn what_should_ring_on_is_missed() {
    let case = Case::new(&["C3.q~ C3.e r.e", "r.e E3.e G3.e C4.e"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let c = hand(&q, 0, "5-3-3", Some(1));
    let second = |kept: &str| hand(&q, 1, &format!("4-2-2 | {kept}"), Some(1));
    let charges = |n: Posture, term| charged(&q, &[c.clone(), n], term);
    assert_eq!([CutMelody, Ring].map(|term| charges(second(""), term)), [120, 16]);
    assert_eq!([CutMelody, Ring].map(|term| charges(second("0=5-3-3"), term)), [0, 0]);
    let held = [
        c.clone(),
        second("0=5-3-3"),
        hand(&q, 2, "3-0-0 | 0=5-3-3 1=4-2-2", Some(1)),
        hand(&q, 3, "2-1-1 | 1=4-2-2 2=3-0-0", Some(1)),
    ];
    assert_eq!([CutMelody, Ring].map(|term| charged(&q, &held, term)), [0, 16]);
}
