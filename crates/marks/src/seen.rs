//! The position that a page shows.
//!
//! A reader takes the hand to be where the fingers that he is told stop their frets: a
//! numeral names the fret of finger 1, one finger to a fret. The hand of a fingering may
//! be a fret beside that for a while, with finger 1 above its own fret or all fingers
//! drawn together; as long as the page has nothing to gain from it, a numeral that
//! contradicts the digits under it helps nobody. So what is printed are the positions of
//! the fingering but for this (common practice, no source):
//! - What is played with open strings is read in the first position (see [`open`]).
//! - An onset *shows* a position if a finger that is down stops its own fret there and
//!   finger 1 stops none above its own. In I finger 1 may: the shapes of E and A are read in
//!   the first position wherever finger 1 is.
//! - A stay above I in which finger 1 is never at its own fret but at the next one is
//!   named by that, if more of its onsets show it.
//! - In a stay in I a bar that lies under a barre above fret 1 is a stay at that fret, for its
//!   mark says so, together with the onsets after it at which finger 1 is still at that fret
//!   and another finger stops its own fret there, open shapes left out; without such
//!   onsets it is a reach.
//! - The onsets at the border of two stays that show the other one, and not their own,
//!   belong to the other.
//! - Two stopped onsets or more at the end of a stay above I that do not show it, and whose
//!   fingers, two at least, all stop their own frets in one other position, are a stay
//!   there; so are those at its beginning.
//! - The last onset of a stay belongs to the next if it shows that and a finger is put down
//!   there, against its own stay, that is played at the same place where the next begins.
//! - In a broken chord the hand stays where it is at its end: the shape is put down whole.
//! - Onsets at the border that are played as in an earlier stay of the other position
//!   (shapes of E and A in I that come again before or after II), some of them against their
//!   own, belong to that, so that what is fingered alike stands under one numeral; before
//!   the border they begin after an open string.

pub(crate) mod open;

use std::collections::BTreeSet;

use apoyando_fingering::{
    BarreSpan, Fingering, LeftFinger, Placement, Position, PositionSpan, Posture,
};
use apoyando_fretboard::Fret;
use apoyando_music::{BarIndex, Moment};

use crate::broken::is_shape;
use crate::sounds::{CHORD, Sound, layers};

/// Stopped onsets that make a stay of their own at the border of another.
const OWN_ONSETS: usize = 2;

/// What is seen of the left hand where a finger stops something that is struck.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct Sight {
    /// The onset.
    pub at: Moment,
    /// The bar it is in.
    bar: BarIndex,
    /// The fingers that are down and their frets.
    down: Vec<(LeftFinger, u8)>,
    /// Those of them that stop something that is struck.
    struck: Vec<(LeftFinger, u8)>,
    /// How all is played that is struck.
    played: Vec<Option<Placement>>,
    /// Whether the onset before strikes open strings only.
    free: bool,
    /// Whether its bar strikes an open string.
    open: bool,
    /// Whether its bar is a shape that is broken.
    broken: bool,
}

impl Sight {
    fn of(posture: &Posture, layer: &[Sound], free: bool, (open, broken): (bool, bool)) -> Self {
        let stopped = |placement: &Placement| Some((placement.finger?, placement.place.fret.0));
        let down = posture.sounding.iter().filter_map(|(_, placement)| stopped(placement));
        let struck = layer.iter().filter_map(|sound| stopped(sound.placement.as_ref()?));
        Self {
            at: posture.at,
            bar: layer[0].bar,
            down: down.collect(),
            struck: struck.collect(),
            played: layer.iter().map(|sound| sound.placement).collect(),
            free,
            open,
            broken,
        }
    }

    /// Whether it agrees with a position.
    pub fn shows(&self, position: Position) -> bool {
        let first = self.first();
        self.down.iter().any(|it| own(it, position))
            && (position == Position::FIRST || first.is_none_or(|fret| fret <= position.get()))
    }

    /// Whether finger 1 stops a note here that tells another position above I.
    pub fn contradicts(&self, position: Position) -> bool {
        let other = |(finger, fret): &(LeftFinger, u8)| {
            *finger == LeftFinger::One && *fret != position.get()
        };
        position != Position::FIRST && self.struck.iter().any(other)
    }

    /// Whether the digits of the notes struck here tell a position.
    pub fn tells(&self, position: Position) -> bool {
        !self.contradicts(position) && self.struck.iter().any(|it| own(it, position))
    }

    /// Whether it is a chord that is struck.
    pub fn is_struck(&self) -> bool {
        self.played.len() >= CHORD
    }

