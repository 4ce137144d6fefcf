//! Position advice in words.

use std::collections::{BTreeMap, BTreeSet};

use apoyando_fingering::{LeftFinger, Shape};
use apoyando_fretboard::{Fret, Instrument, Place, StringNumber};
use apoyando_music::{Degree, Mode, NoteName, Pitch};

use crate::advice::PositionReport;
use crate::ground::{Ground, Rung};
use crate::words::{both, count, sentence};

/// As guitar music is written: an octave above its sound.
fn written(pitch: Pitch) -> String {
    pitch.up_octaves(1).to_string()
}

/// One sentence for every question but the last, in their order.
pub(crate) fn answers(
    report: &PositionReport,
    ground: &Ground<'_>,
    names: &[NoteName; 7],
    mode: Mode,
) -> Vec<String> {
    let mut said = vec![octave(report), extensions(report), finger_one(report)];
    said.extend(open_strings(report, ground.instrument, names));
    said.extend(range(report, mode));
    said
}

fn octave(report: &PositionReport) -> String {
    let tonics: Vec<String> = report.octaves.iter().map(|pitch| written(*pitch)).collect();
    match tonics.as_slice() {
        [] => "No octave from tonic to tonic lies here.".to_owned(),
        [tonic] => format!("The octave from written {tonic} lies under the hand."),
        several => format!("The octaves from written {} lie under the hand.", both(several)),
    }
}

fn extensions(report: &PositionReport) -> String {
    let reaches: Vec<String> = report
        .extensions
        .iter()
        .map(|note| {
            let finger = if note.place.fret.0 < report.position.get() {
                "finger 1 reaches back"
            } else {
                "the highest finger reaches up"
            };
            format!("{finger} to {} for {}", note.place, note.pitch.name())
        })
        .collect();
    match reaches.len() {
        0 => "No note of the whole position needs an extension.".to_owned(),
        1 => format!("One extension over the whole position: {}.", reaches[0]),
        more => format!(
            "{} extensions over the whole position: {}.",
            sentence(&count(more)),
            both(&reaches)
        ),
    }
}

fn finger_one(report: &PositionReport) -> String {
    let fret = report.position.get();
    if report.finger_one.is_empty() {
        return format!("Finger 1 would be idle: no note of the scale lies on fret {fret}.");
    }
    let strings: Vec<String> = report.finger_one.iter().map(|p| p.string.to_string()).collect();
    format!("Finger 1 has work on {} at fret {fret}.", both(&strings))
}

/// What belongs to the key is told of the instrument, what is used of the
/// position.
fn open_strings(
    report: &PositionReport,
    instrument: &Instrument,
    names: &[NoteName; 7],
) -> Option<String> {
    let of_key = |string: &StringNumber| {
        let key = instrument.sound(Place { string: *string, fret: Fret::OPEN })?;
        names.iter().any(|n| n.pitch_class() == i32::from(key.0) % 12).then_some(*string)
    };
    let all: Vec<StringNumber> = instrument.tuning.strings().collect();
    let belonging: Vec<StringNumber> = all.iter().filter_map(of_key).collect();
    let named = |strings: &[StringNumber]| {
        both(&strings.iter().map(ToString::to_string).collect::<Vec<_>>())
    };
    let belongs = match belonging.len() {
        0 => return Some("No open string belongs to the key.".to_owned()),
        some if some == all.len() => "All open strings belong to the key".to_owned(),
        1 => format!("Of the open strings only {} belongs to the key", named(&belonging)),
        _ => format!("The open strings {} belong to the key", named(&belonging)),
    };
    Some(if report.open_strings.len() == belonging.len() {
        format!("{belongs}.")
    } else if report.open_strings.is_empty() {
        format!("{belongs}; none is of use here.")
    } else {
        format!("{belongs}; {} of use here.", use_of(&named(&report.open_strings), report))
    })
}

fn use_of(named: &str, report: &PositionReport) -> String {
    let verb = if report.open_strings.len() == 1 { "is" } else { "are" };
    format!("{named} {verb}")
}

/// In minor the leading note may reach farther.
fn range(report: &PositionReport, mode: Mode) -> Option<String> {
    let (low, high) = report.range.map(|(low, high)| (written(low), written(high)))?;
    let scale = match mode {
        Mode::Major => "scale",
        Mode::Minor => "natural scale",
    };
    Some(format!("The {scale} reaches from written {low} to written {high}."))
}

