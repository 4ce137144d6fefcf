//! The fingering layer over a score, as types: placements, postures,
//! positions, barres, shifts; the pins and the level that limit it; the table
//! of effort; shapes of chords; findings.
//!
//! The rules that these types are about stand in `docs/model.md`. Nothing is
//! searched or judged here.

pub mod effort;
mod effort_page;
pub mod finding;
pub mod fingering;
pub mod hand;
pub mod house;
pub mod level;
pub mod pins;
pub mod problem;
pub mod reach;
pub mod remedy;
pub mod right_plan;
pub mod set;
pub mod shape;

pub use effort::{EffortTable, Term, TermInfo};
pub use effort_page::effort_page;
pub use finding::{Finding, FindingPlace, Severity};
pub use fingering::{
    BarreSpan, EffortItem, Fingering, LetGo, PositionSpan, Posture, Price, Seam, SecondFinger,
    Shift, ToneFingering,
};
pub use hand::{Barre, Hinge, LeftFinger, Placement, Position, RightFinger, Stroke};
pub use house::{Descending, HouseStyle, NO_HOUSE};
pub use level::{BarreLimit, Level};
pub use pins::{Pin, PinAuthor, PinRule, Pins, Scope};
pub use problem::Problem;
pub use reach::{FingerPair, FingerPairTextError, HandSize, Reach, hand_page};
pub use remedy::{Allowance, PlanSpot, Remedy};
pub use right_plan::{RightPattern, RightPlan};
pub use set::{FretSet, LeftFingerSet, PositionSet, RightFingerSet, StringSet};
pub use shape::{Shape, StringState};