    /// The position in which every finger stops its own fret, if there is one.
    fn only(&self) -> Option<Position> {
        let (finger, fret) = self.down.first()?;
        let position = Position::new((fret + 1).checked_sub(finger.digit())?)?;
        self.down.iter().all(|down| own(down, position)).then_some(position)
    }

    /// The fret of finger 1.
    fn first(&self) -> Option<u8> {
        self.down.iter().find(|(finger, _)| *finger == LeftFinger::One).map(|(_, fret)| *fret)
    }
}

/// Whether a finger stops its own fret in a position.
fn own((finger, fret): &(LeftFinger, u8), position: Position) -> bool {
    position.offset(*finger, Fret(*fret)) == 0
}

/// What is seen at every onset at which something stopped is struck. Where the hand is away
/// from its position for a moment it shows nothing.
pub(crate) fn sights(fingering: &Fingering, sounds: &[Sound]) -> Vec<Sight> {
    let mut free = false;
    let opened: BTreeSet<BarIndex> =
        sounds.iter().filter(|sound| sound.is_open()).map(|sound| sound.bar).collect();
    let bars = sounds.chunk_by(|a, b| a.bar == b.bar).filter(|bar| is_shape(bar));
    let broken: BTreeSet<BarIndex> = bars.map(|bar| bar[0].bar).collect();
    layers(sounds)
        .filter_map(|layer| {
            let stopped = layer.iter().any(Sound::is_stopped);
            let after_open = std::mem::replace(&mut free, !stopped);
            if !stopped {
                return None;
            }
            let found = fingering.postures.binary_search_by_key(&layer[0].onset, |it| it.at);
            let posture = fingering.postures.get(found.ok()?)?;
            let bar = layer[0].bar;
            let played = (opened.contains(&bar), broken.contains(&bar));
            posture.away.is_none().then(|| Sight::of(posture, layer, after_open, played))
        })
        .collect()
}

/// The positions of a fingering as its page shows them, one after another.
pub(crate) fn spans(fingering: &Fingering, sights: &[Sight]) -> Vec<PositionSpan> {
    let mut shown: Vec<PositionSpan> = Vec::new();
    if open::is_throughout(fingering, sights) {
        let whole = fingering.positions.first().zip(fingering.positions.last());
        let first = Position::FIRST;
        let whole =
            whole.map(|(it, last)| PositionSpan { position: first, from: it.from, to: last.to });
        return whole.into_iter().collect();
    }
    let own = fingering.positions.iter().map(|span| open::opened(fingering, span, sights));
    for span in own.flat_map(|span| barred(fingering, &span, sights)) {
        let mut span = named(&span, sights);
        if let Some(before) = shown.last_mut() {
            match border(before, &span, sights) {
                None => {
                    before.to = span.to;
                    continue;
                }
                Some(at) => span.from = at,
            }
            match last_before(fingering, span.from).filter(|at| *at >= before.from) {
                Some(at) => before.to = at,
                None => drop(shown.pop()),
            }
        }
        shown.push(span);
    }
    let mut parts: Vec<PositionSpan> =
        shown.iter().flat_map(|span| parted(fingering, span, sights)).collect();
    put_alike(fingering, &mut parts, sights);
    held_over(fingering, &mut parts, sights);
    at_chords(fingering, &mut parts, sights);
    parts
}

/// Moves the borders of stays from the midst of a broken chord to its beginning.
fn at_chords(fingering: &Fingering, shown: &mut [PositionSpan], sights: &[Sight]) {
    for rank in 1..shown.len() {
        let (before, after) = (shown[rank - 1], shown[rank]);
        let Some(bar) = within(sights, &after).first().map(|sight| sight.bar) else { continue };
        let chord = of_bar(sights, bar);
        let [first, .., last] = chord else { continue };
        if first.at < after.from
            && before.from < first.at
            && last.at <= after.to
            && is_chord(chord)
            && let Some(to) = last_before(fingering, first.at)
        {
            shown[rank - 1].to = to;
            shown[rank].from = first.at;
        }
    }
}

/// Whether every string and every finger that stops something has one place in a bar that is
/// broken.
fn is_chord(bar: &[Sight]) -> bool {
    let stopped = || bar.iter().flat_map(|sight| sight.played.iter().flatten());
    let alone = |one: &Placement| {
        stopped().all(|other| {
            let same = one.place.string == other.place.string || one.finger == other.finger;
            !same || one.finger.is_none() || one == other
        })
    };
    bar.iter().all(|sight| sight.played.len() < 3) && stopped().all(alone)
}

