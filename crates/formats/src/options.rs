//! How a file is to be read where it leaves a choice.

/// What a plain treble clef means for the sounding octave.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum OctaveReading {
    /// The file's pitches sound as they are written.
    AsWritten,
    /// They are the guitar's written pitches and sound an octave lower.
    GuitarWritten,
    /// As the file states with an octave clef or a transposition; a plain
    /// treble clef is read as written for the guitar, with a finding. In a
    /// score with other clefs beside it only parts that are named as guitars.
    #[default]
    Auto,
}

/// Options of a reading.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct ReadOptions {
    /// What a plain treble clef means for the sounding octave.
    pub octave: OctaveReading,
}
