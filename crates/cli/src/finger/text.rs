//! Fingering for people: strings as lines, as players draw them.

use std::collections::BTreeMap;
use std::fmt::Write;

use apoyando_fingering::{EffortItem, Fingering, Placement, RightFinger, Term};
use apoyando_fretboard::{Instrument, StringNumber};
use apoyando_music::{Moment, Score, ToneId};
use apoyando_workshop::piece::{FingeredPart, part_name};

use super::{FingeredFile, FingeredPiece};
use crate::trouble::{print, say};

/// Characters in a line of the table.
const WIDTH: usize = 96;

/// Shows a file's pieces; findings and errors go to the error channel.
pub fn show(file: &FingeredFile, instrument: &Instrument) {
    if let Some(error) = &file.error {
        say(format_args!("error: {error}"));
        return;
    }
    for piece in &file.pieces {
        print(&piece_text(piece, instrument));
    }
    for finding in file.all_findings() {
        let mut finding = finding.clone();
        finding.place.file.get_or_insert_with(|| file.file.clone());
        say(finding);
    }
}

fn piece_text(piece: &FingeredPiece, instrument: &Instrument) -> String {
    let heading = piece.score.heading();
    let mut text = String::new();
    let title = if heading.title.is_empty() { "Untitled" } else { &heading.title };
    let _ = write!(text, "{title}");
    if !heading.composer.is_empty() {
        let _ = write!(text, " ({})", heading.composer);
    }
    text.push('\n');
    for part in &piece.parts {
        if piece.score.parts().len() > 1 || !piece.score.part(part.part).name.is_empty() {
            let _ = writeln!(text, "\n{}", part_name(&piece.score, part.part));
        }
        text.push('\n');
        match &part.fingering {
            Some(fingering) => part_text(&mut text, &piece.score, part, fingering, instrument),
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
    instrument: &Instrument,
) {
    table(text, score, part, fingering, instrument);
    summary(text, score, part, fingering);
}

/// One onset of the table: per string what is struck there, and by which
/// right-hand fingers.
#[derive(Default)]
struct Column {
    beat: String,
    cells: BTreeMap<StringNumber, String>,
    right: String,
}

fn subscript(placement: Placement) -> String {
    let digit = placement.finger.map_or(0, |finger| u32::from(finger.digit()));
    match placement.finger {
        None => placement.place.fret.to_string(),
        Some(_) => {
            format!("{}{}", placement.place.fret, char::from_u32('₀' as u32 + digit).unwrap_or('?'))
        }
    }
}

fn columns(score: &Score, part: &FingeredPart, fingering: &Fingering) -> Vec<(u32, Vec<Column>)> {
    let tones = score.tones(part.part);
    let mut onsets: BTreeMap<Moment, (Column, Vec<(StringNumber, RightFinger)>)> = BTreeMap::new();
    for (tone, how) in tones.as_slice().iter().zip(&fingering.tones) {
        let (column, right) = onsets.entry(tone.onset).or_default();
        match how.left {
            Some(placement) => {
                column.cells.insert(placement.place.string, subscript(placement));
                right.extend(how.right.map(|finger| (placement.place.string, finger)));
            }
            None => column.right.push('!'),
        }
    }
    let mut bars: Vec<(u32, Vec<Column>)> =
        score.bars().iter().map(|bar| (bar.number, Vec::new())).collect();
    for (at, (mut column, mut right)) in onsets {
        right.sort_by_key(|(string, _)| std::cmp::Reverse(*string));
        right.dedup();
        column.right.extend(right.iter().map(|(_, finger)| finger.letter()));
        if let Some(index) = score.bar_at(at) {
            column.beat = score.bar(index).beat_text(at);
            bars[index.0 as usize].1.push(column);
        }
    }
    bars
}

/// Width of a column: its widest cell and a gap.
fn width(column: &Column) -> usize {
    let cells = column.cells.values().chain([&column.beat, &column.right]);
    cells.map(|cell| cell.chars().count()).max().unwrap_or(1) + 1
}

fn table(
    text: &mut String,
    score: &Score,
    part: &FingeredPart,
    fingering: &Fingering,
    instrument: &Instrument,
) {
    let bars = columns(score, part, fingering);
    let mut rest = &bars[..];
    while !rest.is_empty() {
        let mut taken = 0;
        let mut used = 8;
        while taken < rest.len() {
            let bar: usize = rest[taken].1.iter().map(width).sum::<usize>().max(4) + 2;
            if taken > 0 && used + bar > WIDTH {
                break;
            }
            used += bar;
            taken += 1;
        }
        line_of_bars(text, &rest[..taken], instrument);
        rest = &rest[taken..];
    }
}

/// Appends `cell` padded to a width.
fn pad(row: &mut String, cell: &str, width: usize, fill: char) {
    row.push_str(cell);
    row.extend(std::iter::repeat_n(fill, width.saturating_sub(cell.chars().count())));
}

fn line_of_bars(text: &mut String, bars: &[(u32, Vec<Column>)], instrument: &Instrument) {
    let bar_width = |columns: &[Column]| columns.iter().map(width).sum::<usize>().max(4) + 1;
    let mut numbers = "  bar   ".to_owned();
    let mut beats = "  beat  ".to_owned();
    let mut right = "  right ".to_owned();
    for (number, columns) in bars {
        pad(&mut numbers, &number.to_string(), bar_width(columns) + 1, ' ');
        let before = |row: &str| row.chars().count();
        for (row, cell) in [
            (&mut beats, (|column: &Column| column.beat.clone()) as fn(&Column) -> String),
            (&mut right, |column: &Column| column.right.clone()),
        ] {
            let end = before(row) + bar_width(columns) + 1;
            row.push(' ');
            for column in columns {
                pad(row, &cell(column), width(column), ' ');
            }
            let short = end.saturating_sub(before(row));
            row.extend(std::iter::repeat_n(' ', short));
        }
    }
    let _ = writeln!(text, "{}", numbers.trim_end());
    let _ = writeln!(text, "{}", beats.trim_end());
    for string in instrument.tuning.strings() {
        let mut row = format!("  {string}     ");
        for (_, columns) in bars {
            let end = row.chars().count() + bar_width(columns);
            row.push('─');
            for column in columns {
                let cell = column.cells.get(&string).map_or("", String::as_str);
                pad(&mut row, cell, width(column), '─');
            }
            let short = end.saturating_sub(row.chars().count());
            row.extend(std::iter::repeat_n('─', short));
            row.push('│');
        }
        let _ = writeln!(text, "{row}");
    }
    if !right.trim_end().ends_with("right") {
        let _ = writeln!(text, "{}", right.trim_end());
    }
    text.push('\n');
}

fn place(score: &Score, at: Moment) -> String {
    let (bar, beat) = score.bar_and_beat(at);
    format!("{bar}:{beat}")
}

fn summary(text: &mut String, score: &Score, part: &FingeredPart, fingering: &Fingering) {
    let list = |text: &mut String, name: &str, items: Vec<String>| {
        let said = if items.is_empty() { "none".to_owned() } else { items.join(", ") };
        let _ = writeln!(text, "  {name:<10} {said}");
    };
    let positions = fingering.positions.iter().map(|span| {
        format!("{} {}–{}", span.position, place(score, span.from), place(score, span.to))
    });
    list(text, "positions", positions.collect());
    let shifts = fingering.shifts.iter().map(|shift| {
        let help = match (shift.guide, shift.pivot, shift.over_open) {
            (Some((finger, string)), ..) => format!(" (guide finger {finger} on {string})"),
            (_, Some((finger, string)), _) => format!(" (pivot finger {finger} on {string})"),
            (_, _, true) => " (over an open string)".to_owned(),
            _ => String::new(),
        };
        format!("{} {}→{}{help}", place(score, shift.at), shift.from, shift.to)
    });
    list(text, "shifts", shifts.collect());
    let barres = fingering.barres.iter().map(|span| {
        let barre = span.barre;
        let (from, to) = (place(score, span.from), place(score, span.to));
        format!("fret {} {}–{} {from}–{to}", barre.fret, barre.thin, barre.thick)
    });
    list(text, "barres", barres.collect());
    let tones = score.tones(part.part);
    let pitch = |tone: ToneId| {
        let up = score.part(part.part).clef.octaves_up();
        tones.get(tone).pitch.up_octaves(up)
    };
    let let_go = fingering.let_go.iter().map(|gone| {
        let what = if gone.written { "" } else { " (ringing)" };
        format!("{} at {}{what}", pitch(gone.tone), place(score, gone.at))
    });
    list(text, "let go", let_go.collect());
    let left_out = tones
        .as_slice()
        .iter()
        .zip(&fingering.tones)
        .filter(|(_, how)| how.left.is_none())
        .map(|(tone, _)| format!("{} at {}", pitch(tone.id), place(score, tone.onset)));
    let left_out: Vec<String> = left_out.collect();
    if !left_out.is_empty() {
        list(text, "left out", left_out);
    }
    let price = fingering.price;
    let _ = write!(text, "  {:<10} {}", "effort", price.effort);
    if price.broken > 0 {
        let rules = if price.broken == 1 { "rule" } else { "rules" };
        let _ = write!(text, ", {} {rules} broken", price.broken);
    }
    let terms = terms(&fingering.items);
    if !terms.is_empty() {
        let _ = write!(text, " ({})", terms.join(", "));
    }
    text.push('\n');
}

/// What the effort is made of, the dearest first.
fn terms(items: &[EffortItem]) -> Vec<String> {
    let mut sums: BTreeMap<Term, i64> = BTreeMap::new();
    for item in items {
        *sums.entry(item.term).or_default() += item.amount;
    }
    let mut sums: Vec<(Term, i64)> = sums.into_iter().filter(|(_, sum)| *sum != 0).collect();
    sums.sort_by_key(|(term, sum)| (-sum.abs(), *term));
    sums.iter().map(|(term, sum)| format!("{} {sum}", term.info().name.replace('_', " "))).collect()
}
