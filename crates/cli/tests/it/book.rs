//! `new`, `check`, `build`.

use crate::scratch::Scratch;

#[test]
fn a_new_book_is_built_as_it_is() {
    let scratch = Scratch::new("new");
    scratch.run(&["new", "b"]).succeeds();
    let before = scratch.files();
    let said = scratch.run(&["check", "b"]);
    said.succeeds();
    assert!(said.out.contains("0 errors"), "{}", said.out);
    assert_eq!(scratch.files(), before, "check writes nothing");
    let said = scratch.run(&["build", "b", "--png", "30"]);
    said.succeeds();
    assert!(said.err.contains("[6/6]"), "{}", said.err);
    let files = scratch.files();
    for file in [
        "b/out/book.pdf",
        "b/out/png/book/page-001.png",
        "b/out/students/c-major.html",
        "b/out/pictures/c-major-06-solo.svg",
        "b/out/pictures/c-major-06-solo.png",
        "b/out/musicxml/c-major-01-scale.musicxml",
        "b/out/musicxml/c-major-06-solo.musicxml",
    ] {
        assert!(files.iter().any(|there| there == file), "{file}\n{files:?}");
    }
    assert!(files.iter().all(|file| !file.ends_with(".part")), "{files:?}");
}

#[test]
fn the_same_book_gives_the_same_bytes() {
    let scratch = Scratch::new("same");
    scratch.run(&["new", "b"]).succeeds();
    let read = || {
        let files = ["b/out/book.pdf", "b/out/students/c-major.html"];
        files.map(|file| std::fs::read(scratch.path().join(file)).unwrap())
    };
    scratch.run(&["build", "b"]).succeeds();
    let first = read();
    scratch.run(&["build", "b"]).succeeds();
    assert!(first == read());
}

#[test]
fn one_edition_is_built_by_its_name() {
    let scratch = Scratch::new("editions");
    scratch.run(&["new", "b"]).succeeds();
    let plan = scratch.read("b/book.toml");
    let more = "[[editions]]\nname = \"large\"\nlarge-print = true\n";
    scratch.write("b/book.toml", format!("{plan}\n{more}"));
    let said = scratch.run(&["build", "b", "--edition", "large"]);
    said.succeeds();
    assert!(said.err.contains("large [6/6]"), "{}", said.err);
    let made = |scratch: &Scratch| -> Vec<String> {
        let files = scratch.files().into_iter();
        files.filter(|file| file.ends_with(".pdf")).collect()
    };
    assert_eq!(made(&scratch), ["b/out/book-large.pdf"]);
    scratch.run(&["build", "b", "--edition", "main"]).succeeds();
    assert_eq!(made(&scratch), ["b/out/book-large.pdf", "b/out/book.pdf"]);
    scratch
        .run(&["build", "b", "--edition", "small"])
        .fails(2, &["no edition “small”", "main, large", "name = \"small\""]);
}

#[test]
fn findings_are_written_for_programs() {
    let scratch = Scratch::new("json");
    scratch.run(&["new", "b"]).succeeds();
    scratch.edit("b/sections/c-major.toml", "degrees = \"I IV V7 I\"", "degrees = \"I XX\"");
    let said = scratch.run(&["check", "b", "--format", "json"]);
    assert_eq!(said.code, Some(1));
    let all: serde_json::Value = serde_json::from_str(&said.out).unwrap();
    let finding = &all["findings"][0];
    assert_eq!(finding["place"]["file"], "sections/c-major.toml");
    assert_eq!(finding["place"]["line"], 25);
    assert_eq!(finding["severity"], "error");
}

const PIN: &str = "\n[[items.pins]]\nbar = 4\nbeat = 1\nfinger = 4\n";

/// The finger of the first note of a bar in the book's solo, as it is printed
/// into its MusicXML.
fn finger_of_bar(scratch: &Scratch, bar: u32) -> Option<String> {
    let xml = scratch.read("b/out/musicxml/c-major-06-solo.musicxml");
    let (_, rest) = xml.split_once(&format!("<measure number=\"{bar}\""))?;
    let (measure, _) = rest.split_once("</measure>")?;
    let (note, _) = measure.split_once("</note>")?;
    let (_, finger) = note.split_once("<fingering")?;
    let (_, finger) = finger.split_once('>')?;
    finger.split_once('<').map(|(digit, _)| digit.to_owned())
}

