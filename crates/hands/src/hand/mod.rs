//! What a hand can be and what it costs (model §3 to §5).

pub(crate) mod geometry;
pub(crate) mod holding;
pub(crate) mod house;
pub(crate) mod limits;
pub(crate) mod moving;
pub(crate) mod shape;
pub(crate) mod shifting;

pub(crate) use geometry::{Geometry, STRINGS};
pub(crate) use limits::{Candidate, POSITIONS, Rules};
pub(crate) use shape::{Hinged, Hold, Played, Shape, Stays};
