//! From a score and its marks to ink: spacing, casting off, placement, chord
//! diagrams. The result is a [`Drawing`] for every system, in staff spaces.
//!
//! The way is one of pure phases, each in its own room: `notate` decides what
//! is drawn, `space` how much room it wants, `cast` where lines break, `place`
//! where everything stands, [`fingers`] adds the fingering, `tablature` what stands
//! under the notation, and the systems are put together.

mod cast;
pub mod diagram;
pub mod drawing;
pub mod fingers;
pub mod font;
pub mod geometry;
mod graces;
mod inline;
mod leisure;
pub mod meter;
mod notate;
mod place;
mod sheet;
mod signs;
mod space;
mod stack;
mod style;
mod svg;
mod systems;
mod tablature;
mod targets;

pub use diagram::{DiagramStyle, Neck, Ring, RingLook, diagram, middle, neck, numeral};
pub use drawing::{Drawing, Face, Ink, Kind, Outline, Owner, Point, StaffSpaces, Stain};
pub use inline::{Inline, short, view_box};
pub use sheet::{Engraving, Offer, Sheet, System};
pub use stack::stacked;
pub use style::{Parts, Print, Stopping, Style, Tablature};
pub use svg::svg;
pub use systems::{engrave, engrave_for_pages, every_line};
pub use tablature::Fretting;
pub use targets::{Target, targets};
