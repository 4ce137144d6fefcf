//! From an item of the plan to a score: by a writer of exercises, or from a
//! file.

use apoyando_book::{
    Book, Exercise, Item, ItemKind, Minor, Piece, PositionChoice, RightHand, Section,
};
use apoyando_fingering::{Finding, FindingPlace, Level, Pins, Position, Remedy, Severity};
use apoyando_hands::{RightPattern, RightPlan};
use apoyando_marks::Caption;
use apoyando_method::{ListedShape, MethodError, Setting, Written};
use apoyando_music::{Base, Heading, Mode, NoteValue, ScaleKind, Score, Tempo};

use crate::advised::Advised;
use crate::pins;

/// An item as a score, before it is fingered.
pub struct Material {
    /// The score.
    pub score: Score,
    /// Per part, pins of the writer or of the imported file.
    pub pins: Vec<Pins>,
    /// Per part, what may be asked of its player.
    pub levels: Vec<Level>,
    /// How the right hand plays.
    pub right: RightPlan,
    /// What is printed at moments besides notes and fingering.
    pub captions: Vec<Caption>,
    /// Sentences for the student.
    pub advice: Vec<String>,
    /// Shapes that the exercise is about.
    pub listed: Vec<ListedShape>,
    /// What the author should know.
    pub findings: Vec<Finding>,
}

/// A finding about an item as a whole.
pub fn about(
    item: &Item,
    rule: &'static str,
    message: String,
    remedy: Option<String>,
) -> Box<Finding> {
    Box::new(Finding {
        rule,
        severity: Severity::Error,
        place: FindingPlace {
            file: Some(item.place.file.to_string()),
            line: Some(item.place.line),
            ..Default::default()
        },
        message,
        remedy,
        remedies: Vec::new(),
    })
}

/// The score of an item; `None` for prose.
///
/// # Errors
/// A finding that says why there is no score.
pub fn material(
    advised: &Advised,
    planned: (&Book, &Section, &Item),
) -> Option<Result<Material, Box<Finding>>> {
    let (book, _, item) = planned;
    Some(match &item.kind {
        ItemKind::Text(_) => return None,
        ItemKind::Solo(piece) => from_file(book, item, piece, vec![item.level.clone()], &[]),
        ItemKind::Duet(piece, parts) => {
            let names: Vec<String> = parts.iter().map(|part| part.name.clone()).collect();
            let levels = parts.iter().map(|part| part.level.clone()).collect();
            from_file(book, item, piece, levels, &names)
        }
        ItemKind::Scale(scale) => exercise(advised, planned, &scale.exercise, |setting| {
            let kind = scale_kind(setting, scale.exercise.minor);
            apoyando_method::scale::write(setting, kind, scale.octave)
        }),
        ItemKind::PositionScale(through) => exercise(advised, planned, through, |setting| {
            let kind = scale_kind(setting, through.minor);
            apoyando_method::position_scale::write(setting, kind)
        }),
        ItemKind::Arpeggio(arpeggio) => exercise(advised, planned, &arpeggio.exercise, |setting| {
            let pattern = item.right.pattern.as_ref().map(|pattern| &pattern.0[..]);
            apoyando_method::arpeggio::write(setting, pattern)
        }),
        ItemKind::Triads(triads) => exercise(advised, planned, &triads.exercise, |setting| {
            apoyando_method::triads::write(setting, triads.degree)
        }),
        ItemKind::Progression(progression) => {
            exercise(advised, planned, &progression.exercise, |setting| {
                let pattern = item.right.pattern.as_ref().map(|pattern| &pattern.0[..]);
                apoyando_method::progression::write(setting, &progression.degrees, pattern)
            })
        }
    })
}

fn scale_kind(setting: &Setting<'_>, minor: Minor) -> ScaleKind {
    match (setting.key.mode(), minor) {
        (Mode::Major, _) => ScaleKind::Major,
        (Mode::Minor, Minor::Natural) => ScaleKind::NaturalMinor,
        (Mode::Minor, Minor::Harmonic) => ScaleKind::HarmonicMinor,
        (Mode::Minor, Minor::Melodic) => ScaleKind::MelodicMinor,
    }
}

/// The position of an exercise: its own, the section's, or the one advised.
fn position(
    advised: &Advised,
    (book, section, item): (&Book, &Section, &Item),
    exercise: &Exercise,
) -> Result<Position, Box<Finding>> {
    match (exercise.position.unwrap_or(section.position), section.key) {
        (PositionChoice::At(position), _) => Ok(position),
        (PositionChoice::Auto, Some(key)) => advised
            .of(key, &book.instrument, &item.level)
            .best()
            .map(|report| report.position)
            .ok_or_else(|| {
                about(
                    item,
                    "no-position",
                    format!("no position that the level allows holds an octave of {key}"),
                    Some("widen the level, or fix a position".to_owned()),
                )
            }),
        (PositionChoice::Auto, None) => Err(no_key(item)),
    }
}

fn no_key(item: &Item) -> Box<Finding> {
    about(
        item,
        "no-key",
        "an exercise needs a key".to_owned(),
        Some("add key = \"G major\" at the top of the section".to_owned()),
    )
}

