//! Where an anchored note is now.

use super::align::{Alignment, BarMatch};
use super::{Anchor, neighbours};
use crate::interval::Interval;
use crate::pitch::Pitch;
use crate::score::{BarIndex, Note, NoteId, Score};

/// How a note was found that is not where it was.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum How {
    /// Its bar has another number now, because of bars before it.
    Renumbered,
    /// Its bar stands elsewhere among the others.
    Reordered,
    /// It was transposed.
    Transposed(Interval),
    /// Its bar has been changed around it.
    BarEdited,
    /// By the identifier of its source.
    BySourceId,
}

/// What has become of an anchor.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Resolved {
    /// The note is where it was.
    Exact(NoteId),
    /// The note is elsewhere.
    Moved {
        /// The note.
        note: NoteId,
        /// How it was found.
        how: How,
    },
    /// It is one of these, and nothing tells which.
    Ambiguous(Vec<NoteId>),
    /// It is gone.
    Lost,
}

impl Resolved {
    /// The note, if it is certain.
    pub const fn note(&self) -> Option<NoteId> {
        match self {
            Self::Exact(note) | Self::Moved { note, .. } => Some(*note),
            Self::Ambiguous(_) | Self::Lost => None,
        }
    }
}

impl Anchor {
    /// Finds the anchored note in a new score, given what has become of the
    /// bars of the old one.
    pub fn resolve(&self, alignment: &Alignment, score: &Score) -> Resolved {
        if let Some(found) = self.by_source_id(score) {
            return found;
        }
        match alignment.of_bar(usize::from(self.part.0), self.bar) {
            None => Resolved::Lost,
            Some(BarMatch::Found { bar, by, in_order }) => {
                match by.above(self.pitch).and_then(|pitch| self.at(score, *bar, pitch)) {
                    None => Resolved::Lost,
                    Some(note) => self.found(note.id, *bar, *by, *in_order),
                }
            }
            Some(BarMatch::Edited { bar, by }) => self.in_edited(score, &[*bar], *by),
            Some(BarMatch::Gone { gap, by }) => {
                let bars: Vec<BarIndex> = gap.clone().map(BarIndex).collect();
                self.in_edited(score, &bars, *by)
            }
            Some(BarMatch::OneOf(bars)) => {
                let notes: Vec<NoteId> = bars
                    .iter()
                    .flat_map(|bar| self.here(score, *bar))
                    .filter(|note| note.pitch == self.pitch)
                    .map(|note| note.id)
                    .collect();
                if notes.is_empty() { Resolved::Lost } else { Resolved::Ambiguous(notes) }
            }
        }
    }

    fn found(&self, note: NoteId, bar: BarIndex, by: Interval, in_order: bool) -> Resolved {
        let how = if by != Interval::new(0, 0) {
            How::Transposed(by)
        } else if !in_order {
            How::Reordered
        } else if bar != self.bar {
            How::Renumbered
        } else {
            return Resolved::Exact(note);
        };
        Resolved::Moved { note, how }
    }

    /// An identifier says most, if it still names a note of this pitch.
    fn by_source_id(&self, score: &Score) -> Option<Resolved> {
        let wanted = self.source_id.as_deref()?;
        let mut named = score
            .notes()
            .iter()
            .filter(|note| note.part == self.part && note.source_id.as_deref() == Some(wanted));
        let (note, None) = (named.next()?, named.next()) else { return None };
        if note.pitch != self.pitch {
            return None;
        }
        let onset = note.onset - score.bar(note.bar).start;
        let same = note.bar == self.bar && note.voice == self.voice && onset == self.onset;
        Some(if same {
            Resolved::Exact(note.id)
        } else {
            Resolved::Moved { note: note.id, how: How::BySourceId }
        })
    }

    /// The notes of the anchor's voice that begin at its onset in a bar.
    fn here<'a>(&'a self, score: &'a Score, bar: BarIndex) -> impl Iterator<Item = &'a Note> {
        score.notes().iter().filter(move |note| {
            note.part == self.part
                && note.bar == bar
                && note.voice == self.voice
                && note.onset - score.bar(bar).start == self.onset
        })
    }

    /// The note of this pitch there; spelled otherwise if need be.
    fn at<'a>(&'a self, score: &'a Score, bar: BarIndex, pitch: Pitch) -> Option<&'a Note> {
        self.here(score, bar).find(|note| note.pitch == pitch).or_else(|| {
            self.here(score, bar).find(|note| note.pitch.key_number() == pitch.key_number())
        })
    }

    /// Bars that have been changed: the note is known by its place and pitch
    /// and by a neighbour that is as it was.
    fn in_edited(&self, score: &Score, bars: &[BarIndex], by: Interval) -> Resolved {
        let Some(pitch) = by.above(self.pitch) else { return Resolved::Lost };
        let there: Vec<&Note> = bars.iter().filter_map(|bar| self.at(score, *bar, pitch)).collect();
        let known: Vec<NoteId> = there
            .iter()
            .filter(|note| {
                let (before, after) = neighbours(score, note);
                before == self.before || after == self.after
            })
            .map(|note| note.id)
            .collect();
        match (&known[..], &there[..]) {
            (&[note], _) => Resolved::Moved { note, how: How::BarEdited },
            ([], []) => Resolved::Lost,
            ([], there) => Resolved::Ambiguous(there.iter().map(|note| note.id).collect()),
            (several, _) => Resolved::Ambiguous(several.to_vec()),
        }
    }
}
