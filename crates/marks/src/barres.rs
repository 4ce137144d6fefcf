//! Barre marks.
//!
//! Every barre has one, at any density but none. It is *full* when it lies
//! across all strings or all but one, as players say it; otherwise it is
//! partial and printed with a fraction. Its extent reaches from where its finger
//! comes down to the last note at which it lies: a finger that will bar is laid at
//! once, though it stops one string only at first, unless a string sounds that it
//! would stop or another finger is at its fret; and so long it stays in its bar where it still stops
//! one of its strings afterwards; over a barline either belongs to another shape. In a broken chord it is laid with the first
//! note of the bar, before its finger has anything to stop: the shape is put down whole
//! (both common practice, no source). Two barres of one fret that touch
//! are one mark, in a bar as wide as the wider, over a barline where they are as wide or both full, if they
//! reach to the same thin string: where
//! one of them leaves a thin string open, a line that goes on would hide it. Two chords struck
//! one after the other are each told as they are: F under ⅓CI, then B♭ under CI, for in a
//! chord that is not broken nothing is put down for the next one. They touch too
//! where no note is between them: nothing tells that the finger is lifted.
//!
//! So the line of a *hinge* is broken (common practice, no source): it ends where the thin
//! side is lifted from a string that sounds open; what still lies has a mark of its own,
//! partial however many strings that are, if it is so for more than one onset (for one, the
//! gap and the 0 in it say enough); and where the thin side comes down again the mark is
//! written anew. A tip lifted from thick strings breaks no line: their bass is told by
//! its 0, and what is under the line goes on.

use std::collections::BTreeMap;

use apoyando_fingering::{Barre, BarreSpan, Fingering, LeftFinger, Placement, Posture};
use apoyando_fretboard::{Fret, Instrument, Place, StringNumber};
use apoyando_music::{Bar, Moment, Score};

use crate::marks::BarreMark;

/// The barres of a fingering from where their fingers come down to where they are lifted,
/// hinges and all.
pub(crate) fn lying(fingering: &Fingering, score: &Score) -> Vec<BarreSpan> {
    let spans = fingering.barres.iter();
    let lies = |span: &BarreSpan| {
        let (from, to) = (laid(fingering, score, span), lifted(fingering, score, span));
        let span = BarreSpan { from, to, ..*span };
        BarreSpan { from: prepared(fingering, score, &span), ..span }
    };
    spans.map(lies).collect()
}

/// The barre marks of a part.
pub(crate) fn barres(
    fingering: &Fingering,
    score: &Score,
    instrument: &Instrument,
) -> Vec<BarreMark> {
    // The first onset after one.
    let next = |at: Moment| {
        let after = fingering.postures.partition_point(|posture| posture.at <= at);
        fingering.postures.get(after).map_or(at, |posture| posture.at)
    };
    let is_wide = |barre: Barre| usize::from(barre.width()) + 1 >= instrument.tuning.len();
    let mut marks: Vec<BarreMark> = Vec::new();
    let mut lifted = Vec::new();
    let parts = lying(fingering, score).into_iter().flat_map(|span| stretches(fingering, span));
    for (span, is_lifted) in parts.filter(|(span, lifted)| !lifted || span.from < span.to) {
        match marks.last_mut() {
            Some(last)
                if (last.barre.fret, last.barre.thin) == (span.barre.fret, span.barre.thin)
                    && span.from <= next(last.to)
                    && (last.barre == span.barre
                        || is_wide(last.barre) && is_wide(span.barre)
                        || score.bar_at(last.to) == score.bar_at(span.from)
                            && !is_other_chord(fingering, span.from)) =>
            {
                last.barre = Barre {
                    fret: span.barre.fret,
                    thin: span.barre.thin,
                    thick: last.barre.thick.max(span.barre.thick),
                };
                last.to = last.to.max(span.to);
            }
            _ => {
                let BarreSpan { barre, from, to } = span;
                marks.push(BarreMark { barre, full: false, from, to });
                lifted.push(is_lifted);
            }
        }
    }
    for (mark, lifted) in marks.iter_mut().zip(lifted) {
        mark.full = !lifted && is_wide(mark.barre);
    }
    marks
}

/// So many notes sounding together are a chord that is held as one shape.
const CHORD: usize = 3;

/// Whether a chord stands at an onset after a chord of another shape: a string has another
/// fret. Basses or melodies that move over one shape are fewer notes.
fn is_other_chord(fingering: &Fingering, at: Moment) -> bool {
    let now = fingering.postures.partition_point(|posture| posture.at < at);
    let Some([before, now]) = now.checked_sub(1).and_then(|it| fingering.postures.get(it..it + 2))
    else {
        return false;
    };
    let places = |posture: &Posture| -> Vec<Place> {
        posture.sounding.iter().map(|(_, placement)| placement.place).collect()
    };
    let (before, now) = (places(before), places(now));
    let moved = |place: &&Place| {
        now.iter().any(|other| other.string == place.string && other.fret != place.fret)
    };
    before.len() >= CHORD && now.len() >= CHORD && before.iter().filter(moved).count() > 1
}