/// Moves the borders of stays to where a finger is put down, against the stay before, that is
/// played there again in the next.
fn held_over(fingering: &Fingering, shown: &mut [PositionSpan], sights: &[Sight]) {
    for rank in 1..shown.len() {
        let (before, after) = (shown[rank - 1], shown[rank]);
        let next = within(sights, &after).first();
        let [.., _, last] = within(sights, &before) else { continue };
        let again = |placement: &Option<Placement>| {
            let at = placement.and_then(|it| Some((it.finger?, it.place.fret.0)));
            at.is_some_and(|at| !own(&at, before.position) && own(&at, after.position))
                && next.is_some_and(|next| next.played.contains(placement))
        };
        // A finger that lies still from before keeps the hand where it is.
        let lies = |it: &&(LeftFinger, u8)| !last.struck.contains(it);
        let stays = last.down.iter().filter(lies).any(|it| !own(it, after.position));
        let comes = !stays
            && last.shows(after.position)
            && !last.contradicts(after.position)
            && last.played.iter().any(again);
        if let Some(to) = last_before(fingering, last.at).filter(|_| comes) {
            shown[rank - 1].to = to;
            shown[rank].from = last.at;
        }
    }
}

/// Moves the borders of stays so that what is played alike stands in one position.
fn put_alike(fingering: &Fingering, shown: &mut [PositionSpan], sights: &[Sight]) {
    for rank in 1..shown.len() {
        let (before, after) = (shown[rank - 1], shown[rank]);
        if before.position == after.position {
            continue;
        }
        let as_in = |sight: &Sight, position: Position| {
            let spans = shown[..rank].iter().filter(|span| span.position == position);
            let mut seen = spans.flat_map(|span| within(sights, span));
            seen.any(|other| other.played == sight.played)
        };
        let of_other = |sight: &Sight, own: &PositionSpan, other: &PositionSpan| {
            let against = |it| !self::own(it, own.position);
            sight.shows(other.position) && sight.struck.iter().any(against)
        };
        let seen = within(sights, &after);
        let alike = seen.iter().take_while(|it| as_in(it, before.position)).count();
        let head = seen[..alike].iter().rposition(|it| of_other(it, &after, &before));
        let seen_before = within(sights, &before);
        let alike = seen_before.iter().rev().take_while(|it| as_in(it, after.position)).count();
        let run = &seen_before[seen_before.len() - alike..];
        let tail = run.iter().position(|it| it.free).map(|begin| &run[begin..]);
        let tail = tail.filter(|run| run.iter().any(|it| of_other(it, &before, &after)));
        let from = match (head.and_then(|last| seen.get(last + 1)), tail) {
            (Some(next), _) => next.at,
            (None, Some([first, ..])) if first.at > seen_before[0].at => first.at,
            _ => continue,
        };
        if let Some(to) = last_before(fingering, from) {
            shown[rank - 1].to = to;
            shown[rank].from = from;
        }
    }
}

/// What is seen in a span.
pub(crate) fn within<'s>(sights: &'s [Sight], span: &PositionSpan) -> &'s [Sight] {
    let begin = sights.partition_point(|sight| sight.at < span.from);
    let end = sights.partition_point(|sight| sight.at <= span.to);
    sights.get(begin..end).unwrap_or_default()
}

/// What is seen in a bar.
fn of_bar(sights: &[Sight], bar: BarIndex) -> &[Sight] {
    let begin = sights.partition_point(|sight| sight.bar < bar);
    let end = sights.partition_point(|sight| sight.bar <= bar);
    &sights[begin..end]
}

/// The last onset before a moment.
fn last_before(fingering: &Fingering, moment: Moment) -> Option<Moment> {
    let before = fingering.postures.partition_point(|posture| posture.at < moment);
    Some(fingering.postures.get(before.checked_sub(1)?)?.at)
}

/// Whether a barre lies at an onset.
fn is_barred(fingering: &Fingering, at: Moment) -> bool {
    fingering.barres.iter().any(|it| (it.from..=it.to).contains(&at))
}

