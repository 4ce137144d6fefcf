//! A score with everything that is known of how it is played.

use apoyando_fingering::{
    EffortTable, Finding, FindingPlace, Fingering, HouseStyle, Level, Pins, Problem, Severity,
};
use apoyando_fretboard::Instrument;
use apoyando_hands::{Likeness, PluckedAlike, RightPlan, Solved};
use apoyando_music::{PartIndex, Score};
use apoyando_verify::Violation;

use crate::{house, like};

/// What is asked of one part.
#[derive(Clone, Debug)]
pub struct PartRequest {
    /// What may be asked of its player.
    pub level: Level,
    /// What has been decided about its fingering.
    pub pins: Pins,
    /// How its right hand plays.
    pub right: RightPlan,
    /// How the book likes notes to be played; the table of effort says what
    /// that is worth.
    pub house: HouseStyle,
    /// Whether a pin on a note holds for the like notes of like bars.
    pub like_bars: bool,
}

/// One part, fingered and checked.
#[derive(Clone, Debug)]
pub struct FingeredPart {
    /// The part.
    pub part: PartIndex,
    /// What was asked, with the pins that hold in like bars too.
    pub request: PartRequest,
    /// Its fingering; `None` if none could be worked out, with a finding.
    pub fingering: Option<Fingering>,
    /// Every class of bars with the same notes, and what became of it.
    pub likenesses: Vec<Likeness>,
    /// Bars that the right hand plucks alike at some cost.
    pub plucked_alike: Vec<PluckedAlike>,
    /// Everything the check has against it.
    pub violations: Vec<Violation>,
    /// What is to be said of it.
    pub findings: Vec<Finding>,
}

/// Fingers every part of a score, and checks each fingering. Two parts are two
/// players: each is fingered for itself.
pub fn finger(
    score: &Score,
    instrument: &Instrument,
    effort: &EffortTable,
    requests: Vec<PartRequest>,
) -> Vec<FingeredPart> {
    let parts = finger_and_ask(score, instrument, effort, requests, &|_, _| ());
    parts.into_iter().map(|(part, _)| part).collect()
}

/// As [`finger`], and asks more of each part while all that was weighed to
/// finger it is at hand; `None` where a part could not be fingered. Like bars are
/// alike by then.
pub fn finger_and_ask<T>(
    score: &Score,
    instrument: &Instrument,
    effort: &EffortTable,
    requests: Vec<PartRequest>,
    ask: &dyn Fn(&Problem<'_>, &Solved<'_>) -> T,
) -> Vec<(FingeredPart, Option<T>)> {
    score
        .part_indices()
        .zip(requests)
        .map(|(part, request)| finger_part(score, part, instrument, effort, request, ask))
        .collect()
}

fn finger_part<T>(
    score: &Score,
    part: PartIndex,
    instrument: &Instrument,
    effort: &EffortTable,
    mut request: PartRequest,
    ask: &dyn Fn(&Problem<'_>, &Solved<'_>) -> T,
) -> (FingeredPart, Option<T>) {
    if request.like_bars {
        let problem = Problem {
            score,
            part,
            instrument,
            level: &request.level,
            pins: &request.pins,
            effort,
            house: &request.house,
        };
        let likes = like::spread(&problem);
        request.pins.0.extend(likes);
    }
    let problem = Problem {
        score,
        part,
        instrument,
        level: &request.level,
        pins: &request.pins,
        effort,
        house: &request.house,
    };
    let (mut answer, mut likenesses, mut plucked_alike) = (None, Vec::new(), Vec::new());
    let (fingering, violations, mut findings) =
        match apoyando_hands::solve(&problem, &request.right).and_then(Solved::alike) {
            Ok((solved, like)) => {
                likenesses = like;
                answer = Some(ask(&problem, &solved));
                let house = house::advice(&problem, &solved);
                let solution = solved.into_solution();
                let violations = apoyando_verify::verify(&problem, &solution.fingering);
                plucked_alike = solution.plucked_alike;
                let mut findings = solution.findings;
                findings.extend(house);
                (Some(solution.fingering), violations, findings)
            }
            Err(error) => {
                let finding = Finding {
                    rule: "no-fingering",
                    severity: Severity::Error,
                    place: FindingPlace::default(),
                    message: error.to_string(),
                    remedy: None,
                    remedies: Vec::new(),
                };
                (None, Vec::new(), vec![finding])
            }
        };
    findings.extend(likenesses.iter().filter_map(|like| like.finding(score, part)));
    if let Some(fingering) = &fingering {
        findings.extend(like::offer(&problem, fingering));
    }
    // A breach of the author's rules is a finding of the search already; any
    // other violation means that search and check disagree.
    findings.extend(
        violations
            .iter()
            .filter(|violation| !violation.rule().is_authors())
            .map(Violation::finding),
    );
    if score.parts().len() > 1 {
        let name = part_name(score, part);
        for finding in &mut findings {
            finding.place.part.get_or_insert_with(|| name.clone());
        }
    }
    let part =
        FingeredPart { part, request, fingering, likenesses, plucked_alike, violations, findings };
    (part, answer)
}

/// The name of a part, or its number.
pub fn part_name(score: &Score, part: PartIndex) -> String {
    match score.part(part).name.as_str() {
        "" => format!("part {}", part.0 + 1),
        name => name.to_owned(),
    }
}
