//! An item as files of sound: alone, and as the set to practise with.

use apoyando_fretboard::Instrument;
use apoyando_music::{PartIndex, PlayOrderError};
use apoyando_sound::files::{Format, SoundFileError};
use apoyando_sound::studio::{A4, Studio};
use apoyando_sound::{Performance, perform};
use apoyando_workshop::BuiltItem;

use crate::heard::fingerings;

/// Hundredths of the tempo of the score.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Tempo(u16);

impl Tempo {
    /// As the score has it.
    pub const FULL: Self = Self(100);

    /// From 30 to 150 hundredths; what is beyond is held at the limit.
    #[must_use]
    pub fn hundredths(of: u16) -> Self {
        Self(of.clamp(30, 150))
    }

    fn share(self) -> f64 {
        f64::from(self.0) / 100.0
    }
}

/// Why an item cannot be recorded.
#[derive(Debug, thiserror::Error)]
pub enum RecordingError {
    /// Repeats that lead nowhere.
    #[error(transparent)]
    Order(#[from] PlayOrderError),
    /// A file that cannot be made.
    #[error(transparent)]
    File(#[from] SoundFileError),
}

/// An item that is recorded, once or several times.
pub struct Session<'a> {
    item: &'a BuiltItem,
    performance: Performance,
    studio: Studio<'a>,
}

impl<'a> Session<'a> {
    /// Makes ready to record an item.
    ///
    /// # Errors
    /// If its repeats cannot be unfolded.
    pub fn new(item: &'a BuiltItem, instrument: &'a Instrument) -> Result<Self, PlayOrderError> {
        let performance = perform(&item.score, &fingerings(item), instrument)?;
        Ok(Self { item, performance, studio: Studio::new(instrument, A4) })
    }

    /// A file of the parts that are wanted, at a tempo.
    ///
    /// # Errors
    /// If the file cannot be made.
    pub fn record(
        &mut self,
        format: Format,
        tempo: Tempo,
        wanted: &dyn Fn(PartIndex) -> bool,
    ) -> Result<Vec<u8>, SoundFileError> {
        let paced = self.performance.clone().paced(tempo.share());
        format.file_in(&mut self.studio, &self.item.score, &paced, wanted)
    }

    /// What a practice set of it has: every tempo, the slowest first; in a duet each also
    /// without the student, who is its first part.
    pub fn practice_set(&self) -> Vec<Track> {
        let others = self.performance.strikes.iter().any(|strike| strike.part != STUDENT);
        let players = [Players::All, Players::WithoutStudent];
        let tracks = PACES.into_iter().flat_map(|(word, tempo)| {
            players.into_iter().map(move |players| Track { word, tempo, players })
        });
        tracks.filter(|track| others || track.players == Players::All).collect()
    }

    /// A track as FLAC.
    ///
    /// # Errors
    /// If the file cannot be made.
    pub fn track(&mut self, track: Track) -> Result<Vec<u8>, SoundFileError> {
        let all = track.players == Players::All;
        self.record(Format::Flac, track.tempo, &|part| all || part != STUDENT)
    }
}

/// The student's part of a duet.
const STUDENT: PartIndex = PartIndex(0);

/// The tempos of a practice set. House: slow enough to think, and half of the way from there.
const PACES: [(&str, Tempo); 3] =
    [("slow", Tempo(60)), ("medium", Tempo(80)), ("full", Tempo::FULL)];

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Players {
    All,
    WithoutStudent,
}

/// One recording of a practice set.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Track {
    word: &'static str,
    tempo: Tempo,
    players: Players,
}

impl Track {
    /// A name for its file, without ending: `medium-80-without-student`.
    #[must_use]
    pub fn file_stem(self) -> String {
        let without = match self.players {
            Players::All => "",
            Players::WithoutStudent => "-without-student",
        };
        format!("{}-{}{without}", self.word, self.tempo.0)
    }
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use apoyando_book::Book;
    use apoyando_fretboard::Millimetres;
    use apoyando_workshop::{Built, Printing, Workshop};

    use super::*;

    fn demo() -> (Book, Built) {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/garden-gate");
        let book = Book::open(&folder).unwrap();
        let edition = book.main_edition();
        let printing = Printing { book: &book, edition: &edition, line: Millimetres(175.0) };
        let built = Workshop::default().build(&printing, &|_| {});
        (book, built)
    }

    #[test]
    fn a_duet_is_practised_with_and_without_the_student_and_a_solo_as_it_is() {
        let (book, built) = demo();
        let of = |parts| built.items.iter().find(|item| item.score.parts().len() == parts).unwrap();
        let names = |parts| {
            let session = Session::new(of(parts), &book.instrument).unwrap();
            session.practice_set().into_iter().map(Track::file_stem).collect::<Vec<_>>()
        };
        assert_eq!(names(1), ["slow-60", "medium-80", "full-100"]);
        let duet = names(2);
        assert_eq!(duet.len(), 6);
        assert_eq!(duet[..2], ["slow-60", "slow-60-without-student"]);
    }

    #[test]
    fn recordings_are_slower_and_of_some_parts_as_wanted() {
        let (book, built) = demo();
        let duet = built.items.iter().find(|item| item.score.parts().len() == 2).unwrap();
        let mut session = Session::new(duet, &book.instrument).unwrap();
        let full = Tempo::FULL;
        let mut midi = |wanted: &dyn Fn(PartIndex) -> bool| {
            session.record(Format::Midi, full, wanted).unwrap().len()
        };
        assert!(midi(&|part| part.0 == 0) < midi(&|_| true));
        let mut at = |tempo| {
            let first = |part: PartIndex| part.0 == 0;
            session.record(Format::Wav, Tempo::hundredths(tempo), &first).unwrap().len() as f64
        };
        let longer = at(50) / at(100);
        assert!((1.8..2.05).contains(&longer), "{longer}");
        // What was made before is as what is made alone.
        let alone = Session::new(duet, &book.instrument).unwrap().record(
            Format::Wav,
            Tempo::hundredths(50),
            &|part| part.0 == 0,
        );
        let again = session.record(Format::Wav, Tempo::hundredths(50), &|part| part.0 == 0);
        assert_eq!(alone.unwrap(), again.unwrap());
    }
}
