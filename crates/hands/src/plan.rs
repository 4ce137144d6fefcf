//! What is asked of the right hand beyond the model's own choice.

pub use apoyando_fingering::{RightPattern, RightPlan};
