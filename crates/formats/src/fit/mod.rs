//! From what a file states to a score whose bars add up.
//!
//! Both readers end here. Gaps in a voice become hidden rests, overlaps a
//! voice of their own, bars get the length of what is in them, ties and slurs
//! without their other end are taken out; whatever is changed is a finding.

mod bars;
mod beside;
mod cues;
mod dynamics;
mod harmonics;
mod lanes;
pub(crate) mod lyrics;
pub(crate) mod merge;
mod moments;
mod octave;
mod ossias;
mod pins;
mod rehearsals;
mod signs;
mod slurs;
mod ties;
mod tuplets;
mod words;

use apoyando_fingering::Severity;
use apoyando_music::{BarIndex, Draft, DraftEvent, DraftPart, Metre, Pitch, Score, play_order};

use moments::Moments;

use crate::report::Report;
use crate::rough::{HandMarks, RoughPiece};
use crate::time::{Time, common_grain, zero};
use crate::{ReadError, ReadOptions, ReadPiece};

/// A draft's event with what does not go into the draft.
struct Placed {
    onset: Time,
    /// Zero for a rest that fills its bar, until that is known.
    length: Time,
    event: DraftEvent,
    hands: Vec<(Pitch, HandMarks)>,
}

impl Placed {
    fn end(&self) -> Time {
        self.onset + self.length
    }
}

/// Events of one bar of a lane, in order and without overlap.
type PlacedBar = Vec<Placed>;

/// Events that can follow one another: a voice of the score to be.
type Lane = Vec<PlacedBar>;

/// Metre of bars in free rhythm; the bars have their own lengths.
const FREE: Metre = Metre::COMMON;

/// Most bars of a piece. The bounds keep memory within reason on files that
/// are made to exhaust it.
pub(crate) const MOST_BARS: usize = 20_000;

/// Most voices of a part.
const MOST_VOICES: usize = 64;

/// Fits a piece.
pub(crate) fn fit(
    file: &str,
    mut rough: RoughPiece,
    options: &ReadOptions,
    mut report: Report,
) -> Result<ReadPiece, ReadError> {
    if rough.bars.is_empty() || rough.parts.is_empty() {
        return Err(ReadError::NoMusic { file: file.to_owned() });
    }
    if rough.bars.len() > MOST_BARS {
        let what = format!("{} bars; split the piece", rough.bars.len());
        return Err(ReadError::Rhythm { file: file.to_owned(), bar: MOST_BARS as u32, what });
    }
    let clefs = octave::settle(&mut rough.parts, options.octave, &mut report);
    let several = rough.parts.len() > 1;
    let mut parts: Vec<Vec<Lane>> = Vec::with_capacity(rough.parts.len());
    for (index, part) in rough.parts.iter_mut().enumerate() {
        report.part = several.then(|| part_name(&part.name, index));
        harmonics::settle(part, &mut report);
        // Those of its ossias, as of its own voices.
        std::mem::swap(&mut part.voices, &mut part.ossia);
        harmonics::settle(part, &mut report);
        std::mem::swap(&mut part.voices, &mut part.ossia);
        let mut lanes = Vec::with_capacity(part.voices.len());
        let mut spilled = Vec::new();
        for (number, mut voice) in std::mem::take(&mut part.voices).into_iter().enumerate() {
            lyrics::hold(&mut voice);
            let mut split = lanes::lanes(voice, number + 1, &mut report)
                .map_err(|fault| fault.at(file, &rough.bars))?
                .into_iter();
            lanes.extend(split.next());
            spilled.extend(split);
        }
        lanes.append(&mut spilled);
        if lanes.len() > MOST_VOICES {
            report.bar = None;
            report.line = None;
            let message = format!("{} voices; {MOST_VOICES} are read", lanes.len());
            report.add(Severity::Error, "too-many-voices", message, None);
            lanes.truncate(MOST_VOICES);
        }
        parts.push(lanes);
    }
    report.part = None;
    let lengths = bars::lengths(&rough.bars, &parts);
    let numbers = bars::numbers(&rough.bars, &lengths);
    let signs = signs::settle(&rough.bars, &parts, &lengths, &mut report);
    let rehearsals = rehearsals::settle(&rough.bars, &lengths, &mut report);
    bars::report_irregular(&rough.bars, &lengths, &mut report);
    for (index, lanes) in parts.iter_mut().enumerate() {
        report.part = several.then(|| part_name(&rough.parts[index].name, index));
        for lane in lanes.iter_mut() {
            for (bar, events) in lane.iter_mut().enumerate() {
                report.bar = Some(bar);
                lanes::fill(events, lengths[bar]).ok_or_else(|| ReadError::Rhythm {
                    file: file.to_owned(),
                    bar: numbers[bar],
                    what: "a gap no rest can fill; check the lengths of the notes".to_owned(),
                })?;
                tuplets::group(events);
            }
            ties::mend(lane, &mut report);
            slurs::mend(lane, &mut report);
        }
    }
    report.part = None;
    report.bar = None;
    let mut grain = check_grain(file, &parts, &lengths, &numbers)?;

    let rough_bars = rough.bars.clone();
    let mut hands = Vec::with_capacity(parts.len());
    let mut draft = Draft {
        heading: rough.heading,
        bars: bars::grid(rough.bars, &signs, rehearsals, &lengths, &numbers),
        parts: Vec::with_capacity(parts.len()),
    };
    for (index, ((mut rough, clef), lanes)) in
        rough.parts.into_iter().zip(clefs).zip(parts).enumerate()
    {
        report.part = several.then(|| part_name(&rough.name, index));
        let source = (file, &rough_bars[..]);
        let cues = cues::settle(&mut rough, (&lanes, &lengths), &mut grain, source, &mut report)?;
        let ossia = ossias::settle(&mut rough, &lengths, &mut grain, source, &mut report)?;
        let mut moments = Moments::of(&lanes, &lengths, grain);
        let (dynamics, hairpins) = dynamics::settle(rough.loudness, &mut moments, &mut report);
        let words = words::settle(rough.words, &mut moments, &mut report);
        let (voices, marks) = lanes.into_iter().map(split_hands).unzip();
        let bar_repeats = rough.bar_repeats.iter().map(|bar| BarIndex(*bar as u32)).collect();
        let name = rough.name;
        let part =
            DraftPart { name, clef, voices, dynamics, hairpins, words, bar_repeats, cues, ossia };
        draft.parts.push(part);
        hands.push(marks);
    }
    report.part = None;
    let score = Score::assemble(draft)
        .map_err(|fault| ReadError::Score { file: file.to_owned(), fault })?;
    report_repeats(&score, &mut report);
    let pins = pins::import(&score, &hands, &mut report);
    report.bar = None;
    if score.notes().is_empty() {
        report.add(
            Severity::Warning,
            "no-notes",
            "there are only rests in this piece".to_owned(),
            None,
        );
    }
    let signed = signs.iter().any(|signs| *signs != signs::Signs::default());
    if let (true, Err(fault)) = (signed, play_order(&score)) {
        report.add(Severity::Warning, "play-order", fault.to_string(), None);
    }
    let findings = report.finish(score.bars());
    Ok(ReadPiece { score, pins, findings })
}

