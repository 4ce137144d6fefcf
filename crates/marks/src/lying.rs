//! How long a barre lies, as a page shows it.
//!
//! It lies from where its finger
//! comes down to the last note at which it stops something: a finger that will bar is laid at
//! once, though it stops one string only at first, unless a string sounds that it
//! would stop or another finger is at its fret; and so long it stays in its bar where it still
//! stops one of its strings afterwards; over a barline either belongs to another shape. In a
//! broken chord it is laid with the first note of the bar, before its finger has anything to
//! stop: the shape is put down whole. And it lies on to where it comes again, if all until then
//! is of one shape with it and some finger of that is down all the while: B♭ x13331 broken from
//! ④ on in every second bar is held as a whole. (All of it common practice, no source.)

use std::collections::BTreeMap;

use apoyando_fingering::{Barre, BarreSpan, Fingering, LeftFinger, Placement, Posture};
use apoyando_fretboard::{Fret, Place, StringNumber};
use apoyando_music::{Bar, Moment, Score};

/// The barres of a fingering from where their fingers come down to where they are lifted,
/// hinges and all.
pub(crate) fn lying(fingering: &Fingering, score: &Score) -> Vec<BarreSpan> {
    let lies = |span: &BarreSpan| {
        let (from, to) = (laid(fingering, score, span), lifted(fingering, score, span));
        let span = BarreSpan { from, to, ..*span };
        BarreSpan { from: prepared(fingering, score, &span), ..span }
    };
    let mut lying: Vec<BarreSpan> = Vec::new();
    for span in fingering.barres.iter().map(lies) {
        match lying.last_mut() {
            Some(last) if last.barre == span.barre && is_held(fingering, last, &span) => {
                last.to = span.to;
            }
            _ => lying.push(span),
        }
    }
    lying
}

/// Whether a barre lies on until it comes again: nothing is played in between for which a
/// finger of its shape would be moved, and the hand is never free.
fn is_held(fingering: &Fingering, before: &BarreSpan, after: &BarreSpan) -> bool {
    let between = |it: &&Posture| before.to < it.at && it.at < after.from;
    fingering.postures.iter().filter(between).all(|posture| !posture.idle)
        && is_one_shape(fingering, before.barre, before.from, after.to)
}

/// Whether all that sounds between two onsets is of one shape with a barre: each string and
/// each finger has one place, and finger 1 is nowhere but under the barre.
pub(crate) fn is_one_shape(fingering: &Fingering, barre: Barre, from: Moment, to: Moment) -> bool {
    let mut strings: BTreeMap<StringNumber, Placement> = BTreeMap::new();
    let mut fingers: BTreeMap<LeftFinger, Place> = BTreeMap::new();
    let mut fits = |placement: Placement| {
        let Placement { place, finger } = placement;
        *strings.entry(place.string).or_insert(placement) == placement
            && !is_in_the_way(barre, finger, &place)
            && finger.is_none_or(|finger| match finger {
                LeftFinger::One => lies_on(barre, &place),
                other => *fingers.entry(other).or_insert(place) == place,
            })
    };
    let within = |it: &&Posture| from <= it.at && it.at <= to;
    fingering.postures.iter().filter(within).all(|posture| {
        let mut first = posture.staying.iter().filter(|(finger, _)| *finger == LeftFinger::One);
        first.all(|(_, place)| lies_on(barre, place))
            && posture.sounding.iter().all(|(_, placement)| fits(*placement))
    })
}

/// Whether a barre stops a place.
fn lies_on(barre: Barre, place: &Place) -> bool {
    barre.covers(place.string) && place.fret == barre.fret
}

/// Whether a place is on a string that the barre would stop above it, or under another
/// finger where it would lie.
fn is_in_the_way(barre: Barre, finger: Option<LeftFinger>, place: &Place) -> bool {
    let lower = barre.covers(place.string) && place.fret < barre.fret;
    lower || lies_on(barre, place) && finger != Some(LeftFinger::One)
}

