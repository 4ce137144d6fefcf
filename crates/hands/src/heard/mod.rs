//! The part as the hands meet it (model §1 and §2).

pub(crate) mod again;
pub(crate) mod clock;
pub(crate) mod figure;
pub(crate) mod like;
pub(crate) mod music;
pub(crate) mod order;
pub(crate) mod sounds;

pub(crate) use clock::{Clock, hurry};
pub(crate) use music::Music;
pub(crate) use order::SeamAt;
pub(crate) use sounds::{Kind, Role, Sound};
