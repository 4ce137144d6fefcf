//! What a reader or writer fills in before a score is assembled.

use super::{
    Bar, BarEnd, BarIndex, Clef, DraftCue, DynamicMark, Ending, EventMark, Exit, Expression, Grace,
    Hairpin, Heading, Jump, Landmark, Lyric, Origin, Tempo,
};
use crate::key::KeySignature;
use crate::pitch::Pitch;
use crate::rhythm::{Duration, Metre, NoteValue, Tuplet};

/// A score in the making: plain data, checked by [`super::Score::assemble`].
#[derive(Clone, PartialEq, Eq, Hash, Debug, Default)]
pub struct Draft {
    /// Title and authorship.
    pub heading: Heading,
    /// The grid of bars.
    pub bars: Vec<DraftBar>,
    /// The parts, from the top of the system.
    pub parts: Vec<DraftPart>,
}

/// One bar of the grid.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct DraftBar {
    /// The number printed; 0 for a pickup.
    pub number: u32,
    /// The metre in force.
    pub metre: Metre,
    /// The signature in force.
    pub signature: KeySignature,
    /// Its length where it is not the metre's: pickups and split bars.
    pub length: Option<Duration>,
    /// A repeat begins here.
    pub repeat_start: bool,
    /// A repeat ends here; how often the section is played in all.
    pub repeat_end: Option<u8>,
    /// The ending it belongs to.
    pub ending: Option<Ending>,
    /// How it ends.
    pub end: BarEnd,
    /// A metronome mark at its beginning.
    pub tempo: Option<Tempo>,
    /// Tempo or character word at its beginning.
    pub words: String,
    /// How many bars from this one on the source prints as one long rest, if it does.
    pub long_rest: Option<u16>,
    /// A rehearsal letter at its beginning; empty where there is none.
    pub rehearsal: String,
    /// A segno or coda sign at its beginning.
    pub landmark: Option<Landmark>,
    /// *Fine* or *To Coda* at its end.
    pub exit: Option<Exit>,
    /// *D.C.* or *D.S.* at its end.
    pub jump: Option<Jump>,
}

impl DraftBar {
    /// A bar with number, metre, signature and length of one of a score, and nothing else.
    #[must_use]
    pub fn like(bar: &Bar) -> Self {
        Self {
            length: (bar.length != bar.metre.bar()).then_some(bar.length),
            ..Self::new(bar.number, bar.metre, bar.signature)
        }
    }

    /// A plain bar.
    pub const fn new(number: u32, metre: Metre, signature: KeySignature) -> Self {
        Self {
            number,
            metre,
            signature,
            length: None,
            repeat_start: false,
            repeat_end: None,
            ending: None,
            end: BarEnd::Plain,
            tempo: None,
            words: String::new(),
            long_rest: None,
            rehearsal: String::new(),
            landmark: None,
            exit: None,
            jump: None,
        }
    }
}

/// One part: per voice, per bar, its events. A voice may have fewer bars than
/// the grid; the missing ones are empty.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct DraftPart {
    /// Name of the part; may be empty.
    pub name: String,
    /// The clef it is shown in.
    pub clef: Clef,
    /// `voices[v][b]` are the events of voice v + 1 in bar b.
    pub voices: Vec<Vec<Vec<DraftEvent>>>,
    /// Dynamics in any order, at most one at a moment.
    pub dynamics: Vec<DynamicMark>,
    /// Hairpins in any order, none over another.
    pub hairpins: Vec<Hairpin>,
    /// Words of expression and tone in any order.
    pub words: Vec<Expression>,
    /// Bars printed as a sign for the bar before, in any order.
    pub bar_repeats: Vec<BarIndex>,
    /// Small notes of other parts in bars in which it rests, in any order.
    pub cues: Vec<DraftCue>,
    /// What may be played instead of some bars: voices of bars, empty outside of them.
    pub ossia: Vec<Vec<Vec<DraftEvent>>>,
}

impl DraftPart {
    /// A guitar part without notes.
    pub const fn guitar(name: String) -> Self {
        Self {
            name,
            clef: Clef::Guitar,
            voices: Vec::new(),
            dynamics: Vec::new(),
            hairpins: Vec::new(),
            words: Vec::new(),
            bar_repeats: Vec::new(),
            cues: Vec::new(),
            ossia: Vec::new(),
        }
    }
}

/// A rest (no notes), a note or a chord.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct DraftEvent {
    /// How it is written. Ignored for a rest that fills its bar.
    pub value: NoteValue,
    /// The tuplet it belongs to.
    pub tuplet: Option<Tuplet>,
    /// The notes; none for a rest. Any order.
    pub notes: Vec<DraftNote>,
    /// A rest that lasts as long as its bar.
    pub whole_bar: bool,
    /// A rest that is not printed.
    pub hidden: bool,
    /// Slurs and other marks.
    pub marks: Vec<EventMark>,
    /// Small notes before it, in order; a rest has none.
    pub graces: Vec<Grace>,
    /// What is sung to it, once in a verse; a rest has none.
    pub lyrics: Vec<Lyric>,
    /// Where it comes from.
    pub origin: Origin,
}

impl DraftEvent {
    /// A note or chord.
    pub fn notes(value: NoteValue, pitches: &[Pitch]) -> Self {
        Self { notes: pitches.iter().copied().map(DraftNote::new).collect(), ..Self::rest(value) }
    }

    /// A printed rest.
    pub const fn rest(value: NoteValue) -> Self {
        Self {
            value,
            tuplet: None,
            notes: Vec::new(),
            whole_bar: false,
            hidden: false,
            marks: Vec::new(),
            graces: Vec::new(),
            lyrics: Vec::new(),
            origin: Origin::Unknown,
        }
    }

    /// A rest that fills its bar.
    pub const fn bar_rest() -> Self {
        let mut rest = Self::rest(NoteValue::plain(crate::rhythm::Base::Whole));
        rest.whole_bar = true;
        rest
    }

    /// A gap of the voice that is not printed.
    pub const fn gap(value: NoteValue) -> Self {
        let mut rest = Self::rest(value);
        rest.hidden = true;
        rest
    }

    /// This event with its origin.
    #[must_use]
    pub fn from_origin(mut self, origin: Origin) -> Self {
        self.origin = origin;
        self
    }
}

/// A note of an event.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct DraftNote {
    /// The sounding pitch.
    pub pitch: Pitch,
    /// Tied to the next event of its voice, which must have the same pitch.
    pub tied: bool,
    /// The identifier its source gave it.
    pub source_id: Option<String>,
}

impl DraftNote {
    /// An untied note.
    pub const fn new(pitch: Pitch) -> Self {
        Self { pitch, tied: false, source_id: None }
    }
}
