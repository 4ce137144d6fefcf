//! A staff with notes laid out by the simplest of rules, for tests of what is
//! put on it: equal spacing by duration, stems of 3.5 spaces, level beams.

use apoyando_fingering::LeftFinger;
use apoyando_marks::{LeftMark, Marks};
use apoyando_music::{
    Base, Draft, DraftBar, DraftEvent, DraftPart, Duration, KeySignature, Metre, NoteId, NoteValue,
    PartIndex, Pitch, Score,
};

use super::sign::Sizes;
use crate::drawing::{Drawing, Ink, Kind, Outline, Owner, Point, StaffSpaces, Stain};
use crate::font::table::{ACCIDENTAL_SHARP, NOTEHEAD_BLACK};
use crate::geometry::{PlacedHead, PlacedStem, Rect, Side, Stage};
use crate::style::Style;

pub const LEFT: f64 = 5.0;

/// A score of one part and its marks.
pub struct Fixture {
    pub score: Score,
    pub marks: Marks,
    /// Staff spaces of a quarter note.
    pub quarter: f64,
}

/// Reads voices of `value pitch[+pitch…][=digit,digit…]` separated by blanks,
/// bars by `|`: `8 C4=3 E4+G4=2,0 r`. A dash before a digit is a guide dash, `(1)` a
/// prepared finger, a
/// dot none. Pitches are sounding.
pub fn fixture(quarter: f64, voices: &[&str]) -> Fixture {
    let mut digits: Vec<Vec<Option<LeftMark>>> = Vec::new();
    let drafts: Vec<Vec<Vec<DraftEvent>>> = voices
        .iter()
        .map(|text| text.split('|').map(|bar| read_bar(bar, &mut digits)).collect())
        .collect();
    let bars = drafts.iter().map(Vec::len).max().unwrap_or(1) as u32;
    let score = Score::assemble(Draft {
        bars: (1..=bars).map(|n| DraftBar::new(n, Metre::COMMON, KeySignature::NONE)).collect(),
        parts: vec![DraftPart { voices: drafts, ..DraftPart::guitar(String::new()) }],
        ..Draft::default()
    })
    .unwrap();
    // The score numbers its notes by bar, then voice; the texts by voice.
    let part = PartIndex(0);
    let mut marks = Marks::none(part, score.notes().len());
    let events = score
        .part(part)
        .voices
        .iter()
        .flat_map(|voice| voice.bars.iter().flatten())
        .filter(|event| !event.is_rest());
    for (event, digits) in events.zip(digits) {
        for (note, digit) in event.notes().iter().zip(digits) {
            marks.left[note.0 as usize] = digit;
        }
    }
    Fixture { score, marks, quarter }
}

fn read_bar(text: &str, digits: &mut Vec<Vec<Option<LeftMark>>>) -> Vec<DraftEvent> {
    let mut value = NoteValue::plain(Base::Quarter);
    let mut events = Vec::new();
    for token in text.split_whitespace() {
        if let Ok(number) = token.parse::<i64>() {
            value = NoteValue::of(Duration::new(1, number)).unwrap();
        } else if token == "r" {
            events.push(DraftEvent::gap(value));
        } else {
            let (notes, marks) = token.split_once('=').unwrap_or((token, ""));
            let pitches: Vec<Pitch> = notes.split('+').map(|n| n.parse().unwrap()).collect();
            events.push(DraftEvent::notes(value, &pitches));
            let mut read: Vec<Option<LeftMark>> = marks
                .split(',')
                .map(|mark| {
                    let finger = |digit: &str| LeftFinger::from_digit(digit.parse().ok()?);
                    // `1>3` is a note that finger 3 takes over.
                    let (mark, second) = mark.split_once('>').unwrap_or((mark, ""));
                    let (before, own) = mark.rsplit_once([')', '-']).unwrap_or(("", mark));
                    let _: u8 = own.parse().ok()?;
                    Some(LeftMark {
                        guide: mark.starts_with('-'),
                        prepares: before.strip_prefix('(').and_then(finger),
                        second: finger(second),
                        ..LeftMark::plain(finger(own))
                    })
                })
                .collect();
            read.resize(pitches.len(), None);
            digits.push(read);
        }
    }
    let filled: Duration = events.iter().map(|event| event.value.duration()).sum();
    let mut rest = Duration::WHOLE - filled;
    while rest > Duration::ZERO {
        let base = Base::ALL.into_iter().find(|base| base.duration() <= rest).unwrap();
        events.push(DraftEvent::gap(NoteValue::plain(base)));
        rest = rest - base.duration();
    }
    events
}

