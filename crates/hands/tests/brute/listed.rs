//! A sequence of postures as a fingering: what section 5 of the model says that
//! it lists.

use apoyando_fingering::{
    self as layer, BarreSpan, EffortItem, Fingering, LeftFinger, LetGo, Placement, PositionSpan,
    Price, SecondFinger, Shift, ToneFingering,
};
use apoyando_fretboard::{Fret, Place as At, StringNumber};
use apoyando_music::{Moment, ToneId};

use crate::grip::{Place, Posture, Spot, Stands};
use crate::holding::{is_joined, let_go};
use crate::moves::leading_fingers;
use crate::question::Question;
use crate::seams::moved;
use crate::second::changed;
use crate::strings::Barre;
use crate::whole::{items, price};

fn at(place: Place) -> At {
    At { string: StringNumber::new(place.0).unwrap(), fret: Fret(place.1) }
}

fn placement(spot: Spot) -> Placement {
    Placement { place: at(spot.place()), finger: LeftFinger::from_digit(spot.finger) }
}

fn position(number: u8) -> layer::Position {
    layer::Position::new(number).expect("a position")
}

fn fingers(stands: Stands) -> Vec<(LeftFinger, At)> {
    LeftFinger::ALL.into_iter().zip(stands).filter_map(|(f, p)| Some((f, at(p?)))).collect()
}

fn barre(posture: &Posture, barre: Barre) -> layer::Barre {
    let string = |number: u8| StringNumber::new(number).unwrap();
    let fret = Fret(posture.finger(1).fret);
    layer::Barre { fret, thin: string(barre.thin), thick: string(barre.thick) }
}

/// A posture in the words of a fingering.
fn posture(q: &Question<'_>, own: &Posture) -> layer::Posture {
    let struck = q.struck[own.layer].iter().copied().zip(own.struck.iter().copied());
    let struck = struck.filter_map(|(sound, spot)| Some((sound, spot?)));
    let mut sounding: Vec<(ToneId, Placement)> = struck
        .chain(own.kept.iter().copied())
        .flat_map(|(sound, spot)| q.sound(sound).tones.iter().map(move |t| (*t, placement(spot))))
        .collect();
    sounding.sort_by_key(|(tone, _)| *tone);
    layer::Posture {
        at: q.heard.layers[own.layer],
        position: own.position.map(position),
        away: own.hand().filter(|_| own.away > 0).map(position),
        idle: own.idle(),
        sounding,
        barre: own.barre.map(|laid| barre(own, laid)),
        hinge: own.barre.and_then(|laid| laid.hinge),
        staying: fingers(own.stays),
        bound: fingers(own.bound),
    }
}

/// The layer in which a sound that is played is let go, if it is.
fn gone(q: &Question<'_>, way: &[Posture], sound: usize) -> Option<usize> {
    let pairs = way.windows(2).find(|pair| let_go(q, &pair[0], &pair[1]).contains(&sound));
    pairs.map(|pair| pair[1].layer)
}

/// The finger that takes a sound over, and from when.
fn second(q: &Question<'_>, way: &[Posture], sound: usize) -> Option<SecondFinger> {
    let taken = way.windows(2).find(|pair| changed(q, &pair[0], &pair[1]).contains(&sound))?;
    let finger = LeftFinger::from_digit(taken[1].spot_of(q, sound)?.finger)?;
    Some(SecondFinger { finger, from: q.heard.layers[taken[1].layer] })
}

fn tones(q: &Question<'_>, way: &[Posture]) -> Vec<ToneFingering> {
    let count = q.problem.score.tones(q.problem.part).len();
    let tone = |id: ToneId| {
        let number = q.heard.sounds.iter().position(|s| s.tones.contains(&id)).unwrap();
        let sound = q.sound(number);
        let struck = way.iter().find(|p| q.heard.layers[p.layer] == sound.onset).unwrap();
        let index = q.struck[struck.layer].iter().position(|s| *s == number).unwrap();
        let joined =
            q.is_reached(struck.layer) && is_joined(q, &way[struck.layer - 1], struck, index);
        ToneFingering {
            left: struck.struck[index].map(placement),
            right: None,
            stroke: None,
            second: second(q, way, number),
            sounds_until: gone(q, way, number).map_or(sound.wanted, |at| q.heard.layers[at]),
            joined,
        }
    };
    (0..count).map(|id| tone(ToneId(id as u32))).collect()
}

