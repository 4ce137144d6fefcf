//! Pieces with their fingering, as a method prints them. All are inventions for
//! this purpose.
#![allow(dead_code)]

use apoyando_engrave::Fretting;
use apoyando_fingering::{
    EffortTable, Fingering, LeftFinger, LeftFingerSet, Level, Pin, PinAuthor, PinRule, Pins,
    PositionSet, Problem, RightFinger, Scope, Shape, StringSet, StringState,
};
use apoyando_fretboard::{Instrument, StringNumber};
use apoyando_hands::{RightPlan, finger};
use apoyando_marks::{Caption, CaptionText, Density, Marks, mark};
use apoyando_music::{BarIndex, Duration, Metre, Moment, PartIndex, Score};

use super::scores::Sketch;

/// A score with its marks and captions.
pub struct Fingered {
    pub name: &'static str,
    pub score: Score,
    pub marks: Vec<Marks>,
    pub captions: Vec<Caption>,
    pub frettings: Vec<Fretting>,
}

/// All of them.
pub fn all() -> Vec<Fingered> {
    vec![
        every_digit(),
        second_position(),
        shifting_scale(),
        fast_scale(),
        arpeggio(),
        two_voices(),
        chords(),
        progression(),
        barres(),
        high_strings(),
        flats(),
        duet(),
        held(),
        second_fingers(),
    ]
}

/// A study on neighbouring strings whose fingers stay where they come back.
pub fn held() -> Fingered {
    let upper = "C4:q D4:q C4:q B3:q | C4:8 D4:8 C4:8 E4:8 C4:8 D4:8 C4:q | G3:8 A3:8 C4:8 A3:8 F4:8 G4:8 F4:8 E4:8 | F4:q G4:q F4:q E4:q | C4:w";
    let lower = "C3:h. x:q | A2:w | F3:h x:h | D3:w | C3:w";
    let score = Sketch::new(0, Metre::COMMON, &[upper, lower]).score();
    let setting = Setting { density: Density::EveryNote, ..Setting::default() };
    let mut piece = fingered("held", score, &setting);
    let fingering = solve(&piece.score, PartIndex(0), &setting);
    piece.marks =
        piece.marks.into_iter().map(|marks| marks.with_holds(&piece.score, &fingering)).collect();
    piece
}

/// Held notes that another finger takes over: where the melody goes up, where it is asked
/// for, in a chord, and in two voices close together.
pub fn second_fingers() -> Fingered {
    let upper = "Bb2:q D3:q Bb4:h | C4:8 Eb4:8 F4:8 Eb4:8 D4:q Eb4:q | C4:q D4:q Bb3:q C4:q | A3:q C4:q D4:q A3:q | Bb3:w";
    let lower = "G2:w | C3:w | C3+Eb3:h F2:h | F3:h D3:h | G2:w";
    let score = Sketch::new(-2, Metre::COMMON, &[upper, lower]).score();
    let tones = score.tones(PartIndex(0));
    let asks = |bar: u32, pitch: &str, finger: LeftFinger| {
        let here = |tone: &&apoyando_music::Tone| {
            score.bar_at(tone.onset) == Some(BarIndex(bar)) && tone.pitch.to_string() == pitch
        };
        let tone = tones.as_slice().iter().find(here).expect("a note");
        let set = LeftFingerSet::NONE.with(Some(finger));
        let rule = PinRule::SecondFingers(set);
        Pin { scope: Scope::Tone(tone.id), rule, author: PinAuthor::Author }
    };
    let pins = vec![
        asks(1, "C3", LeftFinger::Two),
        asks(2, "C3", LeftFinger::Four),
        asks(3, "F3", LeftFinger::Two),
    ];
    let setting = Setting {
        level: Level { substitution: true, extension: 0, ..Level::open() },
        pins: Pins(pins),
        ..Setting::default()
    };
    fingered("second_fingers", score, &setting)
}

struct Setting {
    level: Level,
    pins: Pins,
    right: RightPlan,
    density: Density,
}

impl Default for Setting {
    fn default() -> Self {
        Self {
            level: Level::open(),
            pins: Pins::default(),
            right: RightPlan::default(),
            density: Density::WhereNeeded,
        }
    }
}

fn position(bars: (u32, u32), fret: u8) -> Pin {
    Pin {
        scope: Scope::Bars { first: BarIndex(bars.0), last: BarIndex(bars.1) },
        rule: PinRule::Positions(PositionSet::NONE.with(fret.try_into().unwrap())),
        author: PinAuthor::Author,
    }
}

