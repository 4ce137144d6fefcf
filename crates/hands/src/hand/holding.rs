//! What a posture costs by itself (model §5, first table).

use apoyando_fingering::{EffortTable, Term};

use super::geometry::{Geometry, STRINGS};
use super::house::House;
use super::limits::Rules;
use super::moving;
use super::shape::{Hold, Played, Shape, Strings};

/// What is paid for.
pub(crate) struct Pricing<'a> {
    pub geometry: &'a Geometry,
    pub table: &'a EffortTable,
    pub house: &'a House,
}

/// A posture without its position.
pub(crate) struct Posed<'a> {
    pub shape: &'a Shape,
    pub strings: &'a Strings,
    pub rules: &'a Rules,
    pub played: &'a [Played],
}

/// So many sounds struck at once are a chord.
const CHORD: usize = 3;

/// Above this place of the hand an open string stands out (`tone_high`).
pub(crate) const LOW: u8 = 3;

impl Pricing<'_> {
    /// Everything charged on a posture; the place of the hand is 0 if it is not
    /// known.
    pub fn posture(&self, posed: &Posed<'_>, hand: u8, add: &mut impl FnMut(Term, i64)) {
        self.sounds(posed, hand, add);
        if posed.shape.is_idle() {
            return;
        }
        self.fingers(posed, hand, add);
        self.pairs(posed.shape, hand, add);
        if lies_idle(posed) {
            add(Term::BarreIdle, i64::from(self.table.barre_idle));
        }
        if posed.rules.anew {
            moving::on_one_fret(self.table, &Hold::default(), posed.shape, add);
            if posed.shape.has_barre() {
                moving::barre_anew(self.table, posed.shape, add);
            }
        }
    }

    fn sounds(&self, posed: &Posed<'_>, hand: u8, add: &mut impl FnMut(Term, i64)) {
        let t = self.table;
        let mut unornamented = 0;
        for (struck, placed) in posed.rules.struck.iter().zip(posed.played) {
            if *placed == Played::OUT {
                continue;
            }
            if placed.finger > 0 {
                add(Term::Stop, i64::from(t.stop));
            } else if struck.sung {
                if hand > LOW {
                    add(Term::ToneHigh, i64::from(t.tone_high));
                }
                if struck.long {
                    add(Term::ToneLong, i64::from(t.tone_long));
                }
            }
            match placed.finger {
                3 => add(Term::Finger3, i64::from(t.finger_3)),
                4 => add(Term::Finger4, i64::from(t.finger_4)),
                _ => {}
            }
            if !struck.auxiliaries.is_empty() {
                unornamented += 1;
            }
        }
        unornamented -= i64::from(posed.shape.ornamented);
        add(Term::Ornament, i64::from(t.ornament) * unornamented);
        let against = |index: usize| {
            let placed = posed.played[index];
            let same = |c: &&super::limits::Candidate| {
                (c.string, c.fret, c.finger) == (placed.string, placed.fret, placed.finger)
            };
            posed.rules.struck[index].candidates.iter().find(same).is_some_and(|c| c.against)
        };
        let count = self.house.against(posed.shape, posed.strings, posed.played, (hand, &against));
        add(Term::House, i64::from(t.house) * count);
    }

    fn fingers(&self, posed: &Posed<'_>, hand: u8, add: &mut impl FnMut(Term, i64)) {
        let (t, shape) = (self.table, posed.shape);
        let lone = posed.strings.sounding() < 2;
        if shape.struck != [0; 4] {
            add(Term::Height, i64::from(t.height) * (2 * i64::from(hand) - 3).max(0));
        }
        for finger in 0..4 {
            if !shape.is_down(finger) {
                continue;
            }
            let extension = i64::from(shape.extension(finger, hand));
            if lone || !shape.leans(finger, hand) {
                add(Term::Extension, i64::from(t.extension) * extension);
            } else if shape.struck[finger] != 0 {
                add(Term::Lean, i64::from(t.lean.min(t.extension)) * extension);
            }
            if shape.struck[finger] != 0 {
                let contraction = i64::from(shape.contraction(finger, hand));
                add(Term::Contraction, i64::from(t.contraction) * contraction);
                if finger == 0 && contraction > 0 {
                    add(Term::Lead, i64::from(t.lead));
                }
            }
        }
    }

    fn pairs(&self, shape: &Shape, hand: u8, add: &mut impl FnMut(Term, i64)) {
        let t = self.table;
        for finger in 0..4 {
            if !shape.is_down(finger) {
                continue;
            }
            let under = shape.has_barre() && finger == 0;
            for higher in finger + 1..4 {
                if !shape.is_down(higher) {
                    continue;
                }
                let spread = if under {
                    self.geometry.x(shape.fret[higher]) - self.geometry.x(shape.fret[finger])
                } else {
                    self.geometry.spread(shape.place(finger), shape.place(higher))
                };
                let at_rest =
                    self.geometry.x(hand + higher as u8) - self.geometry.x(hand + finger as u8);
                let excess = i64::from(spread - at_rest);
                if excess > 0 {
                    add(Term::Stretch, i64::from(t.stretch) * excess / 100);
                }
            }
        }
    }
}

/// Whether a barre lies under a chord that does not need it, nor what is to come in the
/// bar.
fn lies_idle(posed: &Posed<'_>) -> bool {
    let (shape, rules) = (posed.shape, posed.rules);
    let stopped = shape.down[0];
    if !shape.has_barre() || rules.struck.len() < CHORD || stopped.count_ones() != 1 {
        return false;
    }
    let serves = |string: &usize| rules.later[*string] >> shape.fret[0] & 1 != 0;
    let others = shape.span & !stopped;
    !(0..STRINGS).filter(|string| others >> string & 1 != 0).any(|string| serves(&string))
}
