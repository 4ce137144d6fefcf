//! Position numerals.
//!
//! - A piece that never leaves the first position has none.
//! - Otherwise every stay of the hand has one, the first and those in I too. The
//!   first stands at the first sound, though that be an open string.
//! - A *momentary reach*, one or two onsets away and straight back to where the
//!   hand was, has none: its digits say enough, and the stays on both sides of
//!   it count as one.
//! - A stay that begins with a barre at its own fret and is no longer than the
//!   barre has none: the barre mark says where the hand is.
//! - A dashed line shows the extent of a stay above I of two or more onsets
//!   where the piece has several numerals. It ends at the last note covered.
//!   Elsewhere the numeral stands alone and holds until the next.

use apoyando_fingering::{Fingering, Position, PositionSpan};
use apoyando_music::Moment;

use crate::marks::PositionMark;
use crate::sounds::{Sound, layers};

/// Onsets that a momentary reach lasts at most.
const MOMENTARY_ONSETS: usize = 2;

/// Where a reader takes the hand to be.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct Hand {
    /// The stays, momentary reaches taken out.
    pub stays: Vec<Stay>,
    /// The momentary reaches.
    pub momentary: Vec<PositionSpan>,
    /// Onsets of the first stopped sound of every span, momentary or not.
    pub arrivals: Vec<Moment>,
}

/// A stay of the hand.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Stay {
    /// Where and from when to when.
    pub span: PositionSpan,
    /// How many onsets are struck in it.
    pub onsets: usize,
}

impl Hand {
    /// The stays of a fingering.
    pub fn of(fingering: &Fingering, sounds: &[Sound]) -> Self {
        let spans = &fingering.positions;
        let onsets: Vec<(Moment, bool)> = layers(sounds)
            .map(|layer| (layer[0].onset, layer.iter().any(Sound::is_stopped)))
            .collect();
        let struck = |span: &PositionSpan, stopped_only: bool| {
            onsets
                .iter()
                .filter(|(at, stopped)| {
                    (span.from..=span.to).contains(at) && (*stopped || !stopped_only)
                })
                .count()
        };
        let mut hand = Self { stays: Vec::new(), momentary: Vec::new(), arrivals: Vec::new() };
        for (index, span) in spans.iter().enumerate() {
            hand.arrivals.push(span.from);
            let back = spans.get(index + 1).map(|next| next.position);
            let here = hand.stays.last().map(|stay| stay.span.position);
            let reaches = here != Some(span.position)
                && here.is_some()
                && here == back
                && struck(span, true) <= MOMENTARY_ONSETS;
            match hand.stays.last_mut() {
                _ if reaches => hand.momentary.push(*span),
                Some(stay) if stay.span.position == span.position => stay.span.to = span.to,
                _ => hand.stays.push(Stay { span: *span, onsets: 0 }),
            }
        }
        if let (Some(first), Some((begin, _))) = (hand.stays.first_mut(), onsets.first()) {
            first.span.from = *begin;
        }
        for stay in &mut hand.stays {
            stay.onsets = struck(&stay.span, false);
        }
        hand
    }

    /// Index of the stay at a moment; before the first it is the first.
    pub fn stay_at(&self, moment: Moment) -> usize {
        self.stays.partition_point(|stay| stay.span.from <= moment).saturating_sub(1)
    }

    /// The position that a reader assumes at a moment; the first where no
    /// finger is ever down.
    pub fn position_at(&self, moment: Moment) -> Position {
        self.stays.get(self.stay_at(moment)).map_or(Position::FIRST, |stay| stay.span.position)
    }

    /// Whether the hand is away on a momentary reach.
    pub fn is_away(&self, moment: Moment) -> bool {
        self.momentary.iter().any(|span| (span.from..=span.to).contains(&moment))
    }
}

