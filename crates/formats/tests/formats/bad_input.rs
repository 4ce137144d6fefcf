//! Bad input ends in an error or a finding, never in a panic.

use std::io::{Cursor, Write};

use apoyando_formats::{ReadError, musicxml, read};
use proptest::prelude::*;
use zip::ZipWriter;
use zip::write::SimpleFileOptions;

fn archive(entries: &[(&str, &[u8])]) -> Vec<u8> {
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in entries {
        writer.start_file(*name, SimpleFileOptions::default()).unwrap();
        writer.write_all(bytes).unwrap();
    }
    writer.finish().unwrap().into_inner()
}

const CONTAINER: &[u8] =
    b"<container><rootfiles><rootfile full-path=\"score.xml\"/></rootfiles></container>";

const SCORE: &[u8] = include_bytes!("../files/two-voices.musicxml");

#[test]
fn an_archive_is_read_by_its_container() {
    let bytes = archive(&[
        ("META-INF/container.xml", CONTAINER),
        ("other.xml", b"<no/>"),
        ("score.xml", SCORE),
    ]);
    let plain = read("a.musicxml", SCORE).unwrap();
    let packed = read("a.mxl", &bytes).unwrap();
    assert_eq!(packed.pieces[0].score.notes(), plain.pieces[0].score.notes());
}

#[test]
fn an_archive_without_container_is_searched() {
    let bytes = archive(&[("score.musicxml", SCORE)]);
    assert_eq!(read("a.mxl", &bytes).unwrap().pieces.len(), 1);
}

#[test]
fn broken_archives_are_named() {
    let missing = archive(&[("META-INF/container.xml", CONTAINER)]);
    let error = read("a.mxl", &missing).unwrap_err();
    assert!(error.to_string().contains("score.xml, which is not in it"), "{error}");
    let empty = archive(&[("a.txt", b"")]);
    assert!(matches!(read("a.mxl", &empty), Err(ReadError::Archive { .. })));
    let whole = archive(&[("score.musicxml", SCORE)]);
    for length in 2..whole.len() {
        assert!(read("a.mxl", &whole[..length]).is_err(), "cut at {length}");
    }
}

#[test]
fn a_zip_bomb_is_stopped() {
    let zeros = vec![b' '; 66 << 20];
    let bytes = archive(&[("META-INF/container.xml", CONTAINER), ("score.xml", &zeros)]);
    assert!(bytes.len() < 1 << 20);
    assert!(matches!(read("a.mxl", &bytes), Err(ReadError::TooLarge { .. })));
    let many: Vec<(String, &[u8])> = (0..1100).map(|n| (format!("{n}.xml"), &b"x"[..])).collect();
    let many: Vec<(&str, &[u8])> =
        many.iter().map(|(name, bytes)| (name.as_str(), *bytes)).collect();
    let error = read("a.mxl", &archive(&many)).unwrap_err();
    assert!(error.to_string().contains("1100 entries"), "{error}");
}

#[test]
fn what_is_no_score_is_named() {
    assert!(matches!(read("a.abc", b""), Err(ReadError::Empty { .. })));
    assert!(matches!(read("a.abc", b" \n \n"), Err(ReadError::Empty { .. })));
    assert!(matches!(read("a.musicxml", b"\n"), Err(ReadError::Empty { .. })));
    assert!(matches!(read("a.abc", b"prose only\n"), Err(ReadError::NoMusic { .. })));
    assert!(matches!(read("a", b"prose only\n"), Err(ReadError::UnknownFormat { .. })));
    assert!(matches!(read("a.png", b"\x89PNG\0\0"), Err(ReadError::UnknownFormat { .. })));
    assert!(matches!(read("a.abc", b"X:1\nK:C\n\0\xff\xfe"), Err(ReadError::NotText { .. })));
    assert!(matches!(read("a.xml", b"\x80\x81junk"), Err(ReadError::NotText { .. })));
    assert!(matches!(read("a.xml", b"<html></html>"), Err(ReadError::NotPartwise { .. })));
    assert!(matches!(read("a.xml", b"<score-partwise/>"), Err(ReadError::NoMusic { .. })));
    let error = read("a.xml", b"<score-partwise>\n <part>").unwrap_err();
    assert!(matches!(error, ReadError::Xml { line: 2, .. }), "{error}");
}

