//! How a section opens: the map of its position, and what it asks for the first time.

use apoyando_book::{Book, Edition, ItemKind, Minor, Section, Tablature};
use apoyando_engrave::{Neck, Ring, RingLook};
use apoyando_fingering::{LeftFinger, Position};
use apoyando_marks::Marks;
use apoyando_method::subjects::{Sign, Subject, Subjects, subjects};
use apoyando_method::{PositionMap, Standing};
use apoyando_music::{Mode, ScaleKind};

use crate::item::BuiltItem;
use crate::plan::MapPlan;

/// What an item asks its player to know, with the signs of fingering that this edition prints;
/// of a duet, its student.
pub fn asked(built: &BuiltItem, edition: &Edition) -> Subjects {
    let student = built.parts.first().and_then(|part| part.fingering.as_ref());
    let mut asked = student.map(|fingering| subjects(&built.score, fingering)).unwrap_or_default();
    // Tablature alone has neither digits nor circles.
    if let (Some(marks), true) = (built.marks.first(), edition.tablature != Tablature::Alone) {
        asked.extend(signs(marks).map(Subject::Sign));
    }
    asked
}

/// The signs of fingering among these marks that not every book has.
fn signs(marks: &Marks) -> impl Iterator<Item = Sign> {
    let digits = || marks.left.iter().flatten();
    let signs = [
        (!marks.strings.is_empty(), Sign::CircledStrings),
        (digits().any(|mark| mark.guide), Sign::GuideDashes),
        (digits().any(|mark| mark.prepares.is_some()), Sign::PreparedFingers),
        (!marks.holds.is_empty(), Sign::HoldLines),
    ];
    signs.into_iter().filter_map(|(printed, sign)| printed.then_some(sign))
}

/// The scales whose raised notes the map of a section shows: in a minor key the
/// harmonic one, for its leading note is in its chords, and the melodic one where an
/// exercise goes through it.
pub fn raising(section: &Section) -> Vec<ScaleKind> {
    if section.key.is_none_or(|key| key.mode() == Mode::Major) {
        return Vec::new();
    }
    let melodic = section.items.iter().any(|item| {
        let exercise = match &item.kind {
            ItemKind::Scale(scale) => Some(&scale.exercise),
            ItemKind::PositionScale(exercise) => Some(exercise),
            _ => None,
        };
        exercise.is_some_and(|exercise| exercise.minor == Minor::Melodic)
    });
    let kinds = [Some(ScaleKind::HarmonicMinor), melodic.then_some(ScaleKind::MelodicMinor)];
    kinds.into_iter().flatten().collect()
}

/// The notes of a section's key in its position, with those that the scales of other
/// kinds raise.
pub fn map(
    book: &Book,
    section: &Section,
    kinds: &[ScaleKind],
    position: Option<Position>,
) -> Option<MapPlan> {
    let (key, position) = (section.key?, position?);
    let map = apoyando_method::map(key, kinds, position, &book.instrument, &section.level.level)?;
    let rings = map.spots.iter().map(|spot| Ring {
        place: spot.place,
        label: spot.finger.map_or(0, LeftFinger::digit).to_string(),
        look: match spot.standing {
            Standing::Tonic => RingLook::Thick,
            Standing::Signature => RingLook::Thin,
            Standing::Raised => RingLook::Bare,
        },
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
        description: format!("Fingerboard, {key} in position {position}. {}", said.join("; ")),
    };
    let caption = caption(&map, kinds, book);
    Some(MapPlan { neck, caption })
}

/// How a map is read.
fn caption(map: &PositionMap, kinds: &[ScaleKind], book: &Book) -> String {
    let mut caption = format!(
        "The notes of {} in position {}: the finger in a ring, 0 for an open string; thick \
         rings are the tonic",
        map.key, map.position
    );
    if map.spots.iter().any(|spot| spot.standing == Standing::Raised) {
        let raised = if kinds.contains(&ScaleKind::MelodicMinor) {
            "the raised sixth and seventh have"
        } else {
            "the raised seventh has"
        };
        caption = format!("{caption}, {raised} no ring");
    }
    let sound = |at: usize| book.instrument.sound(map.spots[at].place);
    let mut twice: Vec<String> = (0..map.spots.len())
        .filter(|at| (0..*at).any(|other| sound(other) == sound(*at)))
        .map(|at| map.spots[at].note.to_string())
        .collect();
    twice.dedup();
    match twice.as_slice() {
        [] => format!("{caption}."),
        [one] => format!("{caption}. One {one} lies on two strings."),
        _ => format!("{caption}. Some notes lie on two strings."),
    }
}
