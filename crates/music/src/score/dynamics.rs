//! How loud a part is played: dynamic marks and hairpins.

use std::fmt;

use super::{Bar, PartIndex, ScoreError};
use crate::rhythm::Moment;

/// A dynamic as it is written.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Dynamic {
    /// Softer still, in four letters.
    Pppp,
    /// *Pianississimo*.
    Ppp,
    /// *Pianissimo*.
    Pp,
    /// *Piano*.
    P,
    /// *Mezzo piano*.
    Mp,
    /// *Mezzo forte*.
    Mf,
    /// *Forte*.
    F,
    /// *Fortissimo*.
    Ff,
    /// *Fortississimo*.
    Fff,
    /// Louder still, in four letters.
    Ffff,
    /// *Sforzando* in two letters.
    Sf,
    /// *Sforzato*, in three.
    Sfz,
    /// *Rinforzando* in two letters.
    Rf,
    /// *Rinforzato*, in three.
    Rfz,
    /// *Fortepiano*: loud, at once soft.
    Fp,
}

impl Dynamic {
    /// All of them, from the softest; the ones of a single moment last.
    pub const ALL: [Self; 15] = [
        Self::Pppp,
        Self::Ppp,
        Self::Pp,
        Self::P,
        Self::Mp,
        Self::Mf,
        Self::F,
        Self::Ff,
        Self::Fff,
        Self::Ffff,
        Self::Sf,
        Self::Sfz,
        Self::Rf,
        Self::Rfz,
        Self::Fp,
    ];

    /// The letters on the page: `mf`.
    pub const fn letters(self) -> &'static str {
        match self {
            Self::Pppp => "pppp",
            Self::Ppp => "ppp",
            Self::Pp => "pp",
            Self::P => "p",
            Self::Mp => "mp",
            Self::Mf => "mf",
            Self::F => "f",
            Self::Ff => "ff",
            Self::Fff => "fff",
            Self::Ffff => "ffff",
            Self::Sf => "sf",
            Self::Sfz => "sfz",
            Self::Rf => "rf",
            Self::Rfz => "rfz",
            Self::Fp => "fp",
        }
    }

    /// The dynamic of these letters.
    pub fn from_letters(letters: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|dynamic| dynamic.letters() == letters)
    }
}

impl fmt::Display for Dynamic {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.letters())
    }
}

/// A dynamic at a moment of a part.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct DynamicMark {
    /// When it holds from.
    pub at: Moment,
    /// What is written.
    pub dynamic: Dynamic,
}

/// Which way the loudness goes under a hairpin.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum HairpinKind {
    /// *Crescendo*: it opens.
    Grows,
    /// *Diminuendo*: it closes.
    Fades,
}

/// A hairpin of a part.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Hairpin {
    /// When it begins.
    pub from: Moment,
    /// When it is over, after it begins.
    pub until: Moment,
    /// Which way the loudness goes.
    pub kind: HairpinKind,
}

/// Puts the dynamics and hairpins of a part in order.
///
/// # Errors
/// If one does not lie in the piece, two dynamics stand at one moment, or a
/// hairpin has no length or overlaps another.
pub(super) fn ordered(
    mut marks: Vec<DynamicMark>,
    mut hairpins: Vec<Hairpin>,
    part: PartIndex,
    bars: &[Bar],
) -> Result<(Vec<DynamicMark>, Vec<Hairpin>), ScoreError> {
    let part = part.0 + 1;
    let end = bars.last().map_or(Moment::START, Bar::end_moment);
    let bar = |at: Moment| {
        let after = bars.partition_point(|bar| bar.start <= at);
        after.checked_sub(1).map_or(0, |index| bars[index].number)
    };
    marks.sort_unstable();
    hairpins.sort_unstable();
    for mark in &marks {
        if mark.at < Moment::START || mark.at >= end {
            return Err(ScoreError::DynamicOutside { part, dynamic: mark.dynamic, at: mark.at });
        }
    }
    if let Some(pair) = marks.windows(2).find(|pair| pair[0].at == pair[1].at) {
        let [first, second] = [pair[0].dynamic, pair[1].dynamic];
        return Err(ScoreError::DoubledDynamic { bar: bar(pair[0].at), part, first, second });
    }
    for hairpin in &hairpins {
        if hairpin.from < Moment::START || hairpin.from >= end || hairpin.until > end {
            let (from, until) = (hairpin.from, hairpin.until);
            return Err(ScoreError::HairpinOutside { part, from, until });
        }
        if hairpin.until <= hairpin.from {
            return Err(ScoreError::EmptyHairpin { bar: bar(hairpin.from), part });
        }
    }
    if let Some(pair) = hairpins.windows(2).find(|pair| pair[1].from < pair[0].until) {
        return Err(ScoreError::HairpinsOverlap { bar: bar(pair[1].from), part });
    }
    Ok((marks, hairpins))
}

