//! Each bad input ends in an error or finding that says where, what, and what
//! to do; nothing panics and no half-written output stays behind.

use std::io::Write;

use crate::scratch::Scratch;

fn abc(notes: &str) -> String {
    format!("X:1\nT:Trial\nM:4/4\nL:1/4\nK:C clef=treble-8\n{notes}\n")
}

#[test]
fn a_missing_file() {
    let scratch = Scratch::new("missing");
    let said = scratch.run(&["finger", "gone.abc", "-o", "out.musicxml", "--pdf", "out.pdf"]);
    said.fails(2, &["gone.abc", "there is no such file", "check the name"]);
    assert!(scratch.files().is_empty());
}

#[test]
fn a_folder_in_place_of_a_file() {
    let scratch = Scratch::new("folder");
    scratch.write("a.abc/b", "");
    scratch.run(&["finger", "a.abc"]).fails(2, &["a.abc", "cannot be read"]);
}

#[test]
fn an_unknown_format() {
    let scratch = Scratch::new("unknown");
    scratch.write("notes.txt", "just words");
    scratch.run(&["finger", "notes.txt"]).fails(2, &["notes.txt", "not MusicXML or ABC"]);
}

#[test]
fn broken_xml() {
    let scratch = Scratch::new("broken");
    scratch.write("broken.musicxml", "<score-partwise>\n<part-list>");
    let said = scratch.run(&["finger", "broken.musicxml", "-o", "out.musicxml"]);
    said.fails(2, &["broken.musicxml:2:", "broken XML"]);
    assert_eq!(scratch.files(), ["broken.musicxml"]);
}

#[test]
fn a_zip_bomb() {
    let scratch = Scratch::new("bomb");
    let mut zip = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    let options = zip::write::SimpleFileOptions::default();
    zip.start_file("META-INF/container.xml", options).unwrap();
    zip.write_all(
        b"<container><rootfiles><rootfile full-path=\"score.xml\"/></rootfiles></container>",
    )
    .unwrap();
    zip.start_file("score.xml", options).unwrap();
    let spaces = vec![b' '; 1 << 20];
    for _ in 0..128 {
        zip.write_all(&spaces).unwrap();
    }
    scratch.write("bomb.mxl", zip.finish().unwrap().into_inner());
    scratch.run(&["finger", "bomb.mxl"]).fails(2, &["bomb.mxl", "larger than"]);
}

#[test]
fn a_note_below_the_lowest_string() {
    let scratch = Scratch::new("below");
    scratch.write("low.abc", abc("B,, C E G |]"));
    let said = scratch.run(&["finger", "low.abc"]);
    said.fails(1, &["bar 1, beat 1", "below the lowest string", "an octave higher", "left out"]);
}

#[test]
fn a_note_above_the_last_fret() {
    let scratch = Scratch::new("above");
    scratch.write("high.abc", abc("C E G c' | c''4 |]"));
    let said = scratch.run(&["finger", "high.abc"]);
    said.fails(1, &["bar 2, beat 1", "above fret 19", "an octave lower"]);
}

#[test]
fn a_chord_of_seven_notes() {
    let scratch = Scratch::new("seven");
    scratch.write("seven.abc", abc("C E G c | [E,B,EGceg] z3 |]"));
    let said = scratch.run(&["finger", "seven.abc"]);
    said.fails(1, &["bar 2, beat 1", "7 notes", "6 strings", "leave out"]);
}

#[test]
fn two_pins_that_exclude_each_other() {
    let scratch = Scratch::new("exclude");
    scratch.write("a.abc", abc("C E G c |]"));
    let said = scratch.run(&["finger", "a.abc", "--pin", "1:3=string 3", "--pin", "1:3=string 4"]);
    said.fails(1, &["bar 1, beat 3", "exclude each other", "remove one"]);
}

#[test]
fn pins_on_nothing() {
    let scratch = Scratch::new("nothing");
    scratch.write("a.abc", abc("C E [Gc] c |]"));
    let said = scratch.run(&[
        "finger",
        "a.abc",
        "--pin",
        "9:1=fret 2",
        "--pin",
        "1:2½=fret 2",
        "--pin",
        "1:3=finger 1",
        "--position",
        "4-5=II",
        "--pattern",
        "7=p-i",
    ]);
    said.fails(
        1,
        &[
            "there is no bar 9",
            "no note begins at bar 1, beat 2½",
            "2 notes begin at bar 1, beat 3",
            "pitch = \"G4\" or \"C5\"",
            "there is no bar 4",
            "--pattern, bar 7: error: there is no bar 7 (the bars are 1 to 1)",
        ],
    );
}

