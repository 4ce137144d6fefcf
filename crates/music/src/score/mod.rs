//! The score: what is to be played, on a grid of bars common to all parts.
//!
//! A [`Draft`] is what readers and writers fill in; [`Score::assemble`] checks
//! it once (every voice fills its bars, every tie has its other end) and
//! numbers its notes. From then on a score does not change: another version
//! is another score, with another [`Revision`].

mod again;
mod alone;
mod assemble;
mod beat;
mod cue;
mod draft;
mod dynamics;
mod expression;
mod joins;
mod lyrics;
mod ornaments;
mod ossia;
mod signs;
mod sweep;
mod tones;
mod variant;
mod wavy;

pub use assemble::ScoreError;
pub use cue::{Cue, DraftCue};
pub use draft::{Draft, DraftBar, DraftEvent, DraftNote, DraftPart};
pub use dynamics::{Dynamic, DynamicMark, Hairpin, HairpinKind};
pub use expression::{Expression, StaffSide};
pub use joins::{Join, JoinKind};
pub use lyrics::{ELISION, Lyric, Sung, Verse};
pub use signs::{Exit, Jump, JumpTo, Landmark, Until};
pub use sweep::Sweep;
pub use tones::{Tone, ToneId, Tones};
pub use wavy::{WavyKind, WavyLine};

use crate::key::KeySignature;
use crate::pitch::Pitch;
use crate::rhythm::{Duration, Metre, Moment, NoteValue, Tuplet};

/// Title and authorship of a piece; empty strings where nothing is known.
#[derive(Clone, PartialEq, Eq, Hash, Debug, Default)]
pub struct Heading {
    /// Title of the piece.
    pub title: String,
    /// Line under the title.
    pub subtitle: String,
    /// Who composed it, with dates if given.
    pub composer: String,
    /// Who arranged it.
    pub arranger: String,
    /// The edition or manuscript it was taken from.
    pub source: String,
    /// Its rights, as stated by the source.
    pub rights: String,
}

/// Number of a note in one revision of one score: an index, dense from 0, in
/// the order of part, bar, voice, onset and pitch from low to high.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct NoteId(pub u32);

/// Index of a bar in the score, from 0, pickup included.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct BarIndex(pub u32);

/// Index of a part in the score, from 0.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct PartIndex(pub u16);

/// A voice on its staff, from 1: odd voices stem up and even ones down where
/// two sound together.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct VoiceNumber(pub u8);

/// Hash of a score's whole content; stable within one build of the program.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Revision(pub u128);

/// Where an event comes from.
#[derive(Clone, PartialEq, Eq, Hash, Debug, Default)]
pub enum Origin {
    /// Nothing is known.
    #[default]
    Unknown,
    /// A place in a file.
    Source {
        /// The file's name as the author knows it.
        file: String,
        /// Line in the file, from 1.
        line: u32,
        /// Column in the line, from 1.
        column: u32,
    },
    /// A step of a writer of exercises.
    Written {
        /// The writer, by the name of its item in the plan.
        writer: &'static str,
        /// The step within what it wrote, from 0.
        step: u32,
    },
}

/// The clef a part is shown in.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Clef {
    /// Treble clef with an 8 below it: sounds an octave lower than written.
    Guitar,
    /// Plain treble clef: sounds as written.
    Treble,
    /// Bass clef.
    Bass,
}

impl Clef {
    /// Octaves by which music in this clef is *shown* above its sound, if the
    /// clef is read as a plain one. Guitar music is written an octave up.
    pub const fn octaves_up(self) -> i8 {
        match self {
            Self::Guitar => 1,
            Self::Treble | Self::Bass => 0,
        }
    }
}

/// How a bar ends when it is not the end of a repeat.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum BarEnd {
    /// A single thin line.
    #[default]
    Plain,
    /// Two thin lines: the end of a section.
    Double,
    /// A thin and a thick line: the end.
    Final,
}

/// The bracket of an ending (volta) over a bar.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct Ending {
    /// The passes it is played in: 1, 2, …
    pub passes: Vec<u8>,
    /// The bracket begins over this bar.
    pub first: bool,
    /// The bracket is over at the end of this bar.
    pub last: bool,
}

/// A metronome mark: so many of a value in a minute.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Tempo {
    /// The value that is counted.
    pub value: NoteValue,
    /// How many of it in a minute.
    pub per_minute: u16,
}

