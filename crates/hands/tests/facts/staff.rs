//! Scores from a line of text: `C3/8 D3+F3/4. r/4 E3/2~ | E3/1`.
//!
//! Pitches sound as written, joined by `+`; after the stroke stands the value,
//! dotted by `.`, tied by `~`. Voices are separate texts, bars are separated
//! by `|`.

use apoyando_fingering::{
    EffortTable, Level, Pin, PinAuthor, PinRule, Pins, Problem, Scope, StringSet, Term,
    ToneFingering,
};
use apoyando_fretboard::{Fret, Instrument, Place, StringNumber};
use apoyando_hands::{RightPlan, Solution, finger};
use apoyando_music::{
    BarIndex, Base, Draft, DraftBar, DraftEvent, DraftNote, DraftPart, Duration, Heading,
    KeyNumber, KeySignature, Metre, NoteValue, PartIndex, Pitch, Score, Step, Tempo, ToneId,
};

pub fn event(text: &str) -> DraftEvent {
    let (pitches, value) = text.split_once('/').expect("a stroke before the value");
    let tied = value.ends_with('~');
    let digits = value.trim_end_matches(['~', '.']);
    let dots = value.matches('.').count() as u8;
    let base = match digits {
        "1" => Base::Whole,
        "2" => Base::Half,
        "4" => Base::Quarter,
        "8" => Base::Eighth,
        "16" => Base::N16,
        "32" => Base::N32,
        other => panic!("no value {other}"),
    };
    let mut event = DraftEvent::rest(NoteValue { base, dots });
    if pitches != "r" {
        event.notes = pitches
            .split('+')
            .map(|p| DraftNote { tied, ..DraftNote::new(p.parse().expect("a pitch")) })
            .collect();
    }
    event
}

pub fn score(metre: Metre, quarters: Option<u16>, voices: &[&str]) -> Score {
    Score::assemble(draft(metre, quarters, voices)).expect("the voices fill their bars")
}

/// What a score is put together from, to be marked before.
pub fn draft(metre: Metre, quarters: Option<u16>, voices: &[&str]) -> Draft {
    let voices: Vec<Vec<Vec<DraftEvent>>> = voices
        .iter()
        .map(|v| v.split('|').map(|bar| bar.split_whitespace().map(event).collect()).collect())
        .collect();
    let bars = (0..voices[0].len())
        .map(|bar| {
            let mut grid = DraftBar::new(bar as u32 + 1, metre, KeySignature::NONE);
            let length: Duration = voices[0][bar].iter().map(|e| e.value.duration()).sum();
            grid.length = (length != metre.bar()).then_some(length);
            if bar == 0 {
                grid.tempo = quarters
                    .map(|per_minute| Tempo { value: NoteValue::plain(Base::Quarter), per_minute });
            }
            grid
        })
        .collect();
    let mut part = DraftPart::guitar(String::new());
    part.voices = voices;
    Draft { heading: Heading::default(), bars, parts: vec![part] }
}

/// Fingers the first part with the right hand's own choice.
pub fn solve(score: &Score, level: &Level, pins: &[Pin]) -> Solution {
    solve_with(score, level, pins, &RightPlan::default())
}

/// Fingers the first part; the checker must find nothing wrong with it but
/// rules of the author broken as often as the price says.
pub fn solve_with(score: &Score, level: &Level, pins: &[Pin], right: &RightPlan) -> Solution {
    asked(score, level, pins, |problem| {
        let solution = finger(problem, right).expect("a fingering");
        let violations = apoyando_verify::verify(problem, &solution.fingering).into_iter();
        let (authors, hard): (Vec<_>, Vec<_>) =
            violations.partition(|violation| violation.rule().is_authors());
        assert!(hard.is_empty(), "{hard:#?}");
        assert_eq!(authors.len() as u32, solution.fingering.price.broken);
        all_is_told(&solution, problem.effort);
        solution
    })
}

