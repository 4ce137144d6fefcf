//! Section 5 of the model, read plainly: what a move costs. The slurs and what
//! is let go are in `holding`.

use apoyando_fingering::Term;
use apoyando_music::{JoinKind, Mode};

use crate::grip::{Posture, Spot};
use crate::heard::{Kind, Role};
use crate::holding::{of_joins, of_letting_go};
use crate::played::phrase_ends;
use crate::price::{Bill, of_one_fret};
use crate::question::Question;
use crate::returning::{around, is_nowhere_else, of_return, struck_with};
use crate::second::of_second;

/// What the hand remembers besides its posture.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub struct Past {
    /// While it is idle, the last layer not idle.
    pub last: Option<usize>,
    /// Finger and string of a lone sound one layer ago.
    pub lone: Option<(u8, u8)>,
    /// Finger and string of a note of the melody that comes again.
    pub returning: Option<(u8, u8)>,
}

/// A move to the next layer.
#[derive(Clone, Copy)]
pub struct Move<'p> {
    pub s: &'p Posture,
    pub past: Past,
    pub n: &'p Posture,
}

/// What the move costs that asks nothing of the past.
pub fn of_move(q: &Question<'_>, step: Move<'_>, bill: Bill<'_>) {
    of_barre(q, step, bill);
    of_one_fret(q, Some(step.s), step.n, bill);
    of_melody(q, step, bill);
    of_hop(q, step, bill);
    of_lead(q, step, bill);
    of_strings(q, step, bill);
    of_pairs(q, step, bill);
    of_joins(q, step.s, step.n, bill);
    of_letting_go(q, step.s, step.n, bill);
    of_second(q, step.s, step.n, bill);
}

/// What it costs that does: shifts, leaps and notes that come again.
pub fn of_past(q: &Question<'_>, step: Move<'_>, bill: Bill<'_>) {
    of_shift(q, step, bill);
    of_leap(q, step, bill);
    of_return(q, step, bill);
}

fn of_barre(q: &Question<'_>, Move { s, n, .. }: Move<'_>, bill: Bill<'_>) {
    let Some(barre) = n.barre else { return };
    let fret = n.finger(1).fret;
    let same = s.barre.filter(|_| s.finger(1).fret == fret);
    let was_there = |string: u8| {
        let one = s.finger(1);
        let down = one.down.has(string) && one.fret == fret;
        same.is_some_and(|b| b.spans(string)) || down || s.stays[0] == Some((string, fret))
    };
    let width = i64::from(barre.width());
    let new = barre.span().each().filter(|string| !was_there(*string)).count() as i64;
    if new > 0 {
        let strings = if new == width { new - 1 } else { new };
        let one_plays_on = n.kept.iter().any(|(_, at)| at.finger == 1);
        let flat = if s.barre.is_none() && one_plays_on { 1 } else { 0 };
        let others_hold = n.kept.iter().any(|(_, at)| at.finger >= 2);
        let times = if others_hold { 2 } else { 1 };
        bill(Term::BarreLay, q.value(Term::BarreLay) * (strings + flat) * times);
    }
    let lying = i64::from(n.lying().count());
    let one_bar = q.heard.bars[s.layer] == q.heard.bars[n.layer];
    let more = match same {
        Some(_) if one_bar => (lying - i64::from(s.lying().count())).max(0),
        _ => lying - 1,
    };
    bill(Term::BarreHold, q.value(Term::BarreHold) * more);
    if same.is_some_and(|before| before.hinge != barre.hinge) {
        bill(Term::Hinge, q.value(Term::Hinge));
    }
}

fn of_shift(q: &Question<'_>, step: Move<'_>, bill: Bill<'_>) {
    let Move { s, past, n } = step;
    let (Some(from), Some(to)) = (s.position, n.position) else { return };
    if from == to || n.idle() {
        return;
    }
    let since = if s.idle() { past.last.expect("a hand with a position") } else { s.layer };
    let h = q.hurry(since, n.layer);
    let eased: i64 = eases(q, step).iter().map(|(_, by)| by).sum();
    shift(q, h, (from, to), eased.min(80), bill);
}

