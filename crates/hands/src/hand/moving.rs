//! What the fingers pay between two postures (model §5, second table), whatever
//! the positions.

use apoyando_fingering::{EffortTable, Term};
use apoyando_music::JoinKind;

use super::geometry::STRINGS;
use super::shape::{Hold, Played, Shape};

/// What of a move depends on where the hand goes.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub(crate) struct Meeting {
    /// `slide`, if the hand stays where it is.
    pub slide: i64,
    /// `crossed` of two melody notes running, if the hand stays where it is.
    pub crossed: i64,
    /// `exchange` of what lies where it is struck again, if the hand stays where it is.
    pub exchange: i64,
    /// Whether a finger is on one string before and after, at another fret.
    pub guide: bool,
    /// Whether a finger is at one place before and after.
    pub pivot: bool,
}

/// The time of a move, and what is struck after it.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub(crate) struct Pace {
    pub hurry: i64,
    /// Whether what is struck is no chord.
    pub thin: bool,
    /// Whether it is struck in the same bar, so that a barre is paid for already.
    pub in_bar: bool,
    /// Whether one melody note goes on to another, and that is in no chord.
    pub sings: bool,
}

/// Everything but shifts, hops, joins and letting go.
#[inline]
pub(crate) fn fingers(
    t: &EffortTable,
    s: &Hold,
    (n, gliding): (&Shape, u16),
    pace: Pace,
    add: &mut impl FnMut(Term, i64),
) -> Meeting {
    let mut meeting = Meeting::default();
    if pace.thin && jumps_in_bass(s, n) {
        add(Term::JumpBass, i64::from(t.jump_bass) * pace.hurry);
    }
    if n.has_barre() {
        barre(t, s, n, pace, add);
    }
    on_one_fret(t, s, n, add);
    if pace.sings {
        if sings_twice(s, n) {
            add(Term::Twice, i64::from(t.twice) * pace.hurry);
        }
        meeting.crossed = i64::from(t.crossed) * passes(s, n);
    }
    for finger in 0..4 {
        let down = n.down[finger];
        if down == 0 {
            continue;
        }
        let same_fret = s.fret[finger] == n.fret[finger];
        if s.on[finger] & down != 0 {
            meeting.pivot |= same_fret;
            meeting.guide |= !same_fret;
        }
        let (was, strikes) = (s.down[finger], n.struck[finger]);
        if strikes == 0 {
            continue;
        }
        if pace.thin && s.on[finger] & strikes == 0 && !lies_ready(s, n, finger) {
            add(Term::Land, i64::from(t.land) * pace.hurry);
        }
        if was != 0 && !(same_fret && was & down != 0) {
            if was & strikes == 0 {
                if pace.thin && !(same_fret && barre_joins(s, n, finger)) {
                    add(Term::Jump, i64::from(t.jump) * pace.hurry);
                }
            } else if was & strikes & !gliding != 0 {
                meeting.slide += i64::from(t.slide) * pace.hurry;
            }
        }
    }
    if s.stopped() & n.strikes() != 0 {
        let places = replaced(s, n);
        if places > 0 {
            add(Term::Replace, places * i64::from(t.replace) * pace.hurry);
            if pace.thin {
                meeting.exchange = places * i64::from(t.exchange);
            }
        }
    }
    if matches!((s.alone, n.alone), (3, 4) | (4, 3)) {
        add(Term::WeakPair, i64::from(t.weak_pair) * pace.hurry);
    }
    meeting
}

/// `crossed` and `crowd`: of fingers that come to one fret, each two once.
pub(crate) fn on_one_fret(t: &EffortTable, s: &Hold, n: &Shape, add: &mut impl FnMut(Term, i64)) {
    for (finger, higher) in pairs_on_one_fret(n) {
        let (low, high) = (n.string(finger), n.string(higher));
        let either = |were: &[u16; 4]| comes(s, n, were, finger) || comes(s, n, were, higher);
        // One that only stayed was crossed by none while it was silent.
        if low < high && either(&s.down) {
            add(Term::Crossed, i64::from(t.crossed) * (high - low) as i64);
        }
        if low.abs_diff(high) == 1 && either(&s.on) {
            add(Term::Crowd, i64::from(t.crowd));
        }
    }
}

