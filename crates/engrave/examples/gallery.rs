//! Writes the gallery as SVG files into the folder named on the command line,
//! to be looked at: `gallery FOLDER [NAME|all [bare|fingered [WIDTH [tablature|alone]]]]`.
//! With tablature, under the notation or alone, those that the search has fingered follow.

#[path = "../tests/scores/fingered.rs"]
mod fingered;
#[path = "../tests/scores/fretted.rs"]
mod fretted;
#[path = "../tests/scores/gallery.rs"]
mod gallery;
#[path = "../tests/scores/mod.rs"]
mod scores;

use apoyando_engrave::{Drawing, Sheet, StaffSpaces, Style, Tablature, engrave, svg};
use apoyando_fingering::{LeftFinger, RightFinger};
use apoyando_marks::{LeftMark, Marks};
use apoyando_music::Score;

/// Marks that mean nothing, to see where they come to stand.
fn invented(score: &Score) -> Vec<Marks> {
    score
        .part_indices()
        .map(|part| {
            let mut marks = Marks::none(part, score.notes().len());
            for note in score.notes().iter().filter(|note| note.part == part) {
                let at = note.id.0 as usize;
                let finger = [None, Some(1), Some(2), Some(3), Some(4)][(at * 7) % 5];
                let finger = finger.map(|number: usize| LeftFinger::ALL[number - 1]);
                marks.left[at] = Some(LeftMark { guide: at % 11 == 3, ..LeftMark::plain(finger) });
                if note.voice.0 == 1 {
                    marks.right[at] = Some(RightFinger::ALL[1 + at % 2]);
                }
            }
            marks
        })
        .collect()
}

fn main() -> std::io::Result<()> {
    let folder = std::env::args().nth(1).unwrap_or_else(|| ".".to_owned());
    let only = std::env::args().nth(2);
    let wanted = |name: &str| only.as_ref().is_none_or(|only| only == "all" || only == name);
    let fingered = std::env::args().nth(3).is_some_and(|word| word == "fingered");
    let width = std::env::args().nth(4).and_then(|text| text.parse().ok()).unwrap_or(97.2);
    let asked = |wanted: &str| std::env::args().any(|word| word == wanted);
    let tablature = match (asked("tablature"), asked("alone")) {
        (_, true) => Tablature::Alone,
        (true, _) => Tablature::Under,
        _ => Tablature::None,
    };
    let style = Style { line_width: StaffSpaces(width), tablature, ..Style::default() };
    for (name, score) in gallery::all() {
        if !wanted(name) {
            continue;
        }
        let marks = if fingered { invented(&score) } else { Vec::new() };
        let frettings = fretted::all(&score);
        let sheet = Sheet { marks: &marks, frettings: &frettings, ..Sheet::bare(&score) };
        write(&folder, name, &sheet, &style)?;
    }
    if tablature != Tablature::None {
        for piece in fingered::all().iter().filter(|piece| wanted(piece.name)) {
            let fingered::Fingered { name, score, marks, captions, frettings } = piece;
            let sheet = Sheet { score, marks, captions, frettings };
            write(&folder, name, &sheet, &style)?;
        }
    }
    Ok(())
}

fn write(folder: &str, name: &str, sheet: &Sheet<'_>, style: &Style) -> std::io::Result<()> {
    let engraving = engrave(sheet, style);
    for finding in &engraving.findings {
        println!("{name}: {finding}");
    }
    let page: Vec<&Drawing> = engraving.systems.iter().map(|s| &s.drawing).collect();
    for (number, drawing) in page.into_iter().enumerate() {
        let mut drawing = drawing.clone();
        drawing.above += StaffSpaces(1.0);
        drawing.below += StaffSpaces(1.0);
        let path = std::path::Path::new(folder).join(format!("{name}_{number}.svg"));
        std::fs::write(path, svg(&drawing))?;
    }
    Ok(())
}