/// When a barre is laid in a broken chord: with the first note of its bar, if until it has
/// to lie nothing is played that would not be of one shape with it.
fn prepared(fingering: &Fingering, score: &Score, span: &BarreSpan) -> Moment {
    let Some(start) = bar_at(score, span.from).map(|bar| bar.start) else { return span.from };
    let first = fingering.postures.partition_point(|posture| posture.at < start);
    let lies = fingering.postures.partition_point(|posture| posture.at < span.from);
    let mut shape: BTreeMap<StringNumber, Fret> = BTreeMap::new();
    let mut fits = |posture: &Posture| {
        posture.sounding.iter().all(|(_, Placement { finger, place, .. })| {
            let alone = *shape.entry(place.string).or_insert(place.fret) == place.fret;
            let elsewhere = *finger == Some(LeftFinger::One) && !lies_on(span.barre, place);
            alone && !elsewhere && !is_in_the_way(span.barre, *finger, place)
        })
    };
    let Some(laid) = fingering.postures.get(lies) else { return span.from };
    let mut before = fingering.postures[first.min(lies)..lies].iter().rev();
    let free = |posture: &Posture| {
        let stays = |(finger, place): &(LeftFinger, Place)| {
            *finger != LeftFinger::One || lies_on(span.barre, place)
        };
        posture.barre.is_none() && posture.staying.iter().all(stays)
    };
    if fits(laid) && before.all(|posture| free(posture) && fits(posture)) {
        fingering.postures[first.min(lies)].at
    } else {
        span.from
    }
}

fn bar_at(score: &Score, moment: Moment) -> Option<&Bar> {
    score.bar_at(moment).map(|index| &score.bars()[index.0 as usize])
}

/// When the finger of a barre comes down in its bar that stays until it bars. Over a barline
/// it is of the shape before.
fn laid(fingering: &Fingering, score: &Score, span: &BarreSpan) -> Moment {
    let bar = bar_at(score, span.from);
    let before = fingering.postures.iter().rev().skip_while(|posture| posture.at >= span.from);
    let in_bar = before.take_while(|posture| bar.is_some_and(|bar| bar.start <= posture.at));
    let down = in_bar.take_while(|posture| may_lie(span.barre, posture));
    down.last().map_or(span.from, |posture| posture.at)
}

/// When the finger of a barre that still stops one of its strings is last down in the bar.
/// Over a barline it is of the next shape.
fn lifted(fingering: &Fingering, score: &Score, span: &BarreSpan) -> Moment {
    let bar = bar_at(score, span.to);
    let after = fingering.postures.iter().skip_while(|posture| posture.at <= span.to);
    let in_bar = after.take_while(|posture| bar.is_some_and(|bar| posture.at < bar.end_moment()));
    let down = in_bar.take_while(|posture| may_lie(span.barre, posture));
    down.last().map_or(span.to, |posture| posture.at)
}

/// Whether finger 1 is where a barre has it, with nothing in its way.
fn may_lie(barre: Barre, posture: &Posture) -> bool {
    let sounding = || posture.sounding.iter().map(|(_, placement)| placement);
    let waits = posture
        .staying
        .iter()
        .any(|(finger, place)| *finger == LeftFinger::One && lies_on(barre, place));
    let stops = |placement: &Placement| {
        placement.finger == Some(LeftFinger::One) && lies_on(barre, &placement.place)
    };
    let in_the_way = |it: &Placement| is_in_the_way(barre, it.finger, &it.place);
    posture.barre.is_none() && (waits || sounding().any(stops)) && !sounding().any(in_the_way)
}

#[cfg(test)]
mod tests {
    use crate::trial::{barres as shown, trial};

