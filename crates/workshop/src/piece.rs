//! A score with everything that is known of how it is played.

use apoyando_fingering::{
    EffortTable, Finding, FindingPlace, Fingering, Level, Pins, Problem, Severity,
};
use apoyando_fretboard::Instrument;
use apoyando_hands::RightPlan;
use apoyando_music::{PartIndex, Score};
use apoyando_verify::Violation;

/// What is asked of one part.
#[derive(Clone, Debug)]
pub struct PartRequest {
    /// What may be asked of its player.
    pub level: Level,
    /// What has been decided about its fingering.
    pub pins: Pins,
    /// How its right hand plays.
    pub right: RightPlan,
}

/// One part, fingered and checked.
#[derive(Clone, Debug)]
pub struct FingeredPart {
    /// The part.
    pub part: PartIndex,
    /// What was asked.
    pub request: PartRequest,
    /// Its fingering; `None` if none could be worked out, with a finding.
    pub fingering: Option<Fingering>,
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
    score
        .part_indices()
        .zip(requests)
        .map(|(part, request)| finger_part(score, part, instrument, effort, request))
        .collect()
}

fn finger_part(
    score: &Score,
    part: PartIndex,
    instrument: &Instrument,
    effort: &EffortTable,
    request: PartRequest,
) -> FingeredPart {
    let problem =
        Problem { score, part, instrument, level: &request.level, pins: &request.pins, effort };
    let (fingering, violations, mut findings) =
        match apoyando_hands::finger(&problem, &request.right) {
            Ok(solution) => {
                let violations = apoyando_verify::verify(&problem, &solution.fingering);
                (Some(solution.fingering), violations, solution.findings)
            }
            Err(error) => {
                let finding = Finding {
                    rule: "no-fingering",
                    severity: Severity::Error,
                    place: FindingPlace::default(),
                    message: error.to_string(),
                    remedy: None,
                };
                (None, Vec::new(), vec![finding])
            }
        };
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
    FingeredPart { part, request, fingering, violations, findings }
}

/// The name of a part, or its number.
pub fn part_name(score: &Score, part: PartIndex) -> String {
    match score.part(part).name.as_str() {
        "" => format!("part {}", part.0 + 1),
        name => name.to_owned(),
    }
}
