//! The fingerboard in whole numbers, worked out once (model §1, P6).

use apoyando_fingering::{LeftFinger, Reach};
use apoyando_fretboard::{Fret, Instrument, Place, StringNumber};

use crate::heard::{Kind, Sound};

/// Strings at most.
pub(crate) const STRINGS: usize = StringNumber::MOST as usize;
/// Frets at most, and what four fingers may rest above them.
const ALONG: usize = 32;
/// What the slant of the hand gives per string, in tenths of a millimetre.
const SLANT: i32 = 20;

/// Lengths in tenths of a millimetre.
#[derive(Clone, Debug)]
pub(crate) struct Geometry {
    along: [i32; ALONG],
    across: [[i32; ALONG]; STRINGS],
    /// Reach of two fingers, squared.
    reach: [[i32; 4]; 4],
    pub strings: usize,
    /// Sounding key of each open string, capo included.
    open: [i16; STRINGS],
    /// The highest fret counted from the capo.
    pub frets: u8,
}

impl Geometry {
    pub fn of(instrument: &Instrument, reach: &Reach) -> Self {
        let strings = instrument.tuning.len().min(STRINGS);
        let mut along = [0; ALONG];
        let mut across = [[0; ALONG]; STRINGS];
        let mut open = [0; STRINGS];
        for string in instrument.tuning.strings() {
            for fret in 0..ALONG {
                let point = instrument.point(Place { string, fret: Fret(fret as u8) });
                along[fret] = point.along.0;
                across[string.index()][fret] = point.across.0;
            }
            if let Some(pitch) = instrument.tuning.open(string) {
                open[string.index()] = pitch.key_number().0 + i16::from(instrument.capo.0);
            }
        }
        let squared = LeftFinger::ALL.map(|a| {
            LeftFinger::ALL.map(|b| {
                let tenths = reach.between(a, b).0.clamp(0, 20_000);
                tenths * tenths
            })
        });
        let frets = instrument.frets.0.saturating_sub(instrument.capo.0);
        Self { along, across, reach: squared, strings, open, frets }
    }

    /// Distance of a fret from the nut.
    pub fn x(&self, fret: u8) -> i32 {
        self.along[usize::from(fret).min(ALONG - 1)]
    }

    /// The fret that gives a key on a string, if it is there.
    pub fn fret(&self, string: usize, key: i16) -> Option<u8> {
        let fret = u8::try_from(key - self.open[string]).ok()?;
        (fret <= self.frets).then_some(fret)
    }

    /// The places of a sound in the order of ties: string, fret, and whether
    /// that is the open string (P1).
    pub fn places(&self, sound: &Sound) -> impl Iterator<Item = (u8, u8, bool)> + use<'_> {
        let (key, kind) = (sound.key, sound.kind);
        (0..self.strings).flat_map(move |string| {
            let above = key - self.open[string];
            let frets: &'static [u8] = match kind {
                Kind::NaturalHarmonic => nodes(above),
                Kind::Plain | Kind::ArtificialHarmonic => &[],
            };
            let stopped = match kind {
                Kind::Plain => self.fret(string, key),
                Kind::ArtificialHarmonic => self.fret(string, key - 12).filter(|fret| *fret > 0),
                Kind::NaturalHarmonic => None,
            };
            let touched = frets.iter().copied().filter(|fret| *fret <= self.frets);
            let string = string as u8;
            stopped.into_iter().chain(touched).map(move |fret| (string, fret, fret == 0))
        })
    }

    /// The fret at which a sound goes on sounding on a string: a natural
    /// harmonic needs no finger any more.
    pub fn kept_fret(&self, string: usize, sound: &Sound) -> Option<u8> {
        match sound.kind {
            Kind::Plain => self.fret(string, sound.key),
            Kind::ArtificialHarmonic => self.fret(string, sound.key - 12),
            Kind::NaturalHarmonic => Some(0),
        }
    }

    /// Adds, per string, the fret that gives a key.
    pub fn add_ends(&self, ends: &mut [u32; STRINGS], key: i16) {
        for (string, frets) in ends.iter_mut().enumerate().take(self.strings) {
            if let Some(fret) = self.fret(string, key) {
                *frets |= 1 << fret;
            }
        }
    }

    /// The key at a place.
    #[allow(dead_code)]
    pub fn key(&self, string: usize, fret: u8) -> i16 {
        self.open[string] + i16::from(fret)
    }

    /// dx + slant of P6, of finger `b` from finger `a`; frets and strings.
    pub fn spread(&self, a: (u8, usize), b: (u8, usize)) -> i32 {
        self.x(b.0) - self.x(a.0) + SLANT * (b.1 as i32 - a.1 as i32)
    }

    /// P6 for two fingers, by index, at their places.
    pub fn reaches(&self, a: usize, b: usize, at_a: (u8, usize), at_b: (u8, usize)) -> bool {
        let dx = self.spread(at_a, at_b);
        let dy =
            self.across[at_a.1][usize::from(at_a.0)] - self.across[at_b.1][usize::from(at_b.0)];
        dx * dx + dy * dy <= self.reach[a][b]
    }

    /// P6 between a barre and finger `b`.
    pub fn reaches_from_barre(&self, fret: u8, b: usize, at_b: u8) -> bool {
        let dx = self.x(at_b) - self.x(fret);
        dx * dx <= self.reach[0][b]
    }
}

/// The frets at which a string is touched for a natural harmonic so many
/// semitones above its open sound: the partials 2 to 5, tempered.
const fn nodes(above: i16) -> &'static [u8] {
    match above {
        12 => &[12],
        19 => &[7, 19],
        24 => &[5, 24],
        28 => &[4, 9, 16],
        _ => &[],
    }
}
