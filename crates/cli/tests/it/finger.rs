//! `finger`: from a score to its fingering.

use serde_json::Value;

use crate::scratch::Scratch;

pub const TUNE: &str = "X:1\nT:Trial\nM:4/4\nL:1/4\nK:C clef=treble-8\nC D E F | G A B c |]\n";

pub fn json(scratch: &Scratch, arguments: &[&str]) -> Value {
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
        if posture["bar"] == 2 && posture["idle"] == false {
            assert_eq!(posture["position"], 2);
        }
    }
}

#[test]
fn a_short_piece_has_a_line_to_every_note() {
    let scratch = Scratch::new("notes");
    scratch.write("c.abc", TUNE);
    let said = scratch.run(&["finger", "c.abc"]);
    said.succeeds();
    let rows: Vec<Vec<&str>> =
        said.out.lines().map(|line| line.split_whitespace().collect()).collect();
    let has =
        |row: &[&str]| assert!(rows.iter().any(|found| found == row), "{row:?}\n{}", said.out);
    has(&["bar", "beat", "note", "string", "fret", "left", "right", "position"]);
    has(&["1", "1", "C4", "⑤", "3", "3", "i", "rest", "I"]);
    has(&["2", "D4", "④", "0", "0", "m", "rest"]);
    has(&["2", "1", "G4", "③", "0", "0", "i", "rest"]);
    has(&["positions", "I", "1:1–2:4"]);
    has(&["shifts", "none"]);
    has(&["barres", "none"]);
    // Every line of the effort begins with its amount: they make the whole.
    let effort = rows.iter().position(|row| row.first() == Some(&"effort")).unwrap();
    let whole: i64 = rows[effort][1].parse().unwrap();
    let terms = rows[effort + 1..].iter().map_while(|row| row.first()?.parse::<i64>().ok());
    assert_eq!(terms.sum::<i64>(), whole);
}

#[test]
fn shifts_and_barres_stand_beside_their_notes() {
    let scratch = Scratch::new("marked");
    scratch.write("f.abc", RISING);
    let said = scratch.run(&["finger", "f.abc", "--position", "3=VII,VIII"]);
    said.succeeds();
    let line = |what: &str| said.out.lines().find(|line| line.contains(what)).map(str::to_owned);
    let laid = line("barre fret 1 ①–⑥").expect(&said.out);
    assert!(laid.contains("1  1     F5    ①"), "{laid}");
    assert!(
        line("barre off fret 1").is_some_and(|line| line.contains("2  1     C5")),
        "{}",
        said.out
    );
    // Where the programs are told of a shift, the players are too.
    let shift = &part(&scratch, &["--position", "3=VII,VIII"])["shifts"][0];
    let shifted = line("shift I→V").expect(&said.out);
    let place = format!("{} ", shift["beat"].as_str().unwrap());
    assert!(shifted.trim_start().starts_with(&place) || shift["beat"] == "1", "{shifted}");
    assert!(shifted.contains("  V"), "{shifted}");
}

#[test]
fn a_longer_piece_has_its_strings_as_lines_and_either_can_be_asked_for() {
    let scratch = Scratch::new("table");
    scratch.write("c.abc", TUNE);
    scratch.write("long.abc", TUNE.replace(" |]", &(" | C D E F | G A B c".repeat(3) + " |]")));
    let strings = ["bar   1", "①", "⑥", "positions  I", "shifts     none", "effort", "3₃"];
    let short = scratch.run(&["finger", "c.abc", "--show", "strings"]);
    let long = scratch.run(&["finger", "long.abc"]);
    for row in strings {
        assert!(short.out.contains(row) && long.out.contains(row), "{row}\n{}", long.out);
    }
    let notes = scratch.run(&["finger", "long.abc", "--show", "notes"]);
    assert_eq!(notes.out.matches("⑤").count(), 4, "{}", notes.out);
    let summary = scratch.run(&["finger", "long.abc", "--show", "summary"]);
    assert!(summary.out.contains("positions  I") && !summary.out.contains('⑤'), "{}", summary.out);
}

