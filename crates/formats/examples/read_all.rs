//! Reads every file named on the command line, or under the folders named
//! there, and counts what could be read.
//!
//! `cargo run --example read_all -- PATH...`

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

fn main() {
    let mut files = Vec::new();
    let mut verbose = false;
    for argument in std::env::args().skip(1) {
        match argument.as_str() {
            "-v" => verbose = true,
            path => collect(Path::new(path), &mut files),
        }
    }
    files.sort();
    let mut reasons: BTreeMap<String, (usize, String)> = BTreeMap::new();
    let (mut read, mut pieces, mut lost, mut notes) = (0, 0, 0, 0);
    for path in &files {
        let name = path.display().to_string();
        let Ok(bytes) = std::fs::read(path) else { continue };
        match apoyando_formats::read(&name, &bytes) {
            Ok(reading) => {
                read += 1;
                pieces += reading.pieces.len();
                notes += reading.pieces.iter().map(|p| p.score.notes().len()).sum::<usize>();
                for finding in &reading.findings {
                    if finding.severity == apoyando_fingering::Severity::Error {
                        lost += 1;
                        count(&mut reasons, &finding.message, &finding.to_string());
                    }
                }
                for finding in reading.pieces.iter().flat_map(|piece| &piece.findings) {
                    if verbose {
                        println!("{finding}");
                    }
                    count(
                        &mut reasons,
                        &format!("finding: {}", finding.rule),
                        &finding.to_string(),
                    );
                }
            }
            Err(error) => {
                let text = error.to_string();
                println!("not read: {text}");
                count(&mut reasons, text.trim_start_matches(&name), &text);
            }
        }
    }
    println!("{read} of {} files, {pieces} pieces, {notes} notes; {lost} pieces lost", files.len());
    let mut reasons: Vec<_> = reasons.into_iter().collect();
    reasons.sort_by_key(|(_, (times, _))| std::cmp::Reverse(*times));
    for (reason, (times, example)) in reasons.iter().take(60) {
        println!("{times:6}  {reason}  e.g. {example}");
    }
}

fn collect(path: &Path, files: &mut Vec<PathBuf>) {
    match std::fs::read_dir(path) {
        Ok(entries) => entries.flatten().for_each(|entry| collect(&entry.path(), files)),
        Err(_) => {
            let ending = path.extension().and_then(|e| e.to_str()).unwrap_or_default();
            if ["abc", "xml", "mxl", "musicxml"].contains(&ending) {
                files.push(path.to_owned());
            }
        }
    }
}

/// Counts a reason, its numbers left out so that like ones fall together.
fn count(reasons: &mut BTreeMap<String, (usize, String)>, reason: &str, example: &str) {
    let mut key: String = reason.chars().filter(|c| !c.is_ascii_digit()).collect();
    key.truncate(key.char_indices().nth(90).map_or(key.len(), |(at, _)| at));
    reasons.entry(key).or_insert_with(|| (0, example.to_owned())).0 += 1;
}
