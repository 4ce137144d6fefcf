//! Reads the table of cases. What is written in it is said at its head.

use apoyando_fingering::{
    BarreLimit, LeftFinger, LeftFingerSet, Level, PinRule, Position, PositionSet, RightFinger,
    StringSet,
};
use apoyando_fretboard::{Fret, Instrument, Place, StringNumber};
use apoyando_music::{Metre, PartIndex, Score, Tone, ToneId};

use crate::staff;

/// Something that must hold.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Demand {
    /// On one tone.
    Tone(ToneId, PinRule),
    /// At every onset.
    All(PinRule),
    /// No finger outside its own fret.
    NoExtension,
}

/// Which half of the table a row is in.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Half {
    /// The effort table may be tuned on it.
    Tune,
    /// It is only reported on.
    Report,
}

impl Half {
    pub const fn name(self) -> &'static str {
        match self {
            Self::Tune => "tune",
            Self::Report => "report",
        }
    }
}

/// One case.
#[derive(Clone, Debug)]
pub struct Row {
    pub number: u32,
    pub name: String,
    pub score: Score,
    pub level: Level,
    /// Rules given over the whole.
    pub given: Vec<PinRule>,
    /// Strings given by the shapes of chords.
    pub shapes: Vec<(ToneId, PinRule)>,
    /// Ways of doing it right; each a list of demands that hold together.
    pub accepted: Vec<Vec<Demand>>,
    /// The same for the right hand.
    pub plucked: Vec<Vec<(ToneId, RightFinger)>>,
    pub source: String,
    /// Why it is known to fail.
    pub fails: Option<String>,
}

impl Row {
    /// Odd rows are tuned on, even rows reported on.
    pub const fn half(&self) -> Half {
        if self.number % 2 == 1 { Half::Tune } else { Half::Report }
    }
}

const TABLE: &str = include_str!("cases.txt");

/// Every row, in order.
pub fn rows() -> Vec<Row> {
    let lines = TABLE.lines().filter(|l| !l.trim().is_empty() && !l.starts_with('#'));
    let mut blocks: Vec<Vec<&str>> = Vec::new();
    for line in lines {
        if line.starts_with("== ") {
            blocks.push(Vec::new());
        }
        blocks.last_mut().unwrap_or_else(|| panic!("before the first row: {line}")).push(line);
    }
    blocks.iter().map(|block| row(block)).collect()
}

fn row(block: &[&str]) -> Row {
    let head = block[0].trim_start_matches("== ");
    let (number, name) = head.split_once(' ').unwrap_or_else(|| panic!("no name: {head}"));
    let place = |line: &str| format!("row {number}: {line}");
    let mut fields: Vec<(&str, &str)> = Vec::new();
    for line in &block[1..] {
        let (key, text) = line
            .trim()
            .split_once(char::is_whitespace)
            .unwrap_or_else(|| panic!("{}", place(line)));
        assert!(
            ["play", "given", "hold", "also", "right", "source", "fails"].contains(&key),
            "{}",
            place(line)
        );
        fields.push((key, text.trim()));
    }
    let all = |key: &str| -> Vec<&str> {
        fields.iter().filter(|(k, _)| *k == key).map(|(_, text)| *text).collect()
    };
    let one = |key: &str| {
        let found = all(key);
        assert!(found.len() < 2, "{}", place(key));
        found.first().copied()
    };
    let play = one("play").unwrap_or_else(|| panic!("{}", place("what is played?")));
    let mut level = Level::open();
    let mut given = Vec::new();
    let mut tempo = None;
    for word in one("given").into_iter().flat_map(|text| text.split(';')) {
        match word.trim() {
            "level first" => level = Level::first(),
            "stopped" => level.fingers = level.fingers.without(None),
            "no extension" => level.extension = 0,
            other => match other.strip_prefix("tempo ") {
                Some(beats) => tempo = Some(beats.parse().expect("quarters a minute")),
                None => given.push(over_all(other)),
            },
        }
    }
    let Played { voices, shapes } = played(play);
    let texts: Vec<&str> = voices.iter().map(String::as_str).collect();
    let score = staff::score(Metre::COMMON, tempo, &texts);
    let events = events(&score, &voices);
    let also: Vec<Demand> =
        all("also").iter().flat_map(|text| text.split(';')).map(demand).collect();
    let accepted = all("hold")
        .into_iter()
        .map(|text| held(&place(text), text, &score, &events, &shapes, &also));
    let mut accepted: Vec<Vec<Demand>> = accepted.collect();
    if accepted.is_empty() && !also.is_empty() {
        accepted.push(also);
    }
    let plucked: Vec<_> =
        all("right").into_iter().map(|text| letters(&place(text), text, &events)).collect();
    assert!(!accepted.is_empty() || !plucked.is_empty(), "{}", place("nothing must hold"));
    let source = one("source").unwrap_or_else(|| panic!("{}", place("no source")));
    let shapes = shapes
        .iter()
        .flat_map(|(event, strings)| events[*event].iter().zip(strings))
        .map(|(tone, string)| (*tone, PinRule::Strings(StringSet::NONE.with(*string))))
        .collect();
    Row {
        number: number.parse().unwrap_or_else(|_| panic!("no number: {head}")),
        name: name.trim().to_owned(),
        score,
        level,
        given,
        shapes,
        accepted,
        plucked,
        source: source.to_owned(),
        fails: one("fails").map(str::to_owned),
    }
}

