//! Preparation in words.

mod fingers;
mod hardest;
mod moves;

use std::fmt;

use apoyando_fingering::{Barre, BarreLimit};
use num_rational::Ratio;

use super::barres::BarreAdvice;
use super::hardest::Hardest;
use super::moves::{Move, ShiftAdvice};
use super::seams::WayBack;
use super::{Preparation, Spot};
use crate::words::both;
use fingers::common;
use moves::way;

/// So many sentences stand before a piece.
const MOST_IN_BRIEF: usize = 4;

impl Preparation {
    /// Everything, a sentence or two to each thing: the hardest bar, then the
    /// moves, the ways back, the barres, the common fingers and those that stay on
    /// their strings, in order. Every shift is told once, by bar and beat.
    pub fn sentences(&self) -> Vec<String> {
        let mut said: Vec<String> = self.hardest.iter().map(Hardest::to_string).collect();
        said.extend(self.moves.iter().map(Move::to_string));
        said.extend(self.ways_back.iter().map(WayBack::to_string));
        said.extend(self.barres.iter().map(BarreAdvice::to_string));
        said.extend(common(&self.common));
        said.extend(self.staying_in_words());
        said
    }

    /// The few sentences that stand before a piece in a book: at most four.
    pub fn in_brief(&self) -> Vec<String> {
        let mut said: Vec<String> = self
            .hardest
            .iter()
            .filter(|hardest| hardest.of_bars > 1)
            .map(|hardest| {
                let why = hardest.why();
                format!("Bar {} is the hardest: {why}. Play it alone first.", hardest.number)
            })
            .collect();
        said.extend(self.shifts_in_brief());
        let hops = self.moves.iter().filter(|a_move| !matches!(a_move, Move::Shift(_)));
        let bars = in_bars(hops.map(|hop| hop.spot().bar));
        if let Some(bars) = bars {
            said.push(format!("In {bars} the hand is away for a moment and comes straight back."));
        }
        if let Some(barre) = self.barres.iter().find(|b| b.longest || self.barres.len() == 1) {
            let (bar, held) = (barre.spot.bar, beats(barre.beats));
            let which = if barre.longest { "The longest" } else { "The" };
            said.push(format!(
                "{which} barre is in bar {bar}: {held}, {}.",
                barre_named(barre.barre)
            ));
        }
        if let Some(seam) = self.ways_back.first().filter(|_| said.len() < MOST_IN_BRIEF) {
            let (bar, next) = (seam.spot.bar, seam.next.bar);
            said.push(format!(
                "From bar {bar} to bar {next} the hand goes {}.",
                way(seam.from, seam.to)
            ));
        }
        said
    }

    /// The shifts to prepare: those that nothing helps, or all of them.
    fn shifts_in_brief(&self) -> Option<String> {
        let shifts: Vec<&ShiftAdvice> = self
            .moves
            .iter()
            .filter_map(|a_move| match a_move {
                Move::Shift(shift) => Some(shift),
                Move::Hop(_) | Move::Reach(_) => None,
            })
            .collect();
        let bare: Vec<&ShiftAdvice> =
            shifts.iter().copied().filter(|shift| !shift.is_helped()).collect();
        let bars = |of: &[&ShiftAdvice]| in_bars(of.iter().map(|shift| shift.spot.bar));
        Some(match (shifts.as_slice(), bare.as_slice()) {
            ([], _) => return None,
            ([one], []) => {
                format!("The hand shifts to {} in bar {}: {}.", one.to, one.spot.bar, one.help())
            }
            (all, []) => format!("The hand shifts in {}; each shift has its help.", bars(all)?),
            (_, [one]) => format!(
                "Prepare the shift to {} in bar {} slowly: nothing leads the hand there.",
                one.to, one.spot.bar
            ),
            (_, bare) => {
                format!("Prepare the shifts in {} slowly: nothing leads the hand.", bars(bare)?)
            }
        })
    }
}

/// `bar 3`, `bars 3, 5 and 7`.
fn in_bars(bars: impl Iterator<Item = u32>) -> Option<String> {
    let mut bars: Vec<u32> = bars.collect();
    bars.dedup();
    let named: Vec<String> = bars.iter().map(u32::to_string).collect();
    match named.as_slice() {
        [] => None,
        [one] => Some(format!("bar {one}")),
        several => Some(format!("bars {}", both(several))),
    }
}

/// `Bar 3, beat 2½`.
impl fmt::Display for Spot {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Bar {}, beat {}", self.bar, self.beat)
    }
}

/// `half barre in II over ④ to ①`.
fn barre_named(barre: Barre) -> String {
    let size = if barre.width() <= BarreLimit::Small.width() {
        "small"
    } else if barre.width() <= BarreLimit::Half.width() {
        "half"
    } else {
        "full"
    };
    format!("a {size} barre at fret {} over {} to {}", barre.fret, barre.thick, barre.thin)
}

/// `1 beat`, `2½ beats`.
fn beats(number: Ratio<i64>) -> String {
    let whole = number.to_integer();
    let rest = number - Ratio::from_integer(whole);
    let fraction = match (*rest.numer(), *rest.denom()) {
        (0, _) => String::new(),
        (1, 2) => "½".to_owned(),
        (1, 4) => "¼".to_owned(),
        (3, 4) => "¾".to_owned(),
        (1, 3) => "⅓".to_owned(),
        (2, 3) => "⅔".to_owned(),
        (above, below) => format!(" {above}/{below}"),
    };
    let noun = if number <= Ratio::from_integer(1) { "beat" } else { "beats" };
    match (whole, fraction.as_str()) {
        (0, fraction) => format!("{} {noun}", fraction.trim_start()),
        (whole, fraction) => format!("{whole}{fraction} {noun}"),
    }
}

impl fmt::Display for BarreAdvice {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{}: lay {} and hold it for {}",
            self.spot,
            barre_named(self.barre),
            beats(self.beats)
        )?;
        f.write_str(if self.longest { "; it is the longest." } else { "." })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_are_said_in_beats() {
        for ((above, below), said) in [
            ((1, 1), "1 beat"),
            ((5, 2), "2½ beats"),
            ((1, 2), "½ beat"),
            ((4, 3), "1⅓ beats"),
            ((2, 5), "2/5 beat"),
        ] {
            assert_eq!(beats(Ratio::new(above, below)), said);
        }
    }
}
