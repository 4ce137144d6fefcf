//! What may be asked for, and the same with all that is needed to make it.

use std::sync::Arc;

use apoyando_book::Edition;
use apoyando_sound::files::Format;
use apoyando_workshop::BuiltItem;
use serde::Deserialize;

use super::AtHand;

/// What may be asked for.
#[derive(Clone, PartialEq, Eq, Debug, Deserialize)]
#[serde(tag = "what", rename_all = "kebab-case")]
pub enum Order {
    /// The pages of an edition.
    Edition {
        /// Its name; none for the book as its plan describes it.
        edition: String,
    },
    /// Every item as MusicXML.
    Scores,
    /// An item as MusicXML.
    Score {
        /// The item, from 0.
        item: usize,
    },
    /// How an item sounds.
    Recording {
        /// The item, from 0.
        item: usize,
        /// `mid`, `wav` or `flac`.
        ending: String,
    },
    /// An item at several tempos, with the student and without.
    PracticeSet {
        /// The item, from 0.
        item: usize,
    },
    /// The pages for students.
    Students,
}

/// Why something cannot be had.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum OrderError {
    /// There are no pages.
    #[error("There is no book to make it of yet: its plan has faults. The remarks say which.")]
    Faulty,
    /// An edition that is not in the plan.
    #[error(
        "The plan has no edition “{name}” any more, only: {there}. Choose one of these, or add it \
         to book.toml."
    )]
    Edition {
        /// The name that was asked for.
        name: String,
        /// Those that there are.
        there: String,
    },
    /// An item that is not in the book.
    #[error("There is no such piece or exercise in the book any more. Choose it again.")]
    Item,
    /// An ending that is none of sound.
    #[error("Sound is written as mid, wav or flac, not as {0}. Choose one of these.")]
    Format(String),
}

/// What is made.
#[derive(Clone, Debug)]
pub enum Work {
    /// The pages of an edition.
    Pages(Box<Edition>),
    /// Every item as MusicXML.
    Scores,
    /// An item as MusicXML.
    Score(Arc<BuiltItem>),
    /// An item as a file of sound.
    Recording(Arc<BuiltItem>, Format),
    /// An item at several tempos.
    PracticeSet(Arc<BuiltItem>),
    /// The pages for students.
    Students,
}

/// An order that can be filled.
#[derive(Clone, Debug)]
pub struct Commission {
    /// What was asked for.
    pub order: Order,
    /// Of the book at which moment.
    pub turn: u64,
    /// What it is, in words.
    pub title: String,
    /// The name of its file.
    pub file: String,
    /// What is in it, as a media type.
    pub media_type: &'static str,
    /// What is to be done.
    pub work: Work,
}

const PDF: &str = "application/pdf";
const MUSICXML: &str = "application/vnd.recordare.musicxml+xml";
const ZIP: &str = "application/zip";

impl Commission {
    /// An order against the book that is at hand.
    ///
    /// # Errors
    /// If the book has nothing of that kind.
    pub fn of(order: &Order, at_hand: &AtHand) -> Result<Self, OrderError> {
        let item =
            |index: usize| at_hand.built.items.get(index).map(Arc::clone).ok_or(OrderError::Item);
        let (title, file, media_type, work) = match order {
            Order::Edition { edition } => {
                let edition = known(edition, at_hand)?;
                let title = match edition_said(&edition) {
                    "" => "The book, PDF".to_owned(),
                    said => format!("The book, {said}, PDF"),
                };
                let file = format!("{}.pdf", edition.file_stem());
                (title, file, PDF, Work::Pages(Box::new(edition)))
            }
            Order::Scores => {
                ("All scores, MusicXML".to_owned(), "scores.zip".to_owned(), ZIP, Work::Scores)
            }
            Order::Score { item: index } => {
                let item = item(*index)?;
                let (title, file) =
                    (format!("{}, MusicXML", item.title), format!("{}.musicxml", item.name));
                (title, file, MUSICXML, Work::Score(item))
            }
            Order::Recording { item: index, ending } => {
                let item = item(*index)?;
                let format =
                    Format::of_ending(ending).ok_or_else(|| OrderError::Format(ending.clone()))?;
                let title = format!("{}, {}", item.title, name(format));
                let file = format!("{}.{}", item.name, format.ending());
                (title, file, format.media_type(), Work::Recording(item, format))
            }
            Order::PracticeSet { item: index } => {
                let item = item(*index)?;
                let (title, file) = (
                    format!("{}, practice set", item.title),
                    format!("{}-practice.zip", item.name),
                );
                (title, file, ZIP, Work::PracticeSet(item))
            }
            Order::Students => {
                ("Pages for students".to_owned(), "students.zip".to_owned(), ZIP, Work::Students)
            }
        };
        let (order, turn) = (order.clone(), at_hand.turn);
        Ok(Self { order, turn, title, file: plain(&file), media_type, work })
    }
}

/// An edition of the book.
fn known(name: &str, at_hand: &AtHand) -> Result<Edition, OrderError> {
    let all = at_hand.book.every_edition();
    let found = all.iter().find(|edition| edition.name == name);
    found.cloned().ok_or_else(|| {
        let there: Vec<&str> = all.iter().map(called).collect();
        OrderError::Edition { name: name.to_owned(), there: there.join(", ") }
    })
}

/// What an edition is called in the plan.
fn called(edition: &Edition) -> &str {
    if edition.name.is_empty() { "main" } else { &edition.name }
}

/// What is said of an edition; nothing of the one that the plan itself describes.
pub fn edition_said(edition: &Edition) -> &str {
    if edition.note.is_empty() { &edition.name } else { &edition.note }
}

const fn name(format: Format) -> &'static str {
    match format {
        Format::Midi => "MIDI",
        Format::Wav => "WAV",
        Format::Flac => "FLAC",
    }
}

/// The name of a file as every system takes it.
fn plain(file: &str) -> String {
    let fits = |c: char| c.is_ascii_alphanumeric() || matches!(c, '.' | '-' | '_');
    file.chars().map(|c| if fits(c) { c } else { '-' }).collect()
}
