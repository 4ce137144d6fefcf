//! What `finger --format json` says was asked.

use serde_json::Value;

use crate::finger::{TUNE, json};
use crate::scratch::Scratch;

/// Whoever solves the model again finds here all that was asked.
#[test]
fn the_question_stands_beside_the_answer() {
    let scratch = Scratch::new("question");
    scratch.write("c.abc", TUNE.replace("K:C", "Q:3/8=60\nK:C"));
    let typed =
        ["finger", "c.abc", "--position", "2=II", "--pin", "1:2=not string 5", "--barre", "half"];
    let all = json(&scratch, &[&typed[..], &["--capo", "2", "--format", "json"]].concat());
    let piece = &all["files"][0]["pieces"][0];
    assert_eq!(piece["bars"][0]["quarters_a_minute"], "90");
    let part = &piece["parts"][0];
    let asked = &part["question"];
    assert_eq!(asked["instrument"]["open_strings"][5]["key"], 40);
    assert_eq!(asked["instrument"]["capo"], 2);
    assert_eq!(asked["level"]["barre"], "half");
    let table = apoyando_fingering::EffortTable::default();
    assert_eq!(asked["effort_table"]["stop"], table.stop);
    let pins = asked["pins"].as_array().unwrap();
    assert_eq!(pins.len(), 2);
    assert_eq!(pins[0]["scope"]["time"]["from"], "1");
    assert_eq!(pins[0]["allowed"], serde_json::json!([2]));
    assert_eq!(pins[1]["scope"]["tone"], 1);
    assert_eq!(pins[1]["rule"], "strings");
    assert!(!pins[1]["allowed"].as_array().unwrap().contains(&5.into()));
    let events = part["events"].as_array().unwrap();
    assert_eq!(events.len(), 8);
    assert_eq!(events[1]["tones"], serde_json::json!([1]));
}

/// Repeats, signatures, fermatas over rests, joins and house style are part of
/// the question too.
#[test]
fn what_is_written_stands_beside_the_answer() {
    let scratch = Scratch::new("written");
    let tune = "X:1\nT:Trial\nM:2/4\nL:1/4\nK:G clef=treble-8\nG A |: B !fermata!z :| c2 |]\n";
    scratch.write("g.abc", tune);
    scratch
        .write("house.toml", "fret-3 = 4\ndescending = \"open\"\nshapes = [\"xx0232 ...132\"]\n");
    let all = json(&scratch, &["finger", "g.abc", "--house", "house.toml", "--format", "json"]);
    let piece = &all["files"][0]["pieces"][0];
    assert_eq!(piece["playing_order"], serde_json::json!([0, 1, 1, 2]));
    let bar = &piece["bars"][1];
    assert_eq!([&bar["fifths"], &bar["repeat_end"]], [1, 2]);
    assert_eq!(bar["repeat_start"], true);
    assert_eq!(piece["bars"][2]["end"], "final");
    let part = &piece["parts"][0];
    let rest = &part["events"][3];
    assert_eq!(rest["tones"], serde_json::json!([]));
    assert_eq!(rest["fermata"], true);
    assert_eq!(rest["natural_harmonic"], false);
    let house = &part["question"]["house"];
    assert_eq!([&house["third_fret"], &house["shapes"][0][0]["finger"]], [4, 2]);
    assert_eq!(house["descending"], "open");
    assert_eq!(house["shapes"][0][5]["fret"], Value::Null);
    let posture = &part["postures"][0];
    for list in ["staying", "bound", "sounding"] {
        assert!(posture[list].is_array(), "{list}");
    }
    for nothing in ["away", "hinge"] {
        assert_eq!(posture.get(nothing), Some(&Value::Null), "{nothing}");
    }
    for list in ["hops", "seams", "joins"] {
        assert!(part[list].is_array(), "{list}");
    }
    assert_eq!(part["tones"][0]["joined"], false);
    assert_eq!(part["tones"][0]["auxiliaries"], serde_json::json!([]));
}

/// MusicXML 4.0, element hammer-on.
#[test]
fn a_technical_slur_is_a_join() {
    let scratch = Scratch::new("join");
    let note = |step: char, technical: &str| {
        format!(
            "<note><pitch><step>{step}</step><octave>4</octave></pitch><duration>1</duration>\
             <voice>1</voice><type>quarter</type><notations><technical>\
             <hammer-on type=\"{technical}\">H</hammer-on></technical></notations></note>"
        )
    };
    let score = format!(
        "<score-partwise version=\"4.0\"><part-list><score-part id=\"P1\"><part-name>G</part-name>\
         </score-part></part-list><part id=\"P1\"><measure number=\"1\"><attributes>\
         <divisions>1</divisions><time><beats>2</beats><beat-type>4</beat-type></time>\
         </attributes>{}{}</measure></part></score-partwise>",
        note('C', "start"),
        note('D', "stop")
    );
    scratch.write("h.musicxml", score);
    let all = json(&scratch, &["finger", "h.musicxml", "--format", "json"]);
    let joins = &all["files"][0]["pieces"][0]["parts"][0]["joins"];
    assert_eq!(*joins, serde_json::json!([{ "from": 0, "to": 1, "by": "slur" }]));
}