/// Shift, travel and ease.
pub fn shift(q: &Question<'_>, h: i64, (from, to): (u8, u8), eased: i64, bill: Bill<'_>) {
    let moved = h * q.value(Term::Shift);
    let way = (q.x(to) - q.x(from)).abs();
    let travelled = h * (q.value(Term::Travel) * way / 100);
    bill(Term::Shift, moved);
    bill(Term::Travel, travelled);
    bill(Term::Ease, -((moved + travelled) * eased).div_euclid(100));
}

/// Fingers, each with a string, that lead from one posture to the next.
#[derive(Default)]
pub struct Leading {
    pub pivots: Vec<(u8, u8)>,
    pub guides: Vec<(u8, u8)>,
}

/// Fingers down in the second posture that were down or staying in the first
/// on the same string: at the same place, or at another fret.
pub fn leading_fingers(s: &Posture, n: &Posture) -> Leading {
    let mut leading = Leading::default();
    for digit in 1..=4u8 {
        let (was, is) = (s.finger(digit), n.finger(digit));
        let old = s.stays[usize::from(digit) - 1].map_or(was.fret, |(_, fret)| fret);
        for string in s.strings_of(digit).and(is.down).each() {
            let same = old == is.fret;
            let list = if same { &mut leading.pivots } else { &mut leading.guides };
            list.push((digit, string));
        }
    }
    leading
}

/// What eases a shift, in percent.
pub fn eases(q: &Question<'_>, Move { s, n, .. }: Move<'_>) -> Vec<(Term, i64)> {
    let mut found = Vec::new();
    let mut add = |term: Term, by: i64| found.push((term, by));
    let Leading { pivots, guides } = leading_fingers(s, n);
    let guide = if guides.is_empty() { 0 } else { q.value(Term::EaseGuide) };
    let pivot = if pivots.is_empty() { 0 } else { q.value(Term::EasePivot) };
    if pivot > guide {
        add(Term::EasePivot, pivot);
    } else if guide > 0 {
        add(Term::EaseGuide, guide);
    }
    if s.idle() {
        add(Term::EaseOpen, q.value(Term::EaseOpen));
    }
    let (here, next) = (q.heard.layers[s.layer], q.heard.layers[n.layer]);
    if q.heard.sounds.iter().filter(|sound| sound.onset <= here).all(|sound| sound.written < next) {
        add(Term::EaseRest, q.value(Term::EaseRest));
    }
    if phrase_ends(q.problem, &q.heard, s.layer) {
        add(Term::EasePhrase, q.value(Term::EasePhrase));
    }
    if q.problem.score.bars().iter().any(|bar| bar.start == next) {
        add(Term::EaseBeat, q.value(Term::EaseBeat));
    }
    let keys = |layer: usize| q.struck[layer].iter().map(|sound| q.sound(*sound).key);
    if keys(s.layer).any(|key| keys(n.layer).any(|other| other == key)) {
        add(Term::EaseRepeat, q.value(Term::EaseRepeat));
    }
    if leads(q, n.layer) {
        add(Term::Leading, -q.value(Term::Leading));
    }
    found
}

/// Whether the melody goes from the leading note to the tonic.
fn leads(q: &Question<'_>, layer: usize) -> bool {
    let melody = |layer: usize| -> Vec<i16> {
        let sounds = q.struck[layer].iter().map(|sound| q.sound(*sound));
        sounds.filter(|sound| sound.role == Role::Melody).map(|sound| sound.key).collect()
    };
    let ([first], [second]) = (&melody(layer - 1)[..], &melody(layer)[..]) else { return false };
    let signature = q.problem.score.bar(q.heard.bars[layer]).signature;
    let tonics = [Mode::Major, Mode::Minor].map(|mode| signature.key(mode).tonic().pitch_class());
    *second == first + 1 && tonics.contains(&i32::from(second.rem_euclid(12)))
}

fn of_hop(q: &Question<'_>, Move { s, n, .. }: Move<'_>, bill: Bill<'_>) {
    let Some((hand, position)) = n.hand().zip(n.position).filter(|_| n.away > 0) else { return };
    if s.away == n.away {
        bill(Term::HopStay, q.value(Term::HopStay));
        return;
    }
    let way = (q.x(hand) - q.x(position)).abs();
    let travelled = q.value(Term::Travel) * way / 100;
    bill(Term::Hop, q.hurry(s.layer, n.layer) * (q.value(Term::Hop) + travelled));
}