struct Played {
    voices: Vec<String>,
    /// Event, and the strings of its notes from the thickest.
    shapes: Vec<(usize, Vec<StringNumber>)>,
}

/// Writes out values left out and shapes of chords.
fn played(text: &str) -> Played {
    let mut shapes = Vec::new();
    let mut event = 0;
    let mut voices = Vec::new();
    for voice in text.split("//") {
        let mut value = "4".to_owned();
        let mut words = Vec::new();
        for word in voice.split_whitespace() {
            if word == "|" {
                words.push(word.to_owned());
                continue;
            }
            let (what, new) = word.split_once('/').map_or((word, None), |(w, v)| (w, Some(v)));
            if let Some(new) = new {
                value = new.to_owned();
            }
            let mut what = what.to_owned();
            if is_shape(&what) {
                let (pitches, strings) = shape(&what);
                shapes.push((event, strings));
                what = pitches;
            }
            if what != "r" {
                event += 1;
            }
            words.push(format!("{what}/{value}"));
        }
        voices.push(words.join(" "));
    }
    Played { voices, shapes }
}

fn is_shape(word: &str) -> bool {
    word.len() >= 6 && word.chars().all(|c| c == 'x' || c.is_ascii_digit() || "()".contains(c))
}

/// The pitches of a shape, and their strings from the thickest.
fn shape(word: &str) -> (String, Vec<StringNumber>) {
    const NAMES: [&str; 12] = ["C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B"];
    let guitar = Instrument::guitar();
    let mut pitches = Vec::new();
    let mut strings = Vec::new();
    let mut number = 7;
    let mut letters = word.chars();
    while let Some(letter) = letters.next() {
        number -= 1;
        let digits = match letter {
            'x' => continue,
            // Frets of two digits stand in brackets.
            '(' => letters.by_ref().take_while(|c| *c != ')').collect(),
            digit => digit.to_string(),
        };
        let string = StringNumber::new(number).expect("six strings");
        let fret = Fret(digits.parse().expect("a fret"));
        let key = guitar.sound(Place { string, fret }).expect("a place").0;
        pitches.push(format!("{}{}", NAMES[key.rem_euclid(12) as usize], key.div_euclid(12) - 1));
        strings.push(string);
    }
    assert_eq!(number, 1, "{word}");
    (pitches.join("+"), strings)
}

/// The tones of every event that is no rest, voice by voice, each from low to
/// high.
fn events(score: &Score, voices: &[String]) -> Vec<Vec<ToneId>> {
    let tones = score.tones(PartIndex(0));
    let mut all = Vec::new();
    for (voice, text) in voices.iter().enumerate() {
        let mut own: Vec<&Tone> =
            tones.as_slice().iter().filter(|t| usize::from(t.voice.0) == voice + 1).collect();
        own.sort_by_key(|t| (t.onset, t.pitch.key_number()));
        let mut own = own.into_iter().map(|t| t.id);
        for word in text.split_whitespace().filter(|w| *w != "|" && !w.starts_with("r/")) {
            all.push(own.by_ref().take(word.matches('+').count() + 1).collect());
        }
    }
    all
}

/// The words of a line, one for each event.
fn words<'a>(place: &str, text: &'a str, events: &[Vec<ToneId>]) -> Vec<&'a str> {
    let words: Vec<&str> = text.split_whitespace().filter(|w| !["|", "//"].contains(w)).collect();
    assert_eq!(words.len(), events.len(), "{place}: one word for each note or chord");
    words
}

