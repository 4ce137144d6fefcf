//! Look.
#![allow(dead_code)]

#[path = "../tests/facts/staff.rs"]
mod staff;

use apoyando_fingering::Level;
use apoyando_music::Metre;
use staff::{score, shown, solve};

fn show(voices: &[&str]) {
    let s = score(Metre::COMMON, None, voices);
    for (name, level) in [("open", Level::open()), ("first", Level::first())] {
        let t = std::time::Instant::now();
        let solution = solve(&s, &level, &[]);
        let e = t.elapsed();
        let mut sums = std::collections::BTreeMap::new();
        for i in &solution.fingering.items {
            *sums.entry(format!("{:?}", i.term)).or_insert(0) += i.amount;
        }
        println!(
            "{name}: {}\n   {:?} {:?} {:?}\n   {sums:?}",
            shown(&solution),
            solution.fingering.price,
            solution.fingering.positions.iter().map(|p| p.position.get()).collect::<Vec<_>>(),
            e
        );
    }
}

fn main() {
    show(&["C3/8 D3/8 E3/8 F3/8 G3/8 A3/8 B3/8 C4/8"]);
    show(&["G2/8 A2/8 B2/8 C3/8 D3/8 E3/8 F#3/8 G3/8 A3/8 B3/8 C4/8 D4/8 E4/8 F#4/8 G4/8"]);
    show(&["D3/8 E3/8 F#3/8 G3/8 A3/8 B3/8 C#4/8 D4/8 E4/8 F#4/8 G4/8 A4/8"]);
    show(&["D3/8 A3/8 D4/8 F#4/8 D3/8 A3/8 D4/8 F#4/8"]);
    show(&["C3+E3+G3+C4+E4/2 A2+E3+A3+C4+E4/2"]);
    show(&["B2+D#3+A3+B3+F#4/2 E2+B2+E3+G#3+B3+E4/2"]);
    show(&["F2+C3+F3+A3+C4+F4/2 r/2"]);
    show(&["C4/8 D4/8 E4/8 F4/8 G4/4 E4/4 | D4/8 C4/8 D4/8 B3/8 C4/2", "C3/2 C3/2 | G2/2 C3/2"]);
    show(&["E4/8 G4/8 F4/8 D4/8 E4/8 C4/8 D4/8 B3/8", "A2/1"]);
}
