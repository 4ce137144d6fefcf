//! What a reader takes to be in the first position because it is played with open strings,
//! though the hand lies in II (common practice, no source):
//! - A part that is in I and II, on the frets of I, with open strings in most of its bars, and of
//!   whose fingers beside 1 more stop their own frets in I than in II, is in I as a whole, wherever
//!   finger 1 is: it has no numerals, and digits where II would have told them.
//! - A stay in II that is all chords with open strings, struck or broken and at no barre, is in I
//!   if each of them shows I: the open shapes are read in the first position.

use apoyando_fingering::{Fingering, LeftFinger, Position, PositionSpan};
use apoyando_music::Moment;

use super::{Sight, is_barred, is_chord, within};
use crate::strings::LAST_FIRST_FRET;

/// A span in II that is all open shapes, as one in I.
pub(super) fn opened(fingering: &Fingering, span: &PositionSpan, sights: &[Sight]) -> PositionSpan {
    let opens = span.position.get() == 2 && shapes(fingering, span, sights) == Shapes::All;
    PositionSpan { position: if opens { Position::FIRST } else { span.position }, ..*span }
}

/// How far the bars of a span that are not at a barre are open shapes, struck or broken, that
/// show I.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Shapes {
    /// There is no such bar.
    None,
    /// All are.
    All,
    /// Those before the bar of this onset, the first in it at which something is stopped.
    Until(Moment),
}

/// How far a span is of open shapes.
pub(crate) fn shapes(fingering: &Fingering, span: &PositionSpan, sights: &[Sight]) -> Shapes {
    let shows = |sight: &Sight| sight.shows(Position::FIRST);
    let is_open = |bar: &[Sight]| {
        let struck = bar.iter().all(Sight::is_struck) && bar.iter().all(shows);
        let broken = || bar[0].broken && bar.iter().any(shows) && is_chord(bar);
        bar[0].open && (struck || broken())
    };
    let mut bars = bars(fingering, span, sights).peekable();
    match (bars.peek().is_some(), bars.find(|bar| !is_open(bar))) {
        (_, Some(other)) => Shapes::Until(other[0].at),
        (true, None) => Shapes::All,
        (false, None) => Shapes::None,
    }
}

/// The bars of a span that are not at a barre.
fn bars<'s>(
    fingering: &Fingering,
    span: &PositionSpan,
    sights: &'s [Sight],
) -> impl Iterator<Item = &'s [Sight]> {
    let bars = within(sights, span).chunk_by(|a, b| a.bar == b.bar);
    bars.filter(|bar| !is_barred(fingering, bar[0].at))
}

/// Whether a part in I and II is one that a reader plays in I: no fret is above those of I, most
/// bars strike an open string, some are no chords, and of the fingers beside 1 more stop their
/// own frets in I than in II.
pub(super) fn is_throughout(fingering: &Fingering, sights: &[Sight]) -> bool {
    let positions = || fingering.positions.iter().map(|span| span.position.get());
    let bars = || sights.chunk_by(|a, b| a.bar == b.bar);
    let barred = |sight: &Sight| is_barred(fingering, sight.at);
    let is_line = |bar: &[Sight]| {
        !bar.iter().any(barred) && !bar.iter().all(Sight::is_struck) && !is_chord(bar)
    };
    let is_low = |sight: &Sight| sight.down.iter().all(|(_, fret)| *fret <= LAST_FIRST_FRET);
    let own_in = |offset: u8| {
        let struck = sights.iter().filter(|it| !barred(it)).flat_map(|it| &it.struck);
        let others = struck.filter(|(finger, _)| *finger != LeftFinger::One);
        others.filter(|(finger, fret)| *fret == finger.digit() + offset).count()
    };
    positions().any(|it| it == 1)
        && positions().all(|it| it <= 2)
        && 2 * bars().filter(|bar| bar[0].open).count() > bars().count()
        && bars().any(is_line)
        && sights.iter().all(is_low)
        && own_in(0) > own_in(1)
}

#[cfg(test)]
mod tests {
    use crate::seen::tests::shown;

    /// D and G with 3 and 2 in II, then D and C in I, over open strings.
    #[test]
    fn a_part_of_open_strings_on_the_frets_of_i_has_no_numerals() {
        let text = |last: &str| {
            format!("4 @2 4.0.0 2.3.3 6.3.2 2.2.1 | @1 4.0.0 2.3.3 2.1.1 2.3.3 | {last}")
        };
        assert!(shown(&text("4 5.0.0 2.2.2 2.3.3 2.0.0")).is_empty());
        // Above them, in II more than in I, and without open strings.
        assert_eq!(shown(&text("4 @2 2.2.1 2.5.4 2.3.3 2.0.0")), ["II 0", "I 5/4", "II 2"]);
        let second = "4 @2 3.4.3 5.0.0 5.4.3 4.4.3 | 3.4.3 5.0.0 5.4.3 4.4.3";
        assert_eq!(shown(&text(second)), ["II 0", "I 5/4", "II 2"]);
        let stopped = "4 5.2.2 2.2.2 2.3.3 5.2.2 | 5.2.2 2.2.2 2.3.3 5.2.2";
        assert_eq!(shown(&text(stopped)), ["II 0", "I 5/4"]);
    }

    /// D, G and A7, struck and broken, which the hand has in II.
    #[test]
    fn open_shapes_are_in_the_first_position() {
        let (d, a7) = ("4.0.0+3.2.1+2.3.3+1.2.2", "5.0.0+4.2.1+3.0.0+2.2.2+1.0.0");
        let broken = "8 4.0.0 3.2.1 2.3.3 1.2.2 4.0.0 3.2.1 2.3.3 1.2.2";
        assert!(shown(&format!("1 @2 {d} | {a7} | {broken}")).is_empty());
        // One that is not, and a line.
        let moved = "4.4.3+3.2.1+2.3.2";
        assert_eq!(shown(&format!("1 @2 {d} | {moved} | {d} | {moved}")), ["II 0"]);
        assert_eq!(shown(&format!("1 @2 {d} | 4 3.2.1 3.4.3 2.2.1 2.0.0")), ["II 0"]);
    }
}
