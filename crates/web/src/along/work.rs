//! Making what was asked for, step by step.

use std::ops::ControlFlow;

use apoyando_book::Edition;
use apoyando_handout::{HandoutError, RecordingError, Session, Tempo, handouts};
use apoyando_makeup::{document, printing};
use apoyando_press::{PressError, Step, set_watched};
use apoyando_workshop::{BuiltItem, Progress, musicxml};
use serde::Serialize;
use zip::result::ZipError;

use super::AtHand;
use super::bundle::{Bundle, Laid};
use super::order::Work;

/// How far something has come.
#[derive(Clone, PartialEq, Eq, Debug, Default, Serialize)]
pub struct Stage {
    /// What is being done.
    pub said: &'static str,
    /// How many of its things are done.
    pub done: usize,
    /// Of how many; 0 where nobody can tell.
    pub of: usize,
}

impl Stage {
    const fn of(said: &'static str, done: usize, of: usize) -> Self {
        Self { said, done, of }
    }
}

/// Who is told of every step, from any thread, and says whether to go on.
pub type Watch<'a> = &'a (dyn Fn(Stage) -> ControlFlow<()> + Sync);

/// Why nothing came of it.
#[derive(Debug, thiserror::Error)]
pub enum WorkError {
    /// It is not wanted any more.
    #[error("it is not wanted any more")]
    Stopped,
    /// Pages that cannot be set.
    #[error(transparent)]
    Press(PressError),
    /// An item that cannot be recorded.
    #[error(transparent)]
    Recording(#[from] RecordingError),
    /// Pages for students that cannot be made.
    #[error(transparent)]
    Handout(#[from] HandoutError),
    /// Files that cannot be put together.
    #[error("the files cannot be put together: {0}; take them one by one")]
    Bundle(#[from] ZipError),
}

impl From<PressError> for WorkError {
    fn from(error: PressError) -> Self {
        match error {
            PressError::Stopped => Self::Stopped,
            other => Self::Press(other),
        }
    }
}

fn go_on(watch: Watch<'_>, stage: Stage) -> Result<(), WorkError> {
    match watch(stage) {
        ControlFlow::Continue(()) => Ok(()),
        ControlFlow::Break(()) => Err(WorkError::Stopped),
    }
}

/// Makes it. What is told before each step decides whether it is made.
///
/// # Errors
/// If it cannot be made, or is not wanted any more.
pub fn made(work: &Work, at_hand: &AtHand, watch: Watch<'_>) -> Result<Vec<u8>, WorkError> {
    let instrument = &at_hand.book.instrument;
    match work {
        Work::Pages(edition) => pages(edition, at_hand, watch),
        Work::Score(item) => {
            go_on(watch, Stage::of("Writing the score", 0, 0))?;
            Ok(musicxml(item, instrument).into_bytes())
        }
        Work::Scores => {
            let items = &at_hand.built.items;
            let mut bundle = Bundle::new();
            for (done, item) in items.iter().enumerate() {
                go_on(watch, Stage::of("Writing scores", done, items.len()))?;
                let score = musicxml(item, instrument);
                bundle.add(&format!("{}.musicxml", item.name), score.as_bytes(), Laid::Packed)?;
            }
            Ok(bundle.finish()?)
        }
        Work::Recording(item, format) => {
            go_on(watch, Stage::of("Recording", 0, 0))?;
            let mut session = Session::new(item, instrument).map_err(RecordingError::from)?;
            Ok(session.record(*format, Tempo::FULL, &|_| true).map_err(RecordingError::from)?)
        }
        Work::PracticeSet(item) => practice_set(item, at_hand, watch),
        Work::Students => {
            go_on(watch, Stage::of("Making the pages for students", 0, 0))?;
            let pages = handouts(&at_hand.built, instrument)?;
            let mut bundle = Bundle::new();
            for (done, page) in pages.iter().enumerate() {
                go_on(watch, Stage::of("Putting the pages together", done, pages.len()))?;
                let name = format!("{}.html", page.section);
                bundle.add(&name, page.html.as_bytes(), Laid::Packed)?;
            }
            Ok(bundle.finish()?)
        }
    }
}

fn pages(edition: &Edition, at_hand: &AtHand, watch: Watch<'_>) -> Result<Vec<u8>, WorkError> {
    // The book as its plan describes it is engraved already.
    let document = if edition.name.is_empty() {
        document(&at_hand.built.plan)
    } else {
        let engraved =
            |progress: &Progress| watch(Stage::of("Engraving", progress.done, progress.of));
        let printing = printing(&at_hand.book, edition);
        let built = at_hand.workshop.build_while(&printing, &engraved);
        document(&built.ok_or(WorkError::Stopped)?.plan)
    };
    let step = |step: Step| {
        watch(match step {
            Step::Measured { takes, of } => Stage::of("Measuring", takes, of),
            Step::Setting { time: 1 } => Stage::of("Setting the pages", 0, 0),
            Step::Setting { .. } => Stage::of("Setting the pages once more", 0, 0),
            Step::Writing => Stage::of("Writing the file", 0, 0),
        })
    };
    let pages = set_watched(&document, &step)?;
    Ok(pages.pdf_watched(&step)?)
}

fn practice_set(
    item: &BuiltItem,
    at_hand: &AtHand,
    watch: Watch<'_>,
) -> Result<Vec<u8>, WorkError> {
    let mut session = Session::new(item, &at_hand.book.instrument).map_err(RecordingError::from)?;
    let tracks = session.practice_set();
    let mut bundle = Bundle::new();
    for (done, track) in tracks.iter().enumerate() {
        go_on(watch, Stage::of("Recording", done, tracks.len()))?;
        let bytes = session.track(*track).map_err(RecordingError::from)?;
        let name = format!("{}/{}.flac", item.name, track.file_stem());
        bundle.add(&name, &bytes, Laid::AsItIs)?;
    }
    Ok(bundle.finish()?)
}
