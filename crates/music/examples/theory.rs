//! Writes our scales, chords and degrees in all thirty keys as JSON, for the
//! checks that hold them against a reference library. Run by `checks/`.
//!
//! A note is `[letter, semitones of alteration]`, a pitch the same with its
//! octave.

use apoyando_music::chord::{Chord, ChordQuality, Inversion};
use apoyando_music::degree::Degree;
use apoyando_music::scale::{Direction, Scale, ScaleKind};
use apoyando_music::{Alter, Key, Mode, NoteName, Pitch, Step};
use serde_json::{Value, json};

const MAJOR_DEGREES: &[&str] = &[
    "I", "I6", "I64", "ii", "ii6", "ii64", "iii", "iii6", "IV", "IV6", "IV64", "V", "V6", "V64",
    "vi", "vi6", "vii°", "vii°6", "I7", "ii7", "ii65", "iii7", "IV7", "V7", "V65", "V43", "V42",
    "vi7", "viiø7", "viiø65", "V/V", "V7/V", "V7/IV", "V7/ii", "V7/vi", "vii°7/V", "♭VII", "♭VI",
    "♭III", "♯iv°",
];

const MINOR_DEGREES: &[&str] = &[
    "i", "i6", "i64", "ii°", "ii°6", "III", "III6", "iv", "iv6", "iv64", "v", "v6", "V", "V6",
    "V64", "VI", "VI6", "VII", "VII6", "vii°", "vii°6", "iiø7", "iiø65", "III7", "iv7", "V7",
    "V65", "V43", "V42", "VI7", "VII7", "vii°7", "vii°65", "V/V", "V7/V", "V7/iv", "V7/III",
    "III+",
];

const KINDS: [ScaleKind; 4] =
    [ScaleKind::Major, ScaleKind::NaturalMinor, ScaleKind::HarmonicMinor, ScaleKind::MelodicMinor];

fn name(name: NoteName) -> Value {
    json!([name.step.to_string(), name.alter.semitones()])
}

fn pitch(pitch: Pitch) -> Value {
    json!([pitch.step.to_string(), pitch.alter.semitones(), pitch.octave])
}

fn scales(key: Key) -> Vec<Value> {
    let of_kind = |kind| {
        let scale = Scale::new(key, kind)?;
        let notes = |direction| scale.notes(direction).map(name).to_vec();
        Some(json!({
            "kind": kind.to_string(),
            "up": notes(Direction::Up),
            "down": notes(Direction::Down),
        }))
    };
    KINDS.into_iter().filter_map(of_kind).collect()
}

fn degrees(key: Key) -> Vec<Value> {
    let texts = match key.mode() {
        Mode::Major => MAJOR_DEGREES,
        Mode::Minor => MINOR_DEGREES,
    };
    texts
        .iter()
        .map(|text| {
            let degree: Result<Degree, _> = text.parse();
            let chord = degree.ok().and_then(|degree| degree.in_key(key).ok());
            json!({
                "degree": text,
                "notes": chord.map(|c| c.chord.notes().into_iter().map(name).collect::<Vec<_>>()),
                "bass": chord.map(|c| name(c.bass())),
            })
        })
        .collect()
}

fn chords() -> Vec<Value> {
    let mut chords = Vec::new();
    for root in Step::ALL.into_iter().flat_map(|step| {
        [-1, 0, 1].into_iter().filter_map(Alter::new).map(move |alter| NoteName::new(step, alter))
    }) {
        for quality in ChordQuality::ALL {
            let Some(chord) = Chord::new(root, quality) else { continue };
            let low = Pitch::of(Step::C, 0, 3);
            let inversions: Vec<Value> = (0..4)
                .filter_map(Inversion::new)
                .filter_map(|inversion| chord.close_position(inversion, low))
                .map(|pitches| pitches.into_iter().map(pitch).collect())
                .collect();
            chords.push(json!({
                "root": name(root),
                "quality": format!("{quality:?}"),
                "inversions": inversions,
            }));
        }
    }
    chords
}

fn main() {
    let keys: Vec<Value> = Key::all()
        .map(|key| {
            json!({
                "tonic": name(key.tonic()),
                "mode": key.mode().to_string(),
                "fifths": key.signature().fifths(),
                "scales": scales(key),
                "degrees": degrees(key),
            })
        })
        .collect();
    println!("{}", json!({ "keys": keys, "chords": chords() }));
}
