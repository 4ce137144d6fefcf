//! A bar to be played round and round.

use apoyando_fingering::{Fingering, Pins, Problem};
use apoyando_hands::RightPlan;
use apoyando_music::{BarIndex, PartIndex, Score};

use super::cut::{Cutting, Measure, cut};
use super::moves::{ShiftAdvice, shifts};
use super::reading::Reading;

/// A bar of a piece as an exercise, between repeat signs, with the fingering
/// that it has in the piece.
#[derive(Clone, PartialEq, Debug)]
pub struct Loop {
    /// The bar in one part, in the clef, key, metre and tempo of the piece.
    pub score: Score,
    /// The fingering of the piece, as decisions on its notes.
    pub pins: Pins,
    /// The whole fingering: what the search makes of those decisions.
    pub fingering: Fingering,
    /// Whether the next notes of the piece are added as a second bar, with
    /// rests behind them, in which the hand has time to go back.
    pub landing: bool,
    /// What the left hand does when it goes round.
    pub seam: Seam,
}

/// The way from the end of a loop to its beginning.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Seam {
    /// The hand stays where it is.
    Stays,
    /// The hand shifts back; the place is in the second time round.
    Shifts(ShiftAdvice),
}

/// The loop of a bar: the bar alone if the hand stays over the seam, else with
/// a landing, if one can be written. `None` if the fingering of the piece does
/// not stand by itself.
pub(super) fn of_bar(reading: &Reading<'_>, right: &RightPlan, bar: BarIndex) -> Option<Loop> {
    let alone = [Measure { bar, landing: false }];
    let plain = made(reading, right, &alone);
    if plain.as_ref().is_some_and(|plain| plain.seam == Seam::Stays) {
        return plain;
    }
    let next = BarIndex(bar.0 + 1);
    let struck = |next: BarIndex| {
        let bar = reading.score().bars().get(next.0 as usize)?;
        reading.posture(bar.start)
    };
    let landed = struck(next)
        .and_then(|_| made(reading, right, &[alone[0], Measure { bar: next, landing: true }]));
    landed.or(plain)
}

fn made(reading: &Reading<'_>, right: &RightPlan, measures: &[Measure]) -> Option<Loop> {
    let cutting = cut(reading, measures, true)?;
    let fingering = fingered(reading, right, &cutting)?;
    let seam = seam(reading, right, measures)?;
    let landing = measures.iter().any(|measure| measure.landing);
    Some(Loop { score: cutting.score, pins: cutting.pins, fingering, landing, seam })
}

fn problem<'a>(reading: &'a Reading<'_>, cutting: &'a Cutting) -> Problem<'a> {
    let whole = reading.problem;
    Problem {
        score: &cutting.score,
        part: PartIndex(0),
        instrument: whole.instrument,
        level: whole.level,
        pins: &cutting.pins,
        effort: whole.effort,
        house: whole.house,
    }
}

/// The fingering of cut bars, if it is that of the piece.
fn fingered(reading: &Reading<'_>, right: &RightPlan, cutting: &Cutting) -> Option<Fingering> {
    let strokes = RightPlan { patterns: Vec::new(), ..right.clone() };
    let solution = apoyando_hands::finger(&problem(reading, cutting), &strokes).ok()?;
    let same = solution.fingering.tones.iter().zip(&cutting.sources).all(|(tone, source)| {
        let before = reading.fingering.tone(*source);
        before.left.is_none_or(|left| tone.left == Some(left))
            && before.right.is_none_or(|right| tone.right == Some(right))
    });
    same.then_some(solution.fingering)
}

/// Goes round once more and looks at the way back.
fn seam(reading: &Reading<'_>, right: &RightPlan, measures: &[Measure]) -> Option<Seam> {
    let twice = cut(reading, &[measures, measures].concat(), false)?;
    let fingering = fingered(reading, right, &twice)?;
    let problem = problem(reading, &twice);
    let read = Reading::of(&problem, &fingering).ok()?;
    let second = twice.score.bars().get(measures.len())?.start;
    let stopped = fingering.postures.iter().find(|p| p.at >= second && !p.idle);
    let back =
        shifts(&read).into_iter().find(|shift| stopped.is_some_and(|p| p.at == shift.spot.at));
    Some(back.map_or(Seam::Stays, Seam::Shifts))
}
