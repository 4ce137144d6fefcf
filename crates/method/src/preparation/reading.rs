//! A fingering read against its score.

use std::collections::HashMap;

use apoyando_fingering::{Fingering, Posture, Problem};
use apoyando_music::{Moment, Score, ToneId, Tones};

use crate::error::MethodError;

/// A fingering that is known to be one of the score.
pub(super) struct Reading<'a> {
    pub(super) problem: &'a Problem<'a>,
    pub(super) fingering: &'a Fingering,
    pub(super) tones: Tones,
    /// By onset, the latest written end of what is struck up to it.
    silence_after: Vec<(Moment, Moment)>,
}

impl<'a> Reading<'a> {
    pub(super) fn of(
        problem: &'a Problem<'a>,
        fingering: &'a Fingering,
    ) -> Result<Self, MethodError> {
        let score = problem.score;
        let of_score = fingering.revision == score.revision()
            && fingering.part == problem.part
            && usize::from(problem.part.0) < score.parts().len();
        if !of_score {
            return Err(MethodError::OtherScore);
        }
        let tones = score.tones(problem.part);
        let known = |tone: ToneId| (tone.0 as usize) < tones.len();
        let in_order = fingering.postures.windows(2).all(|two| two[0].at < two[1].at);
        let all_known =
            fingering.postures.iter().all(|p| p.sounding.iter().all(|(t, _)| known(*t)))
                && fingering.let_go.iter().all(|gone| known(gone.tone));
        if fingering.tones.len() != tones.len() || !in_order || !all_known {
            return Err(MethodError::OtherScore);
        }
        let silence_after = silence_after(&tones);
        Ok(Self { problem, fingering, tones, silence_after })
    }

    pub(super) fn score(&self) -> &'a Score {
        self.problem.score
    }

    /// Index of the posture at an onset, or of the first one after it.
    pub(super) fn posture_from(&self, at: Moment) -> usize {
        self.fingering.postures.partition_point(|posture| posture.at < at)
    }

    /// The posture at an onset.
    pub(super) fn posture(&self, at: Moment) -> Option<&'a Posture> {
        self.fingering.postures.get(self.posture_from(at)).filter(|posture| posture.at == at)
    }

    /// The last posture before a moment.
    pub(super) fn posture_before(&self, at: Moment) -> Option<&'a Posture> {
        self.fingering.postures.get(self.posture_from(at).checked_sub(1)?)
    }

    /// Whether all that was struck before a moment has ended before it.
    pub(super) fn rests_before(&self, at: Moment) -> bool {
        let before = self.silence_after.partition_point(|(onset, _)| *onset < at);
        before.checked_sub(1).is_some_and(|last| self.silence_after[last].1 < at)
    }

    /// Whether nothing is struck at a moment and nothing struck before goes on.
    pub(super) fn is_silent(&self, at: Moment) -> bool {
        let before = self.silence_after.partition_point(|(onset, _)| *onset < at);
        let over = before.checked_sub(1).is_none_or(|last| self.silence_after[last].1 <= at);
        over && self.silence_after.get(before).is_none_or(|(onset, _)| *onset > at)
    }

    /// Until when the notes of a posture are heard at the latest.
    pub(super) fn end_of(&self, posture: &Posture) -> Moment {
        let ends = posture.sounding.iter().map(|(tone, _)| self.fingering.tone(*tone).sounds_until);
        ends.max().unwrap_or(posture.at).max(posture.at)
    }
}

/// Ends as the model has them: at the latest where the key is struck again.
fn silence_after(tones: &Tones) -> Vec<(Moment, Moment)> {
    // By key, the onset looked at last and the next one after it.
    let mut again: HashMap<_, (Moment, Option<Moment>)> = HashMap::new();
    let mut ends: Vec<(Moment, Moment)> = Vec::new();
    for tone in tones.as_slice().iter().rev() {
        let key = tone.pitch.key_number();
        let next = match again.get(&key) {
            // A unison struck at the same onset does not end its twin.
            Some((onset, next)) if *onset == tone.onset => *next,
            Some((onset, _)) => Some(*onset),
            None => None,
        };
        again.insert(key, (tone.onset, next));
        ends.push((tone.onset, next.map_or(tone.end, |next| tone.end.min(next))));
    }
    ends.reverse();
    let mut latest = Moment::START;
    for (_, end) in &mut ends {
        latest = latest.max(*end);
        *end = latest;
    }
    ends
}