#[test]
fn what_is_not_understood_on_the_command_line() {
    let scratch = Scratch::new("line");
    scratch.write("a.abc", abc("C4 |]"));
    scratch.write("level.toml", "barre = \"some\"\nhighest_fret = 3\n");
    for (arguments, says) in [
        (&["finger"][..], &["FILE"][..]),
        (
            &["finger", "a.abc", "--pin", "1=thumb"],
            &["--pin", "“thumb” cannot be pinned", "finger"],
        ),
        (&["finger", "a.abc", "--pin", "x=open"], &["“x” is neither a note nor bars"]),
        (&["finger", "a.abc", "--pin", "1=finger 5"], &["“5” is not a left finger", "to 4"]),
        (&["finger", "a.abc", "--pattern", "3-1=p-i"], &["--pattern", "not a range of bars"]),
        (&["finger", "a.abc", "--pair", "i-i"], &["--pair", "two different letters"]),
        (&["finger", "a.abc", "--hand", "giant"], &["--hand", "small, medium, large"]),
        (&["finger", "a.abc", "--reach", "1-4=900"], &["--reach", "millimetres from 15 to 250"]),
        (&["finger", "a.abc", "--reach", "4-1=90"], &["“4-1” is not a pair of fingers"]),
        (&["finger", "a.abc", "--reach", "2-3=99"], &["--reach: fingers 2-3", "2-4 only 95 mm"]),
        (&["finger", "a.abc", "--tuning", "E2 A2 D3"], &["4 to 10 strings, this one has 3"]),
        (&["finger", "a.abc", "--tuning", "7=B"], &["--tuning", "① to ⑥"]),
        (&["finger", "a.abc", "--scale-length", "65"], &["millimetres from 300 to 900"]),
        (&["finger", "a.abc", "--capo", "9", "--frets", "8"], &["--capo 9", "8 frets"]),
        (&["finger", "a.abc", "--position", "1=IIII"], &["not a position"]),
        (&["finger", "a.abc", "--pattern", "x"], &["right-hand pattern"]),
        (&["finger", "a.abc", "--level", "second"], &["neither “first” nor “open”"]),
        (
            &["finger", "a.abc", "--level", "level.toml"],
            &[
                "level.toml:1:9",
                "“none”, “small”, “half” or “full”",
                "did you mean “highest-fret”?",
            ],
        ),
        (&["fingers", "a.abc"], &["fingers"]),
        (&["build"], &["DIR"]),
    ] {
        scratch.run(arguments).fails(2, says);
    }
}

#[test]
fn outputs_that_cannot_be_written() {
    let scratch = Scratch::new("unwritable");
    scratch.write("a.abc", abc("C4 |]"));
    scratch.write("taken/out.musicxml/kept", "");
    let said = scratch.run(&["finger", "a.abc", "-o", "taken/out.musicxml"]);
    said.fails(2, &["taken/out.musicxml", "cannot be written"]);
    assert_eq!(scratch.files(), ["a.abc", "taken/out.musicxml/kept"]);
}

#[test]
fn a_plan_with_an_unknown_key() {
    let scratch = Scratch::new("plan");
    scratch.run(&["new", "b"]).succeeds();
    scratch.edit("b/book.toml", "subtitle", "subtitel");
    scratch.edit("b/sections/c-major.toml", "kind = \"triads\"", "kind = \"triad\"");
    let before = scratch.files();
    for command in ["check", "build"] {
        scratch.run(&[command, "b"]).fails(
            1,
            &[
                "book.toml:4: error: unknown key “subtitel”",
                "did you mean “subtitle”?",
                "sections/c-major.toml:21: error: “kind” cannot be “triad”",
                "did you mean “triads”?",
            ],
        );
    }
    assert_eq!(scratch.files(), before);
}

#[test]
fn a_folder_that_is_no_book() {
    let scratch = Scratch::new("nobook");
    scratch.write("empty/x", "");
    scratch.run(&["check", "empty"]).fails(2, &["there is no book.toml", "apoyando new"]);
    scratch.run(&["build", "gone"]).fails(2, &["gone", "no such folder"]);
    scratch.run(&["new", "empty"]).fails(2, &["is there already"]);
}

#[test]
fn a_piece_that_is_missing_or_broken() {
    let scratch = Scratch::new("piece");
    scratch.run(&["new", "b"]).succeeds();
    scratch.write("b/pieces/morning-walk.abc", "not music at all");
    scratch.run(&["check", "b"]).fails(1, &["sections/c-major.toml:29", "pieces/morning-walk.abc"]);
    std::fs::remove_file(scratch.path().join("b/pieces/morning-walk.abc")).unwrap();
    scratch
        .run(&["check", "b"])
        .fails(1, &["sections/c-major.toml:29", "there is no file pieces/morning-walk.abc"]);
}