/// Asks a question about the first part, on a guitar, with the usual efforts.
pub fn asked<T>(
    score: &Score,
    level: &Level,
    pins: &[Pin],
    question: impl FnOnce(&Problem<'_>) -> T,
) -> T {
    let (instrument, effort) = (Instrument::guitar(), EffortTable::default());
    let pins = Pins(pins.to_vec());
    question(&Problem {
        score,
        part: PartIndex(0),
        instrument: &instrument,
        level,
        pins: &pins,
        effort: &effort,
        house: &apoyando_fingering::NO_HOUSE,
    })
}

/// Every note left out, rule broken, slur and ornament not made has its finding,
/// as often as the price says.
fn all_is_told(solution: &Solution, effort: &EffortTable) {
    let told = |rules: &[&str]| {
        solution.findings.iter().filter(|finding| rules.contains(&finding.rule)).count() as i64
    };
    let paid = |term: Term| -> i64 {
        let items = solution.fingering.items.iter().filter(|item| item.term == term);
        items.map(|item| item.amount).sum::<i64>() / i64::from(effort.value(term))
    };
    let price = solution.fingering.price;
    let left_out = ["note-left-out", "harmonic-nowhere", "note-below-range", "note-above-range"];
    assert_eq!(told(&left_out), i64::from(price.escapes));
    let broken = [
        "fret-too-high",
        "finger-not-allowed",
        "position-not-allowed",
        "barre-not-allowed",
        "extension-too-wide",
        "pin-not-kept",
    ];
    assert_eq!(told(&broken), i64::from(price.broken), "{:?}", solution.findings);
    assert_eq!(told(&["slur-not-made", "glissando-not-made"]), paid(Term::Join));
    assert_eq!(told(&["ornament-not-made"]), paid(Term::Ornament));
}

/// A pin of the author over the whole piece.
pub fn over_all(rule: PinRule) -> Pin {
    let scope = Scope::Bars { first: BarIndex(0), last: BarIndex(u32::MAX) };
    Pin { scope, rule, author: PinAuthor::Author }
}

/// The positions the hand goes through.
pub fn positions(solution: &Solution) -> Vec<String> {
    solution.fingering.positions.iter().map(|span| span.position.to_string()).collect()
}

/// Every tone as string and fret, finger: `⑤3/3`, `④0`.
pub fn shown(solution: &Solution) -> String {
    let tones: Vec<String> = solution
        .fingering
        .tones
        .iter()
        .map(|tone| match tone.left {
            None => "—".to_owned(),
            Some(left) => match left.finger {
                None => left.place.to_string(),
                Some(finger) => format!("{}/{finger}", left.place),
            },
        })
        .collect();
    tones.join(" ")
}

/// Fingers a chord given as frets from ⑥ to ① on just those strings, and shows
/// the fingers in the same order: `x32010` is `·32·1·`.
pub fn shape(text: &str, level: &Level) -> (String, Solution) {
    shape_with(text, level, &[])
}

/// The same under further rules.
pub fn shape_with(text: &str, level: &Level, rules: &[PinRule]) -> (String, Solution) {
    let guitar = Instrument::guitar();
    let mut chord: Vec<(Pitch, StringNumber)> = Vec::new();
    for (index, fret) in text.chars().enumerate() {
        let string = StringNumber::new(6 - index as u8).expect("six strings");
        if let Some(fret) = fret.to_digit(10) {
            let key = guitar.sound(Place { string, fret: Fret(fret as u8) }).expect("a place");
            chord.push((spelled(key), string));
        }
    }
    chord.sort();
    let mut event = DraftEvent::rest(NoteValue::plain(Base::Whole));
    event.notes = chord.iter().map(|(pitch, _)| DraftNote::new(*pitch)).collect();
    let mut part = DraftPart::guitar(String::new());
    part.voices = vec![vec![vec![event]]];
    let bars = vec![DraftBar::new(1, Metre::COMMON, KeySignature::NONE)];
    let score = Score::assemble(Draft { heading: Heading::default(), bars, parts: vec![part] })
        .expect("a chord");
    let pins: Vec<Pin> = chord
        .iter()
        .enumerate()
        .map(|(tone, (_, string))| Pin {
            scope: Scope::Tone(ToneId(tone as u32)),
            rule: PinRule::Strings(StringSet::NONE.with(*string)),
            author: PinAuthor::Author,
        })
        .chain(rules.iter().map(|rule| over_all(*rule)))
        .collect();
    let solution = solve(&score, level, &pins);
    let fingers = (1..=6)
        .rev()
        .map(|string| {
            let on = |t: &&ToneFingering| t.left.is_some_and(|l| l.place.string.get() == string);
            let finger = solution
                .fingering
                .tones
                .iter()
                .find(on)
                .and_then(|t| t.left)
                .and_then(|l| l.finger);
            finger.map_or('·', |finger| char::from(b'0' + finger.digit()))
        })
        .collect();
    (fingers, solution)
}

/// A key as a natural or a sharp.
fn spelled(key: KeyNumber) -> Pitch {
    const NAMES: [(Step, i32); 12] = [
        (Step::C, 0),
        (Step::C, 1),
        (Step::D, 0),
        (Step::D, 1),
        (Step::E, 0),
        (Step::F, 0),
        (Step::F, 1),
        (Step::G, 0),
        (Step::G, 1),
        (Step::A, 0),
        (Step::A, 1),
        (Step::B, 0),
    ];
    let (step, alter) = NAMES[key.0.rem_euclid(12) as usize];
    Pitch::of(step, alter, (key.0.div_euclid(12) - 1) as i8)
}