fn fingered(name: &'static str, score: Score, setting: &Setting) -> Fingered {
    let instrument = Instrument::guitar();
    let solved: Vec<Fingering> =
        score.part_indices().map(|part| solve(&score, part, setting)).collect();
    let marks = solved
        .iter()
        .map(|fingering| mark(&score, fingering, &instrument, setting.density))
        .collect();
    let frettings =
        solved.iter().map(|fingering| Fretting::of(&score, fingering, &instrument)).collect();
    Fingered { name, score, marks, captions: Vec::new(), frettings }
}

fn solve(score: &Score, part: PartIndex, setting: &Setting) -> Fingering {
    let problem = Problem {
        score,
        part,
        instrument: &Instrument::guitar(),
        level: &setting.level,
        pins: &setting.pins,
        effort: &EffortTable::default(),
        house: &apoyando_fingering::NO_HOUSE,
    };
    finger(&problem, &setting.right).unwrap().fingering
}

/// A beginner's scale page: every digit, i m.
pub fn every_digit() -> Fingered {
    let voice = "C3:q D3:q E3:q F3:q | G3:q A3:q B3:q C4:q | D4:q E4:q F4:q G4:q | G4:8 F4:8 E4:8 D4:8 C4:8 B3:8 A3:8 G3:8 | F3:8 E3:8 D3:8 C3:8 B2:8 A2:8 G2:8 F2:8 | E2:q G2:q B2:q D3:q | C3:w";
    let score = Sketch::new(0, Metre::COMMON, &[voice]).score();
    let setting =
        Setting { level: Level::first(), density: Density::EveryNote, ..Setting::default() };
    fingered("every_digit", score, &setting)
}

/// A scale through the whole second position with every digit.
pub fn second_position() -> Fingered {
    let voice = "G2:8 A2:8 B2:8 C3:8 D3:8 E3:8 F#3:8 G3:8 | A3:8 B3:8 C4:8 D4:8 E4:8 F#4:8 G4:8 A4:8 | G4:8 F#4:8 E4:8 D4:8 C4:8 B3:8 A3:8 G3:8 | F#3:8 E3:8 D3:8 C3:8 B2:8 A2:8 G2:q";
    let score = Sketch::new(1, Metre::COMMON, &[voice]).score();
    let setting = Setting {
        density: Density::EveryNote,
        pins: Pins(vec![position((0, 3), 2)]),
        ..Setting::default()
    };
    fingered("second_position", score, &setting)
}

/// Two octaves with shifts, digits where needed.
pub fn shifting_scale() -> Fingered {
    let voice = "A2:8 B2:8 C3:8 D3:8 E3:8 F3:8 G3:8 A3:8 | B3:8 C4:8 D4:8 E4:8 F4:8 G4:8 A4:8 B4:8 | C5:8 B4:8 A4:8 G4:8 F4:8 E4:8 D4:8 C4:8 | B3:8 A3:8 G3:8 F3:8 E3:8 D3:8 C3:8 B2:8 | A2:w";
    let score = Sketch::new(0, Metre::COMMON, &[voice]).score();
    let pins = Pins(vec![position((1, 2), 5)]);
    fingered("shifting_scale", score, &Setting { pins, ..Setting::default() })
}

/// Sixteenths with every digit.
pub fn fast_scale() -> Fingered {
    let voice = "A3:16 B3:16 C4:16 D4:16 E4:16 F4:16 G4:16 A4:16 G4:8 F4:8 E4:q | D4:16 E4:16 D4:16 C4:16 B3:16 C4:16 B3:16 A3:16 G#3:8 A3:16 B3:16 A3:q";
    let score = Sketch::new(0, Metre::COMMON, &[voice]).score();
    fingered("fast_scale", score, &Setting { density: Density::EveryNote, ..Setting::default() })
}