#[test]
fn the_content_tells_a_format_without_a_name() {
    assert_eq!(read("piece", SCORE).unwrap().pieces.len(), 1);
    assert_eq!(read("tune", b"X:1\nL:1/4\nM:2/4\nK:C\nC D|\n").unwrap().pieces.len(), 1);
}

#[test]
fn utf_16_is_read() {
    let text = std::str::from_utf8(SCORE).unwrap().replace("UTF-8", "UTF-16");
    let mut bytes = vec![0xff, 0xfe];
    bytes.extend(text.encode_utf16().flat_map(u16::to_le_bytes));
    assert_eq!(read("a.xml", &bytes).unwrap().pieces.len(), 1);
}

#[test]
fn deep_nesting_is_survived() {
    let deep = format!(
        "<score-partwise>{}{}</score-partwise>",
        "<part>".repeat(100_000),
        "</part>".repeat(100_000)
    );
    assert!(read("a.xml", deep.as_bytes()).is_err());
    let chords = format!("X:1\nK:C\n{}\n", "[".repeat(100_000));
    assert!(read("a.abc", chords.as_bytes()).is_err());
}

#[test]
fn entities_do_not_explode() {
    let mut bomb =
        "<?xml version=\"1.0\"?>\n<!DOCTYPE score-partwise [<!ENTITY a \"aaaaaaaaaa\">".to_owned();
    for (name, of) in ["b", "c", "d", "e", "f", "g", "h", "i"].iter().zip("abcdefgh".chars()) {
        bomb.push_str(&format!("<!ENTITY {name} \"{}\">", format!("&{of};").repeat(10)));
    }
    bomb.push_str("]>\n<score-partwise><movement-title>&i;</movement-title></score-partwise>");
    assert!(matches!(read("a.xml", bomb.as_bytes()), Err(ReadError::Xml { .. })));
}

fn changed(from: &str, to: &str) -> Result<apoyando_formats::Reading, ReadError> {
    let text = std::str::from_utf8(SCORE).unwrap();
    assert!(text.contains(from));
    read("a.musicxml", text.replacen(from, to, 1).as_bytes())
}

#[test]
fn absurd_numbers_are_errors() {
    let huge = "<duration>999999999999999999999</duration>";
    assert!(matches!(changed("<duration>2</duration>", huge), Err(ReadError::Element { .. })));
    let long = "<duration>99999999</duration>";
    assert!(changed("<duration>2</duration>", long).is_err());
    for divisions in ["0", "-4", "x", "1e9", "99999999999999999999", ""] {
        let divisions = format!("<divisions>{divisions}</divisions>");
        let read = changed("<divisions>2</divisions>", &divisions);
        assert!(matches!(read, Err(ReadError::Element { .. })), "{divisions}");
    }
    // Fine, but finer than any note value.
    assert!(changed("<divisions>2</divisions>", "<divisions>999999937</divisions>").is_err());
    for octave in ["99", "-128", "x"] {
        let octave = format!("<octave>{octave}</octave>");
        assert!(changed("<octave>4</octave>", &octave).is_err());
    }
    assert!(changed("<step>E</step>", "<step>H</step>").is_err());
    assert!(changed("<fifths>0</fifths>", "<fifths>x</fifths>").is_err());
    let far = changed("<fifths>0</fifths>", "<fifths>2147483647</fifths>").unwrap();
    assert!(far.pieces[0].findings.iter().any(|f| f.message.contains("fifths")));
}

#[test]
fn absurd_lengths_of_abc_are_errors() {
    let tune = |music: &str| read("a.abc", format!("X:1\nM:4/4\nL:1/8\nK:C\n{music}\n").as_bytes());
    for music in [
        "C99999999999",
        "C1/0",
        "C9999999",
        "C/9999999",
        "C///////////////////////////////////",
        "(99CDE",
        "(0CDE",
        "(3:0:2CDE",
        "Z99999",
        "^^^^C",
        "C>>>>>D",
        "C''''''''''''",
        "[CE",
        "{C",
        "\"Am",
        "[K:C",
        "[C%E]",
    ] {
        let read = tune(music);
        let at = |error: &ReadError| {
            matches!(error, ReadError::Abc { line: 5, .. } | ReadError::Rhythm { .. })
        };
        assert!(read.as_ref().is_err_and(at), "{music}: {read:?}");
    }
    let zero = tune("C0 D4").unwrap();
    assert!(zero.pieces[0].findings.iter().any(|finding| finding.rule == "no-length"));
}

