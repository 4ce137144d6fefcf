//! What both readers find in a file, before it is fitted into bars that add
//! up: onsets and lengths as stated, voices as stated, marks as stated.

use apoyando_fingering::{LeftFinger, RightFinger};
use apoyando_fretboard::{Fret, Instrument, StringNumber};
use apoyando_music::{
    BarEnd, Clef, Dynamic, Ending, EventMark, Grace, HairpinKind, Heading, KeySignature, Metre,
    NoteValue, Pitch, StaffSide, Tempo, Tuplet, Verse,
};

use crate::sign::Sign;
use crate::time::Time;

/// A piece as stated.
#[derive(Debug, Default)]
pub(crate) struct RoughPiece {
    pub heading: Heading,
    pub bars: Vec<RoughBar>,
    pub parts: Vec<RoughPart>,
}

/// A bar as stated.
#[derive(Clone, Debug)]
pub(crate) struct RoughBar {
    /// The number the file gives; `None` if bars are to be counted.
    pub number: Option<u32>,
    /// The metre in force; `None` for free rhythm.
    pub metre: Option<Metre>,
    pub signature: KeySignature,
    /// The file says that the bar need not be as long as its metre.
    pub irregular: bool,
    /// It does not count: it has the number of the one before.
    pub uncounted: bool,
    /// The length stated by a rest that fills it.
    pub rest_length: Option<Time>,
    pub repeat_start: bool,
    pub repeat_end: Option<u8>,
    pub ending: Option<Ending>,
    pub end: BarEnd,
    pub tempo: Option<Tempo>,
    pub words: String,
    /// How many bars from this one on are one long rest.
    pub long_rest: Option<u16>,
    /// Rehearsal letters, as noted.
    pub rehearsals: Vec<RoughRehearsal>,
    /// Signs of the playing order, as noted.
    pub signs: Vec<RoughSign>,
    pub line: u32,
}

/// A sign of the playing order as stated.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct RoughSign {
    pub sign: Sign,
    /// From the beginning of the bar; `None` at the line that ends it.
    pub at: Option<Time>,
    pub line: u32,
}

/// A rehearsal letter as stated.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct RoughRehearsal {
    /// Not blank.
    pub text: String,
    /// From the beginning of the bar.
    pub at: Time,
    pub line: u32,
}

impl RoughBar {
    pub(crate) fn new(metre: Option<Metre>, signature: KeySignature, line: u32) -> Self {
        Self {
            number: None,
            metre,
            signature,
            irregular: false,
            uncounted: false,
            rest_length: None,
            repeat_start: false,
            repeat_end: None,
            ending: None,
            end: BarEnd::Plain,
            tempo: None,
            words: String::new(),
            long_rest: None,
            rehearsals: Vec::new(),
            signs: Vec::new(),
            line,
        }
    }
}

/// A part as stated.
#[derive(Debug)]
pub(crate) struct RoughPart {
    pub name: String,
    pub clef: RoughClef,
    /// The file itself calls it a guitar's.
    pub guitar: bool,
    /// What it is played on, as far as the file says.
    pub instrument: Instrument,
    /// Voices in the order of their numbers; per bar their events, by onset.
    pub voices: Vec<Vec<Vec<RoughEvent>>>,
    /// Dynamics and hairpins, as noted.
    pub loudness: Vec<RoughLoudness>,
    /// Words of expression and tone, as noted.
    pub words: Vec<RoughWords>,
    /// Bars printed as a sign for the one before.
    pub bar_repeats: Vec<usize>,
    /// What may be played instead of some bars: voices as those of the part.
    pub ossia: Vec<Vec<Vec<RoughEvent>>>,
    /// Small notes of other parts, per bar, by onset.
    pub cues: Vec<Vec<RoughEvent>>,
    /// Whose they are, by bars.
    pub cue_names: Vec<(usize, String)>,
}

/// Words of expression and tone as stated.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct RoughWords {
    /// Index of the bar they are noted in.
    pub bar: usize,
    /// From the beginning of the bar.
    pub at: Time,
    /// How far that may be off by rounding in the file.
    pub slack: Time,
    pub side: StaffSide,
    /// Not blank.
    pub text: String,
    /// Where dashes after them end.
    pub until: Option<RoughMoment>,
    pub line: u32,
}

