//! Room that notes would like for their fingering.

use crate::space::Apart;
use apoyando_music::NoteId;

/// What each note of a score would like, in staff spaces. Asked for before spacing.
#[derive(Clone, PartialEq, Debug)]
pub struct Wishes {
    beside: Vec<f64>,
    in_row: Vec<Option<(f64, f64)>>,
    apart: Vec<Apart>,
}

impl Wishes {
    /// So many notes that want nothing.
    pub fn none(notes: usize) -> Self {
        Self { beside: vec![0.0; notes], in_row: vec![None; notes], apart: Vec::new() }
    }

    /// Width to the left of its accidental (of its head, where it has none): 0 where it
    /// wants none.
    pub fn beside(&self, note: NoteId) -> f64 {
        self.beside.get(note.0 as usize).copied().unwrap_or(0.0)
    }

    /// How far a digit in a row reaches to the left and right of the middle of the head, if
    /// it has one there.
    pub fn in_row(&self, note: NoteId) -> Option<(f64, f64)> {
        self.in_row.get(note.0 as usize).copied().flatten()
    }

    /// Asks for at least so much beside a note.
    pub fn want_beside(&mut self, note: NoteId, width: f64) {
        if let Some(own) = self.beside.get_mut(note.0 as usize) {
            *own = own.max(width);
        }
    }

    /// Asks for room in a row, to the left and right of the middle of the head.
    pub fn want_in_row(&mut self, note: NoteId, left: f64, right: f64) {
        if let Some(own) = self.in_row.get_mut(note.0 as usize) {
            *own = Some((left, right));
        }
    }

    /// Asks for a distance between onsets over a barline.
    pub fn want_apart(&mut self, apart: Apart) {
        self.apart.push(apart);
    }

    /// Onsets that must stand apart.
    pub fn apart(&self) -> &[Apart] {
        &self.apart
    }
}
