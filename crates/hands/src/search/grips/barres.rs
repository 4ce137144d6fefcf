//! Barres and hinges (P4, P6).

use super::{Filling, Grips};
use crate::hand::shape::SILENT;
use crate::hand::{Hinged, Shape};

impl Grips<'_> {
    pub(super) fn lay_barres(&mut self, f: &mut Filling<'_>) {
        let strings = self.pricing.geometry.strings;
        let fret = f.shape.fret[0];
        let thinnest = f.shape.down[0].trailing_zeros() as usize;
        let thickest = 15 - f.shape.down[0].leading_zeros() as usize;
        if !(thinnest..=thickest).all(|string| f.lies_under_barre(string)) {
            return;
        }
        let ends = |f: &Filling<'_>, string: usize| f.ends[string] & (1 << fret) != 0;
        for thin in 0..=thinnest {
            for thick in thickest..strings {
                if thin == thick || !ends(f, thin) || !ends(f, thick) {
                    continue;
                }
                let (below, above) = (thin..thinnest, thickest + 1..thick + 1);
                let lies = |f: &Filling<'_>, mut part: std::ops::Range<usize>| {
                    part.all(|string| f.lies_under_barre(string))
                };
                let lifts = |f: &Filling<'_>, part: std::ops::Range<usize>| {
                    part.clone().any(|string| f.strings.fret[string] == 0)
                        && part.clone().all(|string| f.lies_under_hinge(string))
                };
                let (thin_lies, thick_lies) = (lies(f, below.clone()), lies(f, above.clone()));
                let span = strings_from(thin, thick);
                let mut lay = |f: &mut Filling<'_>, laid: u16, hinged: Hinged| {
                    if f.covered & !laid != 0 {
                        return;
                    }
                    (f.shape.span, f.shape.laid, f.shape.hinged) = (span, laid, hinged);
                    self.each_position(f, &[]);
                };
                if thin_lies && thick_lies {
                    lay(f, span, Hinged::No);
                }
                if thick_lies && thinnest < thick && lifts(f, below) {
                    lay(f, strings_from(thinnest, thick), Hinged::Thin);
                }
                if thin_lies && thin < thickest && lifts(f, above) {
                    lay(f, strings_from(thin, thickest), Hinged::Thick);
                }
            }
        }
        (f.shape.span, f.shape.laid, f.shape.hinged) = (0, 0, Hinged::No);
    }

    pub(super) fn barre_reaches(&self, shape: &Shape) -> bool {
        (1..4).all(|other| {
            let (fret, there) = (shape.fret[0], shape.fret[other]);
            !shape.is_down(other)
                || (fret < there && self.pricing.geometry.reaches_from_barre(fret, other, there))
        })
    }
}

impl Filling<'_> {
    fn lies_under_barre(&self, string: usize) -> bool {
        let (fret, sounding) = (self.shape.fret[0], self.strings.fret[string]);
        sounding == SILENT
            || (sounding > fret && self.strings.touched & (1 << string) == 0)
            || (sounding == fret && self.shape.down[0] & (1 << string) != 0)
    }

    fn lies_under_hinge(&self, string: usize) -> bool {
        let (fret, sounding) = (self.shape.fret[0], self.strings.fret[string]);
        sounding == SILENT || sounding == 0 || sounding > fret
    }
}

const fn strings_from(thin: usize, thick: usize) -> u16 {
    (1 << (thick + 1)) - (1 << thin)
}