/// A barre, parted where it is laid wider or narrower, and where its thin side is lifted from
/// open strings and comes down again, and whether that is so.
fn stretches(fingering: &Fingering, span: BarreSpan) -> Vec<(BarreSpan, bool)> {
    let mut parts: Vec<(BarreSpan, bool)> = Vec::new();
    let begin = fingering.postures.partition_point(|posture| posture.at < span.from);
    let postures = || fingering.postures[begin..].iter().take_while(|it| it.at <= span.to);
    // Before it has to lie, it lies as it will, and afterwards as it did.
    let mut thick = postures().find_map(|it| it.barre).map_or(span.barre.thick, |it| it.thick);
    for posture in postures() {
        let thin = thinnest(posture, span.barre);
        thick = posture.barre.map_or(thick, |barre| barre.thick);
        match parts.last_mut() {
            Some((part, _)) if (part.barre.thin, part.barre.thick) == (thin, thick) => {
                part.to = posture.at;
            }
            _ => {
                let barre = Barre { thin, thick, ..span.barre };
                let part = BarreSpan { barre, from: posture.at, to: posture.at };
                parts.push((part, thin != span.barre.thin));
            }
        }
    }
    if parts.is_empty() { vec![(span, false)] } else { parts }
}

/// The thinnest string on which a barre lies at an onset: its own, or where strings on the
/// thin side of what finger 1 stops sound open, the thinnest that it stops.
fn thinnest(posture: &Posture, barre: Barre) -> StringNumber {
    let first = posture.of_finger(LeftFinger::One).map(|placement| placement.place.string);
    let Some(stopped) = first.min() else { return barre.thin };
    let open =
        posture.sounding.iter().map(|(_, placement)| placement.place).any(|place| {
            place.fret.is_open() && barre.covers(place.string) && place.string < stopped
        });
    if open { stopped } else { barre.thin }
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
    use apoyando_fretboard::StringNumber;

    use crate::marks::Density;
    use crate::trial::trial;

    #[test]
    fn five_or_six_strings_are_a_full_barre_and_fewer_are_not() {
        for (strings, full) in [("1-6", true), ("1-5", true), ("1-4", false), ("1-2", false)] {
            let marks = trial(&format!("4 @3 [3:{strings} 2.3.1+1.3.1 2.3.1 ] 1.0.0")).needed();
            assert_eq!(marks.barres.len(), 1);
            assert_eq!(marks.barres[0].full, full, "{strings}");
            assert_eq!(marks.barres[0].to.since_start().to_string(), "1/4");
        }
    }

    #[test]
    fn touching_barres_of_one_fret_are_one_mark() {
        let mut trial = trial("4 @3 [3:1-2 2.3.1+1.3.1 2.3.1 ] 1.0.0");
        let mut wider = trial.fingering.barres[0];
        wider.barre.thick = StringNumber::new(5).unwrap();
        wider.from = wider.to;
        trial.fingering.barres[0].to = trial.fingering.barres[0].from;
        trial.fingering.barres.push(wider);
        trial.fingering.postures[1].barre = Some(wider.barre);
        let marks = trial.needed();
        assert_eq!(marks.barres.len(), 1);
        assert_eq!(marks.barres[0].barre.thick.get(), 5);
        assert!(marks.barres[0].full);
    }

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

    /// E♭ xx1343 before F7: the tip on ④ 1 is not yet the barre.
    #[test]
    fn a_shape_that_has_the_tip_alone_is_not_under_the_barre_of_the_next() {
        let flat = "4.1.1+3.3.2+2.4.4+1.3.3";
        let barre = "[1:1-6 6.1.1+3.2.2+1.1.1 ]";
        assert_eq!(shown(&format!("1 @1 {flat} | {barre} | {flat}")), ["1-6 1..1"]);
    }

    #[test]
    fn barres_of_two_widths_are_one_mark_in_a_bar_and_two_over_a_barline() {
        let wide = "[1:1-5 5.1.1+1.1.1 ]";
        let small = "[1:1-2 2.1.1+1.1.1 ]";
        assert_eq!(shown(&format!("2 @1 {wide} {small}")), ["1-5 0..1/2"]);
        assert_eq!(shown(&format!("1 @1 {wide} | {small}")), ["1-5 0..0", "1-2 1..1"]);
        assert_eq!(shown(&format!("1 @1 {wide} | {wide}")), ["1-5 0..1"]);
    }

    /// Finger 1 stays down from F to B♭ and is laid wider: one barre of the hand, two marks.
    #[test]
    fn a_barre_that_is_laid_wider_over_a_barline_is_another_mark() {
        let (f, b_flat) = ("4.3.3+3.2.2+2.1.1+1.1.1", "5.1.1+4.3.2+3.3.3+2.3.4+1.1.1");
        let told = |narrow: &[usize]| {
            let mut trial = trial(&format!("1 @1 [1:1-5 {f} | {b_flat} ] | 1.0.0"));
            for at in narrow {
                let barre = trial.fingering.postures[*at].barre.as_mut().expect("a barre");
                barre.thick = StringNumber::new(2).unwrap();
            }
            let marks = trial.needed().barres;
            marks.iter().map(|mark| (mark.barre.width(), mark.full)).collect::<Vec<_>>()
        };
        assert_eq!(told(&[]), [(5, true)]);
        assert_eq!(told(&[0]), [(2, false), (5, true)]);
        assert_eq!(told(&[1]), [(5, true), (2, false)]);
        // Five strings or six are both full.
        let mut trial = trial(&format!("1 @1 [1:1-6 {f} | {b_flat} ] | 1.0.0"));
        trial.fingering.postures[1].barre.as_mut().expect("a barre").thick =
            StringNumber::new(5).unwrap();
        assert_eq!(trial.needed().barres.len(), 1);
    }

    /// F as xx3211 and B♭ as x13331, struck one after the other; the same broken is put down
    /// whole, and so is a chord of which one note moves.
    #[test]
    fn two_chords_in_a_bar_have_each_its_own_barre() {
        let small = "[1:1-2 4.3.3+3.2.2+2.1.1+1.1.1 ]";
        let wide = "[1:1-5 5.1.1+4.3.2+3.3.3+2.3.4+1.1.1 ]";
        assert_eq!(shown(&format!("2 @1 {small} {wide}")), ["1-2 0..0", "1-5 1/2..1/2"]);
        assert_eq!(shown(&format!("2 @1 {wide} {small}")), ["1-5 0..0", "1-2 1/2..1/2"]);
        let fuller = "[1:1-5 5.1.1+4.3.3+3.2.2+2.1.1+1.1.1 ]";
        assert_eq!(shown(&format!("2 @1 {small} {fuller}")), ["1-5 0..1/2"]);
        let broken = "[1:1-2 3.2.2+2.1.1 1.1.1 ] [1:1-5 5.1.1 3.3.3+1.1.1 ]";
        assert_eq!(shown(&format!("4 @1 {broken}")), ["1-5 0..3/4"]);
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

    /// Where no note is between them, nothing tells that the finger is lifted.
    #[test]
    fn barres_of_one_fret_with_no_note_between_them_are_one_mark() {
        let chord = "2.1.1+1.1.1";
        assert_eq!(shown(&format!("4 @1 [1:1-2 {chord} ] [1:1-2 {chord} ] 1.0.0")), ["1-2 0..1/4"]);
        assert_eq!(
            shown(&format!("4 @1 [1:1-2 {chord} ] 1.0.0 [1:1-2 {chord} ]")),
            ["1-2 0..0", "1-2 1/2..1/2"]
        );
    }

    #[test]
    fn a_barre_lifted_off_the_thin_strings_is_another_mark() {
        let mut trial = trial("4 @3 [3:1-5 2.3.1+1.3.1 2.3.1 ] 1.0.0");
        let mut lifted = trial.fingering.barres[0];
        lifted.barre.thin = StringNumber::new(2).unwrap();
        lifted.from = lifted.to;
        trial.fingering.barres.push(lifted);
        assert_eq!(trial.needed().barres.len(), 2);
    }

    /// The marks with the strings they are over and the onsets they are from and to.
    fn shown(text: &str) -> Vec<String> {
        let marks = trial(text).needed().barres;
        let told = marks.iter().map(|mark| {
            let (thin, thick) = (mark.barre.thin.get(), mark.barre.thick.get());
            let (from, to) = (mark.from.since_start(), mark.to.since_start());
            format!("{thin}-{thick} {from}..{to}")
        });
        told.collect()
    }

    #[test]
    fn the_line_of_a_hinge_is_broken_where_a_thin_string_is_open() {
        let chord = "5.2.1+1.2.1";
        let text = format!("8 @2 [2:1-5 {chord} 2.3.2 5.2.1+4.2.1+1.0.0 4.2.1+1.0.0 {chord} ]");
        assert_eq!(shown(&text), ["1-5 0..1/8", "4-5 1/4..3/8", "1-5 1/2..1/2"]);
        // For one onset it is a gap.
        let text = format!("8 @2 [2:1-5 {chord} 2.3.2 4.2.1+1.0.0 {chord} 1.2.1 ]");
        assert_eq!(shown(&text), ["1-5 0..1/8", "1-5 3/8..1/2"]);
        // However many strings still lie.
        let text = "8 @2 [2:1-6 6.2.1+1.2.1 2.2.1+1.0.0 2.2.1+1.0.0 1.2.1 ]";
        let marks = trial(text).needed().barres;
        let told: Vec<_> = marks.iter().map(|mark| (mark.barre.width(), mark.full)).collect();
        assert_eq!(told, [(6, true), (5, false), (6, true)]);
        // A bass open on the thick side.
        let text = format!("8 @2 [2:1-5 {chord} 2.3.2 5.0.0+1.2.1 2.3.2 1.2.1 ]");
        assert_eq!(shown(&text), ["1-5 0..1/2"]);
    }

    #[test]
    fn a_page_without_fingering_has_no_barre_marks() {
        assert!(trial("4 @3 [3:1-6 2.3.1+1.3.1 ]").marked(Density::None).barres.is_empty());
    }
}
