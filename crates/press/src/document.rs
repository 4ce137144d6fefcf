//! The document tree: what stands on the pages, in reading order.

use std::sync::Arc;

use apoyando_engrave::{Drawing, StaffSpaces, System as Line};

use crate::paper::{Millimetres, Paper};

/// Size of running text in points. Common practice: 10 to 11.
pub const TEXT_SIZE: f64 = 10.5;

/// A book, or a few pages of one, ready to be set.
///
/// Titles and captions are plain text; every character in them is printed as
/// it stands. Fields called *prose* are CommonMark: paragraphs, emphasis,
/// lists, headings, quotations and links.
#[derive(Clone, PartialEq, Debug)]
pub struct Document {
    /// Title: in the running head, on the title page, in the PDF's metadata.
    pub title: String,
    /// Author, for the title page and the metadata.
    pub author: Option<String>,
    /// Language of the words, ISO 639-1: `en`. It decides hyphens and
    /// quotation marks and is told to screen readers.
    pub language: String,
    /// Size of the page and its margins.
    pub paper: Paper,
    /// Size of running text in points; other words are in proportion to it.
    pub text_size: f64,
    /// The title page, if there is one.
    pub title_page: Option<TitlePage>,
    /// Heading of the table of contents; `None` prints no contents.
    pub contents: Option<String>,
    /// Heading of a page of blank staves, which is put before a piece where
    /// that saves turning a page in it; `None` puts none.
    pub notes: Option<String>,
    /// The sections in order.
    pub sections: Vec<Section>,
}

impl Document {
    /// An empty document in English with no title page and no contents.
    pub fn new(title: impl Into<String>, paper: Paper) -> Self {
        Self {
            title: title.into(),
            author: None,
            language: "en".to_owned(),
            paper,
            text_size: TEXT_SIZE,
            title_page: None,
            contents: None,
            notes: None,
            sections: Vec::new(),
        }
    }
}

/// What the title page says besides title and author.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct TitlePage {
    /// Below the title.
    pub subtitle: Option<String>,
    /// Which edition of the book it is: at the foot.
    pub edition: Option<String>,
    /// At the foot: publisher, place, year, as the author words it.
    pub imprint: Option<String>,
    /// At the foot of its back: credits and rights.
    pub verso: Vec<Block>,
}

/// How a section begins.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum Opening {
    /// On the next right-hand page.
    #[default]
    Recto,
    /// On the next page.
    NextPage,
    /// Where the one before it ended.
    RunOn,
}

/// A section: a key, a set of pieces, a chapter of prose.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Section {
    /// Its heading. A section without one is not in the contents and changes
    /// no running head.
    pub heading: Option<String>,
    /// The line below: key and position.
    pub line: Option<String>,
    /// Advice at its head: prose.
    pub advice: String,
    /// What is new in it, below the advice.
    pub news: Option<NewsBox>,
    /// A map of the fingerboard: beside the advice where the margin has room for it,
    /// else beside what is new.
    pub map: Option<CaptionedMap>,
    /// How it begins.
    pub opening: Opening,
    /// Whether its words stand in a narrow column at the right edge of the type area, its
    /// heading at the left: what is read, and not played. Not for sections with advice, news
    /// or a map; one without a heading is set as any other.
    pub hung: bool,
    /// What it holds.
    pub blocks: Vec<Block>,
}

/// A piece of a section.
#[derive(Clone, PartialEq, Debug)]
pub enum Block {
    /// A numbered exercise.
    Exercise(Exercise),
    /// A solo or a duet.
    Piece(Piece),
    /// A heading below the section's, for what follows it.
    Heading(String),
    /// Prose.
    Prose(String),
    /// Music without a title.
    Music(Music),
    /// Chord diagrams side by side.
    Diagrams(DiagramRow),
    /// A box set off from the text.
    Notice(Notice),
    /// Who made what, and by what right.
    Credits(Vec<Credit>),
    /// What signs mean, for a section that is [hung](Section::hung).
    Signs(Vec<Sign>),
    /// What follows begins a new page.
    PageBreak(PageBreak),
}

/// Where the page after a break is.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum PageBreak {
    /// The next page.
    Next,
    /// The next right-hand page.
    Recto,
}

/// What a section brings that is new.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct NewsBox {
    /// Its title.
    pub title: String,
    /// Theme by theme, what is new in it.
    pub lines: Vec<(String, String)>,
}

/// A map of the fingerboard.
#[derive(Clone, PartialEq, Debug)]
pub struct CaptionedMap {
    /// The map.
    pub drawing: Drawing,
    /// Below it.
    pub caption: String,
    /// One staff space of the drawing.
    pub staff_space: Millimetres,
}

