//! Fingering for people.

use std::fmt::Write;

use apoyando_fingering::Fingering;
use apoyando_music::Score;
use apoyando_workshop::piece::{FingeredPart, part_name};

use super::request::Setting;
use super::{FingeredFile, FingeredPiece, lines, notes, summary, told};
use crate::args::ShowWord;
use crate::trouble::{print, say};

/// A piece of as many tones is short enough for a line to every note: it
/// fills one screen. House.
const SHORT: usize = 24;

/// Shows a file's pieces; findings and errors go to the error channel.
pub fn show(file: &FingeredFile, setting: &Setting, show: Option<ShowWord>) {
    if let Some(error) = &file.error {
        say(format_args!("error: {error}"));
        return;
    }
    for piece in &file.pieces {
        let show = show.unwrap_or_else(|| fitting(file, piece));
        print(&piece_text(piece, setting, show));
    }
    for finding in file.all_findings() {
        let mut finding = finding.clone();
        finding.place.file.get_or_insert_with(|| file.file.clone());
        say(finding);
    }
}

/// What suits a piece that is shown without a wish.
fn fitting(file: &FingeredFile, piece: &FingeredPiece) -> ShowWord {
    let tones: usize = piece.parts.iter().map(|part| piece.score.tones(part.part).len()).sum();
    if file.pieces.len() == 1 && tones <= SHORT { ShowWord::Notes } else { ShowWord::Strings }
}

fn piece_text(piece: &FingeredPiece, setting: &Setting, show: ShowWord) -> String {
    let heading = piece.score.heading();
    let mut text = String::new();
    let title = if heading.title.is_empty() { "Untitled" } else { &heading.title };
    let _ = write!(text, "{title}");
    if !heading.composer.is_empty() {
        let _ = write!(text, " ({})", heading.composer);
    }
    text.push('\n');
    for (part, answers) in piece.parts.iter().zip(&piece.answers) {
        if piece.score.parts().len() > 1 || !piece.score.part(part.part).name.is_empty() {
            let _ = writeln!(text, "\n{}", part_name(&piece.score, part.part));
        }
        text.push('\n');
        match &part.fingering {
            Some(fingering) => {
                part_text(&mut text, &piece.score, part, fingering, setting, show);
                told::write(&mut text, &piece.score, part, fingering, answers);
            }
            None => text.push_str("  no fingering\n"),
        }
    }
    text.push('\n');
    text
}

fn part_text(
    text: &mut String,
    score: &Score,
    part: &FingeredPart,
    fingering: &Fingering,
    setting: &Setting,
    show: ShowWord,
) {
    match show {
        ShowWord::Notes => notes::write(text, score, part, fingering),
        ShowWord::Strings => lines::write(text, score, part, fingering, &setting.instrument),
        ShowWord::Summary => {}
    }
    summary::write(text, score, part, fingering);
}