/// Fingers, strings and frets of the tones, and their right fingers.
fn played(scratch: &Scratch, arguments: &[&str]) -> (Vec<[i64; 3]>, String) {
    let all = json(scratch, &[&["finger", "c.abc", "--format", "json"], arguments].concat());
    let tones = all["files"][0]["pieces"][0]["parts"][0]["tones"].as_array().unwrap().clone();
    let number = |tone: &Value, key: &str| tone[key].as_i64().unwrap();
    let left = tones
        .iter()
        .map(|tone| [number(tone, "finger"), number(tone, "string"), number(tone, "fret")])
        .collect();
    (left, tones.iter().map(|tone| tone["right"].as_str().unwrap()).collect())
}

#[test]
fn what_is_not_allowed_in_some_bars_is_avoided_there() {
    let scratch = Scratch::new("not");
    scratch.write("c.abc", TUNE);
    let (free, _) = played(&scratch, &[]);
    assert!(free.iter().any(|[finger, ..]| *finger == 0) && free[4][0] == 0);
    let (left, _) = played(&scratch, &["--pin", "2=not open"]);
    assert!(left[4..].iter().all(|[finger, ..]| *finger != 0), "{left:?}");
    assert_eq!(left[1][0], 0, "{left:?}");
    let (left, _) = played(&scratch, &["--pin", "1-2=not 3", "--pin", "1:1=not finger 2"]);
    assert!(left.iter().all(|[finger, ..]| *finger != 3) && left[0][0] != 2, "{left:?}");
    let (left, _) = played(&scratch, &["--pin", "2:1=string 4,5", "--pin", "1:3=fret 2 or 7"]);
    assert!([4, 5].contains(&left[4][1]) && [2, 7].contains(&left[2][2]), "{left:?}");
    let (left, _) = played(&scratch, &["--position", "1-2=not I"]);
    assert_ne!(left, free);
}

#[test]
fn patterns_hold_in_their_bars_and_pairs_in_the_others() {
    let scratch = Scratch::new("right");
    scratch.write("c.abc", TUNE);
    let (_, right) = played(&scratch, &["--pattern", "2=p-i", "--pair", "m-a"]);
    assert_eq!(right, "mamapipi");
    let said = scratch.run(&["finger", "c.abc", "--stroke", "free"]);
    said.succeeds();
    assert!(!said.out.contains("rest"), "{}", said.out);
}

/// Common practice, no source: with ⑥ down to D, low D is an open string; with
/// ③ at F♯, so is F♯.
#[test]
fn strings_are_tuned_and_stopped_by_a_capo() {
    let scratch = Scratch::new("tuning");
    scratch.write("c.abc", "X:1\nT:Low\nM:4/4\nL:1/4\nK:G clef=treble-8\nD,2 F2 |]\n");
    let (left, _) = played(&scratch, &["--tuning", "6=D 3=F#"]);
    assert_eq!(left[0], [0, 6, 0]);
    let (left, _) = played(&scratch, &["--tuning", "D2 A2 D3 G3 B3 E4"]);
    assert_eq!((left[0], left[1][2]), ([0, 6, 0], 4));
    scratch.write("c.abc", "X:1\nT:Low\nM:4/4\nL:1/4\nK:C clef=treble-8\nG,2 C2 |]\n");
    let (left, _) = played(&scratch, &["--capo", "3"]);
    assert_eq!(left, [[0, 6, 0], [0, 5, 0]]);
}

