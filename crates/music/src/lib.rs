//! Music without an instrument: pitch and spelling, interval, key, exact
//! rhythm, and the [`Score`] that the rest of the workshop reads.
//!
//! Nothing here knows of strings, frets or fingers. Pitches are *sounding*
//! pitches; that guitar music is written an octave higher is a matter of the
//! [`Clef`] it is shown in.

pub mod interval;
pub mod key;
pub mod pitch;
pub mod rhythm;
pub mod score;

pub use interval::Interval;
pub use key::{Key, KeySignature, Mode};
pub use pitch::{Alter, KeyNumber, NoteName, Pitch, Step};
pub use rhythm::{Base, Duration, Metre, Moment, NoteValue, Tuplet};
pub use score::{
    Bar, BarEnd, BarIndex, Clef, Content, Draft, DraftBar, DraftEvent, DraftNote, DraftPart,
    Ending, Event, EventMark, Heading, Note, NoteId, Origin, Part, PartIndex, Revision, Score,
    ScoreError, Tempo, Tone, ToneId, Tones, Voice, VoiceNumber,
};
