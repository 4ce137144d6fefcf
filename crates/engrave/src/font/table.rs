//! Baked from the font's metadata; `tests/engrave/font_table.rs` derives it again and
//! compares. Set `BAKE_FONT_TABLE=1` when running that test to write it anew.

use super::Glyph;

pub const BARLINE_SEPARATION: f64 = 0.4;
pub const BEAM_SPACING: f64 = 0.25;
pub const BEAM_THICKNESS: f64 = 0.5;
pub const BRACKET_THICKNESS: f64 = 0.5;
pub const HAIRPIN_THICKNESS: f64 = 0.16;
pub const LEGER_LINE_EXTENSION: f64 = 0.4;
pub const LEGER_LINE_THICKNESS: f64 = 0.16;
pub const REPEAT_BARLINE_DOT_SEPARATION: f64 = 0.16;
pub const REPEAT_ENDING_LINE_THICKNESS: f64 = 0.16;
pub const SLUR_ENDPOINT_THICKNESS: f64 = 0.1;
pub const SLUR_MIDPOINT_THICKNESS: f64 = 0.22;
pub const STAFF_LINE_THICKNESS: f64 = 0.13;
pub const STEM_THICKNESS: f64 = 0.12;
pub const THICK_BARLINE_THICKNESS: f64 = 0.5;
pub const THIN_BARLINE_THICKNESS: f64 = 0.16;
pub const TIE_ENDPOINT_THICKNESS: f64 = 0.1;
pub const TIE_MIDPOINT_THICKNESS: f64 = 0.22;
pub const TUPLET_BRACKET_THICKNESS: f64 = 0.16;