/// Finger 1 above its own fret where the hand was before.
fn of_lead(q: &Question<'_>, Move { s, n, .. }: Move<'_>, bill: Bill<'_>) {
    let there = s.position == n.position && s.hand() == n.hand();
    let Some(place) = n.hand().filter(|place| there && *place > 1) else { return };
    let one = n.finger(1);
    if one.struck.any() && one.fret == place + 1 {
        bill(Term::LeadStay, q.value(Term::LeadStay));
    }
}

/// Fingers that come down, jump or slide.
fn of_strings(q: &Question<'_>, Move { s, n, .. }: Move<'_>, bill: Bill<'_>) {
    let h = q.hurry(s.layer, n.layer);
    let few = q.struck[n.layer].len() < 3;
    for digit in 1..=4 {
        let (was, is) = (s.finger(digit), n.finger(digit));
        if !is.struck.any() {
            continue;
        }
        let lies = digit == 1 && s.lying().meets(is.struck) && was.fret == is.fret;
        if few && !s.strings_of(digit).meets(is.struck) && !lies {
            bill(Term::Land, q.value(Term::Land) * h);
        }
        let same_fret = was.fret == is.fret;
        // Not for a finger at one and the same place in both.
        if !was.down.any() || (same_fret && was.down.meets(is.down)) {
            continue;
        }
        let under = |posture: &Posture| {
            posture.barre.is_some_and(|barre| {
                same_fret
                    && posture.finger(1).fret == is.fret
                    && barre.span().meets(was.down)
                    && barre.span().meets(is.struck)
            })
        };
        if few && !was.down.meets(is.struck) && !under(s) && !under(n) {
            bill(Term::Jump, q.value(Term::Jump) * h);
            if bass_finger(q, n) == Some(digit) {
                bill(Term::JumpBass, q.value(Term::JumpBass) * h);
            }
        }
        if s.position == n.position && s.hand() == n.hand() && !same_fret {
            let slides = (0..n.struck.len()).any(|index| {
                n.struck[index].is_some_and(|at| at.finger == digit && was.down.has(at.string))
                    && !glides(q, s, n, index)
            });
            if slides {
                bill(Term::Slide, q.value(Term::Slide) * h);
            }
        }
    }
}

/// The finger of the one plain sound of the bass at a posture.
fn bass_finger(q: &Question<'_>, n: &Posture) -> Option<u8> {
    let is_bass = |number: usize| {
        let sound = q.sound(number);
        sound.role == Role::Bass && sound.kind == Kind::Plain
    };
    let struck = q.struck[n.layer].iter().zip(&n.struck);
    let basses: Vec<Option<Spot>> =
        struck.filter(|(number, _)| is_bass(**number)).map(|(_, at)| *at).collect();
    if let [at] = basses[..] { at.map(|at| at.finger) } else { None }
}

/// Whether a struck sound glides from one that its finger stops before it.
fn glides(q: &Question<'_>, s: &Posture, n: &Posture, index: usize) -> bool {
    let Some((from, JoinKind::Glide)) = q.sound(q.struck[n.layer][index]).from else {
        return false;
    };
    let finger = n.struck[index].map(|at| at.finger);
    s.spot_of(q, from).is_some_and(|at| Some(at.finger) == finger && !s.is_touched(at))
}

/// The one plain note of the melody at a posture, if a finger stops it.
pub fn sung(q: &Question<'_>, posture: &Posture) -> Option<(usize, Spot)> {
    let struck = q.struck[posture.layer].iter().copied().zip(posture.struck.iter().copied());
    let mut sung = struck.filter(|(number, _)| {
        let sound = q.sound(*number);
        (sound.role, sound.kind) == (Role::Melody, Kind::Plain)
    });
    let (number, spot) = sung.next()?;
    let alone = sung.next().is_none();
    spot.filter(|at| alone && at.finger > 0).map(|at| (number, at))
}

