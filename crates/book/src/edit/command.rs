//! What an author can change: commands, each about one file.

use serde::{Deserialize, Serialize};

use super::allow::{Allowed, Player};
use super::note::NotePlace;
use super::seen::Remark;
use super::spot::{Meant, Spot};

/// What may be decided about a note.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PinKey {
    /// The finger of the left hand.
    Finger,
    /// A finger that it is not.
    NotFinger,
    /// The string.
    String,
    /// The fret.
    Fret,
    /// The finger of the right hand.
    Right,
}

impl PinKey {
    /// Every key.
    pub const ALL: [Self; 5] =
        [Self::Finger, Self::NotFinger, Self::String, Self::Fret, Self::Right];

    /// As it is written in the plan.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Finger => "finger",
            Self::NotFinger => "not-finger",
            Self::String => "string",
            Self::Fret => "fret",
            Self::Right => "right",
        }
    }
}

/// The value of a pin, as it is written in the plan.
#[derive(Clone, PartialEq, Eq, Hash, Debug, Serialize, Deserialize)]
#[serde(untagged)]
pub enum PinValue {
    /// A finger, string or fret.
    Number(i64),
    /// A letter of the right hand.
    Letter(String),
}

/// An item of a section, by its place in the plan.
#[derive(Clone, PartialEq, Eq, Hash, Debug, Serialize, Deserialize)]
pub struct ItemPlace {
    /// The section, by the name of its file without ending.
    pub section: String,
    /// Which of its items, from 0.
    pub item: usize,
}

impl ItemPlace {
    /// The file in which it is planned, relative to the book's folder.
    #[must_use]
    pub fn file(&self) -> String {
        format!("sections/{}.toml", self.section)
    }
}

/// A change that an author wants.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(tag = "do", rename_all = "kebab-case")]
pub enum Command {
    /// Decides something about a note; what was decided about the same thing before is gone.
    Pin {
        /// The item it is in.
        at: ItemPlace,
        /// The note.
        note: NotePlace,
        /// What is decided.
        what: Vec<(PinKey, PinValue)>,
    },
    /// Takes back all that was decided about a note.
    Unpin {
        /// The item it is in.
        at: ItemPlace,
        /// The note.
        note: NotePlace,
    },
    /// Gives the hand a position in some bars.
    Position {
        /// The item they are in.
        at: ItemPlace,
        /// The part, from 1.
        part: u16,
        /// First and last bar: `5-8`.
        bars: String,
        /// The position: `II`.
        position: String,
    },
    /// Forbids a barre in some bars.
    NoBarre {
        /// The item they are in.
        at: ItemPlace,
        /// First and last bar: `5-8`.
        bars: String,
    },
    /// A new section; it has its place in the order by [`Command::ListSection`].
    NewSection {
        /// The name of its file without ending.
        section: String,
        /// Its title.
        title: String,
        /// Its key, `G major`; empty for none.
        key: String,
        /// Its position, `II`; chosen by the program if there is none.
        position: Option<String>,
    },
    /// Puts a section at the end of the book.
    ListSection {
        /// The name of its file without ending.
        section: String,
    },
    /// Puts an item at the end of a section.
    NewItem {
        /// The section.
        section: String,
        /// What it is, as the plan says it: `scale`, `solo`.
        kind: String,
        /// What else is said of it: `degrees`, `file`, `title`.
        keys: Vec<(String, String)>,
    },
    /// Decides about other notes as about this one.
    PinLike {
        /// The item they are in.
        at: ItemPlace,
        /// The note that something was decided about.
        note: NotePlace,
        /// Those that are like it.
        likes: Vec<NotePlace>,
    },
    /// Lets what is decided about a note hold in all like bars of the book.
    LikeBars,
    /// Allows more than the level does, in one item.
    Allow {
        /// The item.
        at: ItemPlace,
        /// The player of a duet that it is allowed to; both if there is none.
        player: Option<Player>,
        /// What is allowed.
        allowed: Allowed,
    },
    /// Lets a remark stand, so that it is not made again.
    Seen {
        /// The item it is made of.
        at: ItemPlace,
        /// The remark.
        remark: Remark,
    },
    /// Prints a sentence for the student, and lets the remark stand that it comes from.
    Advise {
        /// The item.
        at: ItemPlace,
        /// The sentence, in CommonMark.
        sentence: String,
        /// The remark.
        remark: Remark,
    },
    /// Takes out what stands at a place of the plan.
    TakeOut {
        /// The file.
        file: String,
        /// The place.
        spot: Spot,
        /// The keys of a pin that are taken out; all if none is named.
        keys: Vec<String>,
    },
    /// Lets what stands at a place of the plan be about something else.
    Means {
        /// The file.
        file: String,
        /// The place.
        spot: Spot,
        /// What it is to be about.
        meant: Meant,
    },
    /// Writes another word at a place of the plan.
    Word {
        /// The file.
        file: String,
        /// The place.
        spot: Spot,
        /// The word.
        word: String,
    },
    /// Says something else of an item.
    Change {
        /// The item.
        at: ItemPlace,
        /// Keys with what they say; nothing takes a key out.
        keys: Vec<(String, String)>,
    },
    /// Says something else of a section.
    ChangeSection {
        /// The section.
        section: String,
        /// Keys with what they say; nothing takes a key out.
        keys: Vec<(String, String)>,
    },
    /// Puts an item at another place of its section.
    MoveItem {
        /// The item.
        at: ItemPlace,
        /// Which one it is afterwards, from 0.
        to: usize,
    },
    /// Takes an item out of its section; a file of its own stays.
    TakeOutItem {
        /// The item.
        at: ItemPlace,
    },
    /// Puts the lines of an item into a section.
    PutItem {
        /// The section.
        section: String,
        /// The lines as they are written.
        lines: String,
        /// The item that it stands before; the end if there is none.
        before: Option<usize>,
    },
    /// Puts a section at another place of the book.
    MoveSection {
        /// The section.
        section: String,
        /// Which one it is afterwards, from 0.
        to: usize,
    },
    /// Takes a section out of the book; its file stays.
    TakeOutSection {
        /// The section.
        section: String,
    },
    /// The whole text of a file of the plan, of prose or of a piece.
    Write {
        /// The file, relative to the book's folder.
        file: String,
        /// What stands in it from now on.
        text: String,
    },
}

impl Command {
    /// The file that it changes, relative to the book's folder.
    #[must_use]
    pub fn file(&self) -> String {
        match self {
            Self::Pin { at, .. }
            | Self::Unpin { at, .. }
            | Self::Position { at, .. }
            | Self::NoBarre { at, .. }
            | Self::PinLike { at, .. }
            | Self::Allow { at, .. }
            | Self::Seen { at, .. }
            | Self::Advise { at, .. }
            | Self::Change { at, .. }
            | Self::MoveItem { at, .. }
            | Self::TakeOutItem { at } => at.file(),
            Self::NewSection { section, .. }
            | Self::NewItem { section, .. }
            | Self::ChangeSection { section, .. }
            | Self::PutItem { section, .. } => format!("sections/{section}.toml"),
            Self::ListSection { .. }
            | Self::LikeBars
            | Self::MoveSection { .. }
            | Self::TakeOutSection { .. } => "book.toml".to_owned(),
            Self::TakeOut { file, .. }
            | Self::Means { file, .. }
            | Self::Word { file, .. }
            | Self::Write { file, .. } => file.clone(),
        }
    }
}
