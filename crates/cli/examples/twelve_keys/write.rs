//! A large book made up for measuring: twelve keys, 150 exercises, 24 pieces. Its
//! tunes are drawn by lot; nobody is meant to play them.

use std::fmt::Write as _;
use std::fs;
use std::io;
use std::path::Path;

use apoyando_music::Key;

/// The sections: file, key, key in ABC, letter of the tonic from C.
const KEYS: [(&str, &str, &str, i32); 12] = [
    ("c-major", "C major", "C", 0),
    ("a-minor", "A minor", "Am", 5),
    ("g-major", "G major", "G", 4),
    ("e-minor", "E minor", "Em", 2),
    ("d-major", "D major", "D", 1),
    ("b-minor", "B minor", "Bm", 6),
    ("a-major", "A major", "A", 5),
    ("f-major", "F major", "F", 3),
    ("d-minor", "D minor", "Dm", 1),
    ("e-major", "E major", "E", 2),
    ("b-flat-major", "Bb major", "Bb", 6),
    ("g-minor", "G minor", "Gm", 4),
];

/// Exercises of a section: 12 and 13 by turns, 150 in all.
const EXERCISES: [usize; 2] = [12, 13];

const MAJOR: [&str; 7] =
    ["I IV V7 I", "I vi IV V", "I ii V7 I", "I V vi IV", "vi ii V I", "I IV I V7", "ii V7 I IV"];
const MINOR: [&str; 7] =
    ["i iv V7 i", "i VI iv V", "i VII VI V", "i iv i V7", "VI iv V7 i", "i v iv i", "iv V7 i VI"];

/// Writes the book's folder.
///
/// # Errors
/// Where a file cannot be written.
pub fn write(folder: &Path) -> io::Result<()> {
    for inside in ["sections", "pieces"] {
        fs::create_dir_all(folder.join(inside))?;
    }
    let sections: Vec<String> = KEYS.iter().map(|key| format!("\"{}\"", key.0)).collect();
    let plan = format!(
        "title = \"Twelve Keys\"\nauthor = \"Nobody\"\nsections = [{}]\n\
         [level]\nhighest-fret = 12\nbarre = \"full\"\nextension = 1\n",
        sections.join(", ")
    );
    fs::write(folder.join("book.toml"), plan)?;
    let mut lots = Lots(0x9e37_79b9);
    for (nth, key) in KEYS.iter().enumerate() {
        let file = folder.join("sections").join(format!("{}.toml", key.0));
        fs::write(file, section(nth, key))?;
        let pieces = folder.join("pieces");
        fs::write(pieces.join(format!("{}-duet.abc", key.0)), piece(key, true, &mut lots))?;
        fs::write(pieces.join(format!("{}-solo.abc", key.0)), piece(key, false, &mut lots))?;
    }
    Ok(())
}

fn key_of(text: &str) -> Key {
    text.parse().expect("the keys above are keys")
}

fn section(nth: usize, &(name, key, ..): &(&str, &str, &str, i32)) -> String {
    let minor = key.ends_with("minor");
    let mut items = Vec::new();
    let mut item = |kind: &str, more: &str| items.push(format!("kind = \"{kind}\"\n{more}"));
    item("scale", "density = \"every-note\"\ngoal = 96");
    let eighths = format!("title = \"Scale of {} in eighths\"\n", key_of(key));
    item("scale", &format!("{eighths}note-value = \"eighth\"\nalso-with = [\"m i\", \"a m\"]"));
    item("position-scale", "");
    item("arpeggio", "aim = \"Keep the shape while it sounds.\"");
    item("triads", "");
    for degrees in if minor { MINOR } else { MAJOR } {
        item("progression", &format!("degrees = \"{degrees}\"\npattern = \"p i m a\""));
    }
    item("progression", &format!("degrees = \"{}\"", if minor { "i V7 i" } else { "I V7 I" }));
    items.truncate(EXERCISES[nth % 2]);
    items.push(format!("kind = \"duet\"\nfile = \"{name}-duet.abc\""));
    items.push(format!("kind = \"solo\"\nfile = \"{name}-solo.abc\""));
    let mut text = format!("title = \"{}\"\nkey = \"{key}\"\n", key_of(key));
    for item in items {
        let _ = write!(text, "\n[[items]]\n{item}\n");
    }
    text
}

