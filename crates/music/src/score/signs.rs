//! Signs that tell where play goes on: segno, coda, Fine, da capo, dal segno.

use std::fmt;

/// A sign at the beginning of a bar, which play can go to.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Landmark {
    /// The segno, which *D.S.* goes back to.
    Segno,
    /// The beginning of the coda.
    Coda,
}

/// A word at the end of a bar that is heeded only after a jump back.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Exit {
    /// The piece is over.
    Fine,
    /// On to the coda.
    ToCoda,
}

/// Where a jump back leads.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum JumpTo {
    /// *Da capo*: to the beginning.
    Capo,
    /// *Dal segno*: to the nearest segno at or before the bar.
    Segno,
}

/// How play goes on after a jump back.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Until {
    /// To the end; a Fine or *To Coda* on the way is heeded.
    End,
    /// *Al Fine*.
    Fine,
    /// *Al Coda*: to the *To Coda*, then the coda.
    Coda,
}

/// A jump back at the end of a bar, made once.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Jump {
    /// Where it leads.
    pub to: JumpTo,
    /// How play goes on from there.
    pub until: Until,
}

impl fmt::Display for Exit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Fine => "Fine",
            Self::ToCoda => "To Coda",
        })
    }
}

impl fmt::Display for Jump {
    /// As it is printed: *D.S. al Coda*.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self.to {
            JumpTo::Capo => "D.C.",
            JumpTo::Segno => "D.S.",
        })?;
        f.write_str(match self.until {
            Until::End => "",
            Until::Fine => " al Fine",
            Until::Coda => " al Coda",
        })
    }
}
