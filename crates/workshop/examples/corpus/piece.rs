//! One file: read, fitted, fingered, verified.

use std::path::Path;
use std::time::{Duration, Instant};

use apoyando_fingering::{EffortTable, Fingering, Level, Pins, Price, Problem, Severity};
use apoyando_formats::ReadPiece;
use apoyando_fretboard::Instrument;
use apoyando_hands::RightPlan;
use apoyando_music::{PartIndex, Score, Tones};

use crate::{fit, watch};

/// What became of a part.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Outcome {
    /// Every note has its place and finger.
    Played,
    /// Notes had to be left out.
    LeftOut,
    /// Its range is wider than that of the instrument.
    TooWide,
    /// There are no notes in it.
    Silent,
    /// The reader refused it.
    NotRead,
    /// Whoever gathered the material did.
    PassedOver,
    /// The program is wrong.
    Fault,
}

impl Outcome {
    /// As it stands in the report.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Played => "played",
            Self::LeftOut => "notes left out",
            Self::TooWide => "range too wide",
            Self::Silent => "no notes",
            Self::NotRead => "not read",
            Self::PassedOver => "passed over",
            Self::Fault => "fault",
        }
    }
}

/// One part of one piece.
#[derive(Clone, Debug)]
pub struct Row {
    /// The file, below the folder of the material, and the part if there are several.
    pub name: String,
    /// What it is: the folder it lies in; tunes are lines or not.
    pub kind: String,
    /// What became of it.
    pub outcome: Outcome,
    /// Why, unless it is played.
    pub reason: String,
    /// Semitones by which it was moved.
    pub moved: i8,
    /// Tones in it.
    pub tones: usize,
    /// In how many keys it was fingered and verified.
    pub tries: usize,
    /// The price in the key that was kept.
    pub price: Price,
    /// Time to read the whole file.
    pub reading: Duration,
    /// Time to finger it, in all keys.
    pub fingering: Duration,
    /// Time to verify that.
    pub verifying: Duration,
    /// What the reader said of the piece.
    pub said: Vec<String>,
}

impl Row {
    fn new(name: &str) -> Self {
        let folder = Path::new(name).parent().map(|folder| folder.display().to_string());
        Self {
            name: name.to_owned(),
            kind: folder.unwrap_or_default(),
            outcome: Outcome::Played,
            reason: String::new(),
            moved: 0,
            tones: 0,
            tries: 0,
            price: Price::default(),
            reading: Duration::ZERO,
            fingering: Duration::ZERO,
            verifying: Duration::ZERO,
            said: Vec::new(),
        }
    }

    /// A piece that was not gathered.
    pub fn passed_over(name: &str, reason: &str) -> Self {
        Self::new(name).with(Outcome::PassedOver, reason.to_owned())
    }

    fn with(self, outcome: Outcome, reason: String) -> Self {
        Self { outcome, reason, ..self }
    }

    /// How long it took in all.
    pub fn time(&self) -> Duration {
        self.reading + self.fingering + self.verifying
    }
}

/// What all pieces are fingered with.
pub struct Studio {
    instrument: Instrument,
    level: Level,
    effort: EffortTable,
    right: RightPlan,
}

impl Studio {
    /// A guitar in the usual tuning and the usual effort.
    pub fn new(level: Level) -> Self {
        Self {
            instrument: Instrument::guitar(),
            level,
            effort: EffortTable::default(),
            right: RightPlan::default(),
        }
    }

    /// All parts of all pieces of a file.
    pub fn work(&self, path: &Path, name: &str) -> Vec<Row> {
        let begin = Instant::now();
        let bytes = match std::fs::read(path) {
            Ok(bytes) => bytes,
            Err(error) => return vec![Row::new(name).with(Outcome::NotRead, error.to_string())],
        };
        let reading = match watch::caught(|| apoyando_formats::read(name, &bytes)) {
            Ok(Ok(reading)) => reading,
            Ok(Err(error)) => {
                return vec![Row::new(name).with(Outcome::NotRead, error.to_string())];
            }
            Err(panic) => return vec![Row::new(name).with(Outcome::Fault, panic)],
        };
        let time = begin.elapsed();
        let lost = reading.findings.iter().filter(|found| found.severity == Severity::Error);
        let lost = lost.map(|found| Row::new(name).with(Outcome::NotRead, found.to_string()));
        let mut rows: Vec<Row> = lost.collect();
        if rows.is_empty() && reading.pieces.is_empty() {
            let nothing = "there is no piece in it".to_owned();
            rows.push(Row::new(name).with(Outcome::NotRead, nothing));
        }
        for piece in &reading.pieces {
            for part in piece.score.part_indices() {
                let row = match watch::caught(|| self.part(name, piece, part)) {
                    Ok(row) => row,
                    Err(panic) => Row::new(name).with(Outcome::Fault, panic),
                };
                rows.push(row);
            }
        }
        if let Some(first) = rows.first_mut() {
            first.reading = time;
        }
        rows
    }

