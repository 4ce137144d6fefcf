//! The strings as lines, as players draw them.

use std::collections::BTreeMap;
use std::fmt::Write;

use apoyando_fingering::{Fingering, Placement, RightFinger};
use apoyando_fretboard::{Instrument, StringNumber};
use apoyando_music::{Moment, Score};
use apoyando_workshop::piece::FingeredPart;

/// Characters in a line.
const WIDTH: usize = 96;

/// One onset: per string what is struck there, and by which
/// right-hand fingers.
#[derive(Default)]
struct Column {
    beat: String,
    cells: BTreeMap<StringNumber, String>,
    right: String,
}

fn subscript(placement: Placement) -> String {
    let mut text = placement.place.fret.to_string();
    text.extend(placement.finger.and_then(|finger| low_digit(finger.digit())));
    text
}

fn low_digit(digit: u8) -> Option<char> {
    char::from_u32('₀' as u32 + u32::from(digit))
}

fn columns(score: &Score, part: &FingeredPart, fingering: &Fingering) -> Vec<(u32, Vec<Column>)> {
    let tones = score.tones(part.part);
    let mut onsets: BTreeMap<Moment, (Column, Vec<(StringNumber, RightFinger)>)> = BTreeMap::new();
    for (tone, how) in tones.as_slice().iter().zip(&fingering.tones) {
        let (column, right) = onsets.entry(tone.onset).or_default();
        match how.left {
            Some(placement) => {
                let mut cell = subscript(placement);
                if let Some(second) = how.second {
                    cell.push('₋');
                    cell.extend(low_digit(second.finger.digit()));
                }
                column.cells.insert(placement.place.string, cell);
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

/// Appends the strings of a part.
pub fn write(
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
