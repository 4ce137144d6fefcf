//! How long the search takes for one score, and the graph it searches, for an
//! outside solver: `network SCORE`.
//!
//! Writes lines of numbers: the median time of the search for the left hand in
//! nanoseconds, from the score on, and the effort it found; how many
//! nodes each layer has; what it costs to begin with each of the first layer;
//! then, for every move, from which node, to which, and at what cost.

use std::io::{BufWriter, Write};
use std::time::Instant;

use apoyando_fingering::{EffortTable, Level, Pins, Problem};
use apoyando_fretboard::Instrument;
use apoyando_hands::{RightPlan, solve};
use apoyando_music::PartIndex;

/// As in the program itself.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// Runs of which the median is taken.
const RUNS: usize = 31;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let file = std::env::args().nth(1).ok_or("type: network SCORE")?;
    let reading = apoyando_formats::read(&file, &std::fs::read(&file)?)?;
    let piece = reading.pieces.first().ok_or("the file has no piece")?;
    let (instrument, level) = (Instrument::guitar(), Level::open());
    let (effort, pins) = (EffortTable::default(), Pins::default());
    let problem = Problem {
        score: &piece.score,
        part: PartIndex(0),
        instrument: &instrument,
        level: &level,
        pins: &pins,
        effort: &effort,
        house: &apoyando_fingering::NO_HOUSE,
    };
    let plan = RightPlan::default();
    let solved = solve(&problem, &plan)?;
    let mut times = Vec::with_capacity(RUNS);
    for _ in 0..RUNS {
        let start = Instant::now();
        std::hint::black_box(solve(&problem, &plan)?);
        times.push(start.elapsed().as_nanos());
    }
    times.sort_unstable();
    let network = solved.network();
    let mut out = BufWriter::new(std::io::stdout().lock());
    writeln!(out, "{} {}", times[RUNS / 2], solved.solution().fingering.price.effort)?;
    let row = |numbers: &mut dyn Iterator<Item = String>| numbers.collect::<Vec<_>>().join(" ");
    writeln!(out, "{}", row(&mut network.layers.iter().map(ToString::to_string)))?;
    writeln!(
        out,
        "{}",
        row(&mut network.first.iter().map(|(node, cost)| format!("{node}:{cost}")))
    )?;
    for (from, to, cost) in &network.moves {
        writeln!(out, "{from} {to} {cost}")?;
    }
    Ok(())
}