/// Numbers drawn by a linear congruence: the same in every run.
struct Lots(u64);

impl Lots {
    fn below(&mut self, most: u64) -> u64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % most
    }
}

/// The letter of a step above C4 as ABC writes it.
fn letter(step: i32) -> String {
    const LETTERS: [char; 7] = ['C', 'D', 'E', 'F', 'G', 'A', 'B'];
    let letter = LETTERS[step.rem_euclid(7) as usize];
    match step.div_euclid(7) {
        0 => letter.to_string(),
        up if up > 0 => format!("{}{}", letter.to_ascii_lowercase(), "'".repeat(up as usize - 1)),
        down => format!("{letter}{}", ",".repeat(down.unsigned_abs() as usize)),
    }
}

/// A tune over chords, with a bass below it: two players, or two voices of one.
fn piece(&(_, key, abc, tonic): &(&str, &str, &str, i32), duet: bool, lots: &mut Lots) -> String {
    // In eighths: rhythms of a bar of four quarters.
    const RHYTHMS: [&[i32]; 6] =
        [&[2, 2, 2, 2], &[3, 1, 2, 2], &[1, 1, 2, 1, 1, 2], &[4, 2, 2], &[2, 1, 1, 4], &[2, 2, 4]];
    let kind = if duet { "Duet" } else { "Solo" };
    let (mut upper, mut lower) = (String::new(), String::new());
    let mut at = tonic + 7;
    let bars = 24;
    for bar in 0..bars {
        let root = [0, 3, 4, 0, 5, 1, 4, 0][bar % 8];
        let last = bar + 1 == bars;
        let rhythm: &[i32] = if last { &[8] } else { RHYTHMS[lots.below(6) as usize] };
        for (nth, length) in rhythm.iter().enumerate() {
            at += if nth == 0 { 0 } else { lots.below(5) as i32 - 2 };
            at = at.clamp(4, 9);
            if nth == 0 {
                // On the first beat a note of the chord.
                at += (0..3)
                    .find(|up| [0, 2, 4].contains(&(at + up - tonic - root).rem_euclid(7)))
                    .unwrap_or(0);
            }
            let _ = write!(upper, "{}{length} ", letter(at));
        }
        let bass = (tonic + root + 4).rem_euclid(7) - 4;
        let second = bass + 4;
        match (last, duet) {
            (true, _) => lower.push_str(&format!("{}8 ", letter(bass))),
            (_, true) => {
                let third = bass + 2;
                let [a, b, c] = [bass, third, second].map(letter);
                let _ = write!(lower, "{a}2 {b}2 {c}2 {b}2 ");
            }
            (_, false) => {
                lower.push_str(&format!("{}4 {}4 ", letter(bass), letter(bass.max(second - 7))))
            }
        }
        let line = if last {
            "|]\n"
        } else if bar % 4 == 3 {
            "|\n"
        } else {
            "| "
        };
        upper.push_str(line);
        lower.push_str(line);
    }
    let voices = |number: u8, text: &str| -> String {
        text.lines().map(|line| format!("[V:{number}] {line}\n")).collect()
    };
    let head = if duet {
        "V:1 name=\"Student\" clef=treble-8\nV:2 name=\"Teacher\" clef=treble-8\n"
    } else {
        "%%score (1 2)\nV:1 clef=treble-8\nV:2 clef=treble-8\n"
    };
    let key = key_of(key);
    format!(
        "X:1\nT:{kind} in {key}\nC:by lot\nM:4/4\nL:1/8\nQ:1/4=88\nK:{abc}\n{head}{}{}",
        voices(1, &upper),
        voices(2, &lower)
    )
}
