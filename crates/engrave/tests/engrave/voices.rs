//! Three voices on a staff.

use apoyando_engrave::geometry::bounds;
use apoyando_engrave::{Drawing, Kind, Owner, Sheet, StaffSpaces, Style, engrave};
use apoyando_music::{Metre, Note, Score};

use crate::ink::areas;
use crate::scores::Sketch;

fn drawn(voices: &[&str]) -> (Score, Drawing) {
    let score = Sketch::new(0, Metre::COMMON, voices).score();
    let style = Style { line_width: StaffSpaces(80.0), ..Style::default() };
    let drawing = engrave(&Sheet::bare(&score), &style).systems.remove(0).drawing;
    (score, drawing)
}

/// For every note that has a stem of its own, its voice and whether the stem points up.
fn stems(score: &Score, drawing: &Drawing) -> Vec<(u8, bool)> {
    let head = |note: &Note| {
        let own = |stain: &&apoyando_engrave::Stain| {
            stain.kind == Kind::Head && stain.owner == Owner::Note(note.id)
        };
        drawing.stains.iter().find(own).map(|stain| bounds(&stain.ink))
    };
    let stems = drawing.stains.iter().filter(|stain| stain.kind == Kind::Stem);
    stems
        .filter_map(|stain| {
            let Owner::Note(id) = stain.owner else { return None };
            let note = score.note(id);
            let (head, stem) = (head(note)?, bounds(&stain.ink));
            Some((note.voice.0, stem.high + stem.low > head.high + head.low))
        })
        .collect()
}

/// Common practice, no source.
#[test]
fn the_highest_voice_has_its_stems_up_and_the_lowest_down_however_they_are_numbered() {
    let [high, middle, low] = ["E5:h E5:h", "A4:8 B4:8 C5:8 B4:8 A4:h", "A2:q B2:q C3:h"];
    let (score, drawing) = drawn(&[high, middle, low]);
    let found = stems(&score, &drawing);
    assert!(found.iter().filter(|(voice, _)| *voice == 1).all(|(_, up)| *up), "{found:?}");
    assert!(found.iter().filter(|(voice, _)| *voice == 3).all(|(_, up)| !*up), "{found:?}");
    let (score, drawing) = drawn(&[high, low, middle]);
    let found = stems(&score, &drawing);
    assert!(found.iter().filter(|(voice, _)| *voice == 1).all(|(_, up)| *up), "{found:?}");
    assert!(found.iter().filter(|(voice, _)| *voice == 2).all(|(_, up)| !*up), "{found:?}");
}

#[test]
fn voices_of_one_side_and_one_rhythm_are_written_as_chords() {
    let (_, together) = drawn(&["E5:q D5:8 E5:8 C5:h", "C5:q B4:8 C5:8 A4:h", "A2:h E3:h"]);
    let (_, chords) = drawn(&["C5+E5:q B4+D5:8 C5+E5:8 A4+C5:h", "A2:h E3:h"]);
    for kind in [Kind::Head, Kind::Stem, Kind::Beam, Kind::Flag] {
        assert_eq!(areas(&together.stains, kind), areas(&chords.stains, kind), "{kind:?}");
    }
}

#[test]
fn an_inner_voice_of_another_rhythm_steps_aside() {
    let (score, drawing) = drawn(&["E5:h C5:h", "A4:q B4:q A4:h", "A2:h E3:h"]);
    let head = |voice: u8| {
        let note = score.notes().iter().find(|note| note.voice.0 == voice).unwrap();
        let own = |stain: &&apoyando_engrave::Stain| {
            stain.kind == Kind::Head && stain.owner == Owner::Note(note.id)
        };
        bounds(&drawing.stains.iter().find(own).unwrap().ink)
    };
    assert!(head(2).left > head(1).right, "{:?} {:?}", head(2), head(1));
    assert!((head(3).left - head(1).left).abs() < 0.02);
}