/// A study in two voices with a fixed pattern.
pub fn arpeggio() -> Fingered {
    let upper = "x:8 G3:8 C4:8 E4:8 C4:8 G3:8 | x:8 A3:8 C4:8 F4:8 C4:8 A3:8 | x:8 G3:8 B3:8 F4:8 B3:8 G3:8 | x:8 G3:8 C4:8 E4:8 C4:8 G3:8 | x:8 A3:8 C4:8 E4:8 C4:8 A3:8 | x:8 A3:8 D4:8 F4:8 D4:8 A3:8 | x:8 G3:8 B3:8 F4:8 B3:8 G3:8 | G3+C4+E4:h.";
    let lower = "C3:h. | C3:h. | D3:h. | C3:h. | A2:h. | D3:h. | G2:h. | C3:h.";
    let score = Sketch::new(0, Metre::new(3, 4), &[upper, lower]).score();
    let fingers = [
        RightFinger::P,
        RightFinger::I,
        RightFinger::M,
        RightFinger::A,
        RightFinger::M,
        RightFinger::I,
    ];
    let right = RightPlan::pattern(fingers.to_vec());
    fingered("arpeggio", score, &Setting { right, ..Setting::default() })
}

/// A melody with basses.
pub fn two_voices() -> Fingered {
    let upper = "B3:q C4:q D4:q | E4:h D4:q | C4:8 B3:8 A3:q r:q | G3:h. | D4:q G4:8 F#4:8 E4:8 D4:8 | C4:q E4:q D4:q | B3:8 C4:8 A3:q F#3:q | G3:h.";
    let lower =
        "G2:h. | C3:h B2:q | A2:h D3:q | G2:q B2:q D3:q | B2:h. | A2:h B2:q | D3:h D3:q | G2:h.";
    let score = Sketch::new(1, Metre::new(3, 4), &[upper, lower]).score();
    fingered("two_voices", score, &Setting::default())
}

/// Chords with all digits.
pub fn chords() -> Fingered {
    let voice = "C3+E3+G3+C4+E4:h A2+E3+A3+C4+E4:h | D3+A3+D4+F4:h G2+B2+D3+G3+B3+G4:h | E2+B2+E3+G#3+B3+E4:h E3+C4+E4:q D3+A3+D4+F#4:q | C3+E3+A#3+C4+E4:h B2+D#3+A3+B3+F#4:h | E2+B2+E3+G3+B3+E4:w";
    let score = Sketch::new(0, Metre::COMMON, &[voice]).score();
    fingered("chords", score, &Setting { density: Density::EveryNote, ..Setting::default() })
}

/// A shape from its frets and fingers, thickest string first.
pub fn shape(name: &str, frets: &str, fingers: &str) -> Shape {
    let mut shape: Shape = frets.parse().unwrap();
    shape.name = name.to_owned();
    for (state, digit) in shape.strings.iter_mut().zip(fingers.chars().rev()) {
        if let StringState::Stopped { finger, .. } = state {
            *finger = digit.to_digit(10).and_then(|digit| LeftFinger::from_digit(digit as u8));
        }
    }
    shape
}

/// Chords under their diagrams with degrees, then broken.
pub fn progression() -> Fingered {
    let voice = "A2+E3+A3+C4+E4:h D3+A3+D4+F4:h | E2+B2+E3+G#3+D4+E4:h A2+E3+A3+C4+E4:h | A2:8 A3:8 C4:8 E4:8 D3:8 A3:8 D4:8 F4:8 | E2:8 G#3:8 D4:8 E4:8 A2:8 A3:8 C4:8 E4:8";
    let score = Sketch::new(0, Metre::COMMON, &[voice]).score();
    let mut piece = fingered("progression", score, &Setting::default());
    let chords = [
        ("Am", "x02210", "··231·", "i"),
        ("Dm", "xx0231", "···231", "iv"),
        ("E7", "020130", "·2·14·", "V7"),
        ("Am", "x02210", "··231·", "i"),
    ];
    for (index, (name, frets, fingers, degree)) in chords.into_iter().cycle().take(8).enumerate() {
        let at = Moment::after_start(Duration::new(index as i64, 2));
        let caption = |text| Caption { part: PartIndex(0), at, text };
        piece.captions.push(caption(CaptionText::Degree(degree.to_owned())));
        piece.captions.push(caption(if index < 4 {
            CaptionText::Diagram(shape(name, frets, fingers))
        } else {
            CaptionText::ChordName(name.to_owned())
        }));
    }
    let at = Moment::after_start(Duration::new(2, 1));
    let text = CaptionText::Words("let every chord ring".to_owned());
    piece.captions.push(Caption { part: PartIndex(0), at, text });
    piece
}