fn of_melody(q: &Question<'_>, Move { s, n, .. }: Move<'_>, bill: Bill<'_>) {
    let (Some((first, was)), Some((_, is))) = (sung(q, s), sung(q, n)) else { return };
    let chord = n.struck.len() >= 3;
    if chord || q.sound(first).written != q.heard.layers[n.layer] || was.string == is.string {
        return;
    }
    let barre_over =
        |posture: &Posture, at: Spot| posture.barre.is_some_and(|barre| barre.spans(at.string));
    if was.finger == is.finger {
        let one_barre = |posture: &Posture| barre_over(posture, was) && barre_over(posture, is);
        if !(was.fret == is.fret && was.finger == 1 && (one_barre(s) || one_barre(n))) {
            bill(Term::Twice, q.value(Term::Twice) * q.hurry(s.layer, n.layer));
        }
        return;
    }
    let under = (was.finger == 1 && s.barre.is_some()) || (is.finger == 1 && n.barre.is_some());
    let still_there = n.finger(was.finger).down.has(was.string);
    let moves = s.position != n.position || s.hand() != n.hand();
    let (low, high) = if was.finger < is.finger { (was, is) } else { (is, was) };
    let passes = low.fret > high.fret || (low.fret == high.fret && low.string < high.string);
    if passes && !under && !still_there && !moves {
        let strings = i64::from(was.string.abs_diff(is.string));
        bill(Term::Crossed, q.value(Term::Crossed) * strings);
    }
}

fn of_leap(q: &Question<'_>, Move { s, past, n }: Move<'_>, bill: Bill<'_>) {
    let Some((digit, string)) = past.lone else { return };
    let h = q.hurry(s.layer - 1, n.layer);
    let strikes = n.finger(digit).struck;
    if q.struck[n.layer].len() < 3
        && !s.finger(digit).down.any()
        && strikes.any()
        && !strikes.has(string)
    {
        bill(Term::Leap, q.value(Term::Leap) * (h - 1));
    }
}

/// Fingers that take a place over, and the weak pair.
fn of_pairs(q: &Question<'_>, Move { s, n, .. }: Move<'_>, bill: Bill<'_>) {
    let h = q.hurry(s.layer, n.layer);
    for at in n.struck.iter().flatten().filter(|at| at.finger > 0) {
        let other = (1..=4u8).filter(|digit| *digit != at.finger).any(|digit| {
            let finger = s.finger(digit);
            finger.down.has(at.string) && finger.fret == at.fret
        });
        if other {
            bill(Term::Replace, q.value(Term::Replace) * h);
            let there = s.position == n.position && s.hand() == n.hand();
            if there && n.struck.len() < 3 {
                bill(Term::Exchange, q.value(Term::Exchange));
            }
        }
    }
    let only = |posture: &Posture| {
        let mut placed = posture.struck.iter().flatten();
        placed.next().filter(|_| placed.next().is_none()).map(|at| at.finger)
    };
    if [(Some(3), Some(4)), (Some(4), Some(3))].contains(&(only(s), only(n))) {
        bill(Term::WeakPair, q.value(Term::WeakPair) * h);
    }
}

/// What the hand remembers at a posture, come to from another or anew.
pub fn remembered(q: &Question<'_>, before: Option<(&Posture, Past)>, n: &Posture) -> Past {
    let Some((s, past)) = before else { return Past::default() };
    let last = if s.idle() { past.last } else { Some(s.layer) };
    let struck = s.struck.first().copied().flatten().filter(|_| q.is_lone(s.layer));
    let lone = struck.filter(|at| at.finger > 0).map(|at| (at.finger, at.string));
    let returning = around(q, n.layer).and_then(|pair| {
        let with = if pair.0 == s.layer { struck_with(q, s) } else { past.returning };
        with.filter(|with| is_nowhere_else(q, *with, pair, n))
    });
    let lone = lone.filter(|lone| may_leap(q, n, lone.0));
    Past { last: last.filter(|_| n.idle()), lone, returning }
}

/// Whether a finger may leap over a layer: only then does it matter where it was
/// before it.
fn may_leap(q: &Question<'_>, n: &Posture, digit: u8) -> bool {
    let (before, after) = (n.layer - 1, n.layer + 1);
    let hurried = after < q.layers() && q.is_reached(after) && q.hurry(before, after) > 1;
    hurried && !n.finger(digit).down.any()
}
