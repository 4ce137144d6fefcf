//! Music that is being typed, engraved as it stands.

use apoyando_engrave::{Sheet, Style, engrave, svg};
use apoyando_fretboard::Millimetres;
use serde::Serialize;

/// A line as wide as the preview.
const LINE: Millimetres = Millimetres(85.0);
/// How high its staves are.
const STAFF: Millimetres = Millimetres(6.5);
/// More lines are not shown.
const LINES: usize = 40;

/// What was typed, as far as it can be read.
#[derive(Serialize, Default)]
pub struct Typed {
    /// Its title.
    title: String,
    /// How many parts it has.
    parts: usize,
    /// Its systems.
    systems: Vec<String>,
    /// What was not understood, or why nothing was.
    remarks: Vec<String>,
}

/// Engraves the first piece of a text in ABC or MusicXML. `name` tells the format by its ending.
pub fn typed(name: &str, text: &str) -> Typed {
    let reading = match apoyando_formats::read(name, text.as_bytes()) {
        Ok(reading) => reading,
        Err(error) => return Typed { remarks: vec![error.to_string()], ..Typed::default() },
    };
    let mut remarks: Vec<String> = reading.findings.iter().map(ToString::to_string).collect();
    let Some(piece) = reading.pieces.into_iter().next() else {
        return Typed { remarks, ..Typed::default() };
    };
    let engraving = engrave(&Sheet::bare(&piece.score), &Style::on_paper(LINE, STAFF));
    let found = piece.findings.iter().chain(&engraving.findings);
    remarks.extend(found.map(ToString::to_string));
    Typed {
        title: piece.score.heading().title.clone(),
        parts: piece.score.parts().len(),
        systems: engraving.systems.iter().take(LINES).map(|it| svg(&it.drawing)).collect(),
        remarks,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_typed_is_engraved_or_said_to_be_wrong() {
        let head = "X:1\nT:A Try\nM:4/4\nL:1/4\nK:C clef=treble-8\n";
        let good = typed("typed.abc", &format!("{head}CDEF|GABc|]\n"));
        assert_eq!((good.title.as_str(), good.parts, good.systems.len()), ("A Try", 1, 1));
        assert!(good.systems[0].starts_with("<svg"));
        let none = typed("typed.abc", "hello");
        assert!(none.systems.is_empty() && !none.remarks.is_empty());
        assert!(!typed("typed.abc", "").remarks.is_empty());
    }
}
