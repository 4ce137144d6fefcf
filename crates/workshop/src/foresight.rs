//! Items as a change would make them, made before the change is asked for: who looks at the other
//! ways of a note is likely to take one.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, PoisonError};

use apoyando_book::edit::ItemPlace;

use crate::build::Workshop;
use crate::item::{BuiltItem, Made, MadeItem, MadeOf, common_key, item_key};
use crate::printing::Printing;

/// An item that nobody has asked for yet.
#[derive(Clone)]
pub struct Foreseen {
    key: u128,
    made: Arc<MadeItem>,
}

impl Foreseen {
    /// What was made.
    #[must_use]
    pub fn item(&self) -> &Arc<BuiltItem> {
        &self.made.built
    }
}

/// What was foreseen and has not been asked for.
#[derive(Default)]
pub struct Foresight(Mutex<HashMap<u128, Arc<MadeItem>>>);

impl Clone for Foresight {
    /// Another run has nothing to expect.
    fn clone(&self) -> Self {
        Self::default()
    }
}

impl Foresight {
    fn put(&self, Foreseen { key, made }: Foreseen) {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).insert(key, made);
    }

    /// What was foreseen under a key.
    pub(crate) fn take(&self, key: u128) -> Option<Arc<MadeItem>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).remove(&key)
    }

    /// Expects nothing any more.
    pub(crate) fn clear(&self) {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).clear();
    }
}

impl Workshop {
    /// Makes an item as a book that may come to be would have it. `None` if there is no such
    /// item, or no music comes of it.
    #[must_use]
    pub fn foresee(&self, printing: &Printing<'_>, at: &ItemPlace) -> Option<Foreseen> {
        let section = printing.book.sections.iter().find(|it| it.name == at.section)?;
        let item = section.items.get(at.item)?;
        let key = item_key(common_key(printing), printing.book, section, at.item, item);
        match self.make(printing, section, at.item, item) {
            Made::Music(made) => Some(Foreseen { key, made }),
            _ => None,
        }
    }

    /// Has an item at hand for whoever asks for it next. What is not asked for in the next round
    /// is forgotten.
    pub fn expect(&self, foreseen: Foreseen) {
        self.foresight.put(foreseen);
    }

    /// Expects nothing of what was foreseen.
    pub fn expect_nothing(&self) {
        self.foresight.clear();
    }

    /// What was foreseen under a key; its fingering and its lines are known from now on, too.
    pub(crate) fn foreseen(&self, key: u128) -> Option<Made> {
        let made = self.foresight.take(key)?;
        let MadeOf { fingered, engraved, .. } = made.of;
        self.fingered.get(fingered, || made.built.parts.clone());
        self.engraved.get(engraved, || made.built.engraving.clone());
        Some(Made::Music(made))
    }
}