impl Fixture {
    fn x(&self, at: Duration) -> f64 {
        LEFT + 4.0 * self.quarter * at.whole_notes()
    }

    /// Steps above the middle line, B3 sounding in the guitar's clef.
    fn step(&self, note: NoteId) -> i32 {
        self.score.note(note).pitch.staff_step()
            - Pitch::of(apoyando_music::Step::B, 0, 3).staff_step()
    }

    /// The staff with its notes and nothing else.
    pub fn stage(&self) -> Stage {
        let part = PartIndex(0);
        let right = self.x(self.score.end().since_start()) + 1.0;
        let mut stage = Stage::new(part, 0..self.score.bars().len() as u32, true, right);
        stage.music = LEFT - 1.0;
        for line in -2..=2 {
            let y = f64::from(line);
            stroke(&mut stage, Kind::StaffLine, Owner::System, (0.0, y), (right, y), 0.13);
        }
        for bar in self.score.bars() {
            let x = self.x(bar.end_moment().since_start()) - 0.9;
            stroke(&mut stage, Kind::BarLine, Owner::System, (x, -2.0), (x, 2.0), 0.16);
        }
        for (rank, voice) in self.score.part(part).voices.iter().enumerate() {
            for (index, events) in voice.bars.iter().enumerate() {
                let shares = self.score.part(part).voices.iter().enumerate().any(|(other, v)| {
                    other != rank
                        && v.bars.get(index).is_some_and(|e| e.iter().any(|e| !e.is_rest()))
                });
                for run in events.split(|event| event.is_rest()) {
                    self.run(run, rank, shares, &mut stage);
                }
            }
        }
        stage.heads.sort_by_key(|head| head.note);
        let mut columns: Vec<_> =
            stage.heads.iter().map(|h| (h.onset, self.x(h.onset.since_start()))).collect();
        columns.sort_by_key(|(onset, _)| *onset);
        columns.dedup_by_key(|(onset, _)| *onset);
        stage.columns = columns;
        let heads = stage.heads.clone();
        for head in &mut stage.heads {
            head.left_of_all = heads
                .iter()
                .filter(|other| other.onset == head.onset)
                .map(|other| other.left)
                .fold(head.left, f64::min);
        }
        stage
    }

    fn run(&self, events: &[apoyando_music::Event], rank: usize, shares: bool, stage: &mut Stage) {
        let short = Duration::QUARTER;
        for group in events.chunk_by(|a, b| a.duration < short && b.duration < short) {
            let steps: Vec<i32> =
                group.iter().flat_map(|e| e.notes()).map(|n| self.step(*n)).collect();
            let farthest = steps.iter().copied().max_by_key(|step| step.abs()).unwrap_or(0);
            let up = if shares { rank.is_multiple_of(2) } else { farthest < 0 };
            let beamed = group.len() > 1;
            let ends = steps.iter().map(|s| f64::from(*s) / 2.0);
            let tip = if up {
                ends.fold(f64::MIN, f64::max) + 3.5
            } else {
                ends.fold(f64::MAX, f64::min) - 3.5
            };
            let mut stems = Vec::new();
            for event in group {
                stems.push(self.event(event, shares, beamed.then_some(tip), up, stage));
            }
            if let (true, Some(first), Some(last)) = (beamed, stems.first(), stems.last()) {
                let inner = if up { tip - 0.5 } else { tip + 0.5 };
                let corners = [(*first, tip), (*last, tip), (*last, inner), (*first, inner)]
                    .map(|(x, y)| Point::new(x, y));
                let ink = Ink::Shape(vec![
                    Outline::Move(corners[0]),
                    Outline::Line(corners[1]),
                    Outline::Line(corners[2]),
                    Outline::Line(corners[3]),
                    Outline::Close,
                ]);
                stage.add(Stain { ink, kind: Kind::Beam, owner: Owner::System });
            }
        }
    }

