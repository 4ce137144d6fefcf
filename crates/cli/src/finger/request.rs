//! From what was typed to what is asked of the hands.

use apoyando_book::{
    House, NamedLevel, PlannedPin, PlannedRule, PlannedScope, SourcePlace, read_level,
};
use apoyando_fingering::{BarreLimit, Finding, FretSet, Level, Pins, Problem, Reach, Scope};
use apoyando_formats::ReadPiece;
use apoyando_fretboard::{Fret, Instrument};
use apoyando_hands::{RightPattern, RightPlan, Solved};
use apoyando_music::{Base, NoteValue, PartIndex, Score, Tempo};
use apoyando_workshop::{piece, pins};

use super::FingeredPiece;
use super::answers::Questions;
use super::house::HouseRules;
use crate::args::{BarreWord, FingerArguments, PlaceFlag};

/// What holds for every score of a run.
pub struct Setting {
    /// What it is played on.
    pub instrument: Instrument,
    /// What may be asked of the player.
    pub level: Level,
    /// House style where a score's own book has none.
    pub house: HouseRules,
}

impl Setting {
    /// What was typed.
    ///
    /// # Errors
    /// Sentences that name the option, what was read and what is allowed.
    pub fn of(arguments: &FingerArguments) -> Result<Self, Vec<String>> {
        let instrument = Instrument {
            tuning: arguments.tuning.clone(),
            capo: Fret(arguments.capo),
            scale_length: arguments.scale_length,
            frets: Fret(arguments.frets),
            ..Instrument::guitar()
        };
        if instrument.capo >= instrument.frets {
            return Err(vec![format!(
                "--capo {}: a guitar of {} frets has none left above it; put it lower",
                instrument.capo, instrument.frets
            )]);
        }
        let house = match &arguments.house {
            Some(file) => HouseRules::of_file(file)?,
            None => HouseRules::none(),
        };
        Ok(Self { instrument, level: level(arguments)?, house })
    }
}

/// The level: a word or a file, narrowed or widened by the flags.
fn level(arguments: &FingerArguments) -> Result<Level, Vec<String>> {
    let mut level = match arguments.level.as_str() {
        "first" => Level::first(),
        "open" => Level::open(),
        file => level_file(file)?.level,
    };
    if let Some(barre) = arguments.barre {
        level.barre = match barre {
            BarreWord::None => BarreLimit::None,
            BarreWord::Small => BarreLimit::Small,
            BarreWord::Half => BarreLimit::Half,
            BarreWord::Full => BarreLimit::Full,
        };
    }
    if let Some(extension) = arguments.extension {
        level.extension = extension;
    }
    level.substitution |= arguments.substitution;
    if let Some(fret) = arguments.highest_fret {
        level.highest_fret = Fret(fret);
    }
    if let Some(size) = arguments.hand {
        level.reach = Reach::of(size);
    }
    for flag in &arguments.reaches {
        level.reach = level.reach.with(flag.pair, flag.reach);
    }
    if let Some((inner, outer)) = level.reach.contradiction() {
        let far = |pair| level.reach.of_pair(pair).in_millimetres();
        return Err(vec![format!(
            "--reach: fingers {inner} would reach {} mm and {outer} only {} mm, and no hand does; give {outer} at least as much, or {inner} less",
            far(inner),
            far(outer)
        )]);
    }
    Ok(level)
}

fn level_file(file: &str) -> Result<NamedLevel, Vec<String>> {
    let text = std::fs::read_to_string(file).map_err(|error| {
        vec![match error.kind() {
            std::io::ErrorKind::NotFound => format!(
                "--level {file}: neither “first” nor “open” nor a file; write one of the words or the name of a TOML file"
            ),
            _ => format!("--level {file}: cannot be read: {error}"),
        }]
    })?;
    read_level(file, &text).map_err(|faults| faults.iter().map(ToString::to_string).collect())
}