/// A span in I, parted where bars lie under a barre above fret 1 and the hand is still there
/// after them.
fn barred(fingering: &Fingering, span: &PositionSpan, sights: &[Sight]) -> Vec<PositionSpan> {
    if span.position != Position::FIRST {
        return vec![*span];
    }
    let under = |sight: &Sight| {
        let lies = |it: &&BarreSpan| (it.from..=it.to).contains(&sight.at);
        fingering.barres.iter().find(lies).map(|it| it.barre.fret)
    };
    let over_bar = |sight: &Sight| {
        let fret = under(sight)?;
        of_bar(sights, sight.bar)
            .iter()
            .map(under)
            .all(|other| other == Some(fret))
            .then(|| Position::new(fret.0))?
    };
    let still = |sight: &Sight, here: Position| {
        let other = |it: &&(LeftFinger, u8)| it.0 != LeftFinger::One;
        let is_shape = sight.is_struck() || is_chord(of_bar(sights, sight.bar));
        let is_open = sight.open && is_shape && sight.shows(Position::FIRST);
        !is_open
            && sight.first() == Some(here.get())
            && sight.down.iter().filter(other).any(|it| own(it, here))
    };
    let seen = within(sights, span);
    let mut here = Position::FIRST;
    let mut told: Vec<(Position, bool)> = Vec::new();
    for sight in seen {
        let barre = over_bar(sight);
        let stays = barre.is_none() && here != Position::FIRST && still(sight, here);
        here = barre.unwrap_or(if stays { here } else { Position::FIRST });
        told.push((here, stays));
    }
    let mut parts = vec![*span];
    let mut rest = seen;
    for run in told.chunk_by(|a, b| a.0 == b.0) {
        let first = rest.first().map_or(span.from, |sight| sight.at);
        rest = rest.get(run.len()..).unwrap_or_default();
        let stays = run.iter().any(|(_, stays)| *stays);
        let position = if stays { run[0].0 } else { Position::FIRST };
        let last = parts.len() - 1;
        if parts[last].position == position {
            continue;
        }
        match last_before(fingering, first) {
            Some(to) if parts[last].from < first => {
                parts[last].to = to;
                parts.push(PositionSpan { position, from: first, to: span.to });
            }
            _ => parts[last].position = position,
        }
    }
    parts
}

/// A span under the name that finger 1 gives it.
fn named(span: &PositionSpan, sights: &[Sight]) -> PositionSpan {
    let own = span.position;
    let seen = within(sights, span);
    let next = own.get() + 1;
    let leads = seen.iter().filter_map(Sight::first).all(|fret| fret == next)
        && seen.iter().any(|sight| sight.first().is_some());
    let showing = |position| seen.iter().filter(|sight| sight.shows(position)).count();
    let name = Position::new(next)
        .filter(|next| own != Position::FIRST && leads && showing(*next) > showing(own));
    PositionSpan { position: name.unwrap_or(own), ..*span }
}

/// The onset from which the second of two spans is shown; `None` if that is nowhere.
fn border(before: &PositionSpan, after: &PositionSpan, sights: &[Sight]) -> Option<Moment> {
    if before.position == after.position {
        return Some(after.from);
    }
    let only = |sight: &&Sight, shown: &PositionSpan, other: &PositionSpan| {
        sight.shows(shown.position) && !sight.shows(other.position)
    };
    let tail = within(sights, before).iter().rev().take_while(|it| only(it, after, before));
    if let Some(first) = tail.last() {
        return Some(first.at);
    }
    let seen = within(sights, after);
    match seen.iter().take_while(|it| only(it, before, after)).count() {
        0 => Some(after.from),
        head => seen.get(head).map(|sight| sight.at),
    }
}

/// Whether onsets with every finger on its own fret are enough for a stay.
fn is_stay(shown: &[&Sight]) -> bool {
    let mut fingers = shown.iter().flat_map(|sight| &sight.down).map(|(finger, _)| *finger);
    let first = fingers.next();
    shown.len() >= OWN_ONSETS && fingers.any(|finger| Some(finger) != first)
}