pub const BRACE: Glyph = Glyph { name: "brace", code: '\u{E000}', left: 0.008, low: 0.0, right: 0.328, high: 3.988, advance: 0.336, stem_up: None, stem_down: None };
pub const BRACKET_TOP: Glyph = Glyph { name: "bracketTop", code: '\u{E003}', left: 0.0, low: 0.0, right: 1.876, high: 1.18, advance: 1.876, stem_up: None, stem_down: None };
pub const BRACKET_BOTTOM: Glyph = Glyph { name: "bracketBottom", code: '\u{E004}', left: 0.0, low: -1.18, right: 1.876, high: 0.0, advance: 1.876, stem_up: None, stem_down: None };
pub const REPEAT_DOT: Glyph = Glyph { name: "repeatDot", code: '\u{E044}', left: 0.0, low: -0.2, right: 0.4, high: 0.2, advance: 0.4, stem_up: None, stem_down: None };
pub const SEGNO: Glyph = Glyph { name: "segno", code: '\u{E047}', left: 0.016, low: -0.108, right: 2.2, high: 3.036, advance: 2.228, stem_up: None, stem_down: None };
pub const CODA: Glyph = Glyph { name: "coda", code: '\u{E048}', left: -0.016, low: -0.632, right: 3.82, high: 3.592, advance: 3.816, stem_up: None, stem_down: None };
pub const G_CLEF: Glyph = Glyph { name: "gClef", code: '\u{E050}', left: 0.0, low: -2.632, right: 2.684, high: 4.392, advance: 2.684, stem_up: None, stem_down: None };
pub const G_CLEF_8VB: Glyph = Glyph { name: "gClef8vb", code: '\u{E052}', left: 0.0, low: -3.512, right: 2.684, high: 4.392, advance: 2.656, stem_up: None, stem_down: None };
pub const F_CLEF: Glyph = Glyph { name: "fClef", code: '\u{E062}', left: -0.02, low: -2.54, right: 2.736, high: 1.048, advance: 2.736, stem_up: None, stem_down: None };
pub const SIX_STRING_TAB_CLEF: Glyph = Glyph { name: "6stringTabClef", code: '\u{E06D}', left: -0.012, low: -2.992, right: 1.632, high: 3.056, advance: 1.636, stem_up: None, stem_down: None };
pub const TIME_SIG_0: Glyph = Glyph { name: "timeSig0", code: '\u{E080}', left: 0.08, low: -1.0, right: 1.8, high: 1.004, advance: 1.88, stem_up: None, stem_down: None };
pub const TIME_SIG_1: Glyph = Glyph { name: "timeSig1", code: '\u{E081}', left: 0.08, low: -1.0, right: 1.256, high: 1.004, advance: 1.336, stem_up: None, stem_down: None };
pub const TIME_SIG_2: Glyph = Glyph { name: "timeSig2", code: '\u{E082}', left: 0.08, low: -1.028, right: 1.704, high: 1.016, advance: 1.784, stem_up: None, stem_down: None };
pub const TIME_SIG_3: Glyph = Glyph { name: "timeSig3", code: '\u{E083}', left: 0.08, low: -1.004, right: 1.604, high: 0.996, advance: 1.684, stem_up: None, stem_down: None };
pub const TIME_SIG_4: Glyph = Glyph { name: "timeSig4", code: '\u{E084}', left: 0.08, low: -1.0, right: 1.8, high: 1.004, advance: 1.88, stem_up: None, stem_down: None };
pub const TIME_SIG_5: Glyph = Glyph { name: "timeSig5", code: '\u{E085}', left: 0.08, low: -1.004, right: 1.532, high: 0.984, advance: 1.612, stem_up: None, stem_down: None };
pub const TIME_SIG_6: Glyph = Glyph { name: "timeSig6", code: '\u{E086}', left: 0.08, low: -0.996, right: 1.656, high: 1.004, advance: 1.736, stem_up: None, stem_down: None };
pub const TIME_SIG_7: Glyph = Glyph { name: "timeSig7", code: '\u{E087}', left: 0.08, low: -1.0, right: 1.684, high: 0.996, advance: 1.764, stem_up: None, stem_down: None };
pub const TIME_SIG_8: Glyph = Glyph { name: "timeSig8", code: '\u{E088}', left: 0.08, low: -1.036, right: 1.664, high: 1.036, advance: 1.744, stem_up: None, stem_down: None };
pub const TIME_SIG_9: Glyph = Glyph { name: "timeSig9", code: '\u{E089}', left: 0.08, low: -0.996, right: 1.656, high: 1.004, advance: 1.736, stem_up: None, stem_down: None };
pub const TIME_SIG_COMMON: Glyph = Glyph { name: "timeSigCommon", code: '\u{E08A}', left: 0.02, low: -0.996, right: 1.696, high: 1.004, advance: 1.696, stem_up: None, stem_down: None };
pub const TIME_SIG_CUT_COMMON: Glyph = Glyph { name: "timeSigCutCommon", code: '\u{E08B}', left: 0.0, low: -1.436, right: 1.672, high: 1.444, advance: 1.668, stem_up: None, stem_down: None };
pub const NOTEHEAD_DOUBLE_WHOLE: Glyph = Glyph { name: "noteheadDoubleWhole", code: '\u{E0A0}', left: 0.0, low: -0.62, right: 2.396, high: 0.62, advance: 2.396, stem_up: None, stem_down: None };
pub const NOTEHEAD_WHOLE: Glyph = Glyph { name: "noteheadWhole", code: '\u{E0A2}', left: 0.0, low: -0.5, right: 1.688, high: 0.5, advance: 1.688, stem_up: None, stem_down: None };
pub const NOTEHEAD_HALF: Glyph = Glyph { name: "noteheadHalf", code: '\u{E0A3}', left: 0.0, low: -0.5, right: 1.18, high: 0.5, advance: 1.18, stem_up: Some((1.18, 0.168)), stem_down: Some((0.0, -0.168)) };
pub const NOTEHEAD_BLACK: Glyph = Glyph { name: "noteheadBlack", code: '\u{E0A4}', left: 0.0, low: -0.5, right: 1.18, high: 0.5, advance: 1.18, stem_up: Some((1.18, 0.168)), stem_down: Some((0.0, -0.168)) };
pub const AUGMENTATION_DOT: Glyph = Glyph { name: "augmentationDot", code: '\u{E1E7}', left: 0.0, low: -0.2, right: 0.4, high: 0.2, advance: 0.4, stem_up: None, stem_down: None };
pub const FLAG_8TH_UP: Glyph = Glyph { name: "flag8thUp", code: '\u{E240}', left: 0.0, low: -3.2408, right: 1.056, high: 0.0352, advance: 1.056, stem_up: Some((0.0, -0.04)), stem_down: None };
pub const FLAG_8TH_DOWN: Glyph = Glyph { name: "flag8thDown", code: '\u{E241}', left: 0.0, low: -0.0576, right: 1.224, high: 3.2329, advance: 1.224, stem_up: None, stem_down: Some((0.0, 0.132)) };
pub const FLAG_16TH_UP: Glyph = Glyph { name: "flag16thUp", code: '\u{E242}', left: 0.0, low: -3.252, right: 1.116, high: 0.008, advance: 1.116, stem_up: Some((0.0, -0.088)), stem_down: None };
pub const FLAG_16TH_DOWN: Glyph = Glyph { name: "flag16thDown", code: '\u{E243}', left: -0.0, low: -0.036, right: 1.1636, high: 3.248, advance: 1.168, stem_up: None, stem_down: Some((0.0, 0.128)) };
pub const FLAG_32ND_UP: Glyph = Glyph { name: "flag32ndUp", code: '\u{E244}', left: 0.0, low: -3.248, right: 1.044, high: 0.596, advance: 1.048, stem_up: Some((0.0, 0.376)), stem_down: None };
pub const FLAG_32ND_DOWN: Glyph = Glyph { name: "flag32ndDown", code: '\u{E245}', left: 0.0, low: -0.6875, right: 1.092, high: 3.248, advance: 1.096, stem_up: None, stem_down: Some((0.0, -0.448)) };
pub const FLAG_64TH_UP: Glyph = Glyph { name: "flag64thUp", code: '\u{E246}', left: 0.0, low: -3.248, right: 1.044, high: 1.3871, advance: 1.048, stem_up: Some((0.0, 1.172)), stem_down: None };
pub const FLAG_64TH_DOWN: Glyph = Glyph { name: "flag64thDown", code: '\u{E247}', left: 0.0, low: -1.504, right: 1.092, high: 3.248, advance: 1.1, stem_up: None, stem_down: Some((0.0, -1.244)) };
pub const FLAG_128TH_UP: Glyph = Glyph { name: "flag128thUp", code: '\u{E248}', left: 0.0, low: -3.248, right: 1.044, high: 2.132, advance: 1.036, stem_up: Some((0.0, 1.9)), stem_down: None };
pub const FLAG_128TH_DOWN: Glyph = Glyph { name: "flag128thDown", code: '\u{E249}', left: 0.0, low: -2.32, right: 1.092, high: 3.248, advance: 1.1, stem_up: None, stem_down: Some((0.0, -2.076)) };
pub const ACCIDENTAL_FLAT: Glyph = Glyph { name: "accidentalFlat", code: '\u{E260}', left: 0.0, low: -0.7, right: 0.904, high: 1.756, advance: 0.904, stem_up: None, stem_down: None };
pub const ACCIDENTAL_NATURAL: Glyph = Glyph { name: "accidentalNatural", code: '\u{E261}', left: 0.0, low: -1.34, right: 0.672, high: 1.364, advance: 0.672, stem_up: None, stem_down: None };
pub const ACCIDENTAL_SHARP: Glyph = Glyph { name: "accidentalSharp", code: '\u{E262}', left: 0.0, low: -1.392, right: 0.996, high: 1.4, advance: 0.996, stem_up: None, stem_down: None };
pub const ACCIDENTAL_DOUBLE_SHARP: Glyph = Glyph { name: "accidentalDoubleSharp", code: '\u{E263}', left: 0.0, low: -0.5, right: 0.988, high: 0.508, advance: 1.0, stem_up: None, stem_down: None };
pub const ACCIDENTAL_DOUBLE_FLAT: Glyph = Glyph { name: "accidentalDoubleFlat", code: '\u{E264}', left: 0.0, low: -0.7, right: 1.644, high: 1.748, advance: 1.652, stem_up: None, stem_down: None };
pub const ACCIDENTAL_TRIPLE_SHARP: Glyph = Glyph { name: "accidentalTripleSharp", code: '\u{E265}', left: 0.0, low: -1.392, right: 2.052, high: 1.4, advance: 2.052, stem_up: None, stem_down: None };
pub const ACCIDENTAL_TRIPLE_FLAT: Glyph = Glyph { name: "accidentalTripleFlat", code: '\u{E266}', left: 0.0, low: -0.7, right: 2.384, high: 1.756, advance: 2.4, stem_up: None, stem_down: None };
pub const ARTIC_ACCENT_ABOVE: Glyph = Glyph { name: "articAccentAbove", code: '\u{E4A0}', left: 0.0, low: 0.004, right: 1.356, high: 0.98, advance: 1.356, stem_up: None, stem_down: None };
pub const ARTIC_ACCENT_BELOW: Glyph = Glyph { name: "articAccentBelow", code: '\u{E4A1}', left: 0.0, low: -0.976, right: 1.356, high: 0.0, advance: 1.356, stem_up: None, stem_down: None };
pub const ARTIC_STACCATO_ABOVE: Glyph = Glyph { name: "articStaccatoAbove", code: '\u{E4A2}', left: 0.0, low: 0.0, right: 0.336, high: 0.336, advance: 0.336, stem_up: None, stem_down: None };
pub const ARTIC_STACCATO_BELOW: Glyph = Glyph { name: "articStaccatoBelow", code: '\u{E4A3}', left: 0.0, low: -0.336, right: 0.336, high: 0.0, advance: 0.336, stem_up: None, stem_down: None };
pub const ARTIC_TENUTO_ABOVE: Glyph = Glyph { name: "articTenutoAbove", code: '\u{E4A4}', left: -0.004, low: 0.0, right: 1.352, high: 0.192, advance: 1.352, stem_up: None, stem_down: None };
pub const ARTIC_TENUTO_BELOW: Glyph = Glyph { name: "articTenutoBelow", code: '\u{E4A5}', left: -0.004, low: -0.192, right: 1.352, high: 0.0, advance: 1.352, stem_up: None, stem_down: None };
pub const FERMATA_ABOVE: Glyph = Glyph { name: "fermataAbove", code: '\u{E4C0}', left: 0.012, low: -0.012, right: 2.42, high: 1.316, advance: 2.42, stem_up: None, stem_down: None };
pub const FERMATA_BELOW: Glyph = Glyph { name: "fermataBelow", code: '\u{E4C1}', left: 0.012, low: -1.328, right: 2.42, high: 0.0, advance: 2.42, stem_up: None, stem_down: None };
pub const BREATH_MARK_COMMA: Glyph = Glyph { name: "breathMarkComma", code: '\u{E4CE}', left: 0.004, low: 0.008, right: 0.608, high: 1.004, advance: 0.612, stem_up: None, stem_down: None };
pub const CAESURA: Glyph = Glyph { name: "caesura", code: '\u{E4D1}', left: 0.0, low: -0.004, right: 1.536, high: 2.128, advance: 1.54, stem_up: None, stem_down: None };
pub const REST_DOUBLE_WHOLE: Glyph = Glyph { name: "restDoubleWhole", code: '\u{E4E2}', left: 0.0, low: 0.0, right: 0.5, high: 1.0, advance: 0.504, stem_up: None, stem_down: None };
pub const REST_WHOLE: Glyph = Glyph { name: "restWhole", code: '\u{E4E3}', left: 0.0, low: -0.54, right: 1.128, high: 0.036, advance: 1.132, stem_up: None, stem_down: None };
pub const REST_HALF: Glyph = Glyph { name: "restHalf", code: '\u{E4E4}', left: 0.0, low: -0.008, right: 1.128, high: 0.568, advance: 1.132, stem_up: None, stem_down: None };
pub const REST_QUARTER: Glyph = Glyph { name: "restQuarter", code: '\u{E4E5}', left: 0.004, low: -1.5, right: 1.08, high: 1.492, advance: 1.08, stem_up: None, stem_down: None };
pub const REST_8TH: Glyph = Glyph { name: "rest8th", code: '\u{E4E6}', left: 0.0, low: -1.004, right: 0.988, high: 0.696, advance: 1.0, stem_up: None, stem_down: None };
pub const REST_16TH: Glyph = Glyph { name: "rest16th", code: '\u{E4E7}', left: 0.0, low: -2.0, right: 1.28, high: 0.716, advance: 1.28, stem_up: None, stem_down: None };
pub const REST_32ND: Glyph = Glyph { name: "rest32nd", code: '\u{E4E8}', left: 0.0, low: -2.0, right: 1.452, high: 1.704, advance: 1.452, stem_up: None, stem_down: None };
pub const REST_64TH: Glyph = Glyph { name: "rest64th", code: '\u{E4E9}', left: 0.0, low: -3.012, right: 1.692, high: 1.72, advance: 1.696, stem_up: None, stem_down: None };
pub const REST_128TH: Glyph = Glyph { name: "rest128th", code: '\u{E4EA}', left: 0.0, low: -3.0, right: 1.94, high: 2.756, advance: 1.94, stem_up: None, stem_down: None };
pub const REST_H_BAR_LEFT: Glyph = Glyph { name: "restHBarLeft", code: '\u{E4EF}', left: 0.0, low: -1.08, right: 1.5, high: 1.048, advance: 1.508, stem_up: None, stem_down: None };
pub const REST_H_BAR_MIDDLE: Glyph = Glyph { name: "restHBarMiddle", code: '\u{E4F0}', left: -0.108, low: -0.416, right: 1.42, high: 0.384, advance: 1.312, stem_up: None, stem_down: None };
pub const REST_H_BAR_RIGHT: Glyph = Glyph { name: "restHBarRight", code: '\u{E4F1}', left: 0.0, low: -1.08, right: 1.5, high: 1.048, advance: 1.508, stem_up: None, stem_down: None };
pub const REPEAT_1_BAR: Glyph = Glyph { name: "repeat1Bar", code: '\u{E500}', left: 0.0, low: -1.0, right: 2.128, high: 1.116, advance: 2.132, stem_up: None, stem_down: None };
pub const DYNAMIC_PIANO: Glyph = Glyph { name: "dynamicPiano", code: '\u{E520}', left: -0.356, low: -0.568, right: 1.464, high: 1.096, advance: 1.46, stem_up: None, stem_down: None };
pub const DYNAMIC_FORTE: Glyph = Glyph { name: "dynamicForte", code: '\u{E522}', left: -0.564, low: -0.608, right: 1.456, high: 1.776, advance: 1.456, stem_up: None, stem_down: None };
pub const DYNAMIC_P_P_P_P: Glyph = Glyph { name: "dynamicPPPP", code: '\u{E529}', left: -0.408, low: -0.568, right: 5.672, high: 1.096, advance: 5.668, stem_up: None, stem_down: None };
pub const DYNAMIC_P_P_P: Glyph = Glyph { name: "dynamicPPP", code: '\u{E52A}', left: -0.368, low: -0.568, right: 4.292, high: 1.096, advance: 4.288, stem_up: None, stem_down: None };
pub const DYNAMIC_P_P: Glyph = Glyph { name: "dynamicPP", code: '\u{E52B}', left: -0.328, low: -0.568, right: 2.912, high: 1.096, advance: 2.908, stem_up: None, stem_down: None };
pub const DYNAMIC_M_P: Glyph = Glyph { name: "dynamicMP", code: '\u{E52C}', left: -0.08, low: -0.568, right: 3.3, high: 1.096, advance: 3.304, stem_up: None, stem_down: None };
pub const DYNAMIC_M_F: Glyph = Glyph { name: "dynamicMF", code: '\u{E52D}', left: -0.08, low: -0.66, right: 3.272, high: 1.724, advance: 3.188, stem_up: None, stem_down: None };
pub const DYNAMIC_F_F: Glyph = Glyph { name: "dynamicFF", code: '\u{E52F}', left: -0.54, low: -0.608, right: 2.44, high: 1.776, advance: 2.436, stem_up: None, stem_down: None };
pub const DYNAMIC_F_F_F: Glyph = Glyph { name: "dynamicFFF", code: '\u{E530}', left: -0.62, low: -0.608, right: 3.32, high: 1.776, advance: 3.324, stem_up: None, stem_down: None };
pub const DYNAMIC_F_F_F_F: Glyph = Glyph { name: "dynamicFFFF", code: '\u{E531}', left: -0.62, low: -0.608, right: 4.28, high: 1.776, advance: 4.28, stem_up: None, stem_down: None };
pub const DYNAMIC_FORTE_PIANO: Glyph = Glyph { name: "dynamicFortePiano", code: '\u{E534}', left: -0.564, low: -0.608, right: 2.476, high: 1.776, advance: 2.476, stem_up: None, stem_down: None };
pub const DYNAMIC_SFORZANDO_1: Glyph = Glyph { name: "dynamicSforzando1", code: '\u{E536}', left: 0.0, low: -0.608, right: 2.416, high: 1.776, advance: 2.416, stem_up: None, stem_down: None };
pub const DYNAMIC_SFORZATO: Glyph = Glyph { name: "dynamicSforzato", code: '\u{E539}', left: 0.0, low: -0.608, right: 2.932, high: 1.776, advance: 2.928, stem_up: None, stem_down: None };
pub const DYNAMIC_RINFORZANDO_1: Glyph = Glyph { name: "dynamicRinforzando1", code: '\u{E53C}', left: -0.08, low: -0.608, right: 2.5, high: 1.776, advance: 2.5, stem_up: None, stem_down: None };
pub const DYNAMIC_RINFORZANDO_2: Glyph = Glyph { name: "dynamicRinforzando2", code: '\u{E53D}', left: -0.08, low: -0.608, right: 2.976, high: 1.776, advance: 2.976, stem_up: None, stem_down: None };
pub const ORNAMENT_TRILL: Glyph = Glyph { name: "ornamentTrill", code: '\u{E566}', left: 0.0, low: -0.04, right: 2.084, high: 1.56, advance: 2.084, stem_up: None, stem_down: None };
pub const ORNAMENT_TURN: Glyph = Glyph { name: "ornamentTurn", code: '\u{E567}', left: 0.0, low: 0.0, right: 1.84, high: 0.872, advance: 1.84, stem_up: None, stem_down: None };
pub const ORNAMENT_TURN_INVERTED: Glyph = Glyph { name: "ornamentTurnInverted", code: '\u{E568}', left: -0.012, low: 0.0, right: 1.828, high: 0.872, advance: 1.828, stem_up: None, stem_down: None };
pub const ORNAMENT_SHORT_TRILL: Glyph = Glyph { name: "ornamentShortTrill", code: '\u{E56C}', left: 0.0, low: 0.0, right: 2.9, high: 0.98, advance: 2.92, stem_up: None, stem_down: None };
pub const ORNAMENT_MORDENT: Glyph = Glyph { name: "ornamentMordent", code: '\u{E56D}', left: 0.004, low: -0.292, right: 2.916, high: 1.276, advance: 2.916, stem_up: None, stem_down: None };
pub const STRINGS_HARMONIC: Glyph = Glyph { name: "stringsHarmonic", code: '\u{E614}', left: 0.0, low: 0.0, right: 0.8, high: 0.8, advance: 0.8, stem_up: None, stem_down: None };
pub const GUITAR_STRING_0: Glyph = Glyph { name: "guitarString0", code: '\u{E833}', left: 0.004, low: 0.0, right: 2.164, high: 2.156, advance: 2.168, stem_up: None, stem_down: None };
pub const GUITAR_STRING_1: Glyph = Glyph { name: "guitarString1", code: '\u{E834}', left: 0.0, low: 0.0, right: 2.16, high: 2.156, advance: 2.16, stem_up: None, stem_down: None };
pub const GUITAR_STRING_2: Glyph = Glyph { name: "guitarString2", code: '\u{E835}', left: 0.0, low: 0.0, right: 2.16, high: 2.156, advance: 2.16, stem_up: None, stem_down: None };
pub const GUITAR_STRING_3: Glyph = Glyph { name: "guitarString3", code: '\u{E836}', left: 0.0, low: 0.0, right: 2.16, high: 2.156, advance: 2.16, stem_up: None, stem_down: None };
pub const GUITAR_STRING_4: Glyph = Glyph { name: "guitarString4", code: '\u{E837}', left: 0.004, low: 0.0, right: 2.164, high: 2.156, advance: 2.172, stem_up: None, stem_down: None };
pub const GUITAR_STRING_5: Glyph = Glyph { name: "guitarString5", code: '\u{E838}', left: 0.0, low: 0.0, right: 2.16, high: 2.156, advance: 2.164, stem_up: None, stem_down: None };
pub const GUITAR_STRING_6: Glyph = Glyph { name: "guitarString6", code: '\u{E839}', left: 0.0, low: 0.0, right: 2.16, high: 2.156, advance: 2.16, stem_up: None, stem_down: None };
pub const TUPLET_0: Glyph = Glyph { name: "tuplet0", code: '\u{E880}', left: -0.0012, low: -0.032, right: 1.2731, high: 1.5, advance: 1.276, stem_up: None, stem_down: None };
pub const TUPLET_1: Glyph = Glyph { name: "tuplet1", code: '\u{E881}', left: 0.04, low: 0.0, right: 1.024, high: 1.488, advance: 0.984, stem_up: None, stem_down: None };
pub const TUPLET_2: Glyph = Glyph { name: "tuplet2", code: '\u{E882}', left: 0.04, low: -0.024, right: 1.316, high: 1.5, advance: 1.276, stem_up: None, stem_down: None };
pub const TUPLET_3: Glyph = Glyph { name: "tuplet3", code: '\u{E883}', left: 0.04, low: -0.032, right: 1.224, high: 1.5, advance: 1.184, stem_up: None, stem_down: None };
pub const TUPLET_4: Glyph = Glyph { name: "tuplet4", code: '\u{E884}', left: 0.04, low: 0.0, right: 1.252, high: 1.488, advance: 1.212, stem_up: None, stem_down: None };
pub const TUPLET_5: Glyph = Glyph { name: "tuplet5", code: '\u{E885}', left: 0.04, low: -0.032, right: 1.308, high: 1.492, advance: 1.268, stem_up: None, stem_down: None };
pub const TUPLET_6: Glyph = Glyph { name: "tuplet6", code: '\u{E886}', left: 0.0411, low: -0.032, right: 1.256, high: 1.5, advance: 1.216, stem_up: None, stem_down: None };
pub const TUPLET_7: Glyph = Glyph { name: "tuplet7", code: '\u{E887}', left: 0.12, low: -0.016, right: 1.332, high: 1.488, advance: 1.212, stem_up: None, stem_down: None };
pub const TUPLET_8: Glyph = Glyph { name: "tuplet8", code: '\u{E888}', left: 0.04, low: -0.032, right: 1.292, high: 1.5, advance: 1.252, stem_up: None, stem_down: None };
pub const TUPLET_9: Glyph = Glyph { name: "tuplet9", code: '\u{E889}', left: 0.04, low: -0.032, right: 1.2549, high: 1.5, advance: 1.216, stem_up: None, stem_down: None };
pub const WIGGLE_TRILL: Glyph = Glyph { name: "wiggleTrill", code: '\u{EAA4}', left: -0.144, low: 0.392, right: 1.08, high: 0.836, advance: 0.948, stem_up: None, stem_down: None };
pub const WIGGLE_ARPEGGIATO_UP: Glyph = Glyph { name: "wiggleArpeggiatoUp", code: '\u{EAA9}', left: -0.132, low: 0.0, right: 1.168, high: 0.476, advance: 1.02, stem_up: None, stem_down: None };
pub const WIGGLE_VIBRATO: Glyph = Glyph { name: "wiggleVibrato", code: '\u{EAB0}', left: -0.056, low: 0.0, right: 0.668, high: 0.476, advance: 0.608, stem_up: None, stem_down: None };
pub const MET_NOTE_DOUBLE_WHOLE: Glyph = Glyph { name: "metNoteDoubleWhole", code: '\u{ECA0}', left: 0.0, low: -0.672, right: 2.62, high: 0.68, advance: 2.62, stem_up: None, stem_down: None };
pub const MET_NOTE_WHOLE: Glyph = Glyph { name: "metNoteWhole", code: '\u{ECA2}', left: 0.0, low: -0.5, right: 1.836, high: 0.592, advance: 1.836, stem_up: None, stem_down: None };
pub const MET_NOTE_HALF_UP: Glyph = Glyph { name: "metNoteHalfUp", code: '\u{ECA3}', left: 0.0, low: -0.564, right: 1.364, high: 2.752, advance: 1.364, stem_up: None, stem_down: None };
pub const MET_NOTE_QUARTER_UP: Glyph = Glyph { name: "metNoteQuarterUp", code: '\u{ECA5}', left: 0.0, low: -0.564, right: 1.328, high: 2.752, advance: 1.328, stem_up: None, stem_down: None };
pub const MET_NOTE_8TH_UP: Glyph = Glyph { name: "metNote8thUp", code: '\u{ECA7}', left: 0.0, low: -0.564, right: 2.132, high: 2.784, advance: 2.136, stem_up: None, stem_down: None };
pub const MET_NOTE_16TH_UP: Glyph = Glyph { name: "metNote16thUp", code: '\u{ECA9}', left: 0.0, low: -0.564, right: 2.084, high: 2.8, advance: 2.088, stem_up: None, stem_down: None };
pub const MET_AUGMENTATION_DOT: Glyph = Glyph { name: "metAugmentationDot", code: '\u{ECB7}', left: 0.0, low: -0.2, right: 0.4, high: 0.2, advance: 0.4, stem_up: None, stem_down: None };
pub const FINGERING_0: Glyph = Glyph { name: "fingering0", code: '\u{ED10}', left: 0.08, low: -0.004, right: 0.94, high: 1.004, advance: 1.02, stem_up: None, stem_down: None };
pub const FINGERING_1: Glyph = Glyph { name: "fingering1", code: '\u{ED11}', left: 0.08, low: 0.0, right: 0.548, high: 1.016, advance: 0.628, stem_up: None, stem_down: None };
pub const FINGERING_2: Glyph = Glyph { name: "fingering2", code: '\u{ED12}', left: 0.08, low: -0.012, right: 0.888, high: 1.012, advance: 0.968, stem_up: None, stem_down: None };
pub const FINGERING_3: Glyph = Glyph { name: "fingering3", code: '\u{ED13}', left: 0.08, low: 0.0, right: 0.82, high: 1.008, advance: 0.9, stem_up: None, stem_down: None };
pub const FINGERING_4: Glyph = Glyph { name: "fingering4", code: '\u{ED14}', left: 0.08, low: 0.004, right: 0.864, high: 1.012, advance: 0.944, stem_up: None, stem_down: None };
pub const FINGERING_P_LOWER: Glyph = Glyph { name: "fingeringPLower", code: '\u{ED17}', left: -0.216, low: -0.612, right: 1.088, high: 1.028, advance: 1.088, stem_up: None, stem_down: None };
pub const FINGERING_I_LOWER: Glyph = Glyph { name: "fingeringILower", code: '\u{ED19}', left: -0.052, low: -0.028, right: 0.656, high: 1.54, advance: 0.656, stem_up: None, stem_down: None };
pub const FINGERING_M_LOWER: Glyph = Glyph { name: "fingeringMLower", code: '\u{ED1A}', left: -0.032, low: -0.016, right: 1.66, high: 1.028, advance: 1.66, stem_up: None, stem_down: None };
pub const FINGERING_A_LOWER: Glyph = Glyph { name: "fingeringALower", code: '\u{ED1B}', left: 0.0, low: -0.02, right: 1.068, high: 1.032, advance: 1.068, stem_up: None, stem_down: None };
pub const FINGERING_C_LOWER: Glyph = Glyph { name: "fingeringCLower", code: '\u{ED1C}', left: 0.0, low: -0.028, right: 0.888, high: 1.044, advance: 0.888, stem_up: None, stem_down: None };
pub const FINGERING_SUBSTITUTION_DASH: Glyph = Glyph { name: "fingeringSubstitutionDash", code: '\u{ED22}', left: 0.0, low: 0.44, right: 0.792, high: 0.568, advance: 0.792, stem_up: None, stem_down: None };
pub const FINGERING_LEFT_PARENTHESIS: Glyph = Glyph { name: "fingeringLeftParenthesis", code: '\u{ED28}', left: 0.004, low: -0.084, right: 0.392, high: 1.096, advance: 0.356, stem_up: None, stem_down: None };
pub const FINGERING_RIGHT_PARENTHESIS: Glyph = Glyph { name: "fingeringRightParenthesis", code: '\u{ED29}', left: -0.036, low: -0.096, right: 0.352, high: 1.084, advance: 0.36, stem_up: None, stem_down: None };

