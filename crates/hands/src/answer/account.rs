//! The chosen way written out as a fingering.

use apoyando_fingering::{
    Barre, BarreSpan, Fingering, Hinge, LeftFinger, LetGo, Placement, Position, PositionSpan,
    Posture, Price, Problem, Seam, SecondFinger, Shift, ToneFingering,
};
use apoyando_fretboard::{Fret, Place, StringNumber};
use apoyando_music::{Moment, Tones};

use super::bill::{begins, bill, gone, joined_at, seam_shift, second_fingers, sounding};
use crate::hand::{Hinged, Played, Shape};
use crate::search::grips::Faults;
use crate::search::ground::Ground;
use crate::search::walk::Chosen;

fn string_number(index: usize) -> StringNumber {
    StringNumber::new(index as u8 + 1).unwrap_or(StringNumber::FIRST)
}

fn place(string: u8, fret: u8) -> Place {
    Place { string: string_number(usize::from(string)), fret: Fret(fret) }
}

/// Where and with which finger; `None` if it is left out.
pub(crate) fn placement(played: Played) -> Option<Placement> {
    (played != Played::OUT).then(|| Placement {
        place: place(played.string, played.fret),
        finger: LeftFinger::from_digit(played.finger),
    })
}

/// The barre of a shape.
pub(crate) fn barre_of(shape: &Shape) -> Option<Barre> {
    if !shape.has_barre() {
        return None;
    }
    let (thin, thick) = (shape.span.trailing_zeros(), 15 - shape.span.leading_zeros());
    Some(Barre {
        fret: Fret(shape.fret[0]),
        thin: string_number(thin as usize),
        thick: string_number(thick as usize),
    })
}

const fn hinge_of(shape: &Shape) -> Option<Hinge> {
    match shape.hinged {
        Hinged::No => None,
        Hinged::Thin => Some(Hinge::Thin),
        Hinged::Thick => Some(Hinge::Thick),
    }
}

/// Writes out a whole fingering; the right hand is still to come.
pub(crate) fn fingering(
    problem: &Problem<'_>,
    tones: &Tones,
    ground: &Ground,
    way: &[Chosen],
    faults: &[Faults],
) -> Fingering {
    let (items, effort) = bill(ground, way, 0..way.len());
    let price = Price {
        escapes: faults.iter().map(|f| u32::from(f.0)).sum(),
        broken: faults.iter().map(|f| u32::from(f.1)).sum(),
        effort: u64::try_from(effort).unwrap_or(0),
    };
    let (tone_fingerings, let_go) = sounding_lengths(tones, ground, way);
    Fingering {
        revision: problem.score.revision(),
        part: problem.part,
        tones: tone_fingerings,
        postures: postures(ground, way),
        positions: positions(ground, way),
        hops: hops(ground, way),
        barres: barres(ground, way),
        shifts: shifts(ground, way),
        seams: seams(ground, way),
        let_go,
        price,
        items,
    }
}

fn onset(ground: &Ground, layer: usize) -> Moment {
    ground.music.layers[layer].onset
}

fn sounding_lengths(
    tones: &Tones,
    ground: &Ground,
    way: &[Chosen],
) -> (Vec<ToneFingering>, Vec<LetGo>) {
    let silent = |at| ToneFingering {
        left: None,
        right: None,
        stroke: None,
        second: None,
        sounds_until: at,
        joined: false,
    };
    let mut all: Vec<ToneFingering> = tones.as_slice().iter().map(|t| silent(t.onset)).collect();
    let mut let_go = Vec::new();
    for (layer, chosen) in way.iter().enumerate() {
        let at = onset(ground, layer);
        let joined = joined_at(ground, way, layer);
        let struck = ground.music.layers[layer].struck();
        for (index, (sound, played)) in struck.zip(&chosen.played).enumerate() {
            let left = placement(*played);
            let whole = &ground.music.sounds[sound];
            let until = if left.is_some() { whole.wanted_end } else { at };
            for tone in &whole.tones {
                all[tone.0 as usize] =
                    ToneFingering { left, joined: joined.contains(&index), ..silent(until) };
            }
        }
        if layer == 0 {
            continue;
        }
        for (sound, finger) in second_fingers(ground, way, layer) {
            let finger = LeftFinger::from_digit(finger);
            for tone in &ground.music.sounds[sound].tones {
                all[tone.0 as usize].second =
                    finger.map(|finger| SecondFinger { finger, from: at });
            }
        }
        for sound in gone(ground, way, layer) {
            let whole = &ground.music.sounds[sound];
            for tone in &whole.tones {
                all[tone.0 as usize].sounds_until = at;
                let_go.push(LetGo { tone: *tone, at, written: layer < whole.written_until });
            }
        }
    }
    (all, let_go)
}