    #[test]
    fn a_barre_begins_where_its_finger_comes_down() {
        // Fret 3 under finger 1 on ②, then the barre over ① and ②, in a line.
        let marks = trial("4 @3 2.4.2 2.3.1 [3:1-2 2.3.1+1.3.1 ] 1.0.0").needed();
        assert_eq!(marks.barres[0].from.since_start().to_string(), "1/4");
        // The open ① sounds in between.
        let marks = trial("4 @3 2.3.1 1.0.0 [3:1-2 2.3.1+1.3.1 ] 1.0.0").needed();
        assert_eq!(marks.barres[0].from.since_start().to_string(), "1/2");
        // Another finger, alone and beside it.
        let marks = trial("4 @3 3.3.1+2.3.2 [3:1-3 2.3.1+1.3.1 ] 1.0.0").needed();
        assert_eq!(marks.barres[0].from.since_start().to_string(), "1/4");
        let marks = trial("4 @3 2.3.2 [3:1-2 2.3.1+1.3.1 ] 1.0.0").needed();
        assert_eq!(marks.barres[0].from.since_start().to_string(), "1/4");
    }

    #[test]
    fn a_barre_lies_as_long_as_its_finger_stops_one_of_its_strings() {
        let under = |after: &str| shown(&format!("4 @3 [3:1-2 2.3.1+1.3.1 ] {after}"));
        assert_eq!(under("2.3.1 1.3.1 1.0.0"), ["1-2 0..1/2"]);
        // Another string, the open ①, another finger.
        assert_eq!(under("3.3.1 1.0.0 1.0.0"), ["1-2 0..0"]);
        assert_eq!(under("2.3.1+1.0.0 1.0.0 1.0.0"), ["1-2 0..0"]);
        assert_eq!(under("2.3.2 2.3.1 1.0.0"), ["1-2 0..0"]);
        // Over a barline it is of the next shape.
        assert_eq!(under("2.3.1 1.0.0 1.0.0 | 2.3.1"), ["1-2 0..1/4"]);
        assert_eq!(under("1.0.0 1.0.0 2.3.1 | 2.3.1"), ["1-2 0..0"]);
        let end = shown("4 @3 1.0.0 1.0.0 1.0.0 [3:1-2 2.3.1+1.3.1 ] | 2.3.1 1.3.1 1.0.0");
        assert_eq!(end, ["1-2 3/4..3/4"]);
    }

    /// In a broken chord the shape is put down whole.
    #[test]
    fn a_barre_is_laid_with_the_first_note_of_a_broken_chord() {
        assert_eq!(shown("8 @1 4.3.3 3.2.2 [1:1-2 2.1.1 1.1.1 ] 1.0.0"), ["1-2 0..3/8"]);
        // The open string would be stopped; the finger is elsewhere; a line is no chord.
        for text in [
            "8 @1 4.3.3 1.0.0 [1:1-2 2.1.1 1.1.1 ] 1.0.0",
            "8 @1 4.3.3 3.1.1 [1:1-2 2.1.1 1.1.1 ] 1.0.0",
            "8 @1 4.3.3 4.2.2 [1:1-2 2.1.1 1.1.1 ] 1.0.0",
        ] {
            assert_eq!(shown(text), ["1-2 1/4..3/8"], "{text}");
        }
    }

    /// B♭ x13331 with p on ⑤ and on ④ by turns, and struck at the end.
    #[test]
    fn a_barre_lies_on_in_a_bar_of_its_shape_in_which_it_stops_one_string() {
        let (own, other) = ("[1:1-5 5.1.1 3.3.3 2.3.4 1.1.1 ]", "4.3.2 3.3.3 2.3.4 1.1.1");
        let last = "1 [1:1-5 5.1.1+4.3.2+3.3.3+2.3.4+1.1.1 ]";
        let told = |between: &str| shown(&format!("4 @1 {own} | {between} | {last}"));
        assert_eq!(told(other), ["1-5 0..2"]);
        // ④ has another place; a finger has; finger 1 has; ① is open; the hand is free.
        for between in [
            "4.1.1 3.3.3 2.3.4 1.1.1",
            "4.5.2 3.3.3 2.3.4 1.1.1",
            "4.3.2 3.3.3 6.3.4 1.1.1",
            "4.3.2 3.3.3 2.3.4 6.3.1",
            "4.3.2 3.3.3 2.3.4 1.0.0",
            "6.0.0 6.0.0 6.0.0 6.0.0",
        ] {
            assert_eq!(told(between).len(), 2, "{between}");
        }
    }
}
