//! How an item is practised: the tempos on the way to its goal, and other ways of
//! the right hand.

use apoyando_book::{Item, RightPattern};
use apoyando_music::Score;

/// The marks of a clockwork metronome from 40 to 208 beats a minute. Common practice,
/// from memory.
const MARKS: [u16; 39] = [
    40, 42, 44, 46, 48, 50, 52, 54, 56, 58, 60, 63, 66, 69, 72, 76, 80, 84, 88, 92, 96, 100, 104,
    108, 112, 116, 120, 126, 132, 138, 144, 152, 160, 168, 176, 184, 192, 200, 208,
];

/// Shares of the goal at which it is played on the way. House values: slow enough to
/// think, then three steps.
const STEPS: [f64; 3] = [0.6, 0.75, 0.88];

/// What is printed of how an item is practised.
#[derive(Clone, PartialEq, Eq, Hash, Debug, Default)]
pub struct Practice {
    /// What it is for; may be empty.
    pub aim: String,
    /// The beat of the metronome: `quarter notes`.
    pub beat: &'static str,
    /// Tempos in beats a minute, up to the goal; none without one.
    pub tempos: Vec<u16>,
    /// Other patterns of the right hand: `m i`.
    pub also_with: Vec<String>,
}

impl Practice {
    /// The tempos, and the words before them; none without a goal.
    #[must_use]
    pub fn metronome(&self) -> Option<(String, Vec<String>)> {
        let tempos: Vec<String> = self.tempos.iter().map(ToString::to_string).collect();
        (!tempos.is_empty()).then(|| (format!("Metronome, {}:", self.beat), tempos))
    }

    /// The other patterns, and the words before them.
    #[must_use]
    pub fn otherwise(&self) -> Option<(String, Vec<String>)> {
        (!self.also_with.is_empty()).then(|| ("Also with".to_owned(), self.also_with.clone()))
    }
}

/// The mark nearest to a tempo.
fn mark(tempo: f64) -> u16 {
    let away = |mark: u16| (f64::from(mark) - tempo).abs();
    MARKS.into_iter().min_by(|a, b| away(*a).total_cmp(&away(*b))).unwrap_or(60)
}

/// The tempos on the way to a goal; the goal is as the author has it.
#[must_use]
pub fn tempos(goal: u16) -> Vec<u16> {
    let mut tempos: Vec<u16> = STEPS.map(|step| mark(step * f64::from(goal))).to_vec();
    tempos.retain(|tempo| *tempo < goal);
    tempos.push(goal);
    tempos.dedup();
    tempos
}

/// What is printed with an item.
#[must_use]
pub fn practice(item: &Item, score: &Score) -> Practice {
    Practice {
        aim: item.aim.clone().unwrap_or_default(),
        beat: beat(score),
        tempos: item.goal.map(tempos).unwrap_or_default(),
        also_with: item.also_with.iter().map(RightPattern::to_string).collect(),
    }
}

/// What the metronome beats: a dotted value where beats divide in three.
fn beat(score: &Score) -> &'static str {
    let Some(metre) = score.bars().first().map(|bar| bar.metre) else { return "beats" };
    match (metre.is_compound(), metre.unit) {
        (true, 4) => "dotted half notes",
        (true, 8) => "dotted quarter notes",
        (true, 16) => "dotted eighth notes",
        (false, 2) => "half notes",
        (false, 4) => "quarter notes",
        (false, 8) => "eighth notes",
        _ => "beats",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tempos_lead_up_to_the_goal() {
        assert_eq!(tempos(80), [48, 60, 69, 80]);
        assert_eq!(tempos(120), [72, 88, 104, 120]);
        assert_eq!(tempos(44), [40, 44]);
        assert_eq!(tempos(30), [30]);
    }
}
