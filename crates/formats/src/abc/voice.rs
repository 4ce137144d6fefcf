//! A voice while it is read.

use std::collections::BTreeMap;

use apoyando_music::{Alter, Clef, EventMark, Grace, Metre, Step};

use super::key::AbcKey;
use super::lyrics::Singing;
use crate::rough::{HandMarks, RoughBar, RoughClef, RoughEvent, RoughLoudness, RoughWords};
use crate::time::{Time, zero};

/// Most overlays in one bar.
pub(super) const MOST_LANES: usize = 16;

/// What a clef and the words beside it say.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct ClefField {
    pub clef: RoughClef,
    /// Octaves from the written to the sounding pitch.
    pub octaves: i8,
    /// The clef is named, not assumed.
    pub named: bool,
}

impl Default for ClefField {
    fn default() -> Self {
        Self { clef: RoughClef::Plain, octaves: 0, named: false }
    }
}

/// A tuplet being counted.
#[derive(Clone, Copy, Debug)]
pub(super) struct Run {
    pub actual: u8,
    pub normal: u8,
    /// Notes still to come.
    pub left: u32,
    pub begun: bool,
}

/// What is noted before the note it belongs to.
#[derive(Clone, Debug, Default)]
pub(super) struct Pending {
    pub marks: Vec<EventMark>,
    pub hand: HandMarks,
    pub graces: Vec<Grace>,
}

/// A voice and where it has got to.
#[derive(Debug)]
pub(super) struct VoiceState {
    pub id: String,
    pub name: String,
    pub clef: ClefField,
    /// Bars that are over.
    pub bars: Vec<RoughBar>,
    /// The bar being read.
    pub bar: RoughBar,
    /// Per lane (the voice, then its overlays), per bar, the events.
    pub lanes: Vec<Vec<Vec<RoughEvent>>>,
    pub lane: usize,
    /// Time since the beginning of the bar.
    pub cursor: Time,
    /// Something stands in the bar.
    pub begun: bool,
    pub unit: Time,
    pub metre: Option<Metre>,
    pub key: AbcKey,
    /// Accidentals of the bar, by letter and octave as written.
    pub accidentals: BTreeMap<(Step, i32), Alter>,
    /// Accidentals that a tie carries over the bar line.
    pub carried: Vec<(Step, i32, Alter)>,
    pub run: Option<Run>,
    /// What a broken rhythm does to the next note.
    pub broken: Option<Time>,
    pub pending: Pending,
    pub singing: Singing,
    /// Dynamics and hairpins so far.
    pub loudness: Vec<RoughLoudness>,
    /// Annotations so far.
    pub words: Vec<RoughWords>,
    /// Slurs under way, the last begun last; whether each begins at a grace note.
    pub slurs: Vec<bool>,
    /// Passes of the ending that begins with the next bar.
    pub in_ending: bool,
}

impl VoiceState {
    pub(super) fn new(
        id: &str,
        clef: ClefField,
        unit: Time,
        metre: Option<Metre>,
        key: AbcKey,
        line: u32,
    ) -> Self {
        Self {
            id: id.to_owned(),
            name: String::new(),
            clef,
            bars: Vec::new(),
            bar: RoughBar::new(metre, key.signature, line),
            lanes: vec![Vec::new()],
            lane: 0,
            cursor: zero(),
            begun: false,
            unit,
            metre,
            key,
            accidentals: BTreeMap::new(),
            carried: Vec::new(),
            run: None,
            broken: None,
            pending: Pending::default(),
            singing: Singing::default(),
            loudness: Vec::new(),
            words: Vec::new(),
            slurs: Vec::new(),
            in_ending: false,
        }
    }

    /// The last event of the lane in this bar, or else of the bar before: what
    /// a tie or the end of a slur belongs to.
    pub(super) fn last_event(&mut self) -> Option<&mut RoughEvent> {
        let index = self.bars.len();
        let bars = self.lanes.get_mut(self.lane)?;
        let at = if bars.get(index).is_some_and(|events| !events.is_empty()) {
            index
        } else {
            index.checked_sub(1)?
        };
        bars.get_mut(at)?.last_mut()
    }

    /// Adds an event at the cursor and moves on.
    pub(super) fn push(&mut self, event: RoughEvent, end: Time) {
        let index = self.bars.len();
        let bars = &mut self.lanes[self.lane];
        bars.resize_with((index + 1).max(bars.len()), Vec::new);
        bars[index].push(event);
        self.cursor = end;
        self.begun = true;
    }

    /// Ends the bar being read and begins the next.
    pub(super) fn end_bar(&mut self, line: u32) {
        let next = RoughBar::new(self.metre, self.key.signature, line);
        self.bars.push(std::mem::replace(&mut self.bar, next));
        self.lane = 0;
        self.cursor = zero();
        self.begun = false;
        self.accidentals.clear();
        if self.in_ending
            && let Some(ending) = self.bars.last().and_then(|bar| bar.ending.clone())
        {
            self.bar.ending = Some(apoyando_music::Ending { first: false, ..ending });
        }
    }
}

/// Reads the words of a clef: `treble-8`, `clef=bass`, `octave=-1`,
/// `transpose=-12`. Gives back the words that are something else.
pub(super) fn clef<'a>(
    words: impl Iterator<Item = &'a str>,
    clef: &mut ClefField,
    unread: &mut Vec<String>,
) -> Vec<(String, String)> {
    let mut rest = Vec::new();
    for word in words {
        let (name, value) = word.split_once('=').unwrap_or(("", word));
        let value = value.trim_matches('"');
        let known = match name {
            "" | "clef" | "cl" => name_clef(value, clef),
            "octave" => match value.parse::<i8>().ok().filter(|octave| octave.abs() <= 4) {
                Some(octave) => {
                    clef.octaves += octave;
                    true
                }
                None => false,
            },
            "transpose" | "t" => match value.parse::<i16>() {
                Ok(semitones) if semitones % 12 == 0 && semitones.abs() <= 48 => {
                    clef.octaves += (semitones / 12) as i8;
                    if clef.clef == RoughClef::Plain && semitones != 0 {
                        clef.clef = RoughClef::Stated(Clef::Guitar);
                    }
                    true
                }
                _ => false,
            },
            _ => {
                rest.push((name.to_owned(), value.to_owned()));
                true
            }
        };
        if !known {
            unread.push(format!("“{word}”"));
        }
    }
    clef.octaves = clef.octaves.clamp(-4, 4);
    rest
}

/// Whether the clef's name is known.
fn name_clef(name: &str, field: &mut ClefField) -> bool {
    let (name, octaves) = if let Some(name) = name.strip_suffix("-8") {
        (name, -1)
    } else if let Some(name) = name.strip_suffix("+8") {
        (name, 1)
    } else {
        (name, 0)
    };
    let name = name.to_ascii_lowercase();
    field.clef = match (name.as_str(), octaves) {
        ("treble" | "treble2" | "g" | "g2", 0) => RoughClef::Plain,
        ("treble" | "treble2" | "g" | "g2", -1) => RoughClef::Stated(Clef::Guitar),
        ("treble" | "treble2" | "g" | "g2", _) => RoughClef::Stated(Clef::Treble),
        ("bass" | "bass4" | "f" | "f4", _) => RoughClef::Stated(Clef::Bass),
        ("none", _) => RoughClef::Plain,
        _ => return false,
    };
    field.octaves += octaves;
    field.named = true;
    true
}