/// What an event carries besides its notes.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum EventMark {
    /// A slur begins here; `technical` where the source says hammer-on or
    /// pull-off.
    SlurStart {
        /// Left-hand (technical) slur rather than a phrase mark.
        technical: bool,
    },
    /// A slur ends here.
    SlurEnd,
    /// A fermata over the event.
    Fermata,
    /// A staccato dot.
    Staccato,
    /// A short breath after it.
    Breath,
    /// The music halts after it.
    Caesura,
    /// A wavy line over it for its length: it is played with vibrato, or, where it or the
    /// note it is tied from has a trill, so long is the trill.
    WavyLine,
    /// A tenuto line.
    Tenuto,
    /// An accent.
    Accent,
    /// The chord is spread, one way where it is said.
    Arpeggio(Option<Sweep>),
    /// The chord is brushed at one stroke.
    Strum(Sweep),
    /// The notes are struck together, not spread.
    Together,
    /// It rings on (*laissez vibrer*): a short tie into nothing at each note.
    /// Its written length stays.
    LetRing,
    /// A glissando to the next event of the voice begins here.
    GlideStart,
    /// A glissando ends here.
    GlideEnd,
    /// The string is touched and gives a natural harmonic, whose pitch is the
    /// one that sounds.
    NaturalHarmonic,
    /// The right hand touches the string an octave above the stopped fret; the
    /// pitch is the one that sounds.
    ArtificialHarmonic,
    /// A trill with the step above.
    Trill,
    /// Once to the step below and back.
    Mordent,
    /// Once to the step above and back.
    InvertedMordent,
    /// The step above, the note, the step below, the note.
    Turn,
    /// The step below, the note, the step above, the note.
    InvertedTurn,
}

/// A small note before an event, which takes its time from its surroundings.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Grace {
    /// The sounding pitch.
    pub pitch: Pitch,
    /// Crossed through: as short as can be.
    pub slashed: bool,
}

/// One bar of the grid that all parts share.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct Bar {
    /// The number printed and spoken of; 0 for a pickup.
    pub number: u32,
    /// When it begins.
    pub start: Moment,
    /// How long it is; shorter than the metre's bar for a pickup.
    pub length: Duration,
    /// The metre in force.
    pub metre: Metre,
    /// The signature in force.
    pub signature: KeySignature,
    /// A repeat begins here.
    pub repeat_start: bool,
    /// A repeat ends here; how often the section is played in all.
    pub repeat_end: Option<u8>,
    /// The ending this bar belongs to.
    pub ending: Option<Ending>,
    /// How it ends.
    pub end: BarEnd,
    /// A metronome mark at its beginning.
    pub tempo: Option<Tempo>,
    /// Tempo or character word at its beginning: *Andante*.
    pub words: String,
    /// How many bars from this one on the source prints as one long rest, if it does.
    pub long_rest: Option<u16>,
    /// A rehearsal letter at its beginning; empty where there is none.
    pub rehearsal: String,
    /// A segno or coda sign at its beginning.
    pub landmark: Option<Landmark>,
    /// *Fine* or *To Coda* at its end.
    pub exit: Option<Exit>,
    /// *D.C.* or *D.S.* at its end; where an exit stands there too, the jump is
    /// made first and the exit heeded when play comes back.
    pub jump: Option<Jump>,
}

impl Bar {
    /// When the next bar begins.
    pub fn end_moment(&self) -> Moment {
        self.start + self.length
    }
}

/// What happens at an onset in a voice.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Content {
    /// Silence. A hidden rest only keeps the place and is not printed.
    Rest {
        /// Not printed.
        hidden: bool,
    },
    /// One or more notes struck together, from low to high.
    Notes(Vec<NoteId>),
}

/// A rest, a note or a chord in a voice.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Event {
    /// When it begins.
    pub onset: Moment,
    /// How long it lasts, tuplet included.
    pub duration: Duration,
    /// How it is written. A rest that fills its bar is written as a whole rest
    /// whatever the metre.
    pub value: NoteValue,
    /// The tuplet it belongs to.
    pub tuplet: Option<Tuplet>,
    /// What is played.
    pub content: Content,
    /// Slurs and other marks.
    pub marks: Vec<EventMark>,
    /// Small notes before it, in order.
    pub graces: Vec<Grace>,
    /// What is sung to it, in the order of verses; nothing to a rest.
    pub lyrics: Vec<Lyric>,
    /// Where it comes from.
    pub origin: Origin,
}

impl Event {
    /// The notes struck here; none for a rest.
    pub fn notes(&self) -> &[NoteId] {
        match &self.content {
            Content::Rest { .. } => &[],
            Content::Notes(notes) => notes,
        }
    }

    /// When it is over.
    pub fn end(&self) -> Moment {
        self.onset + self.duration
    }