    fn part(&self, name: &str, piece: &ReadPiece, part: PartIndex) -> Row {
        let mut row = Row::new(name);
        if piece.score.parts().len() > 1 {
            row.name = format!("{name}, part {}", part.0 + 1);
        }
        if part.0 == 0 {
            row.said = piece.findings.iter().map(ToString::to_string).collect();
        }
        let tones = piece.score.tones(part);
        row.tones = tones.len();
        let line = is_line(&tones);
        if row.kind == "tunes" {
            row.kind =
                if line { "tunes, single line" } else { "tunes, several notes at once" }.to_owned();
        }
        let Some(range) = fit::range(&piece.score, part) else {
            return row.with(Outcome::Silent, "there are no notes in it".to_owned());
        };
        let moves = fit::moves(range, &self.instrument);
        if moves.is_empty() {
            let span = range.1.0 - range.0.0;
            return row.with(
                Outcome::TooWide,
                format!("its notes lie {span} semitones apart, further than the instrument goes"),
            );
        }
        let mut best: Option<(Price, i8, String)> = None;
        for by in moves {
            let moved = if by == 0 { Some(piece.score.clone()) } else { piece.score.moved(by) };
            // A key without a signature is none to play in.
            let Some(score) = moved else { continue };
            let pins = Pins::default();
            let pins =
                if by == 0 { piece.pins.get(usize::from(part.0)) } else { None }.unwrap_or(&pins);
            let problem = self.problem(&score, part, pins);
            row.tries += 1;
            let (price, why) = match self.fingered(&problem, &mut row) {
                Ok(done) => done,
                Err(fault) => {
                    let fault = format!("moved by {by}: {fault}");
                    return Row { moved: by, ..row.with(Outcome::Fault, fault) };
                }
            };
            if best.as_ref().is_none_or(|(least, ..)| price.escapes < least.escapes) {
                best = Some((price, by, why));
            }
            if price.escapes == 0 {
                break;
            }
        }
        let Some((price, by, why)) = best else {
            let why = "no key it fits in has a signature of up to seven sharps or flats";
            return row.with(Outcome::NotRead, why.to_owned());
        };
        let row = Row { price, moved: by, ..row };
        match price.escapes {
            0 => row,
            // Whatever lies on the guitar can be played one note at a time.
            _ if line => row.with(Outcome::Fault, format!("a line loses notes: {why}")),
            count => row.with(Outcome::LeftOut, format!("{count} left out in the best key: {why}")),
        }
    }

    fn problem<'a>(&'a self, score: &'a Score, part: PartIndex, pins: &'a Pins) -> Problem<'a> {
        Problem {
            score,
            part,
            instrument: &self.instrument,
            level: &self.level,
            pins,
            effort: &self.effort,
            house: &apoyando_fingering::NO_HOUSE,
        }
    }

    /// The price of the best fingering, and why notes are left out in it.
    fn fingered(&self, problem: &Problem<'_>, row: &mut Row) -> Result<(Price, String), String> {
        let begin = Instant::now();
        let solution = apoyando_hands::finger(problem, &self.right);
        row.fingering += begin.elapsed();
        let solution = solution.map_err(|error| error.to_string())?;
        let begin = Instant::now();
        let fault = fault(problem, &solution.fingering);
        row.verifying += begin.elapsed();
        if let Some(fault) = fault {
            return Err(fault);
        }
        let why: Vec<String> = solution
            .findings
            .iter()
            .filter(|finding| finding.rule.starts_with("note-"))
            .take(3)
            .map(|finding| format!("{}: {}", finding.place, finding.message))
            .collect();
        let price = solution.fingering.price;
        if price.escapes > 0 && why.is_empty() {
            return Err("notes are left out without a finding".to_owned());
        }
        Ok((price, why.join("; ")))
    }
}

/// What the checker has against a fingering. Breaches of the author's rules
/// are in the price; anything else is a fault.
fn fault(problem: &Problem<'_>, fingering: &Fingering) -> Option<String> {
    let violations = apoyando_verify::verify(problem, fingering);
    let (authors, hard): (Vec<_>, Vec<_>) =
        violations.iter().partition(|violation| violation.rule().is_authors());
    if let Some(first) = hard.first() {
        return Some(format!("{} violations: {first}", hard.len()));
    }
    if authors.len() != fingering.price.broken as usize {
        let broken = fingering.price.broken;
        return Some(format!("{} rules are broken, the price says {broken}", authors.len()));
    }
    match apoyando_verify::price(problem, fingering) {
        Ok(price) if price == fingering.price => None,
        Ok(price) => Some(format!("the price is {price:?}, not {:?}", fingering.price)),
        Err(violations) => Some(format!("{} violations when priced", violations.len())),
    }
}

/// Whether no two tones sound at once.
fn is_line(tones: &Tones) -> bool {
    let mut tones: Vec<_> = tones.as_slice().iter().map(|tone| (tone.onset, tone.end)).collect();
    tones.sort();
    tones.windows(2).all(|pair| pair[0].1 <= pair[1].0)
}
