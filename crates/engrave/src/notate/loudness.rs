//! Which glyphs dynamics have, and the room dynamics and hairpins want.

use apoyando_music::{Bar, Dynamic, Moment, Part};

use crate::font::{Glyph, table};

/// Clear space between a dynamic and a hairpin or another dynamic. House.
pub const APART: f64 = 0.5;
/// A hairpin shorter than this is not told from an accent. House.
pub const SHORTEST_HAIRPIN: f64 = 2.0;
/// Half the width of a head, whose middle a dynamic is centred under.
pub const HALF_HEAD: f64 = 0.59;

/// The glyph of a dynamic.
pub const fn glyph(dynamic: Dynamic) -> &'static Glyph {
    match dynamic {
        Dynamic::Ppp => &table::DYNAMIC_P_P_P,
        Dynamic::Pp => &table::DYNAMIC_P_P,
        Dynamic::P => &table::DYNAMIC_PIANO,
        Dynamic::Mp => &table::DYNAMIC_M_P,
        Dynamic::Mf => &table::DYNAMIC_M_F,
        Dynamic::F => &table::DYNAMIC_FORTE,
        Dynamic::Ff => &table::DYNAMIC_F_F,
        Dynamic::Fff => &table::DYNAMIC_F_F_F,
        Dynamic::Sf => &table::DYNAMIC_SFORZANDO_1,
        Dynamic::Sfz => &table::DYNAMIC_SFORZATO,
        Dynamic::Fp => &table::DYNAMIC_FORTE_PIANO,
    }
}

/// What dynamics and hairpins want to the left and right of the onset they begin
/// at, for every onset of a bar that has some.
pub fn rooms(part: &Part, bar: &Bar) -> Vec<(Moment, f64, f64)> {
    let end = bar.end_moment();
    let within = |at: Moment| bar.start <= at && at < end;
    let mut rooms: Vec<(Moment, f64, f64)> = Vec::new();
    for mark in part.dynamics.iter().filter(|mark| within(mark.at)) {
        let half = glyph(mark.dynamic).width() / 2.0;
        // Ink of neighbours is kept .3 apart by itself.
        rooms.push((mark.at, HALF_HEAD - half, HALF_HEAD + half + APART - 0.3));
    }
    for hairpin in part.hairpins.iter().filter(|hairpin| within(hairpin.from)) {
        let length = SHORTEST_HAIRPIN + APART;
        match rooms.iter_mut().find(|room| room.0 == hairpin.from) {
            Some(room) => room.2 += length,
            None => rooms.push((hairpin.from, 0.0, length)),
        }
    }
    rooms
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: the table of dynamics in the SMuFL standard, 1.4, from memory.
    #[test]
    fn dynamics_have_the_code_points_of_the_standard() {
        let codes = Dynamic::ALL.map(|dynamic| u32::from(glyph(dynamic).code));
        let wanted = [
            0xE52A, 0xE52B, 0xE520, 0xE52C, 0xE52D, 0xE522, 0xE52F, 0xE530, 0xE536, 0xE539, 0xE534,
        ];
        assert_eq!(codes, wanted);
    }
}
