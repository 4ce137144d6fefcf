//! Reads scores and writes every piece of them as MusicXML into a folder.
//!
//! `cargo run --example rewrite -- FOLDER FILE...`

use std::path::PathBuf;

fn main() {
    let mut arguments = std::env::args().skip(1);
    let Some(folder) = arguments.next().map(PathBuf::from) else {
        eprintln!("name the folder to write to, then the files to read");
        return;
    };
    for name in arguments {
        let Ok(bytes) = std::fs::read(&name) else {
            eprintln!("{name}: no such file");
            continue;
        };
        match apoyando_formats::read(&name, &bytes) {
            Ok(reading) => {
                let stem = name.replace(['/', '.'], "_");
                for (index, piece) in reading.pieces.iter().enumerate() {
                    let text = apoyando_formats::musicxml::write(&piece.score, &[]);
                    let path = folder.join(format!("{stem}-{}.musicxml", index + 1));
                    if let Err(error) = std::fs::write(&path, text) {
                        eprintln!("{}: {error}", path.display());
                    }
                }
            }
            Err(error) => eprintln!("{error}"),
        }
    }
}
