//! The small slurs from grace notes to their notes.

use apoyando_music::NoteId;

use super::curves::{Bow, stops_slurs};
use crate::drawing::{Ink, Kind, Owner, Stain};
use crate::font::table;
use crate::geometry::{Rect, Stage};

/// The slur of a group of grace notes.
pub struct GraceSlur {
    pub from: (f64, f64),
    pub to: (f64, f64),
    pub side: f64,
    /// Where the note's digit will stand, if it has room for one.
    pub digit: Option<Rect>,
    /// The note it leads to.
    pub note: NoteId,
    /// Its thickness in the middle.
    pub thickness: f64,
}

/// Least distance of a grace note's slur from other ink.
const SMALL_GAP: f64 = 0.1;
/// The same from a digit.
const TO_DIGIT: f64 = 0.26;

/// Whether a small slur comes too close to anything; the ledger lines of its
/// own note it may cross.
fn touches(stage: &Stage, bow: &Bow, slur: &GraceSlur, digit: Option<Rect>) -> bool {
    let half = slur.thickness / 2.0;
    (0..=24).any(|number| {
        let (x, y) = bow.at(f64::from(number) / 24.0);
        let point = Rect::new(x, y, x, y);
        let ink = stage.near(point, SMALL_GAP + half).any(|obstacle| {
            let crossed =
                obstacle.kind == Kind::LedgerLine && obstacle.owner == Owner::Note(slur.note);
            stops_slurs(obstacle.kind) && !crossed
        });
        ink || digit.is_some_and(|digit| digit.distance(point) < TO_DIGIT + half)
    })
}

/// Draws the slurs of grace notes, raised until they clear what is beneath;
/// one that finds no way is left out.
pub fn draw(stage: &mut Stage, slurs: Vec<GraceSlur>) {
    for slur in slurs {
        let side = slur.side;
        let length = slur.to.0 - slur.from.0;
        let first = Bow {
            from: slur.from,
            to: slur.to,
            height: (0.3 + 0.1 * length).clamp(0.5, 1.0),
            side,
        };
        // Where there is no way around the digit, it gives way.
        let tries = [slur.digit, None]
            .into_iter()
            .flat_map(|digit| (0..10).map(move |step| (digit, 0.15 * f64::from(step))));
        let found = tries.into_iter().find_map(|(digit, lower)| {
            let tips = |at: (f64, f64)| (at.0, at.1 + side * lower / 2.0);
            let height = first.height + lower;
            let bow = Bow { from: tips(first.from), to: tips(first.to), height, side };
            (!touches(stage, &bow, &slur, digit)).then_some(bow)
        });
        let Some(bow) = found else { continue };
        let tip = table::SLUR_ENDPOINT_THICKNESS.min(slur.thickness);
        let ink = Ink::Shape(bow.outline(tip, slur.thickness));
        stage.add(Stain { ink, kind: Kind::Slur, owner: Owner::Note(slur.note) });
    }
}
