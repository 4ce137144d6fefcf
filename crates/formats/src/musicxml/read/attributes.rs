//! Divisions, key, metre, clef, transposition.

use apoyando_fingering::Severity;
use apoyando_fretboard::{Fret, Tuning};
use apoyando_music::rhythm::MetreSign;
use apoyando_music::{Alter, Clef, Interval, KeySignature, Metre, Pitch, Step};
use num_traits::Signed;
use roxmltree::Node;

use super::number::{decimal, whole};
use super::part::PartReader;
use super::{child, child_text, elements, text};
use crate::ReadError;
use crate::rough::RoughClef;

/// Written pitch to sounding pitch.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Transposition {
    pub interval: Interval,
    pub octaves: i8,
}

impl Transposition {
    /// It sounds as written, and the file says so.
    pub(super) const NONE: Self = Self { interval: Interval::new(0, 0), octaves: 0 };
}

/// Reads an `attributes` element into the state of the part.
pub(super) fn read(reader: &mut PartReader<'_, '_>, node: Node<'_, '_>) -> Result<(), ReadError> {
    for item in node.children().filter(Node::is_element) {
        match item.tag_name().name() {
            "divisions" => {
                let divisions = decimal(text(item)).filter(Signed::is_positive);
                reader.divisions = divisions.ok_or_else(|| {
                    reader.source.error(item, format!("“{}” is no number of divisions", text(item)))
                })?;
            }
            "transpose" => transpose(reader, item)?,
            "key" | "time" | "clef" => {}
            "staff-details" => staff_details(reader, item),
            "staves" | "instruments" | "part-symbol" | "footnote" | "level" => {}
            "measure-style" => {
                for style in item.children().filter(Node::is_element) {
                    match style.tag_name().name() {
                        "multiple-rest" => {
                            let count = whole(text(style)).and_then(|n| u16::try_from(n).ok());
                            reader.bar.long_rest = count.filter(|count| *count > 1);
                        }
                        "measure-repeat" if style.attribute("type") == Some("stop") => {
                            reader.repeating = false;
                        }
                        // Without a number it is one bar.
                        "measure-repeat" if matches!(text(style), "1" | "") => {
                            reader.repeating = true;
                        }
                        "measure-repeat" => {
                            reader.report.not_read("sign that repeats several bars");
                        }
                        name => reader.report.not_read(&format!("<{name}>")),
                    }
                }
            }
            name => reader.report.not_read(&format!("<{name}>")),
        }
    }
    // The key is shown transposed, so it is read after the transposition.
    for item in node.children().filter(Node::is_element) {
        match item.tag_name().name() {
            "key" => key(reader, item)?,
            "time" => time(reader, item),
            "clef" => clef(reader, item),
            _ => {}
        }
    }
    Ok(())
}

fn transpose(reader: &mut PartReader<'_, '_>, node: Node<'_, '_>) -> Result<(), ReadError> {
    let number = |name: &'static str| {
        let Some(item) = child(node, name) else { return Ok(0) };
        whole(text(item))
            .filter(|n| n.abs() <= 36)
            .map(|n| n as i32)
            .ok_or_else(|| reader.source.error(item, "a whole number from -36 to 36 is needed"))
    };
    let (chromatic, octaves) = (number("chromatic")?, number("octave-change")?);
    let diatonic = if child(node, "diatonic").is_some() {
        number("diatonic")?
    } else {
        // The usual spelling of so many semitones.
        const STEPS: [i32; 12] = [0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6];
        chromatic.signum() * (STEPS[(chromatic.abs() % 12) as usize] + 7 * (chromatic.abs() / 12))
    };
    if child(node, "double").is_some() {
        reader.report.not_read("doubling an octave below");
    }
    let octaves = octaves.clamp(-5, 5) as i8;
    let interval = Interval::new(diatonic as i8, chromatic as i8);
    reader.transposition = Some(Transposition { interval, octaves });
    Ok(())
}

fn key(reader: &mut PartReader<'_, '_>, node: Node<'_, '_>) -> Result<(), ReadError> {
    let Some(item) = child(node, "fifths") else {
        reader.report.not_read("key signature of single accidentals");
        return Ok(());
    };
    let fifths = whole(text(item)).and_then(|n| i32::try_from(n).ok()).ok_or_else(|| {
        reader.source.error(item, format!("“{}” is no number of sharps or flats", text(item)))
    })?;
    let shift = reader.transposition.map_or(0, |t| {
        let c = Pitch::of(Step::C, 0, 4);
        t.interval.above(c).map_or(0, |to| to.name().fifths())
    });
    match fifths.checked_add(shift).and_then(KeySignature::new) {
        Some(signature) => reader.bar.signature = signature,
        None => {
            // Beyond seven accidentals the other spelling of the key is meant.
            let fifths = fifths.saturating_add(shift);
            let other = KeySignature::new(if fifths > 0 { fifths - 12 } else { fifths + 12 });
            reader.report.not_read(&format!("key signature of {fifths} fifths"));
            reader.bar.signature = other.unwrap_or_default();
        }
    }
    Ok(())
}

