//! Barre marks.
//!
//! Every barre has one, at any density but none. It is *full* when it lies
//! across all strings or all but one, as players say it; otherwise it is
//! partial and printed with a fraction, reckoned from ①, though nothing be played there. Its
//! extent is that in which it [lies](crate::lying).
//! Two barres of one fret that touch
//! are one mark, in a bar as wide as the wider, over a barline where they are as wide or both
//! full, or where a chord is broken that is of one shape with what was before (then they are as
//! wide as the wider, too), if no thin string that only one of them is over sounds open under
//! the other: a line that goes on would hide it. A full barre that is not over ① because
//! nothing is played there is no other than one over ① to ⑤. Two chords struck
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

use apoyando_fingering::{Barre, BarreSpan, Fingering, LeftFinger, Placement, Posture};
use apoyando_fretboard::{Instrument, Place, StringNumber};
use apoyando_music::{Moment, Score, ToneId};

use crate::lying::{is_one_shape, lying};
use crate::marks::BarreMark;

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
    let both = |one: Barre, other: Barre| Barre {
        thin: one.thin.min(other.thin),
        thick: one.thick.max(other.thick),
        ..one
    };
    // A string that is in one of two barres and open under the other, on their thin side.
    let hides = |mark: &BarreMark, span: &BarreSpan| {
        let bare = |over: Barre, wider: Barre, from, to| {
            let within = fingering.postures.iter().filter(|it| from <= it.at && it.at <= to);
            let mut places = within.flat_map(|it| &it.sounding).map(|(_, it)| it.place);
            places.any(|it| wider.covers(it.string) && it.string < over.thin && it.fret.is_open())
        };
        bare(mark.barre, span.barre, mark.from, mark.to)
            || bare(span.barre, mark.barre, span.from, span.to)
    };
    let parts = lying(fingering, score).into_iter().flat_map(|span| stretches(fingering, span));
    for (span, is_lifted) in parts.filter(|(span, lifted)| !lifted || span.from < span.to) {
        match marks.last_mut() {
            Some(last)
                if last.barre.fret == span.barre.fret
                    && span.from <= next(last.to)
                    && !hides(last, &span)
                    && (last.barre == span.barre
                        || is_wide(last.barre) && is_wide(span.barre)
                        || score.bar_at(last.to) == score.bar_at(span.from)
                            && !is_other_chord(fingering, span.from)
                        || is_broken(fingering, &span)
                            && is_one_shape(
                                fingering,
                                both(last.barre, span.barre),
                                last.from,
                                span.to,
                            )) =>
            {
                last.barre = both(last.barre, span.barre);
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
        if !lifted {
            mark.barre = from_thinnest(fingering, mark);
        }
        mark.full = !lifted && is_wide(mark.barre);
        if !mark.full && !lifted {
            mark.barre = without_tip_for_next(fingering, mark, next(mark.to));
        }
    }
    marks
}

/// A barre over all strings on its thin side, if none of them sounds open while it lies: how
/// wide a barre is, is reckoned from ① (common practice, no source).
fn from_thinnest(fingering: &Fingering, mark: &BarreMark) -> Barre {
    let within = fingering.postures.iter().filter(|it| mark.from <= it.at && it.at <= mark.to);
    let mut beside = within
        .flat_map(|posture| &posture.sounding)
        .map(|(_, placement)| placement.place)
        .filter(|place| place.string < mark.barre.thin);
    if beside.any(|place| place.fret < mark.barre.fret) {
        return mark.barre;
    }
    Barre { thin: StringNumber::FIRST, ..mark.barre }
}

/// A partial barre without the strings on its thick side that only the tip of finger 1 needs,
/// and only for what comes next: it stays there when the barre is lifted. F xx3211 before
/// E♭ xx1343 is read as the small barre that it is.
fn without_tip_for_next(fingering: &Fingering, mark: &BarreMark, next: Moment) -> Barre {
    let under = |at: Moment| fingering.postures.iter().filter(move |it| it.at == at);
    let tip = Place { string: mark.barre.thick, fret: mark.barre.fret };
    let stays = |posture: &Posture| {
        let first = posture.of_finger(LeftFinger::One);
        posture.barre.is_none() && first.map(|it| it.place).eq([tip])
    };
    if next <= mark.to || !under(next).any(stays) {
        return mark.barre;
    }
    let within = fingering.postures.iter().filter(|it| mark.from <= it.at && it.at <= mark.to);
    let stopped = within.flat_map(|posture| posture.of_finger(LeftFinger::One));
    let thickest = stopped.map(|placement| placement.place.string).max();
    match thickest.filter(|thick| mark.barre.thin < *thick) {
        Some(thick) => Barre { thick, ..mark.barre },
        None => mark.barre,
    }
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

/// Whether a chord is broken under a barre: there is more than one onset, and at the first so
/// few notes are struck that they are no chord.
fn is_broken(fingering: &Fingering, span: &BarreSpan) -> bool {
    let first = fingering.postures.partition_point(|posture| posture.at < span.from);
    let Some(posture) = fingering.postures.get(first) else { return false };
    let before = first.checked_sub(1).and_then(|it| fingering.postures.get(it));
    let kept = |it: &&(ToneId, Placement)| before.is_some_and(|other| other.sounding.contains(it));
    span.from < span.to && posture.sounding.iter().filter(|it| !kept(it)).count() < CHORD
}

/// A barre, parted where it is laid wider or narrower, and where its thin side is lifted from
/// open strings and comes down again, and whether that is so.
fn stretches(fingering: &Fingering, span: BarreSpan) -> Vec<(BarreSpan, bool)> {
    let mut parts: Vec<(BarreSpan, bool)> = Vec::new();
    let begin = fingering.postures.partition_point(|posture| posture.at < span.from);
    let postures = || fingering.postures[begin..].iter().take_while(|it| it.at <= span.to);
    // Before it has to lie, it lies as it will, and afterwards as it did.
    let mut own = postures().find_map(|it| it.barre).unwrap_or(span.barre);
    for posture in postures() {
        own = posture.barre.unwrap_or(own);
        let barre = Barre { thin: thinnest(posture, own), ..own };
        match parts.last_mut() {
            Some((part, _)) if part.barre == barre => part.to = posture.at,
            _ => {
                let part = BarreSpan { barre, from: posture.at, to: posture.at };
                parts.push((part, barre.thin != own.thin));
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

#[cfg(test)]
mod tests {
    use apoyando_fretboard::StringNumber;

    use crate::marks::Density;
    use crate::trial::{barres as shown, trial};

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
    fn a_barre_is_reckoned_from_the_first_string_unless_a_thinner_one_sounds() {
        let inner = |last: &str| shown(&format!("4 @2 [2:2-3 2.2.1+3.2.1 {last} ] 5.0.0 5.0.0"));
        assert_eq!(inner("2.2.1+3.2.1"), ["1-3 0..1/4"]);
        // Stopped above the barre, and open.
        assert_eq!(inner("3.2.1+1.4.3"), ["1-3 0..1/4"]);
        assert_eq!(inner("2.2.1+3.2.1+1.0.0"), ["2-3 0..1/4"]);
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
    fn a_barre_laid_narrower_under_an_open_string_is_another_mark() {
        let told = |second: &str| {
            let mut trial = trial(&format!("4 @3 [3:1-6 2.3.1+1.3.1 {second} ] 6.0.0"));
            let barre = trial.fingering.postures[1].barre.as_mut().expect("a barre");
            barre.thin = StringNumber::new(2).unwrap();
            let marks = trial.needed().barres;
            marks.iter().map(|mark| (mark.barre.width(), mark.full)).collect::<Vec<_>>()
        };
        assert_eq!(told("2.3.1"), [(6, true)]);
        assert_eq!(told("2.3.1+1.0.0"), [(6, true), (5, true)]);
    }

    /// F7 131211 of which ① is not played, then B♭ x13331: one barre of the hand that is as
    /// wide, laid from ② to ⑥ and from ① to ⑤.
    #[test]
    fn a_full_barre_that_moves_by_a_string_is_one_mark() {
        let f7 = "6.1.1 4.1.1 3.2.2 2.1.1";
        let b_flat = "5.1.1 3.3.3 2.3.4 1.1.1";
        let mut trial = trial(&format!("4 @1 [1:2-6 {f7} | {b_flat} ] | 6.0.0"));
        for posture in &mut trial.fingering.postures[4..8] {
            let string = |number| StringNumber::new(number).unwrap();
            let barre = posture.barre.as_mut().expect("a barre");
            (barre.thin, barre.thick) = (string(1), string(5));
        }
        let marks = trial.needed().barres;
        let told: Vec<_> = marks.iter().map(|mark| (mark.barre.width(), mark.full)).collect();
        assert_eq!(told, [(6, true)]);
        assert_eq!(marks[0].to.since_start().to_string(), "7/4");
    }

    /// F 133211 with p on ⑥ and on ⑤ by turns: in the second bar finger 1 stops ② and ①.
    #[test]
    fn a_chord_broken_over_barlines_is_under_one_mark() {
        let (bass, other) = ("6.1.1 3.2.2 2.1.1 1.1.1", "5.3.3 3.2.2 2.1.1 1.1.1");
        let told = |text: &str, narrow: std::ops::Range<usize>| {
            let mut trial = trial(text);
            for posture in &mut trial.fingering.postures[narrow] {
                let barre = posture.barre.as_mut().expect("a barre");
                barre.thick = StringNumber::new(2).unwrap();
            }
            let marks = trial.needed().barres;
            marks.iter().map(|mark| mark.barre.width()).collect::<Vec<_>>()
        };
        assert_eq!(told(&format!("4 @1 [1:1-6 {bass} | {other} ]"), 4..8), [6]);
        // Struck, they are told as they are; so is another shape.
        let struck = |bar: &str| format!("1 {}", bar.replace(' ', "+"));
        let chords = format!("@1 [1:1-6 {} | {} ]", struck(bass), struck(other));
        assert_eq!(told(&chords, 1..2), [6, 2]);
        let other = other.replace("3.2.2", "3.3.4");
        assert_eq!(told(&format!("4 @1 [1:1-6 {bass} | {other} ]"), 4..8), [6, 2]);
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

    /// F xx3211 broken before E♭ xx1343: the tip that stops ④ is laid with the barre.
    #[test]
    fn strings_that_only_the_tip_needs_for_the_next_chord_are_not_under_the_mark() {
        let f = "4.3.3 3.2.2 2.1.1 1.1.1";
        let e_flat = "4.1.1 3.3.2 2.4.4 1.3.3";
        assert_eq!(shown(&format!("4 @1 [1:1-4 {f} ] | {e_flat}")), ["1-2 0..3/4"]);
        // Where it does not stay, the barre is as wide as it is said to be.
        assert_eq!(shown(&format!("4 @1 [1:1-4 {f} ] | 5.3.3 3.0.0")), ["1-4 0..3/4"]);
        // So it is where the tip has stopped something under the barre.
        let stopped = "4.1.1 3.2.2 2.1.1 1.1.1";
        assert_eq!(shown(&format!("4 @1 [1:1-4 {stopped} ] | {e_flat}")), ["1-4 0..3/4"]);
    }

    #[test]
    fn a_page_without_fingering_has_no_barre_marks() {
        assert!(trial("4 @3 [3:1-6 2.3.1+1.3.1 ]").marked(Density::None).barres.is_empty());
    }
}
