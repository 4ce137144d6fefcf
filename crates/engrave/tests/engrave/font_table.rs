//! The baked glyph table against the font's own metadata.

use std::fmt::Write as _;

use apoyando_engrave::font;
use apoyando_engrave::geometry::{Rect, flatten};
use serde_json::Value;

/// Name in the metadata, constant, code point. Code points are those of
/// SMuFL 1.4, from memory; that they are right is checked against the outline
/// the font has there.
const WANTED: &[(&str, u32)] = &[
    ("brace", 0xE000),
    ("bracketTop", 0xE003),
    ("bracketBottom", 0xE004),
    ("repeatDot", 0xE044),
    ("segno", 0xE047),
    ("coda", 0xE048),
    ("gClef", 0xE050),
    ("gClef8vb", 0xE052),
    ("fClef", 0xE062),
    ("6stringTabClef", 0xE06D),
    ("timeSig0", 0xE080),
    ("timeSig1", 0xE081),
    ("timeSig2", 0xE082),
    ("timeSig3", 0xE083),
    ("timeSig4", 0xE084),
    ("timeSig5", 0xE085),
    ("timeSig6", 0xE086),
    ("timeSig7", 0xE087),
    ("timeSig8", 0xE088),
    ("timeSig9", 0xE089),
    ("timeSigCommon", 0xE08A),
    ("timeSigCutCommon", 0xE08B),
    ("noteheadDoubleWhole", 0xE0A0),
    ("noteheadWhole", 0xE0A2),
    ("noteheadHalf", 0xE0A3),
    ("noteheadBlack", 0xE0A4),
    ("augmentationDot", 0xE1E7),
    ("flag8thUp", 0xE240),
    ("flag8thDown", 0xE241),
    ("flag16thUp", 0xE242),
    ("flag16thDown", 0xE243),
    ("flag32ndUp", 0xE244),
    ("flag32ndDown", 0xE245),
    ("flag64thUp", 0xE246),
    ("flag64thDown", 0xE247),
    ("flag128thUp", 0xE248),
    ("flag128thDown", 0xE249),
    ("accidentalFlat", 0xE260),
    ("accidentalNatural", 0xE261),
    ("accidentalSharp", 0xE262),
    ("accidentalDoubleSharp", 0xE263),
    ("accidentalDoubleFlat", 0xE264),
    ("accidentalTripleSharp", 0xE265),
    ("accidentalTripleFlat", 0xE266),
    ("articAccentAbove", 0xE4A0),
    ("articAccentBelow", 0xE4A1),
    ("articStaccatoAbove", 0xE4A2),
    ("articStaccatoBelow", 0xE4A3),
    ("articTenutoAbove", 0xE4A4),
    ("articTenutoBelow", 0xE4A5),
    ("fermataAbove", 0xE4C0),
    ("fermataBelow", 0xE4C1),
    ("breathMarkComma", 0xE4CE),
    ("caesura", 0xE4D1),
    ("restDoubleWhole", 0xE4E2),
    ("restWhole", 0xE4E3),
    ("restHalf", 0xE4E4),
    ("restQuarter", 0xE4E5),
    ("rest8th", 0xE4E6),
    ("rest16th", 0xE4E7),
    ("rest32nd", 0xE4E8),
    ("rest64th", 0xE4E9),
    ("rest128th", 0xE4EA),
    ("restHBarLeft", 0xE4EF),
    ("restHBarMiddle", 0xE4F0),
    ("restHBarRight", 0xE4F1),
    ("repeat1Bar", 0xE500),
    ("dynamicPiano", 0xE520),
    ("dynamicForte", 0xE522),
    ("dynamicPPPP", 0xE529),
    ("dynamicPPP", 0xE52A),
    ("dynamicPP", 0xE52B),
    ("dynamicMP", 0xE52C),
    ("dynamicMF", 0xE52D),
    ("dynamicFF", 0xE52F),
    ("dynamicFFF", 0xE530),
    ("dynamicFFFF", 0xE531),
    ("dynamicFortePiano", 0xE534),
    ("dynamicSforzando1", 0xE536),
    ("dynamicSforzato", 0xE539),
    ("dynamicRinforzando1", 0xE53C),
    ("dynamicRinforzando2", 0xE53D),
    ("ornamentTrill", 0xE566),
    ("ornamentTurn", 0xE567),
    ("ornamentTurnInverted", 0xE568),
    ("ornamentShortTrill", 0xE56C),
    ("ornamentMordent", 0xE56D),
    ("stringsHarmonic", 0xE614),
    ("guitarString0", 0xE833),
    ("guitarString1", 0xE834),
    ("guitarString2", 0xE835),
    ("guitarString3", 0xE836),
    ("guitarString4", 0xE837),
    ("guitarString5", 0xE838),
    ("guitarString6", 0xE839),
    ("tuplet0", 0xE880),
    ("tuplet1", 0xE881),
    ("tuplet2", 0xE882),
    ("tuplet3", 0xE883),
    ("tuplet4", 0xE884),
    ("tuplet5", 0xE885),
    ("tuplet6", 0xE886),
    ("tuplet7", 0xE887),
    ("tuplet8", 0xE888),
    ("tuplet9", 0xE889),
    ("wiggleTrill", 0xEAA4),
    ("wiggleArpeggiatoUp", 0xEAA9),
    ("wiggleVibrato", 0xEAB0),
    ("metNoteDoubleWhole", 0xECA0),
    ("metNoteWhole", 0xECA2),
    ("metNoteHalfUp", 0xECA3),
    ("metNoteQuarterUp", 0xECA5),
    ("metNote8thUp", 0xECA7),
    ("metNote16thUp", 0xECA9),
    ("metAugmentationDot", 0xECB7),
    ("fingering0", 0xED10),
    ("fingering1", 0xED11),
    ("fingering2", 0xED12),
    ("fingering3", 0xED13),
    ("fingering4", 0xED14),
    ("fingeringPLower", 0xED17),
    ("fingeringILower", 0xED19),
    ("fingeringMLower", 0xED1A),
    ("fingeringALower", 0xED1B),
    ("fingeringCLower", 0xED1C),
    ("fingeringSubstitutionDash", 0xED22),
    ("fingeringLeftParenthesis", 0xED28),
    ("fingeringRightParenthesis", 0xED29),
];

