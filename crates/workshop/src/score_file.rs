//! An item as a file of notes that other programs read.

use apoyando_formats::musicxml::{self, Layer};
use apoyando_fretboard::Instrument;

use crate::item::BuiltItem;

/// An item as MusicXML, with the fingering that is printed of it.
#[must_use]
pub fn musicxml(item: &BuiltItem, instrument: &Instrument) -> String {
    let fingered = item.parts.iter().zip(&item.marks);
    let layers: Vec<Layer<'_>> = fingered
        .filter_map(|(part, marks)| {
            let fingering = part.fingering.as_ref()?;
            Some(Layer { part: part.part, instrument, fingering, marks })
        })
        .collect();
    musicxml::write(&item.score, &layers)
}