    fn event(
        &self,
        event: &apoyando_music::Event,
        shares: bool,
        tip: Option<f64>,
        up: bool,
        stage: &mut Stage,
    ) -> f64 {
        let x = self.x(event.onset.since_start());
        let width = NOTEHEAD_BLACK.right;
        let stem_x = if up { x + width - 0.06 } else { x + 0.06 };
        let steps: Vec<i32> = event.notes().iter().map(|n| self.step(*n)).collect();
        let (low, high) = (steps[0], *steps.last().unwrap());
        let tip = tip.unwrap_or(f64::from(if up { high + 7 } else { low - 7 }) / 2.0);
        let from = f64::from(if up { low } else { high }) / 2.0;
        let first = Owner::Note(event.notes()[0]);
        stroke(stage, Kind::Stem, first, (stem_x, from), (stem_x, tip), 0.12);
        for (order, (note, step)) in event.notes().iter().zip(&steps).enumerate() {
            let y = f64::from(*step) / 2.0;
            let owner = Owner::Note(*note);
            glyph(stage, Kind::Head, owner, NOTEHEAD_BLACK.code, (x, y));
            for ledger in (3..=step.abs() / 2).map(|line| f64::from(line * step.signum())) {
                let ends = ((x - 0.4, ledger), (x + width + 0.4, ledger));
                stroke(stage, Kind::LedgerLine, owner, ends.0, ends.1, 0.16);
            }
            let mut left = x;
            if self.score.note(*note).pitch.alter.semitones() != 0 {
                left = x - 0.25 - ACCIDENTAL_SHARP.right;
                glyph(stage, Kind::Accidental, owner, ACCIDENTAL_SHARP.code, (left, y));
            }
            let data = self.score.note(*note);
            stage.heads.push(PlacedHead {
                note: *note,
                voice: data.voice,
                bar: data.bar,
                onset: data.onset,
                head: Rect::new(x, y - 0.5, x + width, y + 0.5),
                step: *step,
                stem: Some(PlacedStem {
                    up,
                    x: stem_x,
                    tip,
                    beamed: event.duration < Duration::QUARTER,
                }),
                order: order as u8,
                of: steps.len() as u8,
                left,
                left_of_all: left,
                side: shares.then_some(if up { Side::Upper } else { Side::Lower }),
                right: x + width,
                tied_from: false,
                tied_to: false,
            });
        }
        stem_x
    }

    /// The staff with its marks, as a drawing.
    pub fn drawn(&self) -> Drawing {
        let mut stage = self.stage();
        let sizes = Sizes::of(&Style::default());
        super::put_marks(&self.score, &self.marks, &sizes, &mut stage);
        drawing(stage)
    }
}

/// What is on a staff, as a drawing.
pub fn drawing(stage: Stage) -> Drawing {
    Drawing {
        width: StaffSpaces(stage.right),
        above: StaffSpaces(stage.above.farthest() + 0.5),
        below: StaffSpaces(stage.below.farthest() + 0.5),
        stains: stage.stains,
        description: "fixture".to_owned(),
    }
}

fn stroke(
    stage: &mut Stage,
    kind: Kind,
    owner: Owner,
    from: (f64, f64),
    to: (f64, f64),
    thickness: f64,
) {
    let ink = Ink::Line {
        from: Point::new(from.0, from.1),
        to: Point::new(to.0, to.1),
        thickness: StaffSpaces(thickness),
        dash: None,
    };
    stage.add(Stain { ink, kind, owner });
}

fn glyph(stage: &mut Stage, kind: Kind, owner: Owner, code: char, at: (f64, f64)) {
    let ink = Ink::Glyph { glyph: code, scale: 1.0, at: Point::new(at.0, at.1) };
    stage.add(Stain { ink, kind, owner });
}