/// A moment as stated.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct RoughMoment {
    /// Index of the bar it is noted in.
    pub bar: usize,
    /// From the beginning of the bar.
    pub at: Time,
    /// How far that may be off by rounding in the file.
    pub slack: Time,
}

/// A sign of loudness as stated.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct RoughLoudness {
    /// Index of the bar it is noted in.
    pub bar: usize,
    /// From the beginning of the bar.
    pub at: Time,
    /// How far that may be off by rounding in the file.
    pub slack: Time,
    pub loudness: Loudness,
    pub line: u32,
}

/// A dynamic or one end of a hairpin.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Loudness {
    Dynamic(Dynamic),
    /// The number tells hairpins under way apart.
    HairpinStart {
        kind: HairpinKind,
        number: u8,
    },
    HairpinEnd {
        number: u8,
    },
}

/// What the file says about clef and octave.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum RoughClef {
    /// A plain treble clef, or none; nothing said about the octave.
    Plain,
    /// The pitches sound as they stand, shown in this clef.
    Stated(Clef),
}

/// How long a rest is printed.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum RoughRest {
    Printed,
    Hidden,
    WholeBar,
    HiddenBar,
}

/// A rest, note or chord as stated.
#[derive(Clone, Debug)]
pub(crate) struct RoughEvent {
    /// From the beginning of the bar.
    pub onset: Time,
    /// As it sounds, tuplet included.
    pub length: Time,
    /// How far onset and length may be off by rounding in the file.
    pub slack: Time,
    /// The written value, where the file gives one that agrees with the length.
    pub value: Option<NoteValue>,
    pub tuplet: Option<Tuplet>,
    /// Kind of rest, if there are no notes.
    pub rest: RoughRest,
    pub notes: Vec<RoughNote>,
    pub marks: Vec<EventMark>,
    /// Grace notes before it; a rest has none.
    pub graces: Vec<Grace>,
    /// What is sung to it.
    pub lyrics: Vec<RoughLyric>,
    pub line: u32,
    pub column: u32,
}

/// What is sung to an event as stated.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct RoughLyric {
    pub verse: Verse,
    pub sung: RoughSung,
}

#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) enum RoughSung {
    /// A syllable; `held` where the file says that it is held over what follows.
    Syllable { text: String, goes_on: bool, held: bool },
    /// The syllable before is held on.
    Held,
}

impl RoughEvent {
    /// Its pitches, those of its grace notes among them.
    pub(crate) fn pitches(&mut self) -> impl Iterator<Item = &mut Pitch> {
        let notes = self.notes.iter_mut().map(|note| &mut note.pitch);
        notes.chain(self.graces.iter_mut().map(|grace| &mut grace.pitch))
    }
}

/// A note as stated.
#[derive(Clone, Debug)]
pub(crate) struct RoughNote {
    pub pitch: Pitch,
    pub tied: bool,
    pub source_id: Option<String>,
    pub hand: HandMarks,
    pub harmonic: Option<RoughHarmonic>,
}

impl RoughNote {
    pub(crate) const fn new(pitch: Pitch, hand: HandMarks) -> Self {
        Self { pitch, tied: false, source_id: None, hand, harmonic: None }
    }
}

/// A harmonic as stated.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct RoughHarmonic {
    pub natural: bool,
    /// What the note's pitch is, where the file says so.
    pub shows: Option<HarmonicPitch>,
}

/// The pitches by which a harmonic can be noted (MusicXML 4.0, `harmonic`).
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum HarmonicPitch {
    /// What is heard.
    Sounding,
    /// What the place where the string is touched would sound if stopped there.
    Touching,
    /// What the string sounds untouched, open or stopped.
    Base,
}

/// Fingering marks of a note.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub(crate) struct HandMarks {
    pub string: Option<StringNumber>,
    pub fret: Option<Fret>,
    /// `Some(None)` is the digit 0, the open string.
    pub left: Option<Option<LeftFinger>>,
    /// The finger that takes it over while it sounds.
    pub second: Option<LeftFinger>,
    pub right: Option<RightFinger>,
}

impl HandMarks {
    pub(crate) fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}