#[cfg(test)]
mod tests {
    use super::super::{Draft, DraftBar, DraftEvent, DraftPart, Score};
    use super::*;
    use crate::key::KeySignature;
    use crate::rhythm::{Duration, Metre};

    fn at(quarters: i64) -> Moment {
        Moment::START + Duration::new(quarters, 4)
    }

    /// Two bars of four quarters.
    fn score(marks: &[(i64, Dynamic)], hairpins: &[(i64, i64)]) -> Result<Score, ScoreError> {
        let mut part = DraftPart::guitar(String::new());
        part.voices.push(vec![vec![DraftEvent::bar_rest()], vec![DraftEvent::bar_rest()]]);
        part.dynamics = marks.iter().map(|(q, dynamic)| mark(*q, *dynamic)).collect();
        part.hairpins = hairpins.iter().map(|(from, until)| hairpin(*from, *until)).collect();
        let bar = |number| DraftBar::new(number, Metre::COMMON, KeySignature::NONE);
        let bars = vec![bar(1), bar(2)];
        Score::assemble(Draft { bars, parts: vec![part], ..Draft::default() })
    }

    fn mark(quarters: i64, dynamic: Dynamic) -> DynamicMark {
        DynamicMark { at: at(quarters), dynamic }
    }

    fn hairpin(from: i64, until: i64) -> Hairpin {
        Hairpin { from: at(from), until: at(until), kind: HairpinKind::Grows }
    }

    #[test]
    fn letters_are_read_back() {
        for dynamic in Dynamic::ALL {
            assert_eq!(Dynamic::from_letters(&dynamic.to_string()), Some(dynamic));
        }
        assert_eq!(Dynamic::from_letters("pf"), None);
    }

    #[test]
    fn they_stand_in_order_of_time() {
        let score = score(&[(5, Dynamic::F), (0, Dynamic::P)], &[(4, 8), (1, 4)]).unwrap();
        let part = &score.parts()[0];
        assert_eq!(part.dynamics, [mark(0, Dynamic::P), mark(5, Dynamic::F)]);
        assert_eq!(part.hairpins, [hairpin(1, 4), hairpin(4, 8)]);
    }

    #[test]
    fn what_lies_outside_the_piece_is_a_fault() {
        for quarters in [-1, 8, 9] {
            let found = score(&[(quarters, Dynamic::P)], &[]);
            let outside =
                ScoreError::DynamicOutside { part: 1, dynamic: Dynamic::P, at: at(quarters) };
            assert_eq!(found, Err(outside), "{quarters}");
        }
        for (from, until) in [(-1, 2), (8, 9), (7, 9)] {
            let found = score(&[], &[(from, until)]);
            let outside = ScoreError::HairpinOutside { part: 1, from: at(from), until: at(until) };
            assert_eq!(found, Err(outside), "{from} to {until}");
        }
        assert!(score(&[(7, Dynamic::P)], &[(7, 8)]).is_ok());
    }

    #[test]
    fn two_dynamics_do_not_stand_at_one_moment() {
        let found = score(&[(5, Dynamic::F), (5, Dynamic::P)], &[]);
        let (first, second) = (Dynamic::P, Dynamic::F);
        assert_eq!(found, Err(ScoreError::DoubledDynamic { bar: 2, part: 1, first, second }));
    }

    #[test]
    fn a_hairpin_has_length_and_overlaps_no_other() {
        for until in [4, 3] {
            let found = score(&[], &[(4, until)]);
            assert_eq!(found, Err(ScoreError::EmptyHairpin { bar: 2, part: 1 }), "{until}");
        }
        for (from, until) in [(5, 8), (2, 4), (2, 6)] {
            let found = score(&[], &[(2, 6), (from, until)]);
            assert!(
                matches!(found, Err(ScoreError::HairpinsOverlap { part: 1, .. })),
                "{from} to {until}"
            );
        }
        assert!(score(&[], &[(2, 6), (6, 8)]).is_ok());
    }
}