/// Chords of whole bars, each with a diagram, and then broken.
pub fn whole_chords() -> Fingered {
    let broken = "A2:8 A3:8 C4:8 E4:8 A2:8 A3:8 C4:8 E4:8";
    let voice = format!(
        "A2+E3+A3+C4+E4:w | D3+A3+D4+F4:w | A2+E3+A3+C4+E4:w | {broken} | {broken} | {broken} | A2+E3+A3+C4+E4:w"
    );
    let score = Sketch::new(0, Metre::COMMON, &[&voice]).score();
    let mut piece = fingered("whole_chords", score, &Setting::default());
    let shapes =
        [("Am", "x02210", "··231·"), ("Dm", "xx0231", "···231"), ("Am", "x02210", "··231·")];
    for (bar, (name, frets, fingers)) in shapes.into_iter().enumerate() {
        let at = Moment::after_start(Duration::new(bar as i64, 1));
        let text = CaptionText::Diagram(shape(name, frets, fingers));
        piece.captions.push(Caption { part: PartIndex(0), at, text });
    }
    piece
}

/// Barres, held, moved and broken over a line.
pub fn barres() -> Fingered {
    let upper = "x:8 F#3:8 B3:8 D4:8 F#4:8 D4:8 B3:8 F#3:8 | x:8 F#3:8 A#3:8 C#4:8 F#4:8 C#4:8 A#3:8 F#3:8 | x:8 G3:8 B3:8 E4:8 G4:8 E4:8 B3:8 G3:8 | x:8 F#3:8 B3:8 D4:8 F#4:q E4:q | D4:q C#4:q B3+D4+F#4:h | C#3+F#3+A#3+C#4+F#4:h F#3+B3+D4+F#4:q F#3+B3+D4+F#4:q | C#4:8 F#4:8 C#4:8 F#4:8 A#3+C#4+F#4:h | F#3+B3+D4+F#4:w";
    let lower = "B2:w | F#2:w | E2:w | B2:w | F#2:h B2:h | F#2:h B2:h | F#2:w | B2:w";
    let score = Sketch::new(2, Metre::COMMON, &[upper, lower]).score();
    fingered("barres", score, &Setting::default())
}

/// Two voices on circled strings, a guide finger, momentary reaches.
pub fn high_strings() -> Fingered {
    let upper = "E4:q D4:q C4:q E4:q | G4:q. F4:8 E4:8 F4:8 G4:8 A4:8 | B4:q A4:q G4:q E4:q | C5:h B4:h | A4:w";
    let lower = "A2:h A2:h | E3:h E3:h | D3:h E3:h | A2:h E2:h | A2:w";
    let score = Sketch::new(0, Metre::COMMON, &[upper, lower]).score();
    let mut pins = vec![position((0, 1), 5), position((3, 3), 5)];
    pins.push(Pin {
        scope: Scope::Bars { first: BarIndex(1), last: BarIndex(1) },
        rule: PinRule::Strings(
            StringSet::NONE.with(StringNumber::new(2).unwrap()).with(StringNumber::new(4).unwrap()),
        ),
        author: PinAuthor::Author,
    });
    fingered("high_strings", score, &Setting { pins: Pins(pins), ..Setting::default() })
}

/// Flats, accidentals and leaps with every digit.
pub fn flats() -> Fingered {
    let voice = "Bb3:q Eb4:8 D4:8 C#4:8 D4:8 F#4:q | G4:q Ab4:8 G4:8 Eb4:q Bb3:q | C4:8 D4:16 Eb4:16 F4:8 G4:8 Ab4:8 F4:8 D4:8 B3:8 | C4:h. r:q";
    let score = Sketch::new(-3, Metre::COMMON, &[voice]).score();
    fingered("flats", score, &Setting { density: Density::EveryNote, ..Setting::default() })
}

/// Two guitars, the pupil's part with every digit.
pub fn duet() -> Fingered {
    let upper = "E4:q. D4:8 C4:q B3:q | A3:8 B3:8 C4:8 D4:8 E4:h | F4:q E4:8 D4:8 C4:q B3:q | A3:w";
    let lower = "A2:8 E3:8 A3:8 E3:8 A2:8 E3:8 A3:8 E3:8 | F2:q C3:q G2:q G3:q | D3:8 A3:8 D3:8 A3:8 E3:8 G#3:8 E3:8 G#3:8 | A2:h E3:h";
    let mut sketch = Sketch::new(0, Metre::COMMON, &[upper]);
    sketch.named("Pupil").part("Teacher", apoyando_music::Clef::Guitar, &[lower]);
    let setting = Setting { density: Density::EveryNote, ..Setting::default() };
    fingered("duet", sketch.score(), &setting)
}