/// A span without what at its ends is shown as a stay elsewhere, and that.
fn parted(fingering: &Fingering, span: &PositionSpan, sights: &[Sight]) -> Vec<PositionSpan> {
    let PositionSpan { position: own, from, to } = *span;
    let seen = within(sights, span);
    let elsewhere = |end: Option<&Sight>| {
        let other = end?.only()?;
        (other != own && own != Position::FIRST).then_some(other)
    };
    let here = |sight: &&Sight, other| !sight.shows(own) && sight.only() == Some(other);
    let mut parts = Vec::new();
    let mut rest = (from, to);
    if let Some(other) = elsewhere(seen.first()) {
        let shown: Vec<&Sight> = seen.iter().take_while(|it| here(it, other)).collect();
        if is_stay(&shown) {
            let Some(next) = seen.get(shown.len()).map(|sight| sight.at) else {
                return vec![PositionSpan { position: other, ..*span }];
            };
            let to = last_before(fingering, next).unwrap_or(from);
            parts.push(PositionSpan { position: other, from, to });
            rest.0 = next;
        }
    }
    let mut tail = None;
    if let Some(other) = elsewhere(seen.last()) {
        let shown: Vec<&Sight> = seen.iter().rev().take_while(|it| here(it, other)).collect();
        if let (true, Some(first)) = (is_stay(&shown), shown.last()) {
            tail = Some(PositionSpan { position: other, from: first.at, to });
            rest.1 = last_before(fingering, first.at).unwrap_or(from);
        }
    }
    let (from, to) = rest;
    parts.extend((from <= to).then_some(PositionSpan { position: own, from, to }));
    parts.extend(tail);
    parts
}

#[cfg(test)]
pub(crate) mod tests {
    use crate::trial::trial;

    /// The numerals with the onsets they begin at.
    pub(super) fn shown(text: &str) -> Vec<String> {
        let marks = trial(text).needed().positions;
        let told = marks.iter().map(|it| format!("{} {}", it.position, it.from.since_start()));
        told.collect()
    }

    #[test]
    fn a_stay_is_named_by_finger_1_where_it_is_always_a_fret_above_its_own() {
        let second = "8 @1 2.1.1 2.3.4 @2 6.3.1+2.3.2 6.3.1+2.4.3 6.3.1 2.5.4";
        assert_eq!(shown(second), ["I 0", "III 1/4"]);
        // Most of it shows II.
        let once = "8 @1 2.1.1 2.3.4 @2 3.2.1 2.3.2 2.4.3 6.3.1 2.3.2 2.5.4";
        assert_eq!(shown(once), ["I 0", "II 1/4"]);
        let others = "8 @1 2.1.1 2.3.4 @2 2.3.2 2.4.3 6.3.1 2.3.2 2.5.4";
        assert_eq!(shown(others), ["I 0", "II 1/4"]);
        // The shapes of E and A.
        assert!(shown("8 @1 5.2.1 4.2.2 5.2.1 4.2.2").is_empty());
    }

    /// C sharp minor, F sharp minor under ½CII, B and E, all in I for the hand.
    #[test]
    fn a_barre_after_which_the_hand_is_still_there_is_a_stay_at_its_fret() {
        let c_sharp = "1 @1 5.4.4+4.2.2+3.1.1";
        let barred = "[2:1-3 4.4.4+3.2.1+2.2.1+1.2.1 ]";
        let (b, e) = ("3.4.3+2.4.4+1.2.1", "5.2.2+4.2.3+3.1.1");
        let text = format!("{c_sharp} | {barred} | {b} | {e} | {e} | {e}");
        assert_eq!(shown(&text), ["I 0", "II 2", "I 3"]);
        // Finger 1 elsewhere, and no finger on its own fret beside it.
        for next in ["5.2.2+4.2.3+3.1.1", "5.2.1+4.2.2"] {
            let text = format!("{c_sharp} | {barred} | {next} | {e}");
            assert!(shown(&text).is_empty(), "{next}");
        }
        // Not for a part of a bar.
        let half = format!("{c_sharp} | 2 {barred} {b} | 1 {e}");
        assert!(shown(&half).is_empty());
    }

    /// D broken after a chord in II.
    #[test]
    fn a_broken_chord_is_in_one_position() {
        let second = "1 @2 3.4.3+2.4.4+1.2.1";
        let chord = |last: &str| format!("8 4.0.0 3.2.1 @1 2.3.3 {last} 3.2.1 2.3.3 1.2.2 1.2.2");
        let after = |last: &str| format!("{second} | {second} | {} | 2.1.1 2.3.3", chord(last));
        // The open shape tells I, and the numeral comes after it.
        assert_eq!(shown(&after("1.2.2")), ["II 0", "I 3"]);
        // A line is no chord.
        assert_eq!(shown(&after("2.1.1")), ["II 0", "I 9/4"]);
    }

    #[test]
    fn what_shows_the_next_stay_belongs_to_it() {
        // Finger 1 on ⑤ fret 2 is II, the others of the shape come after it.
        let text = "8 @1 3.2.3 2.1.1 5.2.1 @2 3.4.3 2.4.4 1.2.1";
        assert_eq!(shown(text), ["I 0", "II 1/4"]);
    }

