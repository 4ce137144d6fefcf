//! Writes the sound of every string at every fret as WAV into a folder, for ears and meters:
//! `every-place FOLDER [PLUCKER] [HARDNESS]`, as `free` and `middle`.

use std::path::PathBuf;
use std::time::Instant;

use apoyando_fretboard::{Fret, Instrument, Place};
use apoyando_sound::files::wav;
use apoyando_sound::strings::{SAMPLE_RATE, ring};
use apoyando_sound::studio::{A4, Sounding};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut given = std::env::args().skip(1);
    let folder = PathBuf::from(given.next().ok_or("say into which folder")?);
    let plucker = given.next().unwrap_or_else(|| "free".to_owned());
    let hardness = given.next().unwrap_or_else(|| "middle".to_owned());
    std::fs::create_dir_all(&folder)?;
    let guitar = Instrument::guitar();
    let (mut seconds, start) = (0.0, Instant::now());
    for string in guitar.tuning.strings() {
        for fret in 0..=guitar.frets.0 {
            let place = Place { string, fret: Fret(fret) };
            let name = format!("{}-{fret}-1-{plucker}-{hardness}", place.string.index() + 1);
            let sounding: Sounding = name.parse()?;
            let pluck = sounding.pluck(&guitar, A4).ok_or("no such place")?;
            let samples = ring(&pluck);
            seconds += samples.len() as f64 / f64::from(SAMPLE_RATE);
            std::fs::write(folder.join(format!("{name}.wav")), wav(&[&samples])?)?;
        }
    }
    let took = start.elapsed().as_secs_f64();
    println!("{seconds:.1} s of sound in {took:.2} s");
    Ok(())
}
