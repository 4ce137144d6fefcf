//! Words of expression and tone: *dolce*, *metálico*, *cresc.*

use super::{Bar, PartIndex, ScoreError};
use crate::rhythm::Moment;

/// Where something stands that does not stand on the staff.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum StaffSide {
    /// Above it.
    Above,
    /// Below it.
    Below,
}

/// Words at a moment of a part.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Expression {
    /// When they hold from.
    pub at: Moment,
    /// Where they stand.
    pub side: StaffSide,
    /// What they say; never blank.
    pub text: String,
    /// When they are over, later than they begin, where dashes show it.
    pub until: Option<Moment>,
}

/// Puts the words of a part in order.
///
/// # Errors
/// If some do not lie in the piece, say nothing, or are over before they begin.
pub(super) fn ordered(
    mut words: Vec<Expression>,
    part: PartIndex,
    bars: &[Bar],
) -> Result<Vec<Expression>, ScoreError> {
    let part = part.0 + 1;
    let end = bars.last().map_or(Moment::START, Bar::end_moment);
    for Expression { at, text, until, .. } in &words {
        let (at, text, until) = (*at, text.clone(), *until);
        if at < Moment::START || at >= end {
            return Err(ScoreError::WordsOutside { part, text, at });
        }
        if text.trim().is_empty() {
            return Err(ScoreError::BlankWords { part, at });
        }
        if let Some(until) = until.filter(|until| *until <= at || *until > end) {
            return Err(ScoreError::WordsEnd { part, text, until });
        }
    }
    words.sort();
    Ok(words)
}

#[cfg(test)]
mod tests {
    use super::super::{Draft, DraftBar, DraftEvent, DraftPart, Score};
    use super::*;
    use crate::key::KeySignature;
    use crate::rhythm::{Duration, Metre};

    fn words(quarters: i64, side: StaffSide, text: &str) -> Expression {
        let at = Moment::START + Duration::new(quarters, 4);
        Expression { at, side, text: text.to_owned(), until: None }
    }

    /// A bar of four quarters.
    fn score(words: Vec<Expression>) -> Result<Score, ScoreError> {
        let mut part = DraftPart::guitar(String::new());
        part.voices.push(vec![vec![DraftEvent::bar_rest()]]);
        part.words = words;
        let bars = vec![DraftBar::new(1, Metre::COMMON, KeySignature::NONE)];
        Score::assemble(Draft { bars, parts: vec![part], ..Draft::default() })
    }

    #[test]
    fn they_stand_in_order_of_time() {
        use StaffSide::{Above, Below};
        let [dolce, cresc, pont] =
            [words(0, Above, "dolce"), words(2, Below, "cresc."), words(2, Above, "pont.")];
        let score = score(vec![cresc.clone(), pont.clone(), dolce.clone()]).unwrap();
        assert_eq!(score.parts()[0].words, [dolce, pont, cresc]);
    }

    #[test]
    fn what_says_nothing_or_lies_outside_the_piece_is_a_fault() {
        for quarters in [-1, 4, 9] {
            let found = score(vec![words(quarters, StaffSide::Above, "dolce")]);
            let at = Moment::START + Duration::new(quarters, 4);
            let fault = ScoreError::WordsOutside { part: 1, text: "dolce".to_owned(), at };
            assert_eq!(found, Err(fault), "{quarters}");
        }
        for until in [-1, 1, 2, 5] {
            let until = Moment::START + Duration::new(until, 4);
            let cresc = Expression { until: Some(until), ..words(2, StaffSide::Below, "cresc.") };
            let fault = ScoreError::WordsEnd { part: 1, text: "cresc.".to_owned(), until };
            assert_eq!(score(vec![cresc]), Err(fault), "{until:?}");
        }
        let until = Some(Moment::START + Duration::new(4, 4));
        assert!(score(vec![Expression { until, ..words(2, StaffSide::Below, "cresc.") }]).is_ok());
        let found = score(vec![words(3, StaffSide::Below, " ")]);
        let at = Moment::START + Duration::new(3, 4);
        assert_eq!(found, Err(ScoreError::BlankWords { part: 1, at }));
    }
}
