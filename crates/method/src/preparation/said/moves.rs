//! Shifts, reaches and ways back in words.

use std::fmt;

use apoyando_fingering::{LeftFinger, Position};
use apoyando_fretboard::StringNumber;

use super::super::moves::{Hop, Move, Reach, ShiftAdvice};
use super::super::seams::WayBack;
use crate::words::{both, count, sentence};

impl ShiftAdvice {
    /// What to do, without a full stop.
    pub(super) fn help(&self) -> String {
        let mut said = Vec::new();
        if self.rest {
            said.push("move in the rest".to_owned());
        } else if !self.open.is_empty() {
            said.push(while_open(&self.open));
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

pub(super) fn way(from: Position, to: Position) -> String {
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
            Self::Reach(reach) => reach.fmt(f),
        }
    }
}

/// `move while the open ③ and ② sound`.
fn while_open(strings: &[StringNumber]) -> String {
    let verb = if strings.len() == 1 { "sounds" } else { "sound" };
    format!("move while the open {} {verb}", both(&names(strings)))
}

impl fmt::Display for Reach {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let onsets = match self.onsets {
            1 => "a moment".to_owned(),
            several => format!("{} moments", count(several)),
        };
        let stopped = self.stopped.iter().filter_map(|placement| {
            Some(format!("finger {} on {}", placement.finger?, placement.place))
        });
        let mut stopped: Vec<String> = stopped.collect();
        stopped.dedup();
        write!(f, "{}: the hand reaches {} for {onsets}", self.spot, way(self.from, self.to))?;
        if !stopped.is_empty() {
            write!(f, ", {}", both(&stopped))?;
        }
        if let Some(back) = &self.back {
            write!(f, ", and comes back in bar {}, beat {}", back.bar, back.beat)?;
        }
        f.write_str(". Leave the thumb where it is.")
    }
}

impl fmt::Display for WayBack {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let goes = if self.next.at < self.spot.at { "back" } else { "on" };
        let help = if self.rest {
            "move in the rest".to_owned()
        } else if self.open.is_empty() {
            format!(
                "nothing leads the hand: practise the last note and the next one, finger {} at fret {}",
                LeftFinger::One,
                self.to.get()
            )
        } else {
            while_open(&self.open)
        };
        write!(
            f,
            "{}: going {goes} to bar {}, beat {}, the hand shifts {}. {}.",
            self.spot,
            self.next.bar,
            self.next.beat,
            way(self.from, self.to),
            sentence(&help)
        )
    }
}
