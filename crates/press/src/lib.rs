//! Document tree and drawings to pages, PDF and PNG.
//!
//! A [`Document`] goes in; [`set`] makes [`Pages`] of it, which write
//! themselves as PDF or as a picture of one page. [`pdf`] and [`png`] do both
//! steps at once.

mod cast;
mod document;
mod error;
mod faces;
mod forme;
mod layers;
mod pages;
mod paper;
mod plate;
mod runs;
mod words;

pub use document::{
    Block, CaptionedDiagram, Casting, Credit, DiagramRow, Document, Exercise, Music, Notice,
    NoticeKind, Opening, PageBreak, Piece, Section, ShapeRow, ShapeTable, System, TitlePage,
};
pub use error::{Fault, PressError};
pub use pages::{Pages, pdf, png, set};
pub use paper::{Millimetres, Paper};
