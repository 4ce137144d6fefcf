//! `finger`: from a score to its fingering.

use serde_json::Value;

use crate::scratch::Scratch;

const TUNE: &str = "X:1\nT:Trial\nM:4/4\nL:1/4\nK:C clef=treble-8\nC D E F | G A B c |]\n";

fn json(scratch: &Scratch, arguments: &[&str]) -> Value {
    let said = scratch.run(arguments);
    said.succeeds();
    serde_json::from_str(&said.out).unwrap()
}

/// Places and fingers of a part's tones: `53` is ⑤ fret 3.
fn places(part: &Value) -> Vec<String> {
    let tones = part["tones"].as_array().unwrap();
    tones.iter().map(|tone| format!("{}{}", tone["string"], tone["fret"])).collect()
}

/// Common practice, no source: the scale of C in the first position.
#[test]
fn the_open_scale_of_c_lies_in_the_first_position() {
    let scratch = Scratch::new("scale");
    scratch.write("c.abc", TUNE);
    let all = json(&scratch, &["finger", "c.abc", "--level", "first", "--format", "json"]);
    let part = &all["files"][0]["pieces"][0]["parts"][0];
    assert_eq!(places(part), ["53", "40", "42", "43", "30", "32", "20", "21"]);
    let fingers: Vec<i64> = part["tones"]
        .as_array()
        .unwrap()
        .iter()
        .map(|tone| tone["finger"].as_i64().unwrap())
        .collect();
    assert_eq!(fingers, [3, 0, 2, 3, 0, 2, 0, 1]);
    assert_eq!(part["violations"].as_array().unwrap().len(), 0);
    assert_eq!(part["price"]["broken"], 0);
    assert_eq!(part["positions"][0]["what"], 1);
    let sum: i64 = part["effort"]
        .as_array()
        .unwrap()
        .iter()
        .map(|item| item["amount"].as_i64().unwrap())
        .sum();
    assert_eq!(part["price"]["effort"], sum);
}

#[test]
fn pins_positions_and_patterns_are_obeyed() {
    let scratch = Scratch::new("obeyed");
    scratch.write("c.abc", TUNE);
    let all = json(
        &scratch,
        &[
            "finger",
            "c.abc",
            "--position",
            "2=II",
            "--pin",
            "1:2=string 5",
            "--pin",
            "1:3=not finger 2",
            "--pattern",
            "p-i",
            "--format",
            "json",
        ],
    );
    let part = &all["files"][0]["pieces"][0]["parts"][0];
    let tones = part["tones"].as_array().unwrap();
    assert_eq!(tones[1]["string"], 5);
    assert_ne!(tones[2]["finger"], 2);
    let right: String = tones.iter().map(|tone| tone["right"].as_str().unwrap()).collect();
    assert_eq!(right, "pipipipi");
    for posture in part["postures"].as_array().unwrap() {
        if posture["bar"] == 2 && posture["in_the_air"] == false {
            assert_eq!(posture["position"], 2);
        }
    }
}

#[test]
fn the_table_says_what_a_player_needs() {
    let scratch = Scratch::new("table");
    scratch.write("c.abc", TUNE);
    let said = scratch.run(&["finger", "c.abc"]);
    said.succeeds();
    for row in ["bar   1", "①", "⑥", "positions  I", "shifts     none", "barres     none", "effort"]
    {
        assert!(said.out.contains(row), "{row}\n{}", said.out);
    }
    assert!(said.out.contains("3₃"), "{}", said.out);
}

#[test]
fn fingered_files_are_written_whole_and_read_back() {
    let scratch = Scratch::new("written");
    scratch.write("c.abc", TUNE);
    let said = scratch.run(&["finger", "c.abc", "-o", "out/c.musicxml", "--pdf", "out/c.pdf"]);
    said.succeeds();
    assert_eq!(scratch.files(), ["c.abc", "out/c.musicxml", "out/c.pdf"]);
    let pdf = std::fs::read(scratch.path().join("out/c.pdf")).unwrap();
    assert!(pdf.starts_with(b"%PDF-"));
    let xml = scratch.read("out/c.musicxml");
    assert!(xml.contains("<string>5</string>") && xml.contains("<fret>3</fret>"), "{xml}");
    // What was written is read again with the same places, as pins.
    let before = json(&scratch, &["finger", "c.abc", "--format", "json"]);
    let after = json(&scratch, &["finger", "out/c.musicxml", "--format", "json"]);
    let part = |all: &Value| places(&all["files"][0]["pieces"][0]["parts"][0]);
    assert_eq!(part(&before), part(&after));
}

#[test]
fn several_files_are_fingered_and_one_bad_one_does_not_stop_the_rest() {
    let scratch = Scratch::new("several");
    scratch.write("a.abc", TUNE);
    let said = scratch.run(&["finger", "gone.abc", "a.abc", "--format", "json"]);
    assert_eq!(said.code, Some(2));
    let all: Value = serde_json::from_str(&said.out).unwrap();
    assert!(all["files"][0]["error"].as_str().unwrap().contains("gone.abc"));
    assert_eq!(all["files"][1]["pieces"][0]["parts"][0]["fingered"], true);
    let said = scratch.run(&["finger", "a.abc", "a.abc", "-o", "one.musicxml"]);
    said.fails(2, &["several scores cannot be written to one file"]);
}