#[test]
fn a_pin_follows_its_note_when_bars_are_added_or_the_piece_is_transposed() {
    let scratch = Scratch::new("follow");
    scratch.run(&["new", "b"]).succeeds();
    let plan = scratch.read("b/sections/c-major.toml");
    scratch.write("b/sections/c-major.toml", plan + "density = \"every-note\"\n" + PIN);
    scratch.run(&["build", "b"]).succeeds();
    assert_eq!(finger_of_bar(&scratch, 4).as_deref(), Some("4"));
    let remembered = scratch.read("b/pieces/morning-walk.abc.pins.toml");
    assert!(remembered.contains("plan = \"bar 4, beat 1\""), "{remembered}");

    // Two new bars before it.
    scratch.edit("b/pieces/morning-walk.abc", "\nC E G |", "\nG3 | E3 | C E G |");
    let said = scratch.run(&["build", "b"]);
    said.succeeds();
    assert!(
        said.out.contains("the pin at bar 4, beat 1 follows its note to bar 6"),
        "{}",
        said.out
    );
    assert_eq!(finger_of_bar(&scratch, 6).as_deref(), Some("4"));
    assert_ne!(finger_of_bar(&scratch, 4).as_deref(), Some("4"));

    // The plan is put right: nothing is left to say, but that there are bars
    // like this one.
    scratch.edit("b/sections/c-major.toml", "bar = 4", "bar = 6");
    let said = scratch.run(&["build", "b"]);
    said.succeeds();
    let advice: Vec<&str> = said.out.lines().filter(|line| line.contains("advice: ")).collect();
    assert!(matches!(advice[..], [like] if like.contains("like-bar-unlike")), "{}", said.out);

    // Its bar is taken out: the pin is lost, and says so until it is settled.
    scratch.edit("b/pieces/morning-walk.abc", "E3 | D E F", "D E F");
    for _ in 0..2 {
        let said = scratch.run(&["build", "b"]);
        said.fails(1, &["sections/c-major.toml:", "is no longer in the piece", "pins.toml"]);
    }
}

#[test]
fn a_book_has_a_house_style_and_pins_over_bars() {
    let scratch = Scratch::new("style");
    scratch.run(&["new", "b"]).succeeds();
    let plan = scratch.read("b/sections/c-major.toml");
    scratch.write("b/sections/c-major.toml", plan + "density = \"every-note\"\n");
    let fingers = |scratch: &Scratch| {
        let xml = scratch.read("b/out/musicxml/c-major-06-solo.musicxml");
        let digits = xml.split("<fingering").skip(1).filter_map(|rest| rest.split_once('>'));
        digits.filter_map(|(_, rest)| rest.chars().next()).collect::<String>()
    };
    scratch.edit("b/book.toml", "[house]", "[house]\nfret-3 = 3");
    scratch.run(&["build", "b"]).succeeds();
    let three = fingers(&scratch);
    scratch.edit("b/book.toml", "fret-3 = 3", "fret-3 = 4");
    scratch.run(&["build", "b"]).succeeds();
    let four = fingers(&scratch);
    assert!(three.contains('3') && !three.contains('4'), "{three}");
    assert!(four.contains('4') && !four.contains('3'), "{four}");
    let plan = scratch.read("b/sections/c-major.toml");
    let pin = "\n[[items.pins]]\nbars = \"1-4\"\nnot-finger = 4\n";
    scratch.write("b/sections/c-major.toml", plan + pin);
    scratch.run(&["build", "b"]).succeeds();
    let pinned = fingers(&scratch);
    assert!(pinned.contains('3') && pinned.len() == four.len(), "{pinned}");
}

#[test]
fn a_pattern_holds_in_its_bars() {
    let scratch = Scratch::new("patterns");
    scratch.run(&["new", "b"]).succeeds();
    let plan = scratch.read("b/sections/c-major.toml");
    let pattern = "density = \"every-note\"\n\n[[items.patterns]]\nbars = \"2\"\npattern = \"a\"\n";
    scratch.write("b/sections/c-major.toml", format!("{plan}{pattern}"));
    scratch.run(&["build", "b"]).succeeds();
    let xml = scratch.read("b/out/musicxml/c-major-06-solo.musicxml");
    let plucks = |bar: &str| {
        let (_, rest) = xml.split_once(&format!("<measure number=\"{bar}\"")).unwrap();
        let (measure, _) = rest.split_once("</measure>").unwrap();
        let letters = measure.split("<pluck").skip(1).filter_map(|rest| rest.split_once('>'));
        letters.filter_map(|(_, rest)| rest.chars().next()).collect::<String>()
    };
    assert!(!plucks("2").is_empty() && plucks("2").chars().all(|c| c == 'a'), "{}", plucks("2"));
    assert!(!plucks("1").contains('a') && !plucks("3").contains('a'));
    scratch
        .write("b/sections/c-major.toml", format!("{plan}{}", pattern.replace("\"2\"", "\"99\"")));
    scratch.run(&["build", "b"]).fails(1, &["sections/c-major.toml:", "there is no bar 99"]);
}