/// The last answer: which of the primary chords are held without a barre, and which not.
pub(crate) fn chords(chords: &[(Degree, Option<Shape>)]) -> Option<String> {
    let [mut without, mut with, mut missing] = [const { Vec::new() }; 3];
    for (degree, shape) in chords {
        match shape {
            None => missing.push((degree.to_string(), String::new())),
            Some(shape) => {
                let kind = if shape.barre.is_some() { &mut with } else { &mut without };
                kind.push((degree.to_string(), format!("{} {}", shape.name, shape.frets())));
            }
        }
    }
    let degrees =
        |of: &[(String, String)]| both(&of.iter().map(|it| it.0.clone()).collect::<Vec<_>>());
    let shapes =
        |of: &[(String, String)]| both(&of.iter().map(|it| it.1.clone()).collect::<Vec<_>>());
    let not = match missing.len() {
        0 => None,
        1 => Some(format!("{} does not lie here without one", degrees(&missing))),
        _ => Some(format!("{} do not lie here without one", degrees(&missing))),
    };
    let barred = match with.len() {
        0 => None,
        1 => Some(format!("{} is held with one: {}", degrees(&with), shapes(&with))),
        _ => Some(format!("{} are held with one: {}", degrees(&with), shapes(&with))),
    };
    let free = match (without.is_empty(), &barred, &not) {
        (true, None, None) => return None,
        (true, None, Some(_)) => {
            return Some(format!("Of {} none lies here without barre.", degrees(&missing)));
        }
        (true, Some(_), _) => {
            format!("With a barre you can hold {}: {}", degrees(&with), shapes(&with))
        }
        (false, None, Some(_)) => format!("Without a barre lie {}", shapes(&without)),
        (false, ..) => {
            format!("Without a barre you can hold {}: {}", degrees(&without), shapes(&without))
        }
    };
    let barred = barred.filter(|_| !without.is_empty());
    let said: Vec<String> = [Some(free), barred, not].into_iter().flatten().collect();
    Some(format!("{}.", said.join("; ")))
}

/// Where harmonic and melodic minor have their raised seventh.
pub(crate) fn leading_note(rungs: &[Rung], ground: &Ground<'_>) -> Option<String> {
    let name = rungs.first()?.pitch.name();
    let reaches: Vec<String> = rungs
        .iter()
        .filter_map(|rung| Some(format!("{} at {}", written(rung.pitch), rung.extension?)))
        .collect();
    if !reaches.is_empty() {
        return Some(format!(
            "The leading note {name} needs an extension for written {}.",
            both(&reaches)
        ));
    }
    let mut fingers: BTreeMap<Option<LeftFinger>, BTreeSet<StringNumber>> = BTreeMap::new();
    for rung in rungs {
        if let Some(place) = ground.covered(rung.pitch.key_number()).next() {
            fingers.entry(ground.finger_at(place)).or_default().insert(place.string);
        }
    }
    let places: Vec<String> = fingers
        .iter()
        .map(|(finger, strings)| {
            let strings: Vec<String> = strings.iter().map(ToString::to_string).collect();
            match finger {
                Some(finger) => format!("finger {finger} on {}", both(&strings)),
                None => format!("open on {}", both(&strings)),
            }
        })
        .collect();
    Some(format!("The leading note {name} lies under the hand as well: {}.", places.join(", ")))
}

/// The first question on which two reports differ, if the first wins it.
fn won(better: &PositionReport, worse: &PositionReport) -> Option<usize> {
    let (better, worse) = (better.answers(), worse.answers());
    let question = (0..better.len()).find(|index| better[*index] != worse[*index])?;
    (better[question] < worse[question]).then_some(question)
}

/// Why a lower position was passed over; nothing if it was not worse.
pub(crate) fn passed_over(passed: &PositionReport, chosen: &PositionReport) -> Option<String> {
    let extensions = passed.extensions.len();
    let why = match won(chosen, passed)? {
        0 => "no octave from tonic to tonic lies there".to_owned(),
        1 => {
            let noun = if extensions == 1 { "extension" } else { "extensions" };
            format!("it would need {} {noun}", count(extensions))
        }
        2 => "finger 1 would be idle there".to_owned(),
        3 => "it uses fewer of the open strings".to_owned(),
        _ => "fewer of the main chords lie there without barre".to_owned(),
    };
    Some(format!("Not in {}: {why}.", passed.position))
}

/// Why the best position comes before the one chosen.
pub(crate) fn comes_first(best: &PositionReport, chosen: &PositionReport) -> Option<String> {
    let why = match won(best, chosen) {
        Some(0) => "it holds an octave from tonic to tonic",
        Some(1) => "it needs fewer extensions",
        Some(2) => "finger 1 has work there",
        Some(3) => "it uses more of the open strings",
        Some(_) => "more of the main chords lie there without barre",
        None => "all else being equal, it is the lower one",
    };
    Some(format!("By these questions {} comes first: {why}.", best.position))
}
