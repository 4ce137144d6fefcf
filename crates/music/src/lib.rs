//! Music without an instrument: pitch and spelling, interval, key, scale,
//! chord, degree, exact rhythm, and the [`Score`] that the rest of the
//! workshop reads, with the order in which its bars are played.
//!
//! Nothing here knows of strings, frets or fingers. Pitches are *sounding*
//! pitches; that guitar music is written an octave higher is a matter of the
//! [`Clef`] it is shown in.

pub mod anchor;
pub mod chord;
pub mod degree;
pub mod interval;
pub mod key;
pub mod pitch;
pub mod play_order;
pub mod rhythm;
pub mod scale;
pub mod score;

pub use anchor::{Alignment, Anchor, Memory, Resolved};
pub use chord::{Chord, ChordQuality, Inversion};
pub use degree::{Degree, DegreeChord};
pub use interval::Interval;
pub use key::{Key, KeySignature, Mode};
pub use pitch::{Alter, KeyNumber, NoteName, Pitch, Step};
pub use play_order::{PlayOrderError, PlayedBar, play_order};
pub use rhythm::{Base, Duration, Metre, Moment, NoteValue, Tuplet};
pub use scale::{Direction, Scale, ScaleDegree, ScaleKind};
pub use score::{
    Bar, BarEnd, BarIndex, Clef, Content, Cue, Draft, DraftBar, DraftCue, DraftEvent, DraftNote,
    DraftPart, Dynamic, DynamicMark, ELISION, Ending, Event, EventMark, Exit, Expression, Grace,
    Hairpin, HairpinKind, Heading, Join, JoinKind, Jump, JumpTo, Landmark, Lyric, Note, NoteId,
    Origin, Part, PartIndex, Revision, Score, ScoreError, StaffSide, Sung, Sweep, Tempo, Tone,
    ToneId, Tones, Until, Verse, Voice, VoiceNumber, WavyKind, WavyLine,
};
