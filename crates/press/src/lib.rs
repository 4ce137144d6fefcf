//! Document tree and drawings to pages, PDF and PNG.
//!
//! A [`Document`] goes in; [`set`] makes [`Pages`] of it, which write
//! themselves as PDF or as a picture of one page. [`pdf`] and [`png`] do both
//! steps at once. [`Proofs`] are the pages of a document that is being changed.

mod cast;
mod document;
mod error;
mod faces;
mod forme;
mod galleys;
mod layers;
mod lean;
mod pages;
mod paper;
mod picture;
mod pixels;
mod placed;
mod plate;
mod proofs;
mod runs;
mod standing;
mod steps;
mod take;
mod typesetter;
mod words;

pub use document::{
    Block, CaptionedDiagram, CaptionedMap, Casting, Credit, DiagramRow, Document, Exercise, Music,
    NewsBox, Notice, NoticeKind, Opening, PageBreak, Piece, Practice, Section, Sign, System,
    TEXT_SIZE, TitlePage,
};
pub use error::{Fault, PressError};
pub use pages::{Pages, pdf, png, set, set_watched};
pub use paper::{Millimetres, Paper};
pub use picture::picture;
pub use proofs::{Leaf, Proofs};
pub use standing::Standing;
pub use steps::{Step, Watch};
