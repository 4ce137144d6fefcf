//! The exercises of whole key sections, fingered, as text to be read by eye;
//! and what must hold of them in every key.

use std::fmt::Write as _;

use apoyando_fingering::{
    BarreLimit, EffortTable, Fingering, LeftFinger, Level, Position, Problem,
};
use apoyando_fretboard::Instrument;
use apoyando_marks::CaptionText;
use apoyando_method::{
    MethodError, Setting, Written, advise, arpeggio, position_scale, progression, scale, triads,
};
use apoyando_music::{Base, Degree, Key, Mode, NoteValue, PartIndex, ScaleKind};

const PART: PartIndex = PartIndex(0);

/// The fingering of an exercise; what the checker says of it must be nothing.
fn fingered(written: &Written, guitar: &Instrument, level: &Level) -> Fingering {
    let effort = EffortTable::default();
    let problem = Problem {
        score: &written.score,
        part: PART,
        instrument: guitar,
        level,
        pins: &written.pins[0],
        effort: &effort,
        house: &apoyando_fingering::NO_HOUSE,
    };
    let fingering = apoyando_hands::finger(&problem, &written.right).unwrap().fingering;
    let violations = apoyando_verify::verify(&problem, &fingering);
    assert!(violations.is_empty(), "{}: {violations:?}", written.score.heading().title);
    fingering
}

/// Bar by bar: written note, string and fret, left finger, right finger.
fn notes(written: &Written, fingering: &Fingering) -> String {
    let score = &written.score;
    let mut text = format!("{}\n", score.heading().title);
    let mut bar = None;
    let mut onset = None;
    for tone in score.tones(PART).as_slice() {
        let note = score.note(tone.head());
        if bar != Some(note.bar) {
            let _ = write!(text, "{}{:>3} ", if bar.is_some() { "\n" } else { "" }, note.bar.0 + 1);
            bar = Some(note.bar);
        } else {
            text.push_str(if onset == Some(tone.onset) { "+" } else { "  " });
        }
        onset = Some(tone.onset);
        let how = fingering.tone(tone.id);
        let left = how.left.map_or("left out".to_owned(), |left| {
            format!("{}·{}", left.place, left.finger.map_or(0, |finger| finger.digit()))
        });
        let right = how.right.map_or(String::new(), |finger| finger.to_string());
        let _ = write!(text, "{} {left}{right}", tone.pitch.up_octaves(1));
    }
    let price = fingering.price;
    let _ = writeln!(text, "\n    left out {}, rules broken {}", price.escapes, price.broken);
    text
}

fn diagrams(written: &Written) -> String {
    let mut text = String::new();
    let mut shape = None;
    for caption in &written.captions {
        match &caption.text {
            CaptionText::Diagram(found) => shape = Some(found),
            CaptionText::Degree(degree) => {
                if let Some(shape) = shape.take() {
                    let _ = writeln!(text, "    {degree:<5} {:<8} {shape}", shape.name);
                }
            }
            _ => {}
        }
    }
    text
}

fn degrees(key: Key) -> Vec<Degree> {
    let text = match key.mode() {
        Mode::Major => "I IV V7 I",
        Mode::Minor => "i iv V7 i",
    };
    text.split(' ').map(|degree| degree.parse().unwrap()).collect()
}

fn kinds(key: Key) -> &'static [ScaleKind] {
    match key.mode() {
        Mode::Major => &[ScaleKind::Major],
        Mode::Minor => {
            &[ScaleKind::NaturalMinor, ScaleKind::HarmonicMinor, ScaleKind::MelodicMinor]
        }
    }
}

/// A whole key section, in the position that is advised if none is given.
fn section(key: &str, position: Option<u8>, level: &Level) -> String {
    let guitar = Instrument::guitar();
    let key: Key = key.parse().unwrap();
    let advice = advise(key, &guitar, level);
    let best = advice.best().unwrap().position;
    let position = position.map_or(best, |position| Position::new(position).unwrap());
    let setting = Setting::new(key, position, &guitar, level);
    let mut text = advice.why(position).join("\n");
    text.push_str("\n\n");
    let mut add = |written: Result<Written, MethodError>| match written {
        Err(error) => {
            let _ = writeln!(text, "refused: {error}\n");
        }
        Ok(written) => {
            text.push_str(&notes(&written, &fingered(&written, &guitar, level)));
            text.push_str(&diagrams(&written));
            for listed in &written.listed {
                let strings: String = listed.strings.iter().map(ToString::to_string).collect();
                let printed = if listed.printed { "printed" } else { "listed " };
                let _ = writeln!(
                    text,
                    "    {strings} {:<16} {printed} {} {}: {}",
                    listed.inversion.to_string(),
                    listed.shape,
                    listed.verdict,
                    listed.reason
                );
            }
            for advice in &written.advice {
                let _ = writeln!(text, "    advice: {advice}");
            }
            for finding in &written.findings {
                let _ = writeln!(text, "    finding: {finding}");
            }
            text.push('\n');
        }
    };
    for kind in kinds(key) {
        add(scale::write(&setting, *kind, None));
    }
    add(position_scale::write(&setting, kinds(key)[0]));
    add(arpeggio::write(&setting, None));
    add(triads::write(&setting, degrees(key)[0]));
    add(progression::write(&setting, &degrees(key), None));
    text
}