    #[test]
    fn what_still_shows_the_stay_before_belongs_to_that() {
        let text = "8 @1 3.2.2 2.1.1 @2 5.0.0 3.2.2 3.2.2+2.2.3 5.2.1 3.4.3 2.4.4 | 3.4.3";
        assert_eq!(shown(text), ["I 0", "II 5/8"]);
    }

    /// The shape of E with 1 and 2 on fret 2, in I and around II.
    #[test]
    fn what_is_fingered_alike_stands_in_one_position() {
        let shape = "6.0.0 5.2.1 4.2.2 6.0.0 5.2.1 4.2.2";
        let second = "5.5.4 4.3.2 3.2.1 5.5.4 4.3.2 3.2.1";
        let bar = |text: &str| format!("{text} 3.0.0 3.0.0");
        let first = format!("8 @1 2.1.1 2.3.3 {shape} | ");
        let before = format!("{first}@2 {shape} 5.3.2 4.2.1 | {}", bar(second));
        assert_eq!(shown(&before), ["I 0", "II 7/4"]);
        let after = format!("{first}@2 {second} 5.3.2 4.2.1 | {} | @1 2.1.1 2.3.3", bar(shape));
        assert_eq!(shown(&after), ["I 0", "II 1", "I 3"]);
        // Not if it is new there.
        let new = format!("8 @1 2.1.1 2.3.3 | @2 {shape} 5.3.2 4.2.1");
        assert_eq!(shown(&new), ["I 0", "II 9/8"]);
    }

    /// G with 2 on ⑥ under D with 3, then the same G under E flat with 3.
    #[test]
    fn a_numeral_is_where_the_finger_is_put_down_that_stays() {
        let bass = |first: &str| format!("8 @1 2.1.1 2.1.1 {first} @2 6.3.2+2.4.3 2.4.3 2.2.1");
        assert_eq!(shown(&bass("6.3.2+2.3.3")), ["I 0", "II 1/4"]);
        // Finger 1 on fret 1; another bass.
        assert_eq!(shown(&bass("6.3.2+2.1.1")), ["I 0", "II 3/8"]);
        assert_eq!(shown(&bass("6.3.3+2.3.3")), ["I 0", "II 3/8"]);
    }

    /// G with 2 on ⑥ that lies under D with 3, in II; then D in I.
    #[test]
    fn a_stay_lasts_as_long_as_a_bass_that_lies_in_it() {
        let melody = "4 2.3.3 2.2.1 1.0.0 2.3.3 | 2 1.0.0 @1 4 2.3.3 2.1.1 | 1 2.1.1 | 2.1.1";
        let mut trial = trial(&format!("@2 {melody} / 1 6.3.2 | 5.0.0 | 5.3.3 | 5.3.3"));
        let mut told = || {
            let marks = trial.needed().positions;
            let told = marks.iter().map(|it| format!("{} {}", it.position, it.from.since_start()));
            let told: Vec<String> = told.collect();
            let postures = &mut trial.fingering.postures;
            let bass = postures[0].sounding.iter().copied();
            let bass = bass.filter(|(_, it)| it.place.fret.0 == 3 && it.place.string.get() == 6);
            let bass: Vec<_> = bass.collect();
            postures[3].sounding.extend(bass);
            told
        };
        assert_eq!(told(), ["II 0", "I 3/4"]);
        assert_eq!(told(), ["II 0", "I 3/2"]);
    }

    #[test]
    fn the_end_of_a_stay_that_shows_another_is_one() {
        // Finger 3 on fret 3, finger 2 on fret 2.
        let text = "8 @1 2.1.1 1.3.3 @2 3.2.1 2.5.4 2.2.1 5.3.3 4.2.2 5.0.0";
        assert_eq!(shown(text), ["I 0", "II 1/4", "I 5/8"]);
        // One finger alone, or one onset.
        let text = "8 @1 2.1.1 1.3.3 @2 3.2.1 2.5.4 2.2.1 5.3.3 5.3.3 5.0.0";
        assert_eq!(shown(text), ["I 0", "II 1/4"]);
        let text = "8 @1 2.1.1 1.3.3 @2 3.2.1 2.5.4 2.2.1 5.3.3+4.2.2 5.0.0 5.0.0";
        assert_eq!(shown(text), ["I 0", "II 1/4"]);
        // So is its beginning.
        let text = "8 @1 2.1.1 1.3.3 @5 5.8.3 4.7.2 3.5.1 2.8.4 3.5.1 1.5.1";
        assert_eq!(shown(text), ["I 0", "VI 1/4", "V 1/2"]);
    }
}
