//! Barre marks.
//!
//! Every barre has one, at any density but none. It is *full* when it lies
//! across all strings or all but one, as players say it; otherwise it is
//! partial and printed with a fraction. Its extent reaches from where its finger
//! comes down to the last note at which it lies: a finger that will bar is laid at
//! once, though it stops one string only at first, unless a string sounds that it
//! would stop or another finger is at its fret (common practice, no source). Two barres of one fret that touch
//! are one mark, as wide as the wider, if they reach to the same thin string: where
//! one of them leaves a thin string open, a line that goes on would hide it.

use apoyando_fingering::{Barre, BarreSpan, Fingering, LeftFinger, Placement, Posture};
use apoyando_fretboard::{Instrument, Place};
use apoyando_music::Moment;

use crate::marks::BarreMark;

/// The barre marks of a part.
pub(crate) fn barres(fingering: &Fingering, instrument: &Instrument) -> Vec<BarreMark> {
    let mut marks: Vec<BarreMark> = Vec::new();
    for span in &fingering.barres {
        let from = laid(fingering, span);
        let span = &BarreSpan { from, ..*span };
        match marks.last_mut() {
            Some(last)
                if (last.barre.fret, last.barre.thin) == (span.barre.fret, span.barre.thin)
                    && span.from <= last.to =>
            {
                last.barre = Barre {
                    fret: span.barre.fret,
                    thin: span.barre.thin,
                    thick: last.barre.thick.max(span.barre.thick),
                };
                last.to = last.to.max(span.to);
            }
            _ => marks.push(BarreMark {
                barre: span.barre,
                full: false,
                from: span.from,
                to: span.to,
            }),
        }
    }
    for mark in &mut marks {
        mark.full = usize::from(mark.barre.width()) + 1 >= instrument.tuning.len();
    }
    marks
}

/// When the finger of a barre comes down that stays until it bars.
fn laid(fingering: &Fingering, span: &BarreSpan) -> Moment {
    let Barre { fret, .. } = span.barre;
    let under = |place: &Place| span.barre.covers(place.string);
    let down = |posture: &&Posture| {
        let sounding = || posture.sounding.iter().map(|(_, placement)| placement);
        let stops = |placement: &Placement| {
            placement.finger == Some(LeftFinger::One) && placement.place.fret == fret
        };
        let waits = posture.staying.iter().any(|(finger, place)| {
            *finger == LeftFinger::One && place.fret == fret && under(place)
        });
        let held = waits || sounding().any(|placement| stops(placement) && under(&placement.place));
        // A string that it would stop, or another finger where it would lie.
        let in_the_way = |placement: &Placement| {
            let Placement { finger, place, .. } = placement;
            under(place)
                && (place.fret < fret || place.fret == fret && *finger != Some(LeftFinger::One))
        };
        posture.barre.is_none() && held && !sounding().any(in_the_way)
    };
    let before = fingering.postures.iter().rev().skip_while(|posture| posture.at >= span.from);
    before.take_while(down).last().map_or(span.from, |posture| posture.at)
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
        trial.fingering.barres.push(wider);
        let marks = trial.needed();
        assert_eq!(marks.barres.len(), 1);
        assert_eq!(marks.barres[0].barre.thick.get(), 5);
        assert!(marks.barres[0].full);
    }

    #[test]
    fn a_barre_begins_where_its_finger_comes_down() {
        // Fret 3 under finger 1 on ②, then the barre over ① and ②.
        let marks = trial("4 @3 3.4.2 2.3.1 [3:1-2 2.3.1+1.3.1 ] 1.0.0").needed();
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
    fn a_barre_lifted_off_the_thin_strings_is_another_mark() {
        let mut trial = trial("4 @3 [3:1-5 2.3.1+1.3.1 2.3.1 ] 1.0.0");
        let mut lifted = trial.fingering.barres[0];
        lifted.barre.thin = StringNumber::new(2).unwrap();
        lifted.from = lifted.to;
        trial.fingering.barres.push(lifted);
        assert_eq!(trial.needed().barres.len(), 2);
    }

    #[test]
    fn a_page_without_fingering_has_no_barre_marks() {
        assert!(trial("4 @3 [3:1-6 2.3.1+1.3.1 ]").marked(Density::None).barres.is_empty());
    }
}
