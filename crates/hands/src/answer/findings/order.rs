//! Repeats: an order of play that cannot be followed, and ways back in a hurry.

use apoyando_fingering::Severity;
use apoyando_music::{Moment, PlayOrderError, Score, play_order};

use super::{Found, Told};
use crate::heard::clock::{Clock, UNHURRIED};
use crate::when;

impl Told<'_> {
    /// Repeats and jumps that contradict one another.
    pub(super) fn order_of_play(&self, found: &mut Found) {
        let score = self.problem.score;
        let Err(fault) = play_order(score) else { return };
        let at = start_of(score, bar_of(&fault));
        self.say(
            found,
            at,
            ("repeats-not-followed", Severity::Warning),
            format!(
                "the repeats cannot be followed, so that the bars are fingered as they are written, without a way back: {fault}"
            ),
            None,
        );
    }

    /// Ways back that leave the hand neither time nor an open string to shift.
    pub(super) fn hurried_seams(&self, found: &mut Found) {
        let score = self.problem.score;
        let clock = Clock::of(score);
        let idle = |at: Moment| {
            let postures = &self.fingering.postures;
            let index = postures.partition_point(|posture| posture.at < at);
            postures.get(index).is_some_and(|posture| posture.idle)
        };
        for (seam, heard) in self.fingering.seams.iter().zip(&self.music.order.seams) {
            let Some((from, to)) = seam.shift else { continue };
            let milliseconds = clock.lasting(seam.from, heard.lasts);
            if milliseconds >= UNHURRIED || idle(seam.from) || idle(seam.to) {
                continue;
            }
            let goes_back = if seam.to < seam.from { "back to" } else { "on to" };
            self.say(
                found,
                seam.from,
                ("repeat-shifts", Severity::Advice),
                format!(
                    "the way {goes_back} bar {}, beat {}, asks for a shift from {from} to {to} within {} of a second",
                    when::bar_number(score, seam.to),
                    when::beat(score, seam.to),
                    tenths(milliseconds)
                ),
                Some(
                    "let the repeat begin or end on an open string, or pin both ends to one position"
                        .to_owned(),
                ),
            );
        }
    }
}

/// `0.3`.
fn tenths(milliseconds: i64) -> String {
    format!("0.{}", (milliseconds / 100).max(1))
}

/// The printed number of the bar at which an order of play fails.
const fn bar_of(fault: &PlayOrderError) -> u32 {
    use PlayOrderError as E;
    match fault {
        E::Unclosed { open } => *open,
        E::MissingEnding { from, .. } => *from,
        E::Nested { bar, .. }
        | E::EndingWithoutRepeat { bar }
        | E::NoSegno { bar, .. }
        | E::NoFine { bar, .. }
        | E::NoToCoda { bar, .. }
        | E::NoCoda { bar }
        | E::LoneCoda { bar }
        | E::LoneToCoda { bar } => *bar,
    }
}

fn start_of(score: &Score, number: u32) -> Moment {
    let bar = score.bars().iter().find(|bar| bar.number == number);
    bar.map_or(Moment::START, |bar| bar.start)
}