#[test]
fn sections_read_as_a_teacher_would_write_them() {
    for (name, key) in [
        ("c-major", "C major"),
        ("g-major", "G major"),
        ("a-major", "A major"),
        ("a-minor", "A minor"),
        ("e-minor", "E minor"),
        ("d-minor", "D minor"),
        ("b-minor", "B minor"),
    ] {
        insta::assert_snapshot!(name, section(key, None, &Level::first()));
    }
}

#[test]
fn later_sections_use_barres_extensions_and_positions() {
    let half = Level { barre: BarreLimit::Half, ..Level::first() };
    insta::assert_snapshot!("f-major-half-barre", section("F major", None, &half));
    for (name, key, position) in [
        ("a-major-in-ii", "A major", 2),
        ("g-major-in-ii", "G major", 2),
        ("c-major-in-v", "C major", 5),
    ] {
        insta::assert_snapshot!(name, section(key, Some(position), &Level::open()));
    }
}

/// The left fingers of an exercise, one digit for every tone.
fn digits(written: &Written, level: &Level) -> String {
    let fingering = fingered(written, &Instrument::guitar(), level);
    let digit = |finger: Option<LeftFinger>| finger.map_or('0', |f| (b'0' + f.digit()) as char);
    fingering.tones.iter().filter_map(|tone| tone.left).map(|left| digit(left.finger)).collect()
}

/// Common practice, no source: the scales of one octave as every handbook
/// fingers them, one finger to a fret with open strings.
#[test]
fn scales_are_fingered_as_handbooks_do() {
    let (guitar, level) = (Instrument::guitar(), Level::first());
    for (key, position, kind, up) in [
        ("C major", 1, ScaleKind::Major, "30230201"),
        ("G major", 1, ScaleKind::Major, "30230240"),
        ("F major", 1, ScaleKind::Major, "13013023"),
        ("A major", 1, ScaleKind::Major, "02402412"),
        ("A minor", 1, ScaleKind::HarmonicMinor, "02302312"),
        ("E minor", 1, ScaleKind::NaturalMinor, "02302302"),
        ("D major", 2, ScaleKind::Major, "01301012"),
        ("B minor", 2, ScaleKind::NaturalMinor, "13013010"),
    ] {
        let setting =
            Setting::new(key.parse().unwrap(), Position::new(position).unwrap(), &guitar, &level);
        let written = scale::write(&setting, kind, None).unwrap();
        assert_eq!(&digits(&written, &level)[..8], up, "{key}");
    }
}

/// Common practice, no source: D ④ ③ ② ① broken in eighths is 0 1 3 2.
#[test]
fn a_broken_d_is_one_shape() {
    let (guitar, level) = (Instrument::guitar(), Level::first());
    let second = Position::new(2).unwrap();
    let setting = Setting {
        value: NoteValue::plain(Base::Eighth),
        ..Setting::new("D major".parse().unwrap(), second, &guitar, &level)
    };
    let written = arpeggio::write(&setting, None).unwrap();
    assert!(digits(&written, &level).starts_with("01320132"));
}

/// In the advised position the scales of every key are fingered without a
/// note left out or a rule broken, by a hand that knows all but extensions
/// and barres.
#[test]
fn scales_of_all_keys_are_playable() {
    let guitar = Instrument::guitar();
    let level = Level::first();
    for key in Key::all() {
        let position = advise(key, &guitar, &level).best().unwrap().position;
        let setting = Setting::new(key, position, &guitar, &level);
        for kind in kinds(key) {
            for written in
                [scale::write(&setting, *kind, None), position_scale::write(&setting, *kind)]
            {
                let written = match written {
                    Ok(written) => written,
                    Err(MethodError::NeedsExtension { .. }) => continue,
                    Err(error) => panic!("{key} {kind}: {error}"),
                };
                let price = fingered(&written, &guitar, &level).price;
                assert_eq!((price.escapes, price.broken), (0, 0), "{key} {kind} in {position}");
            }
        }
    }
}

/// The shapes that the writers choose can be held: the search finds a
/// fingering that keeps every pin.
#[test]
fn chords_of_all_keys_are_held_as_drawn() {
    let guitar = Instrument::guitar();
    for level in [Level::first(), Level::open()] {
        for key in Key::all() {
            let position = advise(key, &guitar, &Level::first()).best().unwrap().position;
            let setting = Setting::new(key, position, &guitar, &level);
            let written = [
                arpeggio::write(&setting, None),
                triads::write(&setting, degrees(key)[0]),
                progression::write(&setting, &degrees(key), None),
            ];
            for written in written {
                match written {
                    Ok(written) => {
                        let price = fingered(&written, &guitar, &level).price;
                        let title = &written.score.heading().title;
                        assert_eq!((price.escapes, price.broken), (0, 0), "{key}: {title}");
                    }
                    Err(MethodError::NoShape { .. } | MethodError::NoTriad { .. }) => {
                        assert_eq!(level, Level::first(), "{key}");
                    }
                    Err(error) => panic!("{key}: {error}"),
                }
            }
        }
    }
}
