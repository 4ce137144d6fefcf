//! The marks of one part.

use apoyando_fingering::{Barre, Fingering, LeftFinger, Position, RightFinger};
use apoyando_fretboard::StringNumber;
use apoyando_music::{Moment, NoteId, PartIndex, Score};

/// How much is printed.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum Density {
    /// A digit at every note.
    EveryNote,
    /// What a player could get wrong, and no more.
    #[default]
    WhereNeeded,
    /// No fingering at all.
    None,
}

/// The left-hand digit of a note.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct LeftMark {
    /// The finger; `None` is printed as 0, the open string.
    pub finger: Option<LeftFinger>,
    /// A short dash before the digit: the finger slides here along its string.
    pub guide: bool,
    /// A finger in parentheses before the digit: it is put down here and sounds later,
    /// under a slur.
    pub prepares: Option<LeftFinger>,
    /// A dash and a finger after the digit: this one takes the note over while it sounds.
    pub second: Option<LeftFinger>,
}

impl LeftMark {
    /// A digit and nothing else.
    pub const fn plain(finger: Option<LeftFinger>) -> Self {
        Self { finger, guide: false, prepares: None, second: None }
    }
}

/// A circled string number, with a line over the notes it is for.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct StringMark {
    /// The string.
    pub string: StringNumber,
    /// The first note.
    pub from: NoteId,
    /// The last note; the same as `from` where no line is printed.
    pub to: NoteId,
}

/// A position numeral with its extent.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct PositionMark {
    /// The position.
    pub position: Position,
    /// Onset of the first note it covers.
    pub from: Moment,
    /// Onset of the last note it covers.
    pub to: Moment,
    /// Whether a line shows the extent; a numeral alone holds until the next.
    pub line: bool,
}

/// A barre mark with its extent.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct BarreMark {
    /// The barre.
    pub barre: Barre,
    /// Whether all strings of the instrument lie under it, or all but one, and none has been
    /// lifted from; otherwise a fraction is printed.
    pub full: bool,
    /// Onset of the first note under it.
    pub from: Moment,
    /// Onset of the last note under it.
    pub to: Moment,
}

/// A line that tells how long a finger stays down.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct HoldMark {
    /// The finger.
    pub finger: LeftFinger,
    /// The note after which it stays.
    pub from: NoteId,
    /// The note it stops again at the same place.
    pub to: NoteId,
}

/// A sign that an author can move.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Nudged {
    /// The left-hand digit, with its dash.
    Digit,
    /// The right-hand letter.
    Letter,
}

/// A sign moved by its author from where it would stand. What is placed after it
/// keeps clear of it where it is then.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Nudge {
    /// The note it belongs to.
    pub note: NoteId,
    /// The sign.
    pub sign: Nudged,
    /// To the right, in hundredths of a staff space.
    pub right: i16,
    /// Up, in hundredths of a staff space.
    pub up: i16,
}

/// All marks of one part.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct Marks {
    /// The part.
    pub part: PartIndex,
    /// Per note of the whole score, its left-hand digit.
    pub left: Vec<Option<LeftMark>>,
    /// Per note of the whole score, its right-hand letter.
    pub right: Vec<Option<RightFinger>>,
    /// Circled strings.
    pub strings: Vec<StringMark>,
    /// Position numerals.
    pub positions: Vec<PositionMark>,
    /// Barre marks.
    pub barres: Vec<BarreMark>,
    /// Hold lines; none unless they are [asked for](Self::with_holds).
    pub holds: Vec<HoldMark>,
    /// Signs that the author wants elsewhere.
    pub nudges: Vec<Nudge>,
}

impl Marks {
    /// No marks for a part of a score with so many notes.
    pub fn none(part: PartIndex, notes: usize) -> Self {
        Self {
            part,
            left: vec![None; notes],
            right: vec![None; notes],
            strings: Vec::new(),
            positions: Vec::new(),
            barres: Vec::new(),
            holds: Vec::new(),
            nudges: Vec::new(),
        }
    }

    /// These marks with the hold lines of the fingering they were made for; a fingering of
    /// another revision of the score gives none.
    #[must_use]
    pub fn with_holds(self, score: &Score, fingering: &Fingering) -> Self {
        let own = fingering.revision == score.revision() && fingering.part == self.part;
        let holds = if own { crate::holds::holds(score, fingering) } else { Vec::new() };
        Self { holds, ..self }
    }

    /// How far the author moves a sign at a note, to the right and up, in staff
    /// spaces; 0 as a rule.
    pub fn nudge_of(&self, note: NoteId, sign: Nudged) -> (f64, f64) {
        let of = |nudge: &&Nudge| nudge.note == note && nudge.sign == sign;
        let spaces = |hundredths: i16| f64::from(hundredths) / 100.0;
        let nudge = self.nudges.iter().find(of);
        nudge.map_or((0.0, 0.0), |nudge| (spaces(nudge.right), spaces(nudge.up)))
    }

    /// The same marks for the part alone ([`Score::part_alone`]).
    #[must_use]
    pub fn alone(&self, score: &Score) -> Self {
        let range = score.notes_of(self.part);
        let renumbered = |id: NoteId| NoteId(id.0.saturating_sub(range.start as u32));
        let strings = self.strings.iter().map(|mark| StringMark {
            from: renumbered(mark.from),
            to: renumbered(mark.to),
            ..*mark
        });
        let holds = self.holds.iter().map(|mark| HoldMark {
            from: renumbered(mark.from),
            to: renumbered(mark.to),
            ..*mark
        });
        let nudges =
            self.nudges.iter().map(|nudge| Nudge { note: renumbered(nudge.note), ..*nudge });
        Self {
            part: PartIndex(0),
            left: self.left.get(range.clone()).unwrap_or_default().to_vec(),
            right: self.right.get(range.clone()).unwrap_or_default().to_vec(),
            strings: strings.collect(),
            positions: self.positions.clone(),
            barres: self.barres.clone(),
            holds: holds.collect(),
            nudges: nudges.collect(),
        }
    }

    /// The left-hand digit of a note.
    pub fn left_of(&self, note: NoteId) -> Option<LeftMark> {
        self.left.get(note.0 as usize).copied().flatten()
    }

    /// The right-hand letter of a note.
    pub fn right_of(&self, note: NoteId) -> Option<RightFinger> {
        self.right.get(note.0 as usize).copied().flatten()
    }
}