/// The numerals of a part.
pub(crate) fn numerals(hand: &Hand, fingering: &Fingering) -> Vec<PositionMark> {
    if hand.stays.iter().all(|stay| stay.span.position == Position::FIRST) {
        return Vec::new();
    }
    let several = hand.stays.len() > 1;
    hand.stays
        .iter()
        .filter(|stay| {
            !fingering.barres.iter().any(|barre| {
                barre.barre.fret.0 == stay.span.position.get()
                    && barre.from <= stay.span.from
                    && barre.to >= stay.span.to
            })
        })
        .map(|stay| PositionMark {
            position: stay.span.position,
            from: stay.span.from,
            to: stay.span.to,
            line: several && stay.span.position != Position::FIRST && stay.onsets > 1,
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use apoyando_fingering::{Position, PositionSpan};

    use crate::trial::trial;

    fn shown(text: &str) -> Vec<String> {
        let trial = trial(text);
        trial
            .needed()
            .positions
            .iter()
            .map(|mark| {
                let line = if mark.line { "-" } else { "" };
                format!(
                    "{}{line} {}..{}",
                    mark.position,
                    mark.from.since_start(),
                    mark.to.since_start()
                )
            })
            .collect()
    }

    #[test]
    fn a_piece_in_the_first_position_has_no_numeral() {
        assert!(shown("4 @1 2.1.1 2.3.4 1.0.0 1.1.1").is_empty());
    }

    #[test]
    fn a_piece_in_one_higher_position_has_a_numeral_without_a_line() {
        assert_eq!(shown("4 @2 3.2.1 3.4.3 2.2.1 2.3.2"), ["II 0..3/4"]);
    }

    #[test]
    fn the_first_numeral_stands_at_the_first_sound() {
        assert_eq!(shown("4 @2 3.0.0 3.2.1 3.4.3 2.2.1"), ["II 0..3/4"]);
    }

    #[test]
    fn every_stay_has_a_numeral_once_the_hand_leaves_the_first_position() {
        assert_eq!(
            shown("8 @1 2.1.1 2.3.4 2.1.1 @5 1.5.1 1.7.3 1.8.4 @1 1.3.4 1.1.1"),
            ["I 0..1/4", "V- 3/8..5/8", "I 3/4..7/8"]
        );
    }

    /// The hand is away and its position stays: there is no span for it.
    #[test]
    fn a_hand_away_for_a_moment_has_no_numeral() {
        let mut trial = trial("4 @2 3.2.1 3.4.3 1.7.4 2.3.2");
        let before = trial.needed();
        let away = &mut trial.fingering.postures[2];
        let at = away.at;
        away.away = Position::new(4);
        let position = Position::new(4).unwrap();
        trial.fingering.hops.push(PositionSpan { position, from: at, to: at });
        assert_eq!(trial.needed(), before);
        assert_eq!(before.positions.len(), 1);
    }

    #[test]
    fn a_momentary_reach_has_none_and_the_stay_goes_on() {
        let text = "8 @2 1.2.1 1.3.2 1.5.4 @4 1.7.4 @2 1.5.4 1.3.2 1.2.1 2.5.4";
        assert_eq!(shown(text), ["II 0..7/8"]);
    }

    #[test]
    fn three_onsets_away_are_a_stay() {
        let text = "8 @2 1.2.1 1.3.2 @5 1.5.1 1.7.3 1.8.4 @2 1.3.2 1.2.1 2.5.4";
        assert_eq!(shown(text), ["II- 0..1/8", "V- 1/4..1/2", "II- 5/8..7/8"]);
    }

    #[test]
    fn going_away_for_good_is_no_momentary_reach() {
        assert_eq!(shown("8 @2 1.2.1 1.3.2 1.5.4 @4 1.7.4"), ["II- 0..1/4", "IV 3/8..3/8"]);
    }

    #[test]
    fn a_stay_under_its_own_barre_is_told_by_the_barre_mark() {
        let text = "4 @1 2.1.1 2.3.3 @3 [3:1-6 6.3.1+4.5.4+1.3.1 2.3.1 ]";
        assert_eq!(shown(text), ["I 0..1/4"]);
    }
}