/// One on ⑥1 and another on ⑤5 lie farther apart than a small hand opens on
/// 650 mm (126 mm along the neck), not on 520 mm (101 mm). The rule of twelfth
/// roots gives the lengths.
#[test]
fn a_small_hand_reaches_farther_in_frets_on_a_shorter_neck() {
    let scratch = Scratch::new("hand");
    scratch.write("c.abc", "X:1\nT:Wide\nM:4/4\nL:1/4\nK:C clef=treble-8\n[F,D]4 |]\n");
    let pins = ["--pin", "1:1:1:F3=fret 1", "--pin", "1:1:1:D4=string 5", "--format", "json"];
    let fits = |more: &[&str]| {
        let typed = [&["finger", "c.abc", "--extension", "3"], &pins[..], more].concat();
        let said = scratch.run(&typed);
        let all: Value = serde_json::from_str(&said.out).unwrap();
        let price = &all["files"][0]["pieces"][0]["parts"][0]["price"];
        price["escapes"] == 0 && price["broken"] == 0
    };
    assert!(!fits(&["--hand", "small"]));
    assert!(fits(&["--hand", "small", "--scale-length", "520"]));
    assert!(fits(&["--hand", "small", "--reach", "1-4=135"]));
    assert!(fits(&["--hand", "large"]));
    assert!(!fits(&["--hand", "large", "--reach", "1-4=118"]));
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

const RISING: &str = "X:1\nT:Up\nM:4/4\nL:1/4\nK:C clef=treble-8\n\
    [F,CFAcf]4 | c d e f | g a b c' |]\n";

fn part(scratch: &Scratch, arguments: &[&str]) -> Value {
    let all = json(scratch, &[&["finger", "f.abc", "--format", "json"], arguments].concat());
    all["files"][0]["pieces"][0]["parts"][0].clone()
}

/// The changes of a way add up to what it costs more.
fn adds_up(way: &Value) {
    let changes = way["changes"].as_array().unwrap();
    let sum: i64 = changes.iter().map(|change| change["amount"].as_i64().unwrap()).sum();
    assert_eq!(way["more"], sum, "{way:#}");
}

/// Each other way of a note is the best there is: pinned to it, the search
/// finds nothing cheaper and nothing dearer.
#[test]
fn other_ways_of_a_note_are_what_a_pin_would_bring() {
    let scratch = Scratch::new("ways");
    scratch.write("f.abc", RISING);
    let asked = part(&scratch, &["--alternatives", "3:2", "--alternatives", "2:3"]);
    let whole = asked["price"]["effort"].as_u64().unwrap();
    let notes = asked["alternatives"].as_array().unwrap();
    assert_eq!(notes.len(), 2);
    let mut seen = [0usize; 3];
    for (note, place) in notes.iter().zip(["2:3", "3:2"]) {
        let tone = &asked["tones"][note["tone"].as_u64().unwrap() as usize];
        assert_eq!(format!("{}:{}", tone["bar"], tone["beat"].as_str().unwrap()), place);
        let mut dearest = 0;
        for way in note["ways"].as_array().unwrap() {
            adds_up(way);
            let more = way["more"].as_u64().unwrap();
            assert!(more >= dearest, "cheapest first");
            dearest = more;
            let mut pins = Vec::new();
            if let (Some(string), Some(fret)) = (way["string"].as_u64(), way["fret"].as_u64()) {
                seen[0] += 1;
                pins.push(format!("{place}=string {string}"));
                assert_eq!(way["played"]["string"], string);
                assert_eq!(way["played"]["fret"], fret);
            } else if let Some(finger) = way["finger"].as_u64() {
                seen[1] += 1;
                pins.push(format!("{place}=finger {finger}"));
                pins.push(format!("{place}=string {}", tone["string"]));
            } else {
                // A pin on a position is kept in the air too; this one is not.
                pins.push(format!("{place}=position {}", way["position"]));
                pins.push(format!("{place}=not open"));
            }
            let typed: Vec<&str> = pins.iter().flat_map(|pin| ["--pin", pin]).collect();
            let pinned = part(&scratch, &typed);
            let postures = pinned["postures"].as_array().unwrap();
            let there = postures.iter().find(|posture| posture["at"] == tone["at"]).unwrap();
            if !way["position"].is_null() && !there["away"].is_null() {
                // A pin on a position is kept by a reach to it as well.
                assert!(pinned["price"]["effort"].as_u64().unwrap() <= whole + more, "{pins:?}");
                continue;
            }
            seen[2] += usize::from(!way["position"].is_null());
            assert_eq!(pinned["price"]["effort"], whole + more, "{pins:?}");
            assert_eq!(way["price"], pinned["price"]);
        }
    }
    assert!(seen.iter().all(|count| *count > 2), "{seen:?}");
}

#[test]
fn other_ways_of_bars_are_what_a_rule_over_them_would_bring() {
    let scratch = Scratch::new("passages");
    scratch.write("f.abc", RISING);
    let asked = part(&scratch, &["--alternatives", "2"]);
    let passage = &asked["passages"][0];
    assert_eq!((&passage["first_bar"], &passage["last_bar"]), (&2.into(), &2.into()));
    let ways = passage["ways"].as_array().unwrap();
    assert!(ways.iter().any(|way| way["no_open_string"] == true));
    for way in ways {
        adds_up(way);
        let rule = match way["position"].as_u64() {
            Some(position) => format!("2=position {position}"),
            None => "2=not open".to_owned(),
        };
        assert_eq!(part(&scratch, &["--pin", &rule])["price"], way["price"], "{rule}");
    }
}

#[test]
fn reasons_are_given_for_all_notes_or_for_those_of_a_place() {
    let scratch = Scratch::new("reasons");
    scratch.write("f.abc", RISING);
    let reasons =
        |arguments: &[&str]| part(&scratch, arguments)["reasons"].as_array().unwrap().clone();
    assert_eq!(reasons(&[]).len(), 0);
    assert_eq!(reasons(&["--reasons=3"]).len(), 4);
    let all = reasons(&["--reasons"]);
    assert_eq!(all.len(), 14);
    assert!(all.iter().all(|reason| !reason["sentence"].as_str().unwrap().is_empty()));
    all.iter().filter(|reason| !reason["against"].is_null()).for_each(|r| adds_up(&r["against"]));
    let said = scratch.run(&["finger", "f.abc", "--reasons=2:3", "--alternatives", "2:3"]);
    said.succeeds();
    assert!(said.out.contains("reasons\n    2:3 E5"), "{}", said.out);
    assert!(said.out.contains("other ways for 2:3 E5, now open ①"), "{}", said.out);
    scratch.run(&["finger", "f.abc", "--reasons=9", "--alternatives", "1:1"]).fails(
        1,
        &[
            "--reasons, bar 9: error: there is no bar 9",
            "--alternatives, bar 1, beat 1",
            "6 notes begin",
        ],
    );
}

#[test]
fn reaches_and_ways_back_stand_with_the_shifts() {
    let scratch = Scratch::new("reaches");
    let tune = "X:1\nT:Round\nM:4/4\nL:1/4\nK:C clef=treble-8\n|: f g c' g | d' c' d' c' :|\n";
    scratch.write("r.abc", tune);
    let typed = ["--position", "2=VII", "--pin", "1=string 1"];
    let all = json(&scratch, &[&["finger", "r.abc", "--format", "json"], &typed[..]].concat());
    let part = &all["files"][0]["pieces"][0]["parts"][0];
    assert_eq!(part["hops"][0]["what"], 5);
    assert_eq!(part["seams"][0]["shift"]["from"], 7);
    let said = scratch.run(&[&["finger", "r.abc"], &typed[..]].concat());
    said.succeeds();
    for line in ["  reaches    V 1:3–1:3\n", "  ways back  2:4→1:1 VII→I\n", "reach to V"] {
        assert!(said.out.contains(line), "{line}\n{}", said.out);
    }
}

#[test]
fn what_is_to_be_prepared_is_told_when_asked() {
    let scratch = Scratch::new("prepare");
    scratch.write("f.abc", RISING);
    let asked = ["finger", "f.abc", "--position", "3=VII,VIII"];
    let part = |more: &[&str]| {
        let all = json(&scratch, &[&asked[..], &["--format", "json"], more].concat());
        all["files"][0]["pieces"][0]["parts"][0].clone()
    };
    assert!(part(&[])["preparation"].is_null());
    let told = part(&["--prepare"]);
    let told = told["preparation"].as_array().unwrap();
    assert!(told[0].as_str().unwrap().contains("is the hardest"), "{told:?}");
    assert!(told.iter().any(|said| said.as_str().unwrap().contains("lay a ")), "{told:?}");
    let said = scratch.run(&[&asked[..], &["--prepare"]].concat());
    said.succeeds();
    let (_, prepared) = said.out.split_once("\n  to prepare\n").expect(&said.out);
    assert_eq!(prepared.lines().take(told.len()).map(str::trim).collect::<Vec<_>>(), *told);
}

/// Common practice, no source: schools differ in 3 or 4 on fret 3 in the first
/// position, and in the fingers of D minor.
#[test]
fn a_house_style_is_kept_where_it_costs_little() {
    let scratch = Scratch::new("house");
    scratch.write("c.abc", "X:1\nT:Down\nM:4/4\nL:1/4\nK:C clef=treble-8\ng f e d | c B A G |]\n");
    scratch.write("four.toml", "fret-3 = 4\n");
    scratch.write("three.toml", "fret-3 = 3\n");
    let third_fret = |house: &str| {
        let (left, _) = played(&scratch, &["--house", house]);
        assert_eq!([left[0], left[3]].map(|[_, string, fret]| (string, fret)), [(1, 3), (2, 3)]);
        [left[0][0], left[3][0]]
    };
    assert_eq!(third_fret("four.toml"), [4, 4]);
    // What a house prefers is no decision to be offered elsewhere.
    let twice = "X:1\nT:Twice\nM:4/4\nL:1/4\nK:C clef=treble-8\ng f e d | c4 | g f e d | c4 |]\n";
    scratch.write("twice.abc", twice);
    let said =
        scratch.run(&["finger", "twice.abc", "--house", "four.toml", "--pin", "3=not finger 4"]);
    assert!(said.err.contains("not kept in bar 3"), "{}", said.err);
    assert!(!said.err.contains("like-bar-unlike"), "{}", said.err);
    assert_eq!(third_fret("three.toml"), [3, 3]);
    // A pin outranks it.
    let (left, _) = played(&scratch, &["--house", "four.toml", "--pin", "1:1=finger 3"]);
    assert_eq!([left[0][0], left[3][0]], [3, 4]);
    // Worth little, it is not kept, and that is said with what it would cost.
    scratch.write("poor.toml", "fret-3 = 4\nworth = 1\n");
    let said = scratch.run(&["finger", "c.abc", "--house", "poor.toml"]);
    said.succeeds();
    let advice = "house style is not kept in bar 1, where keeping it would cost ";
    assert!(said.err.contains(advice), "{}", said.err);
    assert!(said.err.contains("; it is worth 1 a note"), "{}", said.err);
    let (poor, _) = played(&scratch, &["--house", "poor.toml"]);
    assert_eq!(poor, played(&scratch, &[]).0);
    // The open E and B are stopped on the way down, at their price.
    scratch.write("stopped.toml", "descending = \"stopped\"\nworth = 60\n");
    let open = |left: &[[i64; 3]]| left.iter().filter(|[finger, ..]| *finger == 0).count();
    let (stopped, _) = played(&scratch, &["--house", "stopped.toml"]);
    assert!(open(&poor) >= 3 && open(&stopped) == 0, "{poor:?} {stopped:?}");
}

/// A piece of a book is fingered in the style of the book, at its effort, unless
/// another style is named; the plan of a book can be named too.
#[test]
fn a_piece_of_a_book_has_the_style_of_the_book() {
    let scratch = Scratch::new("house-of-book");
    let tune = "X:1\nT:Down\nM:4/4\nL:1/4\nK:C clef=treble-8\ng f e d | c B A G |]\n";
    scratch.write("c.abc", tune);
    scratch.run(&["new", "b"]).succeeds();
    scratch.write("b/pieces/c.abc", tune);
    scratch.edit("b/book.toml", "[house]", "[effort]\njump = 3\n\n[house]\nfret-3 = 4");
    let fingers = |arguments: &[&str]| {
        let all = json(&scratch, &[&["finger", "--format", "json"], arguments].concat());
        let part = &all["files"][0]["pieces"][0]["parts"][0];
        let table = &part["question"]["effort_table"];
        ([&part["tones"][0]["finger"], &table["jump"]].map(|n| n.as_i64().unwrap()), part.clone())
    };
    let usual = i64::from(apoyando_fingering::EffortTable::default().jump);
    assert_eq!(fingers(&["c.abc"]).0, [3, usual]);
    let ([four, jump], part) = fingers(&["b/pieces/c.abc"]);
    assert_eq!([four, jump], [4, 3]);
    assert_eq!(part["question"]["house"]["third_fret"], 4);
    assert_eq!(fingers(&["c.abc", "--house", "b/book.toml"]).0, [4, 3]);
    scratch.write("three.toml", "fret-3 = 3\n");
    assert_eq!(fingers(&["b/pieces/c.abc", "--house", "three.toml"]).0, [3, usual]);
    scratch.edit("b/book.toml", "fret-3 = 4", "fret-3 = 5");
    scratch.run(&["finger", "b/pieces/c.abc"]).fails(2, &["b/book.toml:", "from 3 to 4"]);
}

#[test]
fn a_house_has_fingers_for_its_chords() {
    let scratch = Scratch::new("chords");
    scratch.write("c.abc", "X:1\nT:D minor\nM:4/4\nL:1/4\nK:C clef=treble-8\n[DAdf]4 |]\n");
    for fingers in ["···231", "···241"] {
        scratch.write("house.toml", format!("shapes = [\"xx0231 {fingers}\"]\n"));
        let (left, _) = played(&scratch, &["--house", "house.toml"]);
        let mut by_string: Vec<(i64, i64)> = left.iter().map(|f| (-f[1], f[0])).collect();
        by_string.sort_unstable();
        let digits: String = by_string.iter().map(|(_, finger)| finger.to_string()).collect();
        assert_eq!(digits, format!("0{}", &fingers.replace('·', "")));
    }
    let bad = "fret-3 = 5\nshapes = [\"xx0231\"]\n";
    scratch.write("house.toml", bad);
    scratch
        .run(&["finger", "c.abc", "--house", "house.toml"])
        .fails(2, &["house.toml:1:10", "from 3 to 4", "house.toml:2:", "not a shape with fingers"]);
    scratch
        .run(&["finger", "c.abc", "--house", "no.toml"])
        .fails(2, &["--house no.toml", "no such file"]);
}

#[test]
fn what_is_corrected_once_is_offered_in_like_bars() {
    let scratch = Scratch::new("like");
    let bars = "G F E D | C B, C D | G F E D | c B A G | G F E D |]";
    scratch.write("c.abc", format!("X:1\nT:Like\nM:4/4\nL:1/4\nK:C clef=treble-8\n{bars}\n"));
    let strings = |left: &[[i64; 3]]| [0, 8, 16].map(|tone| left[tone][1]);
    let pin = ["--pin", "1:1=string 4"];
    let (left, _) = played(&scratch, &pin);
    assert_eq!(strings(&left), [4, 3, 3]);
    let said = scratch.run(&[&["finger", "c.abc"], &pin[..]].concat());
    said.succeeds();
    let advice = "bar 1, beat 1: advice: G4 is pinned here, and played otherwise in bars 3, 5";
    assert!(said.err.contains(advice), "{}", said.err);
    // Taken over, but for the bar that has a pin of its own.
    let both = [&pin[..], &["--like-bars", "--pin", "5:1=string 3"]].concat();
    let (left, _) = played(&scratch, &both);
    assert_eq!(strings(&left), [4, 4, 3]);
    let said = scratch.run(&[&["finger", "c.abc"], &both[..]].concat());
    assert!(!said.err.contains("like-bar-unlike"), "{}", said.err);
}

const HELD: &str =
    "X:1\nT:Held\nM:4/4\nL:1/4\n%%score (1 2)\nK:C clef=treble-8\nV:1\nc e f e|\nV:2\nC4|\n";

/// A note that another finger takes over, in both forms and in MusicXML, and back from it.
#[test]
fn a_second_finger_is_pinned_told_and_written() {
    let scratch = Scratch::new("second");
    scratch.write("held.abc", HELD);
    let asked =
        |more: &[&'static str]| [&["finger", "held.abc", "--pin", "1:1:2=second 4"], more].concat();
    let all = json(&scratch, &asked(&["--substitution", "--format", "json"]));
    let part = &all["files"][0]["pieces"][0]["parts"][0];
    assert_eq!(part["question"]["level"]["substitution"], true);
    assert_eq!(part["question"]["pins"][0]["rule"], "second_fingers");
    let tones = part["tones"].as_array().unwrap();
    let bass = tones.iter().find(|tone| tone["voice"] == 2).unwrap();
    assert_eq!(bass["second"]["finger"], 4, "{bass}");
    assert_eq!(part["violations"].as_array().unwrap().len(), 0);
    let written = ["--substitution", "--show", "notes", "--reasons", "-o", "held.musicxml"];
    let text = scratch.run(&asked(&written));
    text.succeeds();
    assert!(text.out.contains("3–4") && text.out.contains("4 takes over ⑤"), "{}", text.out);
    assert!(text.out.contains("4 takes it over on beat"), "{}", text.out);
    // The file asks for it again, and before it is taught that is found.
    let again = json(&scratch, &["finger", "held.musicxml", "--substitution", "--format", "json"]);
    let part = &again["files"][0]["pieces"][0]["parts"][0];
    let seconds =
        part["tones"].as_array().unwrap().iter().filter(|tone| tone["second"].is_object());
    assert_eq!(seconds.count(), 1);
    let early = scratch.run(&asked(&[]));
    assert!(early.err.contains("substitution-not-taught"), "{}", early.err);
}