#[test]
fn too_many_kinds_of_tuplets_are_an_error() {
    let mut music = String::new();
    for prime in [7, 11, 13, 17, 19, 23, 29, 31] {
        music.push_str(&format!("({prime}:8:{prime}{}|", "C".repeat(prime)));
    }
    let text = format!("X:1\nM:none\nL:1/8\nK:C\n{music}\n");
    assert!(matches!(read("a.abc", text.as_bytes()), Err(ReadError::Rhythm { .. })));
}

/// Files made to exhaust memory or the numbers of things.
#[test]
fn swarms_are_stopped() {
    let bars = format!("X:1\nM:2/4\nL:1/4\nK:C\n{}\n", "C|".repeat(30_000));
    assert!(matches!(read("a.abc", bars.as_bytes()), Err(ReadError::Abc { .. })));
    let measures = "<measure number=\"1\"/>".repeat(30_000);
    let bars = format!("<score-partwise><part id=\"P\">{measures}</part></score-partwise>");
    assert!(matches!(read("a.xml", bars.as_bytes()), Err(ReadError::Element { .. })));
    // Three hundred notes at once, all of different lengths, in as many voices.
    let mut notes = String::new();
    for number in 1..=300 {
        notes.push_str(&format!(
            "<note><pitch><step>C</step><octave>4</octave></pitch><duration>{number}</duration>\
             <voice>{number}</voice></note><backup><duration>{number}</duration></backup>"
        ));
    }
    let measure = format!(
        "<measure number=\"1\"><attributes><divisions>64</divisions></attributes>{notes}</measure>"
    );
    let swarm = format!("<score-partwise><part id=\"P\">{measure}</part></score-partwise>");
    let reading = read("a.xml", swarm.as_bytes()).unwrap();
    assert!(reading.pieces[0].score.parts()[0].voices.len() < 30);
    let voices: String = (1..=100).map(|v| format!("V:{v}\nC & D & E & F & G & A|\n")).collect();
    let ids: Vec<String> = (1..=100).map(|v| v.to_string()).collect();
    let tune = format!("X:1\n%%score ({})\nL:1/4\nK:C\n{voices}", ids.join(" "));
    let reading = read("a.abc", tune.as_bytes()).unwrap();
    assert_eq!(reading.pieces[0].score.parts()[0].voices.len(), 64);
}

/// Every test file, for mutation.
fn files() -> Vec<(String, Vec<u8>)> {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/files");
    let mut files: Vec<(String, Vec<u8>)> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| {
            let entry = entry.unwrap();
            (entry.file_name().into_string().unwrap(), std::fs::read(entry.path()).unwrap())
        })
        .collect();
    files.sort();
    files
}

/// One change to the bytes of a file.
#[derive(Clone, Debug)]
enum Change {
    Replace(prop::sample::Index, u8),
    Delete(prop::sample::Index, u8),
    Insert(prop::sample::Index, String),
    Repeat(prop::sample::Index, u8),
}

fn change() -> impl Strategy<Value = Change> {
    let place = any::<prop::sample::Index>;
    prop_oneof![
        (place(), any::<u8>()).prop_map(|(at, byte)| Change::Replace(at, byte)),
        (place(), b' '..=b'~').prop_map(|(at, byte)| Change::Replace(at, byte)),
        (place(), 1u8..40).prop_map(|(at, length)| Change::Delete(at, length)),
        (place(), "[A-Ga-g0-9/|:\\[\\](){}<>&^_=,'~.z \n!\"-]{1,8}")
            .prop_map(|(at, text)| Change::Insert(at, text)),
        (place(), 1u8..120).prop_map(|(at, length)| Change::Repeat(at, length)),
    ]
}

