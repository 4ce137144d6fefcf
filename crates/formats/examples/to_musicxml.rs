//! Reads any readable score and writes it as plain MusicXML, without
//! fingering: `to_musicxml FILE > OUT.musicxml`.

use std::error::Error;

fn main() -> Result<(), Box<dyn Error>> {
    let file = std::env::args().nth(1).ok_or("name a file to read")?;
    let reading = apoyando_formats::read(&file, &std::fs::read(&file)?)?;
    for finding in &reading.findings {
        eprintln!("{finding}");
    }
    let piece = reading.pieces.first().ok_or("there is no music in it")?;
    for finding in &piece.findings {
        eprintln!("{finding}");
    }
    print!("{}", apoyando_formats::musicxml::write(&piece.score, &[]));
    Ok(())
}
