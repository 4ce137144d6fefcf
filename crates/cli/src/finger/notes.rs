//! A line to every note, as a player reads it: where, what, how.

use std::collections::BTreeMap;
use std::fmt::Write;

use apoyando_fingering::{Fingering, Position, Posture, Stroke};
use apoyando_music::{Moment, Score, Tone};
use apoyando_workshop::piece::FingeredPart;

use super::summary::{barre_in_words, shift_in_words, written};

const HEADS: [&str; 9] = ["bar", "beat", "note", "string", "fret", "left", "right", "position", ""];

/// Appends the table of a part. Notes are named as they are written; bar,
/// beat and position stand where they change.
pub fn write(text: &mut String, score: &Score, part: &FingeredPart, fingering: &Fingering) {
    let tones = score.tones(part.part);
    let mut struck: Vec<&Tone> = tones.as_slice().iter().collect();
    struck.sort_by_key(|tone| (tone.onset, std::cmp::Reverse(tone.pitch.key_number()), tone.id));
    let mut rows: Vec<[String; 9]> = vec![HEADS.map(str::to_owned)];
    let postures: BTreeMap<Moment, &Posture> =
        fingering.postures.iter().map(|posture| (posture.at, posture)).collect();
    let mut events = events(fingering);
    let mut before: Option<Moment> = None;
    let mut bar_before = None;
    let mut position_before: Option<Position> = None;
    for tone in struck {
        let how = fingering.tone(tone.id);
        let mut row: [String; 9] = Default::default();
        if before != Some(tone.onset) {
            let (bar, beat) = score.bar_and_beat(tone.onset);
            if bar_before.replace(bar) != Some(bar) {
                row[0] = bar.to_string();
            }
            row[1] = beat;
            let posture = postures.get(&tone.onset).filter(|posture| !posture.idle);
            if let Some(position) = posture.and_then(|posture| posture.position)
                && position_before.replace(position) != Some(position)
            {
                row[7] = position.to_string();
            }
            row[8] = events.remove(&tone.onset).unwrap_or_default().join("; ");
        }
        row[2] = written(score, part, tone.pitch).to_string();
        match how.left {
            Some(left) => {
                row[3] = left.place.string.to_string();
                row[4] = left.place.fret.to_string();
                row[5] = left.finger.map_or("0".to_owned(), |finger| finger.to_string());
                if let Some(second) = how.second {
                    let _ = write!(row[5], "–{}", second.finger);
                }
            }
            None => row[3] = "left out".to_owned(),
        }
        row[6] = how.right.map_or(String::new(), |finger| finger.to_string());
        if how.stroke == Some(Stroke::Rest) {
            row[6].push_str(" rest");
        }
        before = Some(tone.onset);
        rows.push(row);
    }
    lay_out(text, &rows);
}

/// What begins or ends at an onset besides notes.
fn events(fingering: &Fingering) -> BTreeMap<Moment, Vec<String>> {
    let mut events: BTreeMap<Moment, Vec<String>> = BTreeMap::new();
    let mut seconds: Vec<(Moment, String)> = Vec::new();
    for how in &fingering.tones {
        let (Some(second), Some(left)) = (how.second, how.left) else { continue };
        let said = format!("{} takes over {}", second.finger, left.place.string);
        // Tones of one sound are one.
        if !seconds.contains(&(second.from, said.clone())) {
            seconds.push((second.from, said));
        }
    }
    for (at, said) in seconds {
        events.entry(at).or_default().push(said);
    }
    for span in &fingering.hops {
        events.entry(span.from).or_default().push(format!("reach to {}", span.position));
    }
    for shift in &fingering.shifts {
        events.entry(shift.at).or_default().push(format!("shift {}", shift_in_words(shift)));
    }
    for span in &fingering.barres {
        // It is lifted at the first onset after the last it lies at.
        let next = fingering.postures.partition_point(|posture| posture.at <= span.to);
        let lifted = fingering.postures.get(next);
        if let Some(posture) = lifted.filter(|posture| posture.barre.is_none()) {
            let lifted = format!("barre off fret {}", span.barre.fret);
            events.entry(posture.at).or_default().push(lifted);
        }
    }
    for span in &fingering.barres {
        let laid = format!("barre {}", barre_in_words(span.barre));
        events.entry(span.from).or_default().push(laid);
    }
    events
}

fn lay_out(text: &mut String, rows: &[[String; 9]]) {
    let width = |column: usize| rows.iter().map(|row| row[column].chars().count()).max();
    let widths: Vec<usize> = (0..9).map(|column| width(column).unwrap_or(0)).collect();
    for row in rows {
        let mut line = " ".to_owned();
        for (column, (cell, width)) in row.iter().zip(&widths).enumerate() {
            // Numbers of bars stand under one another by their last digit.
            if column == 0 {
                let _ = write!(line, " {cell:>width$}");
            } else {
                let _ = write!(line, "  {cell:<width$}");
            }
        }
        let _ = writeln!(text, "{}", line.trim_end());
    }
    text.push('\n');
}