/// Where a place that was typed after an option lies in a score.
///
/// # Errors
/// A finding that names the option, the place and what is there instead.
pub fn locate(
    score: &Score,
    option: &str,
    place: &PlaceFlag,
) -> Result<(PartIndex, Scope), Box<Finding>> {
    // A pin that allows everything is put there, to see where it goes.
    let pin = PlannedPin {
        place: SourcePlace::start_of(option),
        part: place.part,
        scope: place.scope.clone(),
        rule: PlannedRule::Frets(FretSet::ALL),
    };
    let placed = pins::place(score, &[pin]);
    let found = placed.pins.iter().zip(score.part_indices());
    let mut found = found.filter_map(|(pins, part)| Some((part, pins.0.first()?.scope)));
    match (found.next(), placed.findings.into_iter().next()) {
        (Some(found), _) => Ok(found),
        (None, Some(finding)) => Err(Box::new(without_line(finding))),
        // Neither placed nor refused: cannot be, but is no reason to stop.
        (None, None) => Err(Box::new(Finding {
            rule: "no-place",
            severity: apoyando_fingering::Severity::Error,
            place: apoyando_fingering::FindingPlace::default(),
            message: format!("{option}: {} is not in the score", place.scope),
            remedy: None,
            remedies: Vec::new(),
        })),
    }
}

/// A flag is no file: it is named by its bar alone.
fn without_line(mut finding: Finding) -> Finding {
    finding.place.line = None;
    finding
}

/// The right hand of every part.
fn right_plans(
    score: &Score,
    arguments: &FingerArguments,
    house: &House,
    findings: &mut Vec<Finding>,
) -> Vec<RightPlan> {
    let pair = arguments.pair.unwrap_or(house.alternation);
    let plan = RightPlan {
        pair: [pair.first, pair.second],
        stroke: arguments.stroke.or(house.stroke),
        ..RightPlan::default()
    };
    let mut plans = vec![plan; score.parts().len()];
    for flag in &arguments.patterns {
        let fingers = flag.pattern.0.clone();
        let Some((part, bars)) = flag.bars else {
            for plan in &mut plans {
                plan.patterns.push(RightPattern { bars: None, fingers: fingers.clone() });
            }
            continue;
        };
        let place = PlaceFlag { part, scope: PlannedScope::Bars(bars) };
        match locate(score, "--pattern", &place) {
            Ok((part, Scope::Bars { first, last })) => plans[usize::from(part.0)]
                .patterns
                .push(RightPattern { bars: Some((first, last)), fingers }),
            Ok(_) => {}
            Err(finding) => findings.push(*finding),
        }
    }
    plans
}

/// Fingers one piece.
pub fn finger(
    read: ReadPiece,
    arguments: &FingerArguments,
    setting: &Setting,
    rules: &HouseRules,
) -> FingeredPiece {
    let score = match arguments.tempo {
        Some(per_minute) => {
            read.score.with_tempo(Tempo { value: NoteValue::plain(Base::Quarter), per_minute })
        }
        None => read.score,
    };
    let planned: Vec<PlannedPin> = arguments
        .positions
        .iter()
        .map(|flag| flag.pin())
        .chain(arguments.pins.iter().map(|flag| flag.pin()))
        .collect();
    let placed = pins::place(&score, &planned);
    let mut findings = read.findings;
    findings.extend(placed.findings.into_iter().map(without_line));
    let rights = right_plans(&score, arguments, &rules.house, &mut findings);
    let mut imported = read.pins.into_iter();
    let requests = placed
        .pins
        .into_iter()
        .zip(&rights)
        .map(|(author, right)| {
            let mut pins: Pins = imported.next().unwrap_or_default();
            pins.0.extend(author.0);
            piece::PartRequest {
                level: setting.level.clone(),
                pins,
                right: right.clone(),
                house: rules.house.style.clone(),
                like_bars: arguments.like_bars || rules.house.like_bars,
            }
        })
        .collect();
    let questions = Questions::of(&score, arguments, &mut findings);
    let answer = |problem: &Problem<'_>, solved: &Solved<'_>| {
        questions.answer(problem, &rights[usize::from(problem.part.0)], solved)
    };
    let (parts, answers) =
        piece::finger_and_ask(&score, &setting.instrument, &rules.effort, requests, &answer)
            .into_iter()
            .map(|(part, answers)| (part, answers.unwrap_or_default()))
            .unzip();
    FingeredPiece { score, parts, answers, findings }
}
