//! What is set by itself: sections from one that begins a page up to the next
//! one that does. In the trade a take is the copy one compositor is given.

use std::ops::Range;

use crate::document::{Document, Opening};

/// Sections that are set together.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Take {
    /// Whether the title page and the contents come first.
    pub front: bool,
    /// Whether it begins on a right-hand page.
    pub recto: bool,
    /// The sections.
    pub sections: Range<usize>,
}

impl Take {
    /// All of a document.
    pub fn whole(document: &Document) -> Self {
        Self { front: true, recto: true, sections: 0..document.sections.len() }
    }

    /// The takes of a document in order.
    pub fn all(document: &Document) -> Vec<Self> {
        let fronted = document.title_page.is_some() || document.contents.is_some();
        let mut takes: Vec<Self> = Vec::new();
        if fronted {
            takes.push(Self { front: true, recto: true, sections: 0..0 });
        }
        for (index, section) in document.sections.iter().enumerate() {
            match takes.last_mut() {
                Some(take) if section.opening == Opening::RunOn => take.sections.end = index + 1,
                before => {
                    // The first page of a book lies on the right.
                    let recto = before.is_none() || section.opening == Opening::Recto;
                    takes.push(Self { front: false, recto, sections: index..index + 1 });
                }
            }
        }
        takes
    }
}
