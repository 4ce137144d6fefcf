//! Which glyphs dynamics have, and the room dynamics, hairpins and words below the
//! staff want.

use apoyando_music::{Bar, Dynamic, Moment, Part, StaffSide};

use crate::drawing::Face;
use crate::font::{self, Glyph, table};
use crate::style::Style;

/// Clear space between a dynamic and a hairpin or another dynamic. House.
pub const APART: f64 = 0.5;
/// A hairpin shorter than this is not told from an accent. House.
pub const SHORTEST_HAIRPIN: f64 = 2.0;
/// Clear distance of the ink of neighbouring onsets.
const INK: f64 = 0.3;
/// Em of words of expression. House.
pub const WORDS: f64 = 2.0;
/// Length of a dash after words, and the white before the first. House.
pub const DASH: f64 = 0.8;
pub const LEAD: f64 = 0.6;
/// Half the width of a head, whose middle a dynamic is centred under.
pub const HALF_HEAD: f64 = 0.59;

/// The glyph of a dynamic.
pub const fn glyph(dynamic: Dynamic) -> &'static Glyph {
    match dynamic {
        Dynamic::Pppp => &table::DYNAMIC_P_P_P_P,
        Dynamic::Ppp => &table::DYNAMIC_P_P_P,
        Dynamic::Pp => &table::DYNAMIC_P_P,
        Dynamic::P => &table::DYNAMIC_PIANO,
        Dynamic::Mp => &table::DYNAMIC_M_P,
        Dynamic::Mf => &table::DYNAMIC_M_F,
        Dynamic::F => &table::DYNAMIC_FORTE,
        Dynamic::Ff => &table::DYNAMIC_F_F,
        Dynamic::Fff => &table::DYNAMIC_F_F_F,
        Dynamic::Ffff => &table::DYNAMIC_F_F_F_F,
        Dynamic::Sf => &table::DYNAMIC_SFORZANDO_1,
        Dynamic::Sfz => &table::DYNAMIC_SFORZATO,
        Dynamic::Rf => &table::DYNAMIC_RINFORZANDO_1,
        Dynamic::Rfz => &table::DYNAMIC_RINFORZANDO_2,
        Dynamic::Fp => &table::DYNAMIC_FORTE_PIANO,
    }
}

/// What a bar's dynamics, hairpins and words want, in the order of their moments.
#[derive(Clone, Debug, Default)]
pub struct Rooms(Vec<Room>);

#[derive(Clone, Copy, Debug)]
struct Room {
    at: Moment,
    wanted: Wanted,
}

#[derive(Clone, Copy, PartialEq, Debug)]
enum Wanted {
    /// By a dynamic so wide, centred under its head.
    Dynamic(f64),
    /// By words so wide.
    Words(f64),
    /// By a hairpin that begins.
    Hairpin,
}

impl Room {
    /// With the clear space to what follows.
    fn width(self) -> f64 {
        APART
            + match self.wanted {
                Wanted::Dynamic(width) | Wanted::Words(width) => width,
                Wanted::Hairpin => SHORTEST_HAIRPIN,
            }
    }

    /// The order of what stands at one moment.
    const fn rank(self) -> u8 {
        match self.wanted {
            Wanted::Dynamic(_) => 0,
            Wanted::Words(_) => 1,
            Wanted::Hairpin => 2,
        }
    }
}

impl Rooms {
    /// Those of a bar of a part.
    pub fn of(part: &Part, bar: &Bar, style: &Style) -> Self {
        let end = bar.end_moment();
        let within = |at: Moment| bar.start <= at && at < end;
        let letters = part
            .dynamics
            .iter()
            .map(|mark| (mark.at, Wanted::Dynamic(glyph(mark.dynamic).width())));
        let hairpins = part.hairpins.iter().map(|hairpin| (hairpin.from, Wanted::Hairpin));
        let size = style.em(WORDS);
        let words = part.words.iter().filter(|words| words.side == StaffSide::Below);
        let words = words.map(|words| {
            let width = font::text_width(Face::Italic, size, &words.text);
            let dash = words.until.map_or(0.0, |_| LEAD + DASH);
            (words.at, Wanted::Words(width + dash))
        });
        let mut rooms: Vec<Room> = letters
            .chain(hairpins)
            .chain(words)
            .map(|(at, wanted)| Room { at, wanted })
            .filter(|room| within(room.at))
            .collect();
        rooms.sort_by_key(|room| (room.at, room.rank()));
        // The last words of a bar may go on under the next.
        while rooms.pop_if(|room| matches!(room.wanted, Wanted::Words(_))).is_some() {}
        Self(rooms)
    }

    /// How far they reach to the left and right of an onset, up to the next; a
    /// dynamic at the onset is centred under it.
    pub fn around(&self, onset: Moment, next: Option<Moment>) -> Option<(f64, f64)> {
        let here =
            self.0.iter().filter(|room| onset <= room.at && next.is_none_or(|next| room.at < next));
        let mut sides: Option<(f64, f64)> = None;
        for room in here {
            let (left, right) = sides.unwrap_or(match room.wanted {
                Wanted::Dynamic(width) if room.at == onset => {
                    (HALF_HEAD - width / 2.0, HALF_HEAD - width / 2.0)
                }
                _ => (0.0, 0.0),
            });
            sides = Some((left, right + room.width()));
        }
        // Ink of neighbours is kept apart by itself.
        sides.map(|(left, right)| (left, right - INK))
    }

    /// What those before the first onset of the bar take side by side.
    pub fn before(&self, onset: Moment) -> f64 {
        self.0.iter().filter(|room| room.at < onset).map(|room| room.width()).sum()
    }

    /// What all of them take side by side.
    pub fn width(&self) -> f64 {
        self.0.iter().map(|room| room.width()).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: the table of dynamics in the SMuFL standard, 1.4, from memory.
    #[test]
    fn dynamics_have_the_code_points_of_the_standard() {
        let codes = Dynamic::ALL.map(|dynamic| u32::from(glyph(dynamic).code));
        let wanted = [
            0xE529, 0xE52A, 0xE52B, 0xE520, 0xE52C, 0xE52D, 0xE522, 0xE52F, 0xE530, 0xE531, 0xE536,
            0xE539, 0xE53C, 0xE53D, 0xE534,
        ];
        assert_eq!(codes, wanted);
    }
}