fn exercise(
    advised: &Advised,
    planned: (&Book, &Section, &Item),
    exercise: &Exercise,
    write: impl FnOnce(&Setting<'_>) -> Result<Written, MethodError>,
) -> Result<Material, Box<Finding>> {
    let (book, section, item) = planned;
    let position = position(advised, planned, exercise)?;
    let key = section.key.ok_or_else(|| no_key(item))?;
    let setting = Setting {
        value: exercise.value,
        ..Setting::new(key, position, &book.instrument, &item.level)
    };
    let written = write(&setting).map_err(|error| {
        let mut finding = about(item, "not-written", error.to_string(), None);
        finding.remedies = error.remedies();
        finding
    })?;
    let mut findings = written.findings;
    let right = with_right_hand(written.right, &item.right, (&written.score, false), &mut findings);
    Ok(Material {
        levels: vec![item.level.clone(); written.score.parts().len()],
        score: written.score,
        pins: written.pins,
        right,
        captions: written.captions,
        advice: written.advice,
        listed: written.listed,
        findings,
    })
}

/// A right-hand plan with what the item asks for. The pattern of an exercise
/// has gone into its writing already.
fn with_right_hand(
    mut plan: RightPlan,
    right: &RightHand,
    (score, with_pattern): (&Score, bool),
    findings: &mut Vec<Finding>,
) -> RightPlan {
    plan.pair = [right.alternation.first, right.alternation.second];
    if right.stroke.is_some() {
        plan.stroke = right.stroke;
    }
    if let (true, Some(pattern)) = (with_pattern, &right.pattern) {
        plan.patterns.push(RightPattern { bars: None, fingers: pattern.0.clone() });
    }
    for given in &right.bar_patterns {
        match pins::bars_of(score, &given.place, given.bars) {
            Ok(bars) => {
                let fingers = given.pattern.0.clone();
                plan.patterns.push(RightPattern { bars: Some(bars), fingers });
            }
            Err(finding) => findings.push(*finding),
        }
    }
    plan
}

fn from_file(
    book: &Book,
    item: &Item,
    piece: &Piece,
    levels: Vec<Level>,
    names: &[String],
) -> Result<Material, Box<Finding>> {
    let unreadable = |message: String| {
        let place = FindingPlace {
            file: Some(piece.place.file.to_string()),
            line: Some(piece.place.line),
            ..Default::default()
        };
        let rule = "unreadable-piece";
        Box::new(Finding {
            rule,
            severity: Severity::Error,
            place,
            message,
            remedy: None,
            remedies: Vec::new(),
        })
    };
    let file = book
        .pieces
        .get(&piece.file)
        .ok_or_else(|| unreadable(format!("pieces/{} was not read", piece.file)))?;
    let reading = apoyando_formats::read(&file.file, &file.bytes)
        .map_err(|error| unreadable(error.to_string()))?;
    let found = reading.pieces.len();
    let index = piece.tune as usize - 1;
    let read = reading.pieces.into_iter().nth(index).ok_or_else(|| {
        unreadable(format!("there is no tune {} in {}; it holds {found}", piece.tune, file.file))
    })?;
    let parts = read.score.parts().len();
    if parts != levels.len() {
        let mut finding = about(
            item,
            "number-of-parts",
            format!(
                "a {} has {} and {} has {parts}",
                item.kind.word(),
                if levels.len() == 1 { "one part" } else { "two parts" },
                file.file
            ),
            Some("choose another kind of item, or another file".to_owned()),
        );
        let kind = match parts {
            1 => Some("solo"),
            2 => Some("duet"),
            _ => None,
        };
        finding.remedies = kind.map(Remedy::OfKind).into_iter().collect();
        return Err(finding);
    }
    let mut findings = reading.findings;
    findings.extend(read.findings);
    let mut score = read.score.with_heading(heading(&read.score, item, piece));
    if names.iter().any(|name| !name.is_empty()) {
        score = score.with_part_names(names);
    }
    if let Some(per_minute) = piece.tempo
        && score.bars().iter().all(|bar| bar.tempo.is_none())
    {
        score = score.with_tempo(Tempo { value: NoteValue::plain(Base::Quarter), per_minute });
    }
    let mut pins = read.pins;
    pins.resize(parts, Pins::default());
    let right = with_right_hand(RightPlan::default(), &item.right, (&score, true), &mut findings);
    Ok(Material {
        score,
        pins,
        levels,
        right,
        captions: Vec::new(),
        advice: Vec::new(),
        listed: Vec::new(),
        findings,
    })
}

/// The file's heading, with what the plan says otherwise.
fn heading(score: &Score, item: &Item, piece: &Piece) -> Heading {
    let mut heading = score.heading().clone();
    let say = |into: &mut String, said: &Option<String>| {
        if let Some(said) = said {
            into.clone_from(said);
        }
    };
    say(&mut heading.title, &item.title);
    say(&mut heading.composer, &piece.composer);
    say(&mut heading.source, &piece.source);
    say(&mut heading.rights, &piece.rights);
    heading
}