/// How an exercise or a piece is practised.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Practice {
    /// What it is for: a line below the head.
    pub aim: Option<String>,
    /// Words before the tempos, and tempos each with a box to tick.
    pub tempos: Option<(String, Vec<String>)>,
    /// Other ways of the right hand: words before them, and each way.
    pub also_with: Option<(String, Vec<String>)>,
}

/// A numbered exercise.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Exercise {
    /// Its number, as printed: `12`, `12 b`.
    pub number: String,
    /// Its title.
    pub title: String,
    /// How it is practised.
    pub practice: Practice,
    /// What to do: prose.
    pub instruction: String,
    /// Diagrams between the instruction and the music.
    pub diagrams: Option<DiagramRow>,
    /// The music.
    pub music: Music,
    /// What stands below the music.
    pub after: Vec<Block>,
}

/// A piece with its title.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Piece {
    /// Its title.
    pub title: String,
    /// Who made it: right above the music.
    pub composer: Option<String>,
    /// Where it comes from: below the title.
    pub source: Option<String>,
    /// How to tune: left above the music.
    pub tuning: Option<String>,
    /// How it is practised.
    pub practice: Practice,
    /// Advice: prose.
    pub instruction: String,
    /// The music.
    pub music: Music,
}

/// Systems of music, one below the other.
#[derive(Clone, PartialEq, Debug)]
pub struct Music {
    /// Sets of systems that hold the same music, the best by themselves first;
    /// one of them is printed. Without any nothing is.
    pub castings: Vec<Casting>,
    /// Height of a staff, from its first line to its fifth.
    pub staff: Millimetres,
    /// From the last staff line of a system to the first of the next. The gap
    /// grows where ink needs room, and up to 1.4 times to fill a page.
    pub line_gap: StaffSpaces,
}

impl Music {
    /// Systems without a choice, a staff of 7.2 mm, 9 spaces from line to line.
    pub fn of(systems: Vec<Drawing>) -> Self {
        let castings =
            vec![Casting { cost: 0.0, systems: systems.into_iter().map(System::from).collect() }];
        Self { castings, ..Self::default() }
    }
}

impl Default for Music {
    fn default() -> Self {
        Self { castings: Vec::new(), staff: Millimetres(7.2), line_gap: StaffSpaces(9.0) }
    }
}

/// A way to break music into systems.
#[derive(Clone, PartialEq, Debug)]
pub struct Casting {
    /// What its lines cost, in squared logarithms of their stretches.
    pub cost: f64,
    /// The systems. None is ever split.
    pub systems: Vec<System>,
}

/// One line of music.
#[derive(Clone, Debug)]
pub struct System {
    /// The line as it was engraved.
    pub line: Arc<Line>,
    /// Whether the author wants it to begin a page. The first of a casting
    /// never does; that is for a [`PageBreak`].
    pub new_page: bool,
}

impl PartialEq for System {
    /// A line that is shared is not looked through.
    fn eq(&self, other: &Self) -> bool {
        self.new_page == other.new_page
            && (Arc::ptr_eq(&self.line, &other.line) || self.line == other.line)
    }
}

impl From<Drawing> for System {
    /// A line of no bars, with no free beats at its end and no page that it
    /// must begin.
    fn from(drawing: Drawing) -> Self {
        let line = Line { drawing, bars: 0..0, stretch: 1.0, phrased: false, free_beats: 0.0 };
        Self { line: Arc::new(line), new_page: false }
    }
}

/// Chord diagrams side by side, their origins on one line.
#[derive(Clone, PartialEq, Debug)]
pub struct DiagramRow {
    /// The diagrams. Rows are broken where the page ends.
    pub diagrams: Vec<CaptionedDiagram>,
    /// One staff space of the drawings.
    pub staff_space: Millimetres,
}

/// A diagram and the line below it.
#[derive(Clone, PartialEq, Debug)]
pub struct CaptionedDiagram {
    /// The diagram.
    pub drawing: Drawing,
    /// Where its middle is from its left edge: it stands over the middle of the caption.
    pub middle: StaffSpaces,
    /// The lines below; may be empty.
    pub caption: String,
}

/// How a box is set.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum NoticeKind {
    /// Good to know: a thin line at its side.
    Tip,
    /// A caution, about strain or rights: framed.
    Caution,
}

/// A box set off from the text.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct Notice {
    /// How it is set.
    pub kind: NoticeKind,
    /// Its title; may be empty.
    pub title: String,
    /// Its text: prose.
    pub text: String,
}

/// A line of the credits.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct Credit {
    /// What: the title of a piece, a typeface.
    pub what: String,
    /// By whom and by what right.
    pub who: String,
}

/// A sign and what it means.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct Sign {
    /// The sign as it looks, and where it stands: prose of one line.
    pub sign: String,
    /// What it means: prose.
    pub meaning: String,
}
