//! How a sheet is set.

use apoyando_fretboard::Millimetres;
use apoyando_music::PartIndex;

use crate::drawing::StaffSpaces;

/// Whether frets are shown on lines for the strings.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum Tablature {
    /// Notation only.
    #[default]
    None,
    /// A staff of tablature under that of every part whose places are known.
    Under,
    /// A staff of tablature with its rhythm instead of that of every part whose places are
    /// known; the others keep their notation.
    Alone,
}

/// How large fingering and diagrams may be.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum Print {
    /// Within the limits that are usual, whatever the staff.
    #[default]
    Usual,
    /// For those who see little: they grow with the staff, without limit.
    Large,
}

/// With which hand the strings are stopped.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum Stopping {
    /// The left one, as is usual.
    #[default]
    LeftHand,
    /// The right one: what shows the fingerboard is mirrored.
    RightHand,
}

/// How large the staves of several parts are.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum Parts {
    /// All alike.
    #[default]
    Alike,
    /// The first is the reader's; those of the others are smaller.
    FirstLarge,
}

/// Size of the staves of other parts, and the least height they may have
/// [engraving handbooks: about three quarters].
const OTHER_PART: f64 = 0.75;
const LEAST_OTHER: f64 = 5.5;

/// Millimetres of seven points, under which text is not read at ease.
const SMALLEST_TYPE: f64 = 7.0 * 25.4 / 72.0;

/// How a sheet is set.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Style {
    /// Width of a full line.
    pub line_width: StaffSpaces,
    /// Indent of the first line, before part names.
    pub first_indent: StaffSpaces,
    /// Height of a staff (four spaces) on paper: fingering keeps a size in
    /// millimetres whatever the staff's.
    pub staff_height: Millimetres,
    /// Clear distance of the staves of a duet, from the bottom line of one to
    /// the top line of the next; more where ink needs it.
    pub staff_gap: StaffSpaces,
    /// Ideal distances are multiplied by this: above 1 is looser.
    pub density: f64,
    /// Whether systems after the first show the number of their first bar.
    pub bar_numbers: bool,
    /// Whether accidentals of the bar before are taken back by a courtesy sign.
    pub courtesy: bool,
    /// Whether the last line may end before the right margin.
    pub ragged_last: bool,
    /// Whether tablature is printed.
    pub tablature: Tablature,
    /// How large fingering and diagrams may be.
    pub print: Print,
    /// With which hand the strings are stopped.
    pub stopping: Stopping,
    /// How large the staves of several parts are.
    pub parts: Parts,
}

impl Style {
    /// The main text of a method: a staff of 7.2 mm on a line of so many
    /// millimetres.
    #[must_use]
    pub fn on_paper(line: Millimetres, staff_height: Millimetres) -> Self {
        let space = staff_height.0.max(1.0) / 4.0;
        Self { line_width: StaffSpaces(line.0 / space), staff_height, ..Self::default() }
    }

    /// This style with lengths a line can have; nothing that is asked for makes
    /// the engraver fail.
    #[must_use]
    pub(crate) fn sound(&self) -> Self {
        let within = |value: f64, low: f64, high: f64, usual: f64| {
            if value.is_finite() { value.clamp(low, high) } else { usual }
        };
        let usual = Self::default();
        Self {
            line_width: StaffSpaces(within(self.line_width.0, 30.0, 2000.0, usual.line_width.0)),
            first_indent: StaffSpaces(within(self.first_indent.0, 0.0, 500.0, 0.0)),
            staff_height: Millimetres(within(self.staff_height.0, 2.0, 40.0, 7.2)),
            staff_gap: StaffSpaces(within(self.staff_gap.0, 1.0, 40.0, usual.staff_gap.0)),
            density: within(self.density, 0.3, 4.0, 1.0),
            ..*self
        }
    }

    /// The em of text in staff spaces: so many, but never under seven points on
    /// paper.
    #[must_use]
    pub fn em(&self, spaces: f64) -> f64 {
        spaces.max(SMALLEST_TYPE / self.space().0.max(1e-3))
    }

    /// How much smaller the staff of a part is than the style says: 1 for one that is not.
    #[must_use]
    pub fn size_of(&self, part: PartIndex) -> f64 {
        match self.parts {
            Parts::FirstLarge if part.0 > 0 => {
                OTHER_PART.max(LEAST_OTHER / self.staff_height.0).min(1.0)
            }
            _ => 1.0,
        }
    }

    /// This style for a staff that is drawn so much smaller, in its own staff spaces.
    #[must_use]
    pub(crate) fn smaller(&self, size: f64) -> Self {
        Self {
            line_width: StaffSpaces(self.line_width.0 / size),
            staff_height: Millimetres(self.staff_height.0 * size),
            ..*self
        }
    }

    /// Millimetres of one staff space.
    #[must_use]
    pub fn space(&self) -> Millimetres {
        Millimetres(self.staff_height.0 / 4.0)
    }
}

/// A staff of 7.2 mm on the 175 mm of an A4 page.
impl Default for Style {
    fn default() -> Self {
        Self {
            line_width: StaffSpaces(97.2),
            first_indent: StaffSpaces(0.0),
            staff_height: Millimetres(7.2),
            staff_gap: StaffSpaces(7.0),
            density: 1.0,
            bar_numbers: true,
            courtesy: true,
            ragged_last: true,
            tablature: Tablature::None,
            print: Print::Usual,
            stopping: Stopping::LeftHand,
            parts: Parts::Alike,
        }
    }
}