/// Stroke thicknesses and distances taken from `engravingDefaults`.
const DEFAULTS: &[&str] = &[
    "barlineSeparation",
    "beamSpacing",
    "beamThickness",
    "bracketThickness",
    "hairpinThickness",
    "legerLineExtension",
    "legerLineThickness",
    "repeatBarlineDotSeparation",
    "repeatEndingLineThickness",
    "slurEndpointThickness",
    "slurMidpointThickness",
    "staffLineThickness",
    "stemThickness",
    "thickBarlineThickness",
    "thinBarlineThickness",
    "tieEndpointThickness",
    "tieMidpointThickness",
    "tupletBracketThickness",
];

fn constant(name: &str) -> String {
    // The name of a constant cannot begin with a digit.
    let name = name.replace("6string", "sixString");
    let mut out = String::new();
    let mut before = '_';
    for c in name.chars() {
        let starts_word = c.is_ascii_uppercase()
            || (c.is_ascii_digit() && !before.is_ascii_digit() && !before.is_ascii_uppercase());
        if starts_word && before != '_' {
            out.push('_');
        }
        out.push(c.to_ascii_uppercase());
        before = c;
    }
    out
}

fn pair(value: &Value) -> (f64, f64) {
    (value[0].as_f64().unwrap(), value[1].as_f64().unwrap())
}

fn number(value: f64) -> String {
    let rounded = (value * 1e4).round() / 1e4;
    format!("{rounded:?}")
}

fn derive(metadata: &Value) -> String {
    let mut out = String::from(
        "//! Baked from the font's metadata; `tests/engrave/font_table.rs` derives it again and\n\
         //! compares. Set `BAKE_FONT_TABLE=1` when running that test to write it anew.\n\n\
         use super::Glyph;\n\n",
    );
    for name in DEFAULTS {
        let value = metadata["engravingDefaults"][*name].as_f64().unwrap();
        writeln!(out, "pub const {}: f64 = {};", constant(name), number(value)).unwrap();
    }
    out.push('\n');
    for (name, code) in WANTED {
        let (right, high) = pair(&metadata["glyphBBoxes"][*name]["bBoxNE"]);
        let (left, low) = pair(&metadata["glyphBBoxes"][*name]["bBoxSW"]);
        let advance = metadata["glyphAdvanceWidths"][*name].as_f64().unwrap();
        let anchors = &metadata["glyphsWithAnchors"][*name];
        let anchor = |key: &str| match &anchors[key] {
            Value::Null => "None".to_owned(),
            value => {
                let (x, y) = pair(value);
                format!("Some(({}, {}))", number(x), number(y))
            }
        };
        writeln!(
            out,
            "pub const {}: Glyph = Glyph {{ name: {name:?}, code: '\\u{{{code:X}}}', left: {}, low: {}, right: {}, high: {}, advance: {}, stem_up: {}, stem_down: {} }};",
            constant(name),
            number(left),
            number(low),
            number(right),
            number(high),
            number(advance),
            if anchors["stemUpSE"].is_null() { anchor("stemUpNW") } else { anchor("stemUpSE") },
            if anchors["stemDownNW"].is_null() { anchor("stemDownSW") } else { anchor("stemDownNW") },
        )
        .unwrap();
    }
    out.push_str("\npub const ALL: &[Glyph] = &[\n");
    for (name, _) in WANTED {
        writeln!(out, "    {},", constant(name)).unwrap();
    }
    out.push_str("];\n");
    out
}

fn root(path: &str) -> std::path::PathBuf {
    std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

fn metadata() -> Value {
    let text = std::fs::read_to_string(root("../../assets/bravura/metadata.json")).unwrap();
    serde_json::from_str(&text).unwrap()
}

/// Source: the SMuFL metadata file that the font's makers publish with it.
#[test]
fn the_table_is_what_the_metadata_says() {
    let derived = derive(&metadata());
    let path = root("src/font/table.rs");
    if std::env::var_os("BAKE_FONT_TABLE").is_some() {
        std::fs::write(&path, &derived).unwrap();
    }
    assert_eq!(std::fs::read_to_string(&path).unwrap(), derived);
}

/// A code point is right if the outline the font has there fills the box that
/// the metadata gives for the name.
#[test]
fn outlines_fill_the_boxes_of_the_metadata() {
    let metadata = metadata();
    for (name, code) in WANTED {
        let outline = font::outline(char::from_u32(*code).unwrap());
        let ink = flatten(outline)
            .into_iter()
            .fold(Rect::EMPTY, |all, (x, y)| all.join(Rect::new(x, y, x, y)));
        let (right, high) = pair(&metadata["glyphBBoxes"][*name]["bBoxNE"]);
        let (left, low) = pair(&metadata["glyphBBoxes"][*name]["bBoxSW"]);
        let sides = [(ink.left, left), (ink.low, low), (ink.right, right), (ink.high, high)];
        for (outline, said) in sides {
            assert!((outline - said).abs() < 0.02, "{name}: {outline} {said}");
        }
    }
}
