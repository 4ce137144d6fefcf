//! What more is asked of a fingering: other ways, reasons and ways out.

use std::collections::BTreeSet;

use apoyando_fingering::{Finding, Placement, Position, Problem, Scope};
use apoyando_hands::{
    Alternative, Change, Difference, HandsError, Reason, RightPlan, Solved, WaysOut,
};
use apoyando_music::{PartIndex, Score, ToneId};

use super::passage::{OtherPassage, passages};
use super::request::locate;
use crate::args::{FingerArguments, ReasonsFlag};

/// What is asked about each part.
#[derive(Default)]
pub struct Questions {
    parts: Vec<PartQuestions>,
    prepare: bool,
}

#[derive(Clone, Default)]
struct PartQuestions {
    alternatives: BTreeSet<ToneId>,
    reasons: BTreeSet<ToneId>,
    passages: Vec<Scope>,
}

/// What is answered about a part.
#[derive(Default)]
pub struct Answers {
    /// Notes in the order of their numbers.
    pub notes: Vec<NoteAnswer>,
    /// Passages in the order in which they were asked for.
    pub passages: Vec<PassageAnswer>,
    /// What could be changed where notes are left out or rules broken.
    pub ways_out: WaysOut,
    /// Why that could not be worked out.
    pub no_ways_out: Option<HandsError>,
    /// What is to be prepared, in sentences, if that was asked.
    pub preparation: Option<Vec<String>>,
}

/// What is answered about a note.
pub struct NoteAnswer {
    /// The note.
    pub tone: ToneId,
    /// Why it is played as it is, if that was asked.
    pub reason: Option<Reason>,
    /// Other ways, if they were asked for, the cheapest first.
    pub others: Option<Vec<OtherWay>>,
}

/// Another way for a note.
pub struct OtherWay {
    /// The difference, and what it costs.
    pub alternative: Alternative,
    /// What it pays more and what less.
    pub changes: Vec<Change>,
    /// How the note is then played.
    pub placement: Option<Placement>,
    /// Where the hand then is; `None` in the air.
    pub position: Option<Position>,
}

/// What is answered about bars.
pub struct PassageAnswer {
    /// The bars.
    pub bars: Scope,
    /// Other ways, the cheapest first.
    pub others: Vec<OtherPassage>,
}

impl Questions {
    /// Places the questions that were typed in a score; what cannot be placed
    /// becomes a finding.
    pub fn of(score: &Score, arguments: &FingerArguments, findings: &mut Vec<Finding>) -> Self {
        let mut parts = vec![PartQuestions::default(); score.parts().len()];
        for place in &arguments.alternatives {
            match locate(score, "--alternatives", place) {
                Ok((part, Scope::Tone(tone))) => {
                    parts[usize::from(part.0)].alternatives.insert(tone);
                }
                Ok((part, bars)) => parts[usize::from(part.0)].passages.push(bars),
                Err(finding) => findings.push(*finding),
            }
        }
        for flag in &arguments.reasons {
            let place = match flag {
                ReasonsFlag::All => {
                    for (part, asked) in score.part_indices().zip(&mut parts) {
                        asked.reasons.extend(score.tones(part).as_slice().iter().map(|t| t.id));
                    }
                    continue;
                }
                ReasonsFlag::At(place) => place,
            };
            match locate(score, "--reasons", place) {
                Ok((part, scope)) => {
                    parts[usize::from(part.0)].reasons.extend(tones_in(score, part, scope));
                }
                Err(finding) => findings.push(*finding),
            }
        }
        Self { parts, prepare: arguments.prepare }
    }

    /// Answers what is asked about a part.
    pub fn answer(&self, problem: &Problem<'_>, right: &RightPlan, solved: &Solved<'_>) -> Answers {
        let Some(asked) = self.parts.get(usize::from(problem.part.0)) else {
            return Answers::default();
        };
        let tones: BTreeSet<ToneId> = asked.alternatives.union(&asked.reasons).copied().collect();
        let notes = tones
            .into_iter()
            .map(|tone| NoteAnswer {
                tone,
                reason: asked.reasons.contains(&tone).then(|| solved.reason(tone)).flatten(),
                others: asked.alternatives.contains(&tone).then(|| others(problem, solved, tone)),
            })
            .collect();
        let passages = asked
            .passages
            .iter()
            .map(|bars| PassageAnswer {
                bars: *bars,
                others: passages(problem, right, solved.solution(), *bars),
            })
            .collect();
        let (ways_out, no_ways_out) = match solved.ways_out() {
            Ok(ways_out) => (ways_out, None),
            Err(error) => (WaysOut::default(), Some(error)),
        };
        let preparation = self.prepare.then(|| {
            let preparation =
                apoyando_method::prepare(problem, right, &solved.solution().fingering);
            preparation.map(|all| all.sentences()).unwrap_or_default()
        });
        Answers { notes, passages, preparation, ways_out, no_ways_out }
    }
}

/// The tones of a place; over bars, those struck in them.
fn tones_in(score: &Score, part: PartIndex, scope: Scope) -> Vec<ToneId> {
    match scope {
        Scope::Tone(tone) => vec![tone],
        Scope::Bars { first, last } => score
            .tones(part)
            .as_slice()
            .iter()
            .filter(|tone| score.bar_at(tone.onset).is_some_and(|bar| first <= bar && bar <= last))
            .map(|tone| tone.id)
            .collect(),
    }
}

fn others(problem: &Problem<'_>, solved: &Solved<'_>, tone: ToneId) -> Vec<OtherWay> {
    let onset = problem.score.tones(problem.part).get(tone).onset;
    solved
        .alternatives(tone)
        .into_iter()
        .map(|alternative| {
            let fingering = solved.fingering_of(&alternative);
            let posture = fingering.as_ref().and_then(|fingering| {
                fingering.postures.iter().find(|posture| posture.at == onset)
            });
            OtherWay {
                alternative,
                changes: solved.changes(&alternative),
                placement: fingering.as_ref().and_then(|fingering| fingering.tone(tone).left),
                position: posture.filter(|posture| !posture.idle).and_then(|p| p.position),
            }
        })
        .collect()
}

/// The difference as a player says it.
pub fn difference_in_words(difference: Difference) -> String {
    match difference {
        Difference::Place(place) if place.fret.is_open() => format!("open {}", place.string),
        Difference::Place(place) => format!("{} fret {}", place.string, place.fret),
        Difference::Finger(finger) => format!("finger {finger}"),
        Difference::Position(position) => format!("position {position}"),
    }
}
