//! What a text was when someone looked at it.

use std::fmt;
use std::hash::Hasher;
use std::str::FromStr;

use serde::{Deserialize, Deserializer, Serialize, Serializer};
use siphasher::sip128::{Hasher128, SipHasher13};

/// A revision of a text: a hash of all its bytes. Texts that are the same have the same.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Revision(u128);

impl Revision {
    /// That of a text.
    #[must_use]
    pub fn of(text: &str) -> Self {
        let mut hasher = SipHasher13::new();
        hasher.write(text.as_bytes());
        Self(hasher.finish128().as_u128())
    }
}

impl fmt::Display for Revision {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:032x}", self.0)
    }
}

impl FromStr for Revision {
    type Err = std::num::ParseIntError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        u128::from_str_radix(text, 16).map(Self)
    }
}

impl Serialize for Revision {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Revision {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        text.parse().map_err(serde::de::Error::custom)
    }
}