fn postures(ground: &Ground, way: &[Chosen]) -> Vec<Posture> {
    way.iter()
        .enumerate()
        .map(|(layer, chosen)| {
            let mut all = Vec::new();
            for (sound, played) in sounding(ground, chosen, layer) {
                if let Some(placement) = placement(played) {
                    let tones = &ground.music.sounds[sound].tones;
                    all.extend(tones.iter().map(|tone| (*tone, placement)));
                }
            }
            all.sort_unstable_by_key(|(tone, _)| *tone);
            let shape = &chosen.shape;
            let finger = |finger: u8| LeftFinger::ALL[usize::from(finger)];
            let bound = (0u8..4).filter(|finger| shape.bound & (1 << finger) != 0);
            Posture {
                at: onset(ground, layer),
                position: Position::new(chosen.position),
                away: chosen.away.and_then(Position::new),
                idle: shape.is_idle(),
                sounding: all,
                barre: barre_of(shape),
                hinge: hinge_of(shape),
                staying: chosen
                    .stays
                    .iter()
                    .map(|stay| (finger(stay.finger), place(stay.string, stay.fret)))
                    .collect(),
                bound: bound
                    .map(|index| {
                        let (fret, string) = shape.place(usize::from(index));
                        (finger(index), place(string as u8, fret))
                    })
                    .collect(),
            }
        })
        .collect()
}

/// Runs of layers with something in common, over no cut.
fn runs<T: PartialEq + Copy>(
    ground: &Ground,
    way: &[Chosen],
    of: impl Fn(&Chosen) -> Option<T>,
) -> Vec<(T, usize, usize)> {
    let mut runs: Vec<(T, usize, usize)> = Vec::new();
    for (layer, chosen) in way.iter().enumerate() {
        let Some(what) = of(chosen) else { continue };
        match runs.last_mut() {
            Some((last, _, to))
                if *last == what && *to + 1 == layer && ground.music.is_reached(layer) =>
            {
                *to = layer;
            }
            _ => runs.push((what, layer, layer)),
        }
    }
    runs
}

fn positions(ground: &Ground, way: &[Chosen]) -> Vec<PositionSpan> {
    spans(ground, way, |chosen| Position::new(chosen.position))
}

fn hops(ground: &Ground, way: &[Chosen]) -> Vec<PositionSpan> {
    spans(ground, way, |chosen| chosen.away.and_then(Position::new))
}

fn spans(
    ground: &Ground,
    way: &[Chosen],
    of: impl Fn(&Chosen) -> Option<Position>,
) -> Vec<PositionSpan> {
    let span = |(position, from, to)| PositionSpan {
        position,
        from: onset(ground, from),
        to: onset(ground, to),
    };
    runs(ground, way, of).into_iter().map(span).collect()
}

fn barres(ground: &Ground, way: &[Chosen]) -> Vec<BarreSpan> {
    let fret = |chosen: &Chosen| chosen.shape.has_barre().then(|| chosen.shape.fret[0]);
    runs(ground, way, fret)
        .into_iter()
        .filter_map(|(_, from, to)| {
            let barres = way[from..=to].iter().filter_map(|chosen| barre_of(&chosen.shape));
            let barre = barres.reduce(|a, b| if b.width() > a.width() { b } else { a })?;
            Some(BarreSpan { barre, from: onset(ground, from), to: onset(ground, to) })
        })
        .collect()
}

/// The moves that shift the hand.
pub(crate) fn shifts(ground: &Ground, way: &[Chosen]) -> Vec<Shift> {
    let mut shifts = Vec::new();
    for (layer, pair) in way.windows(2).enumerate() {
        let (before, here) = (&pair[0], &pair[1]);
        let layer = layer + 1;
        let shifted = before.position != here.position && !here.shape.is_idle();
        if !shifted || !ground.music.is_reached(layer) {
            continue;
        }
        let (Some(from), Some(to)) = (Position::new(before.position), Position::new(here.position))
        else {
            continue;
        };
        let hold = before.shape.hold().staying(before.stays);
        let meets = |same_place: bool| {
            LeftFinger::ALL.into_iter().find_map(|finger| {
                let f = finger.index();
                let common = hold.on[f] & here.shape.down[f];
                let fits = (hold.fret[f] == here.shape.fret[f]) == same_place;
                (common != 0 && fits)
                    .then(|| (finger, string_number(common.trailing_zeros() as usize)))
            })
        };
        shifts.push(Shift {
            at: onset(ground, layer),
            from,
            to,
            guide: meets(false),
            pivot: meets(true),
            over_open: before.shape.is_idle(),
        });
    }
    shifts
}

fn seams(ground: &Ground, way: &[Chosen]) -> Vec<Seam> {
    let seam = |seam: &crate::heard::SeamAt| {
        let (begins, _) = begins(way, seam.to);
        let positions = (way[seam.from].position, begins.position);
        let shift = seam_shift(ground, way, seam)
            .and_then(|_| Some((Position::new(positions.0)?, Position::new(positions.1)?)));
        Seam { from: onset(ground, seam.from), to: onset(ground, seam.to), shift }
    };
    ground.music.order.seams.iter().map(seam).collect()
}