    /// Whether this is a rest.
    pub const fn is_rest(&self) -> bool {
        matches!(self.content, Content::Rest { .. })
    }
}

/// A note head.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Note {
    /// Its number.
    pub id: NoteId,
    /// The sounding pitch.
    pub pitch: Pitch,
    /// The part it stands in.
    pub part: PartIndex,
    /// The bar it stands in.
    pub bar: BarIndex,
    /// The voice it stands in.
    pub voice: VoiceNumber,
    /// Index of its event in the voice's bar.
    pub event: u32,
    /// When it begins.
    pub onset: Moment,
    /// Its written length.
    pub duration: Duration,
    /// The note it is tied from.
    pub tied_from: Option<NoteId>,
    /// The note it is tied to.
    pub tied_to: Option<NoteId>,
    /// The identifier its source gave it (MusicXML `id`).
    pub source_id: Option<String>,
}

/// A voice of a part: for every bar of the score its events, or none where
/// the voice is silent and nothing is printed for it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Voice {
    /// Its number on the staff.
    pub number: VoiceNumber,
    /// One list of events for every bar of the score.
    pub bars: Vec<Vec<Event>>,
}

/// What one player reads.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Part {
    /// Name at the beginning of the first system; may be empty.
    pub name: String,
    /// The clef it is shown in.
    pub clef: Clef,
    /// Its voices, in order of their numbers.
    pub voices: Vec<Voice>,
    /// Its dynamics in the order of time, at most one at a moment.
    pub dynamics: Vec<DynamicMark>,
    /// Its hairpins in the order of time; none overlaps another.
    pub hairpins: Vec<Hairpin>,
    /// Its words of expression and tone in the order of time.
    pub words: Vec<Expression>,
    /// Bars that the source prints as a sign for the bar before, in order; only those
    /// that are the same can be ([`Score::plays_again`]).
    pub bar_repeats: Vec<BarIndex>,
    /// Small notes of other parts in bars in which it rests, in order.
    pub cues: Vec<Cue>,
    /// What may be played instead of some bars: a score with the same bars and one part,
    /// empty outside of them. It is neither fingered nor played.
    pub ossia: Option<Box<Score>>,
}

/// A checked score. See the [module](self) for how one comes about.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Score {
    heading: Heading,
    bars: Vec<Bar>,
    parts: Vec<Part>,
    notes: Vec<Note>,
    revision: Revision,
}

impl Score {
    /// Title and authorship.
    pub const fn heading(&self) -> &Heading {
        &self.heading
    }

    /// The bars, in written order.
    pub fn bars(&self) -> &[Bar] {
        &self.bars
    }

    /// One bar.
    ///
    /// # Panics
    /// If the index is of another score.
    pub fn bar(&self, index: BarIndex) -> &Bar {
        &self.bars[index.0 as usize]
    }

    /// The parts, from the top of the system.
    pub fn parts(&self) -> &[Part] {
        &self.parts
    }

    /// The indices of the parts.
    pub fn part_indices(&self) -> impl Iterator<Item = PartIndex> + use<> {
        (0..self.parts.len()).map(|index| PartIndex(index as u16))
    }

    /// One part.
    ///
    /// # Panics
    /// If the index is of another score.
    pub fn part(&self, index: PartIndex) -> &Part {
        &self.parts[usize::from(index.0)]
    }

    /// All notes in the order of their numbers.
    pub fn notes(&self) -> &[Note] {
        &self.notes
    }

    /// One note.
    ///
    /// # Panics
    /// If the number is of another score.
    pub fn note(&self, id: NoteId) -> &Note {
        &self.notes[id.0 as usize]
    }

    /// The event that a note stands in.
    ///
    /// # Panics
    /// If the note is of another score.
    pub fn event_of(&self, note: &Note) -> &Event {
        let voices = &self.part(note.part).voices;
        &voices[usize::from(note.voice.0) - 1].bars[note.bar.0 as usize][note.event as usize]
    }

    /// Hash of the content; a layer made for another revision is refused.
    pub const fn revision(&self) -> Revision {
        self.revision
    }

    /// When the last bar is over.
    pub fn end(&self) -> Moment {
        self.bars.last().map_or(Moment::START, Bar::end_moment)
    }

    /// The bar that sounds at a moment; the last one at the very end.
    pub fn bar_at(&self, moment: Moment) -> Option<BarIndex> {
        let after = self.bars.partition_point(|bar| bar.start <= moment);
        after.checked_sub(1).map(|index| BarIndex(index as u32))
    }
}
