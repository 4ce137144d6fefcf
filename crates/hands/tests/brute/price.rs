//! Section 5 of the model, read plainly: what a posture and a move cost.

use std::collections::BTreeSet;

use apoyando_fingering::Problem;
use apoyando_music::Moment;

use crate::grip::{Posture, Spot, extension, offset, spread, x};
use crate::heard::{Heard, Role, hurry, milliseconds};

pub fn of_posture(problem: &Problem<'_>, posture: &Posture, with_stretch: bool) -> i64 {
    let table = problem.effort;
    let Some(position) = posture.position else { return 0 };
    let v = i64::from;
    let mut sum = 0;
    for (spot, struck) in posture.stopped() {
        if struck {
            sum += v(table.stop) + v(table.height) * (2 * i64::from(position) - 3).max(0);
            sum += match spot.2 {
                3 => v(table.finger_3),
                4 => v(table.finger_4),
                _ => 0,
            };
        }
    }
    // Each finger once, at one of its spots; struck if any of them is.
    let fingers: Vec<(Spot, bool)> = (1..=4)
        .filter_map(|finger| {
            let own: Vec<(Spot, bool)> =
                posture.stopped().into_iter().filter(|(s, _)| s.2 == finger).collect();
            Some((own.first()?.0, own.iter().any(|(_, struck)| *struck)))
        })
        .collect();
    for (spot, struck) in &fingers {
        let out = extension(position, *spot);
        sum += v(table.extension) * v(out);
        if *struck && out == 0 {
            sum += v(table.contraction) * v(offset(position, *spot).abs());
            if spot.2 == 1 && offset(position, *spot) != 0 {
                sum += v(table.lead);
            }
        }
    }
    for (a, a_struck) in &fingers {
        for (b, b_struck) in fingers.iter().filter(|(b, _)| a.2 < b.2) {
            let rest = x(problem, position + b.2 - 1) - x(problem, position + a.2 - 1);
            let ex = spread(problem, *a, *b, posture.barre.is_some()) - rest;
            if ex > 0 && with_stretch {
                sum += v(table.stretch) * ex / 100;
            }
            if a.1 == b.1 && a.0 < b.0 && (*a_struck || *b_struck) {
                sum += v(table.crossed);
            }
        }
    }
    if let Some((thin, thick)) = posture.barre {
        sum += v(table.barre_hold) * i64::from(thick - thin + 1);
    }
    sum
}

/// What a move needs to know of the past: the last position, and the layer in
/// which something was last stopped.
pub type Past = Option<(u8, usize)>;

pub fn of_move(
    problem: &Problem<'_>,
    heard: &Heard,
    layer: usize,
    (s, past): (&Posture, Past),
    n: &Posture,
) -> i64 {
    let table = problem.effort;
    let v = i64::from;
    let time = |from: usize| milliseconds(problem, heard.layers[from], heard.layers[layer + 1]);
    let h = hurry(time(layer));
    let mut sum = 0;
    if let Some((fret, thin, thick)) = n.laid() {
        let lay = |string: &u8| {
            !s.laid().is_some_and(|(f, a, b)| f == fret && a <= *string && *string <= b)
        };
        sum += v(table.barre_lay) * (thin..=thick).filter(lay).count() as i64;
    }
    if let (Some((from, stopped)), Some(to)) = (past, n.position)
        && from != to
    {
        let h = hurry(time(stopped));
        let way = (x(problem, to) - x(problem, from)).abs();
        let whole = h * v(table.shift) + h * (v(table.travel) * way / 100);
        sum += whole - whole * ease(problem, heard, layer, s, n) / 100;
    }
    for finger in 1..=4 {
        let (was, is) = (s.strings_of(finger), n.strings_of(finger));
        let strikes: Vec<u8> =
            n.struck.iter().flatten().filter(|p| p.2 == finger).map(|p| p.0).collect();
        let same_fret = s.fret_of(finger) == n.fret_of(finger);
        if was.is_empty() || strikes.is_empty() || (same_fret && meet(&was, &is)) {
            continue;
        }
        if meet(&was, &strikes) {
            if s.position == n.position {
                sum += v(table.slide) * h;
            }
            continue;
        }
        let under = |p: &Posture| {
            p.barre.is_some_and(|(thin, thick)| {
                let spans = |strings: &[u8]| strings.iter().any(|q| thin <= *q && *q <= thick);
                finger == 1 && same_fret && spans(&was) && spans(&strikes)
            })
        };
        if !under(s) && !under(n) {
            sum += v(table.jump) * h;
        }
    }
    for (spot, _) in s.stopped() {
        let other = |n: &&Spot| n.0 == spot.0 && n.1 == spot.1 && n.2 != spot.2;
        if n.struck.iter().flatten().any(|p| other(&p)) {
            sum += v(table.replace) * h;
        }
    }
    let lone = |p: &Posture| {
        let placed: Vec<Spot> = p.struck.iter().flatten().copied().collect();
        if placed.len() == 1 { placed[0].2 } else { 0 }
    };
    if [(3, 4), (4, 3)].contains(&(lone(s), lone(n))) {
        sum += v(table.weak_pair) * h;
    }
    sum + letting_go(problem, heard, layer, s, n)
}

fn meet(a: &[u8], b: &[u8]) -> bool {
    a.iter().any(|string| b.contains(string))
}

fn ease(problem: &Problem<'_>, heard: &Heard, layer: usize, s: &Posture, n: &Posture) -> i64 {
    let table = problem.effort;
    let mut eases = vec![0];
    for finger in 1..=4 {
        if meet(&s.strings_of(finger), &n.strings_of(finger)) {
            let same = s.fret_of(finger) == n.fret_of(finger);
            eases.push(if same { table.ease_pivot } else { table.ease_guide });
        }
    }
    if s.position.is_none() {
        eases.push(table.ease_open);
    }
    let (here, next) = (heard.layers[layer], heard.layers[layer + 1]);
    if heard.sounds.iter().filter(|s| s.onset <= here).all(|s| s.written < next) {
        eases.push(table.ease_rest);
    }
    i64::from(eases.into_iter().max().unwrap())
}

fn letting_go(problem: &Problem<'_>, heard: &Heard, layer: usize, s: &Posture, n: &Posture) -> i64 {
    let table = problem.effort;
    let next: Moment = heard.layers[layer + 1];
    let struck = heard.struck(layer).into_iter().zip(&s.struck);
    let sounding: BTreeSet<usize> = struck
        .filter(|(_, spot)| spot.is_some())
        .map(|(sound, _)| sound)
        .chain(s.kept.keys().copied())
        .collect();
    let mut sum = 0;
    for sound in sounding {
        let whole = &heard.sounds[sound];
        if whole.wanted <= next || n.kept.contains_key(&sound) {
            continue;
        }
        let value = i64::from(match whole.role {
            Role::Melody => table.cut_melody,
            Role::Bass => table.cut_bass,
            Role::Inner => table.cut_inner,
        });
        if whole.written > next {
            let left = whole.written - next;
            let tail = left * 4 <= whole.written - whole.onset;
            sum += if tail { value * i64::from(table.cut_tail) / 100 } else { value };
        }
        if whole.wanted > whole.written {
            sum += i64::from(table.ring);
        }
    }
    sum
}
