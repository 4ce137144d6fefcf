//! What students are given: a section of the book on a page of HTML that carries everything
//! with it. It is opened from disk, asks nobody for anything and tells nobody of anyone.
//!
//! [`handouts`] makes the pages. What the open book has in common with them is here, too: an
//! item as it is played ([`heard`]), a note in words ([`spoken`]), and the music stand, which
//! sets the sounds going and shows the hand ([`STAND_HTML`], [`STAND_CSS`], [`STAND_JS`]).

mod escaped;
mod heard;
mod lesson;
mod page;
mod recording;
mod sounds;
mod spoken;
mod system;
mod words;

pub use escaped::escaped;
pub use heard::{Heard, fingerings, heard};
pub use page::{Handout, HandoutError, handouts};
pub use recording::{RecordingError, Session, Tempo, Track};
pub use sounds::QUIETER;
pub use spoken::{part_of, placed, spoken, tone_of};

/// The music stand: what is set for listening. `{more}` in it is for what else a page has.
pub const STAND_HTML: &str = include_str!("../assets/stand.html");
/// How the music stand, the fingerboard and the notes look, in light and in dark.
pub const STAND_CSS: &str = include_str!("../assets/stand.css");
/// How the music stand plays. A page says with `source` where it has its sounds from.
pub const STAND_JS: &str = include_str!("../assets/stand.js");
