//! What is to be said of a fingering that was found.

pub(crate) mod account;
pub(crate) mod alternatives;
pub(crate) mod bill;
pub(crate) mod causes;
pub(crate) mod changed;
pub(crate) mod clash;
pub(crate) mod damping;
pub(crate) mod findings;
pub(crate) mod like_bars;
pub(crate) mod obstacle;
pub(crate) mod reason;
pub(crate) mod seconds;
pub(crate) mod way_wording;
pub(crate) mod ways_out;
pub(crate) mod wording;
