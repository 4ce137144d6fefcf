//! Right-hand letters: on one baseline above the staff; where two voices share
//! the staff the thumb's on one below it. The letters of a chord are stacked,
//! the highest note's on top.

use std::collections::BTreeMap;

use apoyando_fingering::RightFinger;
use apoyando_marks::{Marks, Nudged};
use apoyando_music::{Moment, NoteId};

use super::clear;
use super::sign::{Letter, Sizes};
use crate::drawing::Owner;
use crate::geometry::Stage;

/// The letters of one onset on one side, from the lowest note up.
struct Stack {
    centre: f64,
    letters: Vec<(NoteId, Letter)>,
}

impl Stack {
    fn half_width(&self) -> f64 {
        self.letters.iter().map(|(_, letter)| letter.width()).fold(0.0, f64::max) / 2.0
    }

    /// From one baseline to the next: the same from each letter to the one over it, as
    /// far as the two that need most. With equal white between them instead, the dot of
    /// i and the tail of p would make the rows of a stack uneven.
    fn pitch(&self) -> f64 {
        let pairs = self.letters.windows(2).map(|pair| [&pair[0].1, &pair[1].1]);
        pairs
            .map(|[below, above]| below.rise() + clear::LETTER_STACK + above.depth())
            .fold(0.0, f64::max)
    }

    /// Baseline of each letter over the lowest.
    fn baselines(&self) -> Vec<f64> {
        let pitch = self.pitch();
        (0..self.letters.len()).map(|rank| rank as f64 * pitch).collect()
    }

    fn height(&self) -> f64 {
        let top = self.letters.last().map_or(0.0, |(_, letter)| letter.rise());
        self.baselines().last().copied().unwrap_or(0.0) + top
    }
}

/// Puts all right-hand letters on a staff.
pub fn place(marks: &Marks, sizes: &Sizes, stage: &mut Stage) {
    let two_voices = stage.heads.iter().any(|head| head.side.is_some());
    let mut above: BTreeMap<Moment, Vec<(i32, f64, NoteId, Letter)>> = BTreeMap::new();
    let mut below = above.clone();
    for head in stage.heads.iter().filter(|head| !head.tied_from) {
        let Some(finger) = marks.right_of(head.note) else { continue };
        let lower = two_voices && finger == RightFinger::P;
        let side = if lower { &mut below } else { &mut above };
        let centre = (head.head.left + head.head.right) / 2.0;
        let letter = Letter::new(finger, sizes);
        side.entry(head.onset).or_default().push((head.step, centre, head.note, letter));
    }
    for (side, is_above) in [(above, true), (below, false)] {
        let stacks: Vec<Stack> = side
            .into_values()
            .map(|mut letters| {
                letters.sort_by_key(|(step, ..)| *step);
                let centre = letters.iter().map(|(_, centre, ..)| *centre).sum::<f64>()
                    / letters.len() as f64;
                let letters =
                    letters.into_iter().map(|(_, _, note, letter)| (note, letter)).collect();
                Stack { centre, letters }
            })
            .collect();
        put_line(&spaced(stacks), is_above, marks, stage);
    }
}

/// Stacks that would run into the one before moved to the right, as little as
/// can be.
fn spaced(mut stacks: Vec<Stack>) -> Vec<Stack> {
    let mut right = f64::MIN;
    for stack in &mut stacks {
        let half = stack.half_width();
        stack.centre = stack.centre.max(right + clear::LETTER_SIDE + half);
        right = stack.centre + half;
    }
    stacks
}

fn put_line(stacks: &[Stack], above: bool, marks: &Marks, stage: &mut Stage) {
    let line = if above { &stage.above } else { &stage.below };
    let baseline = stacks
        .iter()
        .map(|stack| {
            // A narrow letter stands over its stem, not beside the tip.
            let half = stack.half_width().max(clear::LETTER_OVER) + clear::LETTER;
            let reach = line.reach(stack.centre - half, stack.centre + half) + clear::LETTER;
            let depth = stack.letters.first().map_or(0.0, |(_, letter)| letter.depth());
            if above { reach + depth } else { reach + stack.height() }
        })
        .max_by(f64::total_cmp);
    let Some(baseline) = baseline.map(|level| if above { level } else { -level }) else { return };
    for stack in stacks {
        for ((note, letter), rise) in stack.letters.iter().zip(stack.baselines()) {
            let left = stack.centre - letter.width() / 2.0;
            let (right, up) = marks.nudge_of(*note, Nudged::Letter);
            letter.put(stage, Owner::Note(*note), left + right, baseline + rise + up);
        }
    }
}