fn time(reader: &mut PartReader<'_, '_>, node: Node<'_, '_>) {
    if child(node, "senza-misura").is_some() {
        reader.bar.metre = None;
        return;
    }
    let pairs = elements(node, "beats").count();
    let beats: Option<i64> =
        child_text(node, "beats").split('+').map(|beat| whole(beat.trim())).sum();
    let unit = whole(child_text(node, "beat-type"));
    if pairs > 1 {
        reader.report.not_read("metre of several fractions");
        reader.bar.metre = None;
        return;
    }
    if child_text(node, "beats").contains('+') {
        reader.report.not_read("grouping of the beats");
    }
    let sign = match node.attribute("symbol") {
        None | Some("normal") => MetreSign::Figures,
        Some("common") => MetreSign::Common,
        Some("cut") => MetreSign::Cut,
        Some(other) => {
            reader.report.not_read(&format!("metre sign “{other}”"));
            MetreSign::Figures
        }
    };
    match (beats, unit) {
        (Some(count @ 1..=255), Some(unit @ (1 | 2 | 4 | 8 | 16 | 32))) => {
            reader.bar.metre = Some(Metre { count: count as u8, unit: unit as u8, sign });
        }
        _ => {
            let (beats, unit) = (child_text(node, "beats"), child_text(node, "beat-type"));
            reader.report.not_read(&format!("metre {beats}/{unit}"));
            reader.bar.metre = None;
        }
    }
}

fn clef(reader: &mut PartReader<'_, '_>, node: Node<'_, '_>) {
    let staff = node.attribute("number").and_then(|n| n.parse().ok()).unwrap_or(1);
    let octaves = whole(child_text(node, "clef-octave-change")).unwrap_or(0);
    let read = match (child_text(node, "sign"), octaves) {
        ("G", 0) => RoughClef::Plain,
        ("G", -1) => RoughClef::Stated(Clef::Guitar),
        ("F", 0) => RoughClef::Stated(Clef::Bass),
        ("TAB", _) => {
            reader.tablature.insert(staff);
            RoughClef::Stated(Clef::Guitar)
        }
        ("none" | "", _) => RoughClef::Plain,
        (sign, _) => {
            let message = format!("clef {sign} on line {}", child_text(node, "line"));
            reader.report.not_read(&message);
            RoughClef::Stated(if sign == "G" { Clef::Treble } else { Clef::Guitar })
        }
    };
    match reader.clefs.get(&staff) {
        None => {
            reader.clefs.insert(staff, read);
        }
        Some(before) if *before != read => reader.report.add(
            Severity::Warning,
            "clef-change",
            "the change of clef is not shown; the pitches are read right".to_owned(),
            None,
        ),
        Some(_) => {}
    }
}

fn staff_details(reader: &mut PartReader<'_, '_>, node: Node<'_, '_>) {
    // A tuning of six strings is a guitar's, whatever the part is called.
    if elements(node, "staff-tuning").count() == 6 {
        reader.guitar = true;
    }
    if let Some(tuning) = tuning(node) {
        reader.instrument.tuning = tuning;
    }
    if child_text(node, "staff-type") == "ossia" {
        let number = node.attribute("number").and_then(|n| n.trim().parse().ok()).unwrap_or(1);
        reader.ossias.insert(number);
    }
    let capo = child_text(node, "capo").parse().ok().map(Fret).filter(|fret| *fret <= Fret::MOST);
    if let Some(capo) = capo {
        reader.instrument.capo = capo;
    }
}

/// Line 1 is the lowest line of a tablature: the thickest string.
fn tuning(node: Node<'_, '_>) -> Option<Tuning> {
    let mut open: Vec<(i64, Pitch)> = Vec::new();
    for item in elements(node, "staff-tuning") {
        let line = whole(item.attribute("line")?)?;
        let step = child_text(item, "tuning-step").chars().next().and_then(Step::from_letter)?;
        let alter = match child(item, "tuning-alter") {
            Some(alter) => Alter::new(i32::try_from(whole(text(alter))?).ok()?)?,
            None => Alter::NATURAL,
        };
        let octave = whole(child_text(item, "tuning-octave")).filter(|o| (0..=9).contains(o))?;
        open.push((line, Pitch { step, alter, octave: octave as i8 }));
    }
    open.sort_by_key(|(line, _)| -line);
    Tuning::new(open.into_iter().map(|(_, pitch)| pitch).collect()).ok()
}