/// Each two fingers down on one fret; under a barre none is on that of 1.
pub(crate) fn pairs_on_one_fret(n: &Shape) -> impl Iterator<Item = (usize, usize)> + '_ {
    let free = move |finger: &usize| n.is_down(*finger) && !(*finger == 0 && n.has_barre());
    (0..4).filter(free).flat_map(move |low| {
        let beside = move |high: &usize| n.is_down(*high) && n.fret[*high] == n.fret[low];
        (low + 1..4).filter(beside).map(move |high| (low, high))
    })
}

/// Whether a finger strikes where it was not before, if the strings are given on which
/// each one was.
fn comes(s: &Hold, n: &Shape, were: &[u16; 4], finger: usize) -> bool {
    let was = if s.fret[finger] == n.fret[finger] { were[finger] } else { 0 };
    n.struck[finger] & !was != 0
}

/// `twice`: two melody notes running, on different strings, by one finger.
#[inline(always)]
pub(crate) fn sings_twice(s: &Hold, n: &Shape) -> bool {
    let (Some((was, from)), Some((is, to))) = (s.sung.get(), n.sung.get()) else { return false };
    let both = 1 << from | 1 << to;
    let spans = |span: u16| span & both == both;
    let lies = was == 0 && s.fret[0] == n.fret[0] && (spans(s.span) || spans(n.span));
    was == is && from != to && !lies
}

/// How many strings a finger passes another by, where each plays one of two melody
/// notes running and the lower finger is on the higher fret, or on the thinner string
/// of one fret.
#[inline(always)]
pub(crate) fn passes(s: &Hold, n: &Shape) -> i64 {
    let (Some((was, from)), Some((is, to))) = (s.sung.get(), n.sung.get()) else { return 0 };
    // A finger under a barre is on no string, and one still down has paid already.
    let barred = (was == 0 && s.span != 0) || (is == 0 && n.span != 0);
    if was == is || barred || n.down[usize::from(was)] & 1 << from != 0 {
        return 0;
    }
    // The thick strings come first.
    let place = |fret: u8, string: u8| (fret, u8::MAX - string);
    let (first, second) =
        (place(s.fret[usize::from(was)], from), place(n.fret[usize::from(is)], to));
    if (was < is) == (first < second) { 0 } else { i64::from(from.abs_diff(to)) }
}

/// `jump_bass`: the finger of the bass is down elsewhere, as for `jump`.
#[inline(always)]
pub(crate) fn jumps_in_bass(s: &Hold, n: &Shape) -> bool {
    let Some((finger, _)) = n.low.get() else { return false };
    let finger = usize::from(finger);
    let (was, strikes) = (s.down[finger], n.struck[finger]);
    let same_fret = s.fret[finger] == n.fret[finger];
    was != 0
        && was & strikes == 0
        && !(same_fret && (was & n.down[finger] != 0 || barre_joins(s, n, finger)))
}

/// How many places are struck by another finger than was down there.
pub(crate) fn replaced(s: &Hold, n: &Shape) -> i64 {
    let mut strings = s.stopped() & n.strikes();
    let mut places = 0;
    while strings != 0 {
        let string = strings & strings.wrapping_neg();
        // One finger strikes it; a bound one may have been down beside another.
        if let Some(is) = (0..4).find(|finger| n.struck[*finger] & string != 0) {
            let other = |was: &usize| *was != is && s.down[*was] & string != 0;
            let there = (0..4).filter(other).filter(|was| s.fret[*was] == n.fret[is]);
            places += there.count() as i64;
        }
        strings &= strings - 1;
    }
    places
}

pub(crate) fn barre(
    t: &EffortTable,
    s: &Hold,
    n: &Shape,
    pace: Pace,
    add: &mut impl FnMut(Term, i64),
) {
    let same_fret = s.fret[0] == n.fret[0];
    let lay = match (same_fret, s.span) {
        (false, _) => 0,
        (true, 0) => s.on[0],
        (true, span) => span,
    };
    let fresh = n.span & !lay;
    if fresh != 0 {
        // On its tip it plays on while it is laid flat.
        let flattens = s.span == 0 && n.down[0] & !n.struck[0] != 0;
        let strings =
            i64::from(fresh.count_ones()) - i64::from(fresh == n.span) + i64::from(flattens);
        let times = if n.keeps { 2 } else { 1 };
        add(Term::BarreLay, i64::from(t.barre_lay) * strings * times);
    }
    let lies = same_fret && s.span != 0;
    let paid = if lies && pace.in_bar { i64::from(s.laid.count_ones()) } else { 1 };
    let held = (i64::from(n.laid.count_ones()) - paid).max(0);
    add(Term::BarreHold, i64::from(t.barre_hold) * held);
    if lies && s.hinged != n.hinged {
        add(Term::Hinge, i64::from(t.hinge));
    }
}