/// Runs of layers that are alike in something, each with its first and last
/// posture; a cut ends a run.
fn runs<'w, T: PartialEq>(
    q: &Question<'_>,
    way: &'w [Posture],
    of: impl Fn(&Posture) -> Option<T>,
) -> Vec<(T, &'w [Posture])> {
    let mut runs: Vec<(T, &[Posture])> = Vec::new();
    let mut first = 0;
    for layer in 0..way.len() {
        let Some(now) = of(&way[layer]) else { continue };
        let goes_on = q.is_reached(layer) && of(&way[layer - 1]).as_ref() == Some(&now);
        if goes_on {
            runs.pop();
        } else {
            first = layer;
        }
        runs.push((now, &way[first..=layer]));
    }
    runs
}

fn ends(q: &Question<'_>, run: &[Posture]) -> (Moment, Moment) {
    let onset = |posture: &Posture| q.heard.layers[posture.layer];
    (onset(&run[0]), onset(&run[run.len() - 1]))
}

fn spans(q: &Question<'_>, runs: Vec<(u8, &[Posture])>) -> Vec<PositionSpan> {
    let span = |(number, run): (u8, &[Posture])| {
        let (from, to) = ends(q, run);
        PositionSpan { position: position(number), from, to }
    };
    runs.into_iter().map(span).collect()
}

fn barres(q: &Question<'_>, way: &[Posture]) -> Vec<BarreSpan> {
    let by_fret = runs(q, way, |p| p.barre.map(|_| p.finger(1).fret));
    let span = |(_, run): (u8, &[Posture])| {
        let laid = run.iter().filter_map(|p| p.barre.map(|laid| barre(p, laid)));
        let widest = laid.clone().map(layer::Barre::width).max().unwrap();
        let (from, to) = ends(q, run);
        BarreSpan { barre: laid.into_iter().find(|b| b.width() == widest).unwrap(), from, to }
    };
    by_fret.into_iter().map(span).collect()
}

fn shifts(q: &Question<'_>, way: &[Posture]) -> Vec<Shift> {
    let mut shifts = Vec::new();
    for pair in way.windows(2) {
        let (s, n) = (&pair[0], &pair[1]);
        let (Some(from), Some(to)) = (s.position, n.position) else { continue };
        if from == to || n.idle() || !q.is_reached(n.layer) {
            continue;
        }
        let leading = leading_fingers(s, n);
        let first = |list: &[(u8, u8)]| {
            let (digit, string) = *list.first()?;
            Some((LeftFinger::from_digit(digit)?, StringNumber::new(string)?))
        };
        shifts.push(Shift {
            at: q.heard.layers[n.layer],
            from: position(from),
            to: position(to),
            guide: first(&leading.guides),
            pivot: first(&leading.pivots),
            over_open: s.idle(),
        });
    }
    shifts
}

fn all_let_go(q: &Question<'_>, way: &[Posture]) -> Vec<LetGo> {
    let mut all: Vec<LetGo> = Vec::new();
    for (number, sound) in q.heard.sounds.iter().enumerate() {
        let Some(layer) = gone(q, way, number) else { continue };
        let at = q.heard.layers[layer];
        let written = at < sound.written;
        all.extend(sound.tones.iter().map(|tone| LetGo { tone: *tone, at, written }));
    }
    all.sort_by_key(|gone| (gone.at, gone.tone));
    all
}

pub fn fingering(q: &Question<'_>, way: &[Posture]) -> Fingering {
    let cost = price(q, way);
    let seam = |seam: &crate::played::Seam| layer::Seam {
        from: q.heard.layers[seam.from],
        to: q.heard.layers[seam.to],
        shift: moved(seam, way).map(|(from, to)| (position(from), position(to))),
    };
    let charged = items(q, way).into_iter();
    Fingering {
        revision: q.problem.score.revision(),
        part: q.problem.part,
        tones: tones(q, way),
        postures: way.iter().map(|own| posture(q, own)).collect(),
        positions: spans(q, runs(q, way, |p| p.position)),
        hops: spans(q, runs(q, way, |p| p.hand().filter(|_| p.away > 0))),
        barres: barres(q, way),
        shifts: shifts(q, way),
        seams: q.played.seams.iter().map(seam).collect(),
        let_go: all_let_go(q, way),
        price: Price {
            escapes: cost.0 as u32,
            broken: cost.1 as u32,
            effort: u64::try_from(cost.2).expect("no effort below none"),
        },
        items: charged
            .map(|((layer, term), amount)| EffortItem { term, at: q.heard.layers[layer], amount })
            .collect(),
    }
}
