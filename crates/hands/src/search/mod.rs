//! The exact search for the left hand.
//!
//! [`layout`] lists every state of every layer; [`to_end`] and [`from_start`]
//! are the two tables of costs, [`walk`] follows the best way, [`through`] the
//! best way with a difference, and [`seams`] settles what repeats cost.

pub(crate) mod behind;
pub(crate) mod cost;
pub(crate) mod facing;
pub(crate) mod from_start;
pub(crate) mod grips;
pub(crate) mod ground;
pub(crate) mod known;
pub(crate) mod laid;
pub(crate) mod layout;
pub(crate) mod meets;
pub(crate) mod moves;
pub(crate) mod network;
pub(crate) mod offers;
pub(crate) mod onward;
pub(crate) mod pair;
pub(crate) mod seams;
pub(crate) mod second;
pub(crate) mod settle;
pub(crate) mod sheet;
pub(crate) mod sheets;
pub(crate) mod solution;
pub(crate) mod stage;
pub(crate) mod stands;
pub(crate) mod tags;
pub(crate) mod through;
pub(crate) mod to_end;
pub(crate) mod walk;
