//! The figures on the lines: which there are, and where they stand.

use apoyando_fretboard::{Fret, Place, StringNumber};
use apoyando_music::{EventMark, Moment, NoteId, Score};

use super::brackets::Bracket;
use super::{Fretting, lines};
use crate::drawing::{Face, Ink, Kind, Owner, Point, Stain};
use crate::font::{self, table};
use crate::geometry::{Rect, Stage};
use crate::place::ink;
use crate::style::Style;

/// Height of a figure, and the em of the text face at which it is so tall: its
/// digits reach from .01 below the baseline to .61 above.
pub const HEIGHT: f64 = 1.35;
const EM: f64 = HEIGHT / 0.62;
const MIDDLE: f64 = 0.3 * EM;
/// Size of the figures of grace notes, and what it is at most on small staves. House.
const SMALL: f64 = 0.74;
const LARGEST_SMALL: f64 = 0.95;
/// White around a figure, where the line is interrupted.
const HALO: f64 = 0.15;
/// A shorter piece of line is not left between figures.
const SHORTEST_LINE: f64 = 0.4;
/// A head less than this away from its column has not been moved aside.
const IN_COLUMN: f64 = 0.02;

/// Size of the figures of grace notes to that of others: text is never too small to be read.
pub fn small(style: &Style) -> f64 {
    (style.em(SMALL * EM) / EM).min(LARGEST_SMALL)
}

/// A fret as it is set.
#[derive(Clone, PartialEq, Debug)]
pub struct Label {
    text: String,
    bracket: Option<Bracket>,
    scale: f64,
}

impl Label {
    /// The fret of a note of a score; in angle brackets where the string is
    /// touched for a natural harmonic, in parentheses where it sounds on from
    /// the line before (common practice, no source).
    pub fn new(score: &Score, note: NoteId, fretting: &Fretting, held: bool) -> Option<Self> {
        let place = fretting.place_of(note)?;
        let marks = &score.event_of(score.note(note)).marks;
        let bracket = if held {
            Some(Bracket::Round)
        } else if marks.contains(&EventMark::NaturalHarmonic) {
            Some(Bracket::Angle)
        } else {
            None
        };
        Some(Self { text: place.fret.to_string(), bracket, scale: 1.0 })
    }

    /// The fret of a grace note.
    pub fn small(fret: Fret, scale: f64) -> Self {
        Self { text: fret.to_string(), bracket: None, scale }
    }

    fn text_width(&self) -> f64 {
        font::text_width(Face::Regular, self.scale * EM, &self.text)
    }

    /// Half its width with its brackets.
    pub fn half_width(&self) -> f64 {
        self.text_width() / 2.0 + self.bracket.map_or(0.0, Bracket::room)
    }
}

/// A figure on its line.
#[derive(Clone, PartialEq, Debug)]
pub struct Figure {
    /// The note, the first of several that it stands for.
    pub note: NoteId,
    pub onset: Moment,
    pub string: StringNumber,
    pub fret: u8,
    /// Its middle.
    pub centre: (f64, f64),
    label: Label,
    held: bool,
}

impl Figure {
    /// What it covers.
    pub fn area(&self) -> Rect {
        let (half, up) = (self.label.half_width(), self.label.scale * HEIGHT / 2.0);
        Rect::new(-half, -up, half, up).moved(self.centre.0, self.centre.1)
    }

    /// That of a grace note before a note.
    pub fn grace(note: (NoteId, Moment), place: Place, centre: (f64, f64), scale: f64) -> Self {
        Self {
            note: note.0,
            onset: note.1,
            string: place.string,
            fret: place.fret.0,
            centre,
            label: Label::small(place.fret, scale),
            held: false,
        }
    }

    /// Whether it is that of a grace note.
    pub fn is_small(&self) -> bool {
        self.label.scale < 1.0
    }

    fn put(&self, stage: &mut Stage) {
        let kind = if self.is_small() { Kind::TabGrace } else { Kind::TabFigure };
        let (owner, scale) = (Owner::Note(self.note), self.label.scale);
        let half = self.label.text_width() / 2.0;
        let at = (self.centre.0 - half, self.centre.1 - scale * MIDDLE);
        stage.add(ink::text(&self.label.text, Face::Regular, scale * EM, at, kind, owner));
        if let Some(bracket) = self.label.bracket {
            for ink in bracket.inks(self.centre, half, HEIGHT / 2.0) {
                stage.add(Stain { ink, kind, owner });
            }
        }
    }
}

/// The figures of a staff whose notation stands on `notation`, in order of
/// onsets and strings; `again` tells whether what a tie leads to is figured wherever it is.
pub fn of(score: &Score, fretting: &Fretting, notation: &Stage, again: bool) -> Vec<Figure> {
    let mut figures: Vec<Figure> = notation
        .heads
        .iter()
        .filter_map(|head| {
            let place = fretting.place_of(head.note)?;
            let from = score.note(head.note).tied_from;
            // What a tie leads to is figured, under notation, only where the line begins with it.
            if !again && from.is_some_and(|from| notation.head(from).is_some()) {
                return None;
            }
            let label = Label::new(score, head.note, fretting, from.is_some())?;
            let y = lines::height(fretting.thickest, place.string);
            Some(Figure {
                note: head.note,
                onset: head.onset,
                string: place.string,
                fret: place.fret.0,
                centre: (centre(notation, head.onset), y),
                label,
                held: from.is_some(),
            })
        })
        .collect();
    // Of two on one string, which is a unison, one is enough: the one struck.
    figures.sort_by_key(|figure| (figure.onset, figure.string, figure.held, figure.note));
    figures.dedup_by_key(|figure| (figure.onset, figure.string));
    figures
}

/// The middle of the heads of an onset; of the narrowest, where they differ.
/// Heads that were moved aside do not count.
pub fn centre(notation: &Stage, onset: Moment) -> f64 {
    let column = notation.column(onset).unwrap_or(notation.music);
    let heads = notation.heads.iter().filter(|head| head.onset == onset);
    let middle = heads
        .filter(|head| (head.head.left - column).abs() < IN_COLUMN)
        .map(|head| (head.head.left + head.head.right) / 2.0)
        .fold(f64::MAX, f64::min);
    if middle < f64::MAX { middle } else { column + table::NOTEHEAD_BLACK.width() / 2.0 }
}

/// Puts figures on a staff; the lines are interrupted behind them. Figures so near
/// one another that a bit of line between them would be read as a dot share one white.
pub fn put(stage: &mut Stage, figures: &[Figure]) {
    let mut ordered: Vec<&Figure> = figures.iter().collect();
    ordered.sort_by(|a, b| {
        (a.string.cmp(&b.string)).then(a.centre.0.total_cmp(&b.centre.0)).then(a.note.cmp(&b.note))
    });
    let mut whites: Vec<(StringNumber, NoteId, Rect)> = Vec::new();
    for figure in ordered {
        let white = figure.area().grown(HALO);
        match whites.last_mut() {
            Some((string, _, last))
                if *string == figure.string && white.left - last.right < SHORTEST_LINE =>
            {
                *last = last.join(white);
            }
            _ => whites.push((figure.string, figure.note, white)),
        }
    }
    for (_, note, white) in whites {
        let (low, high) = (Point::new(white.left, white.low), Point::new(white.right, white.high));
        stage.add(Stain {
            ink: Ink::Halo { low, high },
            kind: Kind::Halo,
            owner: Owner::Note(note),
        });
    }
    for figure in figures {
        figure.put(stage);
    }
}