/// `barre_lay` and `barre_hold` from an empty hand, where the hand begins anew.
pub(crate) fn barre_anew(t: &EffortTable, n: &Shape, add: &mut impl FnMut(Term, i64)) {
    let strings = i64::from(n.span.count_ones()) - 1;
    add(Term::BarreLay, i64::from(t.barre_lay) * strings);
    let laid = i64::from(n.laid.count_ones()) - 1;
    add(Term::BarreHold, i64::from(t.barre_hold) * laid);
}

/// Whether a barre of either posture at the finger's fret spans a string it
/// comes from and one it strikes.
pub(crate) const fn barre_joins(s: &Hold, n: &Shape, finger: usize) -> bool {
    finger == 0
        && ((s.down[0] & s.span != 0 && n.struck[0] & s.span != 0)
            || (s.down[0] & n.span != 0 && n.struck[0] & n.span != 0))
}

/// Whether finger 1 lies where it is to strike, under a barre.
pub(crate) const fn lies_ready(s: &Hold, n: &Shape, finger: usize) -> bool {
    finger == 0 && s.laid & n.struck[0] != 0 && s.fret[0] == n.fret[0]
}

/// `leap`: a finger that left a string one layer ago and comes back on another.
pub(crate) fn leaps(lifted: Option<(u8, u8)>, n: &Shape) -> bool {
    let Some((finger, string)) = lifted else { return false };
    let strikes = n.struck[usize::from(finger)];
    strikes != 0 && strikes & (1 << string) == 0
}

/// Whether a finger is nowhere but, at the most, at a place, of which the string and
/// the frets by string are given: so it is remembered for `exchange`.
#[inline]
pub(crate) fn is_free((finger, string): (u8, u8), n: &Shape, frets: &[u8; STRINGS]) -> bool {
    let (finger, string) = (usize::from(finger), usize::from(string));
    let there = n.down[finger] & (1 << string) != 0 && n.fret[finger] == frets[string];
    !n.is_down(finger) || there
}

/// `exchange`: the note of the melody that comes again is struck on its string by
/// another finger than it was, which has been lifted; one that is on the string already
/// pays for sliding there. `s` has the strings on which each
/// finger is down before.
#[inline]
pub(crate) fn exchanges(recalled: Option<(u8, u8)>, s: &[u16; 4], n: &Shape) -> bool {
    let (Some((was, from)), Some((is, to))) = (recalled, n.sung.get()) else { return false };
    let slides = s[usize::from(is)] & (1 << to) != 0;
    was != is && from == to && s[usize::from(was)] == 0 && !slides
}

/// A struck sound that is to be joined from one before, and how that one is
/// played.
#[derive(Clone, Copy, Debug)]
pub(crate) struct ToJoin {
    pub kind: JoinKind,
    /// Whether both sounds are plain.
    pub plain: bool,
    /// How the first is played when the second is struck; `None` if it does not
    /// sound any more.
    pub from: Option<Played>,
}

/// How far a sound is played joined.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Joined {
    Not,
    /// While the hand stays where it is; whether it is from 3 to 4 or from 4 to 3.
    Slurred {
        weak: bool,
    },
    /// Whatever the hand does.
    Glided,
}

/// Whether a sound is played joined (model §5).
pub(crate) fn joined(to_join: &ToJoin, s: &Hold, to: Played) -> Joined {
    let Some(from) = to_join.from.filter(|from| to_join.plain && from.string == to.string) else {
        return Joined::Not;
    };
    if to_join.kind == JoinKind::Glide {
        let glides = from.finger == to.finger && to.finger > 0;
        return if glides { Joined::Glided } else { Joined::Not };
    }
    let other = to.finger != from.finger;
    let made = if to.fret > from.fret {
        other
    } else {
        let ready = |finger: usize| {
            let on = s.on[finger] | if finger == 0 { s.laid } else { 0 };
            on & (1 << to.string) != 0 && s.fret[finger] == to.fret
        };
        to.finger == 0 || (other && ready(usize::from(to.finger) - 1))
    };
    if made {
        Joined::Slurred { weak: matches!((from.finger, to.finger), (3, 4) | (4, 3)) }
    } else {
        Joined::Not
    }
}