fn apply(bytes: &mut Vec<u8>, change: &Change) {
    if bytes.is_empty() {
        return;
    }
    match change {
        Change::Replace(at, byte) => {
            let at = at.index(bytes.len());
            bytes[at] = *byte;
        }
        Change::Delete(at, length) => {
            let at = at.index(bytes.len());
            let end = (at + usize::from(*length)).min(bytes.len());
            bytes.drain(at..end);
        }
        Change::Insert(at, text) => {
            let at = at.index(bytes.len());
            bytes.splice(at..at, text.bytes());
        }
        Change::Repeat(at, length) => {
            let at = at.index(bytes.len());
            let end = (at + usize::from(*length)).min(bytes.len());
            let copy = bytes[at..end].to_vec();
            bytes.splice(at..at, copy);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1500, ..ProptestConfig::default() })]

    #[test]
    fn mutated_files_do_no_harm(
        file in any::<prop::sample::Index>(),
        changes in proptest::collection::vec(change(), 1..8),
    ) {
        let files = files();
        let (name, mut bytes) = files[file.index(files.len())].clone();
        for change in &changes {
            apply(&mut bytes, change);
        }
        if let Ok(reading) = read(&name, &bytes) {
            for piece in &reading.pieces {
                prop_assert_eq!(piece.pins.len(), piece.score.parts().len());
                let text = musicxml::write(&piece.score, &[]);
                prop_assert!(read("again.musicxml", text.as_bytes()).is_ok(), "{}", text);
            }
        }
    }

    #[test]
    fn any_music_does_no_harm(music in "[A-Ga-g0-9/|:\\[\\](){}<>&^_=,'~.zxZ \n!\"-]{0,60}") {
        let _ = read("a.abc", format!("X:1\nM:3/4\nK:G\n{music}\n").as_bytes());
    }
}

/// The findings of one kind, as bar and beat.
fn places(reading: &apoyando_formats::Reading, rule: &str) -> Vec<(Option<u32>, Option<String>)> {
    let findings = reading.pieces.iter().flat_map(|piece| &piece.findings);
    let of_kind = findings.filter(|finding| finding.rule == rule);
    of_kind.map(|finding| (finding.place.bar, finding.place.beat.clone())).collect()
}

fn at(bar: u32, beat: &str) -> (Option<u32>, Option<String>) {
    (Some(bar), Some(beat.to_owned()))
}

#[test]
fn notes_without_length_are_named_with_bar_and_beat() {
    let tune = b"X:1\nM:4/4\nL:1/4\nK:C\nCDEF|CD E0 EF|]\n";
    let reading = read("a.abc", tune).unwrap();
    assert_eq!(places(&reading, "no-length"), [at(2, "3")]);
    let reading = changed("<duration>2</duration>", "<duration>0</duration>").unwrap();
    assert_eq!(places(&reading, "no-length"), [at(1, "1")]);
}

#[test]
fn empty_bars_are_named() {
    let text = |music: &str| format!("X:1\nM:4/4\nL:1/4\nK:C\n{music}|]\n");
    let empty = |music: &str| {
        let reading = read("a.abc", text(music).as_bytes()).unwrap();
        (reading.pieces[0].score.bars().len(), places(&reading, "empty-bar").len())
    };
    assert_eq!(empty("CDEF| | |CDEF"), (2, 1));
    // None of these is an empty bar.
    for music in ["CDEF| |:CDEF:| |CDEF", "CDEF||\n|CDEF", "|CDEF|\n|CDEF", "|: CDEF |1 C4 :|2 D4"]
    {
        assert_eq!(empty(music).1, 0, "{music}");
    }
    let measures = "<measure number=\"1\"><note><rest/><duration>4</duration></note></measure>\
                    <measure number=\"2\"/>";
    let text = format!("<score-partwise><part id=\"P\">{measures}</part></score-partwise>");
    let reading = read("a.xml", text.as_bytes()).unwrap();
    assert_eq!(reading.pieces[0].score.bars().len(), 2);
    assert_eq!(places(&reading, "empty-bar"), [at(2, "1")]);
}

#[test]
fn ten_thousand_notes_in_one_bar_are_read_or_refused() {
    let tune = |unit: &str| {
        let music = "CDEF".repeat(2_500);
        read("a.abc", format!("X:1\nM:4/4\nL:{unit}\nK:C\n{music}|]\n").as_bytes())
    };
    let reading = tune("1/128").unwrap();
    assert_eq!(reading.pieces[0].score.notes().len(), 10_000);
    assert_eq!(reading.pieces[0].score.bars().len(), 1);
    assert!(matches!(tune("1/4"), Err(ReadError::Rhythm { bar: 1, .. })));
    let chord = format!("X:1\nM:4/4\nL:1/4\nK:C\n[{}]4|]\n", "CEGce".repeat(2_000));
    let reading = read("a.abc", chord.as_bytes()).unwrap();
    assert_eq!(reading.pieces[0].score.notes().len(), 5);
    assert_eq!(places(&reading, "doubled-pitch").len(), 5);
}
