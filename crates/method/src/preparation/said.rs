//! Preparation in words.

use std::fmt;

use apoyando_fingering::{Barre, BarreLimit, LeftFinger, Position};
use apoyando_fretboard::StringNumber;
use num_rational::Ratio;

use super::barres::BarreAdvice;
use super::common::CommonFingers;
use super::hardest::{Hardest, Load};
use super::moves::{Hop, Move, ShiftAdvice};
use super::round::{Loop, Seam};
use super::{Preparation, Spot};
use crate::words::{both, sentence};

impl Preparation {
    /// Everything, a sentence or two to each thing: the hardest bar, then the
    /// moves, the barres and the common fingers, in order. Every shift is told
    /// once, by bar and beat.
    pub fn sentences(&self) -> Vec<String> {
        let mut said: Vec<String> = self.hardest.iter().map(Hardest::to_string).collect();
        said.extend(self.moves.iter().map(Move::to_string));
        said.extend(self.barres.iter().map(BarreAdvice::to_string));
        said.extend(common(&self.common));
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
        let hops = self.moves.iter().filter(|a_move| matches!(a_move, Move::Hop(_)));
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
        said
    }

    /// The shifts to prepare: those that nothing helps, or all of them.
    fn shifts_in_brief(&self) -> Option<String> {
        let shifts: Vec<&ShiftAdvice> = self
            .moves
            .iter()
            .filter_map(|a_move| match a_move {
                Move::Shift(shift) => Some(shift),
                Move::Hop(_) => None,
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

impl ShiftAdvice {
    /// What to do, without a full stop.
    fn help(&self) -> String {
        let mut said = Vec::new();
        if self.rest {
            said.push("move in the rest".to_owned());
        } else if !self.open.is_empty() {
            let (verb, open) = match self.open.as_slice() {
                [one] => ("sounds", one.to_string()),
                several => ("sound", both(&names(several))),
            };
            said.push(format!("move while the open {open} {verb}"));
        }
        if let Some((finger, string)) = self.pivot {
            said.push(format!("finger {finger} stays on {string} and the hand turns about it"));
        }
        if let Some((finger, string)) = self.guide {
            said.push(format!("finger {finger} guides along {string}, light but not lifted"));
        }
        if said.is_empty() {
            said.push(format!(
                "nothing leads the hand: look where {} will be and prepare it slowly",
                self.arrival()
            ));
        }
        if !self.let_go.is_empty() {
            let notes: Vec<String> = self.let_go.iter().map(|p| p.place.to_string()).collect();
            said.insert(0, format!("let go of {} before its value is over", both(&notes)));
        }
        both_clauses(&said)
    }

    fn arrival(&self) -> String {
        format!("finger {} at fret {}", LeftFinger::One, self.to.get())
    }
}

/// Clauses that follow one another.
fn both_clauses(clauses: &[String]) -> String {
    clauses.join("; ")
}

fn names(strings: &[StringNumber]) -> Vec<String> {
    strings.iter().map(ToString::to_string).collect()
}

fn way(from: Position, to: Position) -> String {
    format!("from {from} to {to}")
}

impl fmt::Display for ShiftAdvice {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: shift {}. {}.", self.spot, way(self.from, self.to), sentence(&self.help()))
    }
}

impl fmt::Display for Hop {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (there, back) = (&self.there, &self.back);
        let what = match (self.onsets, self.chords) {
            (1, false) => "one note",
            (1, true) => "one chord",
            (_, false) => "two notes",
            (_, true) => "two chords",
        };
        write!(
            f,
            "{}: the hand goes {} for {what} and is back in bar {}, beat {}. ",
            there.spot,
            way(there.from, there.to),
            back.spot.bar,
            back.spot.beat
        )?;
        match (there.is_helped(), back.is_helped()) {
            (true, true) => write!(f, "There: {}. Back: {}.", there.help(), back.help()),
            (true, false) => write!(f, "There: {}. Leave the thumb where it is.", there.help()),
            (false, true) => write!(f, "Leave the thumb where it is. Back: {}.", back.help()),
            (false, false) => f.write_str("Leave the thumb where it is and reach from it."),
        }
    }
}

impl fmt::Display for Move {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Shift(shift) => shift.fmt(f),
            Self::Hop(hop) => hop.fmt(f),
        }
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

/// Chords that keep the same fingers are told together.
fn common(all: &[CommonFingers]) -> Vec<String> {
    let mut told: Vec<(&CommonFingers, Vec<&Spot>)> = Vec::new();
    for one in all {
        match told.iter_mut().find(|(first, _)| first.kept == one.kept) {
            Some((_, spots)) => spots.push(&one.spot),
            None => told.push((one, vec![&one.spot])),
        }
    }
    told.into_iter()
        .map(|(one, spots)| {
            let fingers: Vec<String> =
                one.kept.iter().map(|kept| format!("{} on {}", kept.finger, kept.place)).collect();
            let (noun, verb) =
                if one.kept.len() == 1 { ("Finger", "stays") } else { ("Fingers", "stay") };
            let places: Vec<String> =
                spots.iter().map(|spot| format!("bar {}, beat {}", spot.bar, spot.beat)).collect();
            format!("{noun} {} {verb} down into the chord of {}.", both(&fingers), both(&places))
        })
        .collect()
}

impl Load {
    /// As it stands after *it asks for*.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Shifts => "shifts of the hand",
            Self::Stretches => "stretches",
            Self::Barres => "a barre",
            Self::CutNotes => "notes that the hand cannot hold to their end",
            Self::Jumps => "a finger that jumps strings",
            Self::Slides => "a finger that slides to its next note",
            Self::Replacing => "one finger after another on the same note",
            Self::Crowded => "fingers close together",
            Self::WeakFingers => "work for 3 and 4",
            Self::Height => "playing high on the neck",
            Self::Stopped => "many stopped notes",
        }
    }
}

impl Hardest {
    /// The two largest loads, or the one.
    pub fn why(&self) -> String {
        let loads = self.loads.iter().filter(|(_, amount)| *amount > 0).take(2);
        let words: Vec<String> = loads.map(|(load, _)| load.words().to_owned()).collect();
        format!("it asks for {}", both(&words))
    }
}

impl fmt::Display for Hardest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let tempo = if self.usual_tempo { ", reckoned at 72 quarters a minute" } else { "" };
        write!(f, "Bar {} is the hardest{tempo}: {}.", self.number, self.why())?;
        if let Some(round) = &self.round {
            write!(f, " {round}")?;
        }
        Ok(())
    }
}

impl fmt::Display for Loop {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(if self.landing {
            "Play it round and round with the notes that follow, and use the rest to go back"
        } else {
            "Play it round and round by itself"
        })?;
        match &self.seam {
            Seam::Stays => f.write_str("."),
            Seam::Shifts(shift) => {
                write!(f, "; going round, the hand shifts {}.", way(shift.from, shift.to))
            }
        }
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
