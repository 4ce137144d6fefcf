//! How a section opens: the map of its position, and what it asks for the first time.

use apoyando_book::{Book, Section};
use apoyando_engrave::{Neck, Ring};
use apoyando_fingering::{LeftFinger, Position};
use apoyando_method::subjects::{Subjects, subjects};
use apoyando_music::Mode;

use crate::item::BuiltItem;
use crate::plan::MapPlan;

/// What an item asks its player to know; of a duet, its student.
pub fn asked(built: &BuiltItem) -> Subjects {
    let student = built.parts.first().and_then(|part| part.fingering.as_ref());
    student.map(|fingering| subjects(&built.score, fingering)).unwrap_or_default()
}

/// The notes of a section's key in its position.
pub fn map(book: &Book, section: &Section, position: Option<Position>) -> Option<MapPlan> {
    let (key, position) = (section.key?, position?);
    let map = apoyando_method::map(key, position, &book.instrument, &section.level.level)?;
    let scale = match key.mode() {
        Mode::Major => key.to_string(),
        Mode::Minor => format!("{} natural minor", key.tonic()),
    };
    let caption = format!(
        "The notes of {scale} in position {position}: a finger in every ring, 0 for an open \
         string, the tonic in thick rings."
    );
    let rings = map.spots.iter().map(|spot| Ring {
        place: spot.place,
        label: spot.finger.map_or(0, LeftFinger::digit).to_string(),
        thick: spot.tonic,
    });
    let strings = map.strings.iter().map(|(string, note)| (*string, note.to_string()));
    let mut said: Vec<String> = Vec::new();
    for (string, _) in &map.strings {
        let here = map.spots.iter().filter(|spot| spot.place.string == *string);
        let notes: Vec<String> = here
            .map(|spot| match spot.finger {
                None => format!("{} open", spot.note),
                Some(finger) => format!("{} finger {finger} fret {}", spot.note, spot.place.fret),
            })
            .collect();
        said.push(format!("string {string}: {}", notes.join(", ")));
    }
    let neck = Neck {
        strings: strings.collect(),
        frets: map.frets,
        numbered: vec![map.frets.0],
        rings: rings.collect(),
        description: format!("Fingerboard, {scale} in position {position}. {}", said.join("; ")),
    };
    Some(MapPlan { neck, caption })
}