/// Names the bars that are printed as a sign for the bar before but are not the same.
fn report_repeats(score: &Score, report: &mut Report) {
    let several = score.parts().len() > 1;
    for index in score.part_indices() {
        let part = score.part(index);
        report.part = several.then(|| part_name(&part.name, usize::from(index.0)));
        for bar in part.bar_repeats.iter().filter(|bar| !score.plays_again(index, **bar)) {
            report.bar = Some(bar.0 as usize);
            report.add(
                Severity::Advice,
                "bar-not-repeated",
                "the bar is noted as the same as the one before but is not; it is printed"
                    .to_owned(),
                None,
            );
        }
    }
    report.part = None;
    report.bar = None;
}

/// What a part is called in findings.
fn part_name(name: &str, index: usize) -> String {
    if name.is_empty() { format!("part {}", index + 1) } else { name.to_owned() }
}

type HandBars = Vec<Vec<Vec<(Pitch, HandMarks)>>>;

fn split_hands(lane: Lane) -> (Vec<Vec<DraftEvent>>, HandBars) {
    lane.into_iter()
        .map(|bar| bar.into_iter().map(|placed| (placed.event, placed.hands)).unzip())
        .unzip()
}

/// Exact rhythm has limits: all moments of a score on one grid, and a length
/// that a program can count through. Gives back that grid.
fn check_grain(
    file: &str,
    parts: &[Vec<Lane>],
    lengths: &[Time],
    numbers: &[u32],
) -> Result<i64, ReadError> {
    const LONGEST_SCORE: i64 = 1 << 17;
    let error = |bar: usize, what: &str| ReadError::Rhythm {
        file: file.to_owned(),
        bar: numbers[bar],
        what: what.to_owned(),
    };
    let mut grain = 1;
    let mut total = zero();
    for (bar, length) in lengths.iter().enumerate() {
        total += length;
        if total > Time::from_integer(LONGEST_SCORE) {
            return Err(error(bar, "the piece is longer than any score; split it"));
        }
        let events = parts.iter().flatten().filter_map(|lane| lane.get(bar)).flatten();
        for time in std::iter::once(*length).chain(events.map(|placed| placed.length)) {
            grain = common_grain(grain, *time.denom()).ok_or_else(|| {
                error(bar, "too many kinds of tuplets to count together; simplify the rhythm")
            })?;
        }
    }
    Ok(grain)
}