fn held(
    place: &str,
    text: &str,
    score: &Score,
    events: &[Vec<ToneId>],
    shapes: &[(usize, Vec<StringNumber>)],
    also: &[Demand],
) -> Vec<Demand> {
    let tones = score.tones(PartIndex(0));
    let mut demands = also.to_vec();
    for (index, word) in words(place, text, events).into_iter().enumerate() {
        let event = &events[index];
        if word == "·" {
            continue;
        }
        let shape = shapes.iter().find(|(event, _)| *event == index);
        let parts: Vec<String> = match shape {
            // The fingers as digits from ⑥ to ①.
            Some((_, strings)) => {
                let digits: Vec<char> = word.chars().collect();
                assert_eq!(digits.len(), 6, "{place}: {word}");
                strings.iter().map(|s| format!("/{}", digits[usize::from(6 - s.get())])).collect()
            }
            None => word.split('+').map(str::to_owned).collect(),
        };
        assert_eq!(parts.len(), event.len(), "{place}: {word}");
        for (part, tone) in parts.iter().zip(event) {
            if part != "·" && part != "/·" {
                demands.extend(placed(place, part, tones.get(*tone)));
            }
        }
    }
    demands
}

/// What a word such as `⑤3/34` asks of its note.
fn placed(place: &str, word: &str, tone: &Tone) -> Vec<Demand> {
    let (spot, fingers) = word.split_once('/').map_or((word, None), |(s, f)| (s, Some(f)));
    let mut demands = Vec::new();
    let mut open = false;
    let mut letters = spot.chars();
    if let Some(circle) = letters.next() {
        let string = circled(circle).unwrap_or_else(|| panic!("{place}: {word}"));
        demands.push(PinRule::Strings(StringSet::NONE.with(string)));
        let fret: String = letters.collect();
        if !fret.is_empty() {
            let fret = Fret(fret.parse().unwrap_or_else(|_| panic!("{place}: {word}")));
            open = fret == Fret(0);
            let sounds = Instrument::guitar().sound(Place { string, fret }).expect("a place");
            assert_eq!(sounds, tone.pitch.key_number(), "{place}: {word} is no {}", tone.pitch);
        }
    }
    if let Some(fingers) = fingers {
        let set: LeftFingerSet = fingers.chars().map(|c| finger(place, c)).collect();
        demands.push(PinRule::LeftFingers(set));
    } else if open {
        demands.push(PinRule::LeftFingers(LeftFingerSet::NONE.with(None)));
    }
    demands.into_iter().map(|rule| Demand::Tone(tone.id, rule)).collect()
}

fn finger(place: &str, digit: char) -> Option<LeftFinger> {
    match digit {
        '0' => None,
        '1'..='4' => LeftFinger::from_digit(digit as u8 - b'0'),
        _ => panic!("{place}: no finger {digit}"),
    }
}

fn circled(circle: char) -> Option<StringNumber> {
    let number = (circle as u32).checked_sub('①' as u32)?;
    StringNumber::new(u8::try_from(number).ok()? + 1)
}

fn demand(text: &str) -> Demand {
    match text.trim() {
        "no extension" => Demand::NoExtension,
        other => Demand::All(over_all(other)),
    }
}

/// `in I II`, `on ① ②`, `no barre`, `fingers 0123`.
fn over_all(text: &str) -> PinRule {
    let (key, rest) = text.split_once(' ').unwrap_or_else(|| panic!("what is “{text}”?"));
    match key {
        "in" => {
            let position = |word: &str| word.parse::<Position>().expect("a position");
            PinRule::Positions(rest.split_whitespace().map(position).collect::<PositionSet>())
        }
        "on" => {
            let string = |word: &str| word.chars().next().and_then(circled).expect("a string");
            PinRule::Strings(rest.split_whitespace().map(string).collect())
        }
        "fingers" => PinRule::LeftFingers(rest.chars().map(|c| finger(text, c)).collect()),
        "no" if rest == "barre" => PinRule::Barre(BarreLimit::None),
        _ => panic!("what is “{text}”?"),
    }
}

fn letters(place: &str, text: &str, events: &[Vec<ToneId>]) -> Vec<(ToneId, RightFinger)> {
    let mut all = Vec::new();
    for (word, event) in words(place, text, events).into_iter().zip(events) {
        if word == "·" {
            continue;
        }
        assert_eq!(word.chars().count(), event.len(), "{place}: {word}");
        for (letter, tone) in word.chars().zip(event) {
            let finger = RightFinger::from_letter(letter);
            all.push((*tone, finger.unwrap_or_else(|| panic!("{place}: no finger {letter}"))));
        }
    }
    all
}