pub const ALL: &[Glyph] = &[
    BRACE,
    BRACKET_TOP,
    BRACKET_BOTTOM,
    REPEAT_DOT,
    SEGNO,
    CODA,
    G_CLEF,
    G_CLEF_8VB,
    F_CLEF,
    SIX_STRING_TAB_CLEF,
    TIME_SIG_0,
    TIME_SIG_1,
    TIME_SIG_2,
    TIME_SIG_3,
    TIME_SIG_4,
    TIME_SIG_5,
    TIME_SIG_6,
    TIME_SIG_7,
    TIME_SIG_8,
    TIME_SIG_9,
    TIME_SIG_COMMON,
    TIME_SIG_CUT_COMMON,
    NOTEHEAD_DOUBLE_WHOLE,
    NOTEHEAD_WHOLE,
    NOTEHEAD_HALF,
    NOTEHEAD_BLACK,
    AUGMENTATION_DOT,
    FLAG_8TH_UP,
    FLAG_8TH_DOWN,
    FLAG_16TH_UP,
    FLAG_16TH_DOWN,
    FLAG_32ND_UP,
    FLAG_32ND_DOWN,
    FLAG_64TH_UP,
    FLAG_64TH_DOWN,
    FLAG_128TH_UP,
    FLAG_128TH_DOWN,
    ACCIDENTAL_FLAT,
    ACCIDENTAL_NATURAL,
    ACCIDENTAL_SHARP,
    ACCIDENTAL_DOUBLE_SHARP,
    ACCIDENTAL_DOUBLE_FLAT,
    ACCIDENTAL_TRIPLE_SHARP,
    ACCIDENTAL_TRIPLE_FLAT,
    ARTIC_ACCENT_ABOVE,
    ARTIC_ACCENT_BELOW,
    ARTIC_STACCATO_ABOVE,
    ARTIC_STACCATO_BELOW,
    ARTIC_TENUTO_ABOVE,
    ARTIC_TENUTO_BELOW,
    FERMATA_ABOVE,
    FERMATA_BELOW,
    BREATH_MARK_COMMA,
    CAESURA,
    REST_DOUBLE_WHOLE,
    REST_WHOLE,
    REST_HALF,
    REST_QUARTER,
    REST_8TH,
    REST_16TH,
    REST_32ND,
    REST_64TH,
    REST_128TH,
    REST_H_BAR_LEFT,
    REST_H_BAR_MIDDLE,
    REST_H_BAR_RIGHT,
    REPEAT_1_BAR,
    DYNAMIC_PIANO,
    DYNAMIC_FORTE,
    DYNAMIC_P_P_P_P,
    DYNAMIC_P_P_P,
    DYNAMIC_P_P,
    DYNAMIC_M_P,
    DYNAMIC_M_F,
    DYNAMIC_F_F,
    DYNAMIC_F_F_F,
    DYNAMIC_F_F_F_F,
    DYNAMIC_FORTE_PIANO,
    DYNAMIC_SFORZANDO_1,
    DYNAMIC_SFORZATO,
    DYNAMIC_RINFORZANDO_1,
    DYNAMIC_RINFORZANDO_2,
    ORNAMENT_TRILL,
    ORNAMENT_TURN,
    ORNAMENT_TURN_INVERTED,
    ORNAMENT_SHORT_TRILL,
    ORNAMENT_MORDENT,
    STRINGS_HARMONIC,
    GUITAR_STRING_0,
    GUITAR_STRING_1,
    GUITAR_STRING_2,
    GUITAR_STRING_3,
    GUITAR_STRING_4,
    GUITAR_STRING_5,
    GUITAR_STRING_6,
    TUPLET_0,
    TUPLET_1,
    TUPLET_2,
    TUPLET_3,
    TUPLET_4,
    TUPLET_5,
    TUPLET_6,
    TUPLET_7,
    TUPLET_8,
    TUPLET_9,
    WIGGLE_TRILL,
    WIGGLE_ARPEGGIATO_UP,
    WIGGLE_VIBRATO,
    MET_NOTE_DOUBLE_WHOLE,
    MET_NOTE_WHOLE,
    MET_NOTE_HALF_UP,
    MET_NOTE_QUARTER_UP,
    MET_NOTE_8TH_UP,
    MET_NOTE_16TH_UP,
    MET_AUGMENTATION_DOT,
    FINGERING_0,
    FINGERING_1,
    FINGERING_2,
    FINGERING_3,
    FINGERING_4,
    FINGERING_P_LOWER,
    FINGERING_I_LOWER,
    FINGERING_M_LOWER,
    FINGERING_A_LOWER,
    FINGERING_C_LOWER,
    FINGERING_SUBSTITUTION_DASH,
    FINGERING_LEFT_PARENTHESIS,
    FINGERING_RIGHT_PARENTHESIS,
];
