//! Strings, and finger 1 laid over them.

use apoyando_fingering::Hinge;

/// Strings, one to a bit.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub struct Strings(u16);

impl Strings {
    pub const fn one(string: u8) -> Self {
        Self(1 << string)
    }

    pub const fn with(self, string: u8) -> Self {
        Self(self.0 | 1 << string)
    }

    pub const fn and(self, other: Self) -> Self {
        Self(self.0 & other.0)
    }

    pub const fn has(self, string: u8) -> bool {
        self.0 & 1 << string != 0
    }

    pub const fn any(self) -> bool {
        self.0 != 0
    }

    pub const fn count(self) -> u32 {
        self.0.count_ones()
    }

    pub const fn meets(self, other: Self) -> bool {
        self.0 & other.0 != 0
    }

    pub fn each(self) -> impl Iterator<Item = u8> {
        (1..16).filter(move |string| self.has(*string))
    }
}

/// Thinnest and thickest string of finger 1 laid flat, and the side lifted.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Barre {
    pub thin: u8,
    pub thick: u8,
    pub hinge: Option<Hinge>,
}

impl Barre {
    pub const fn spans(self, string: u8) -> bool {
        self.thin <= string && string <= self.thick
    }

    pub const fn width(self) -> u8 {
        self.thick - self.thin + 1
    }

    pub fn span(self) -> Strings {
        (self.thin..=self.thick).fold(Strings::default(), Strings::with)
    }

    /// The strings that are not lifted.
    pub fn laid(self, stopped: Strings) -> Strings {
        let outermost = |thin: bool| {
            let mut found = stopped.each();
            if thin { found.next() } else { found.last() }
        };
        let (mut thin, mut thick) = (self.thin, self.thick);
        match self.hinge {
            None => {}
            Some(Hinge::Thin) => thin = outermost(true).unwrap_or(thin),
            Some(Hinge::Thick) => thick = outermost(false).unwrap_or(thick),
        }
        Self { thin, thick, hinge: None }.span()
    }
}
