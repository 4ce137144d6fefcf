//! The typefaces: one family for words, one font for music, nothing from the
//! machine the program runs on.

use std::sync::LazyLock;

use apoyando_engrave::Face;
use typst_library::foundations::Bytes;
use typst_library::layout::Abs;
use typst_library::text::{Font, FontBook, FontInstance, FontVariant, FontVariations};
use typst_utils::LazyHash;

/// Family name of the words.
const WORDS: &str = "Libertinus Serif";

/// A second name for the upright face: the bold and the italic lack the signs
/// for sharp, flat and natural, the upright has them.
const SIGNS: &str = "Libertinus Serif Signs";

/// Printed for a character no face has.
pub const MISSING: char = '□';

/// Every face the press may use.
pub struct Faces {
    /// What the typesetter looks families up in.
    pub book: LazyHash<FontBook>,
    /// The faces, in the order of the book.
    pub fonts: Vec<Font>,
    /// The music font.
    pub music: FontInstance,
    regular: FontInstance,
    italic: FontInstance,
    bold: FontInstance,
}

impl Faces {
    /// The face drawings ask for.
    pub fn of(&self, face: Face) -> &FontInstance {
        match face {
            Face::Regular => &self.regular,
            Face::Italic => &self.italic,
            Face::Bold => &self.bold,
        }
    }

    /// Whether the music font has this code point.
    pub fn engrave(&self, c: char) -> bool {
        self.music.ttf().glyph_index(c).is_some()
    }

    /// Whether words can hold this character.
    pub fn have(&self, c: char) -> bool {
        self.regular.ttf().glyph_index(c).is_some()
    }
}

/// The faces, read once.
pub fn faces() -> &'static Faces {
    static FACES: LazyLock<Faces> = LazyLock::new(|| {
        let mut fonts: Vec<Font> = typst_assets::fonts()
            .filter_map(|data| Font::new(Bytes::new(data), 0))
            .filter(|font| font.info().family == WORDS)
            .collect();
        let mut book = FontBook::from_fonts(&fonts);
        let instance = |suffix: &str| {
            let name = format!("LibertinusSerif-{suffix}");
            fonts
                .iter()
                .find(|font| font.post_script_name().as_deref() == Some(name.as_str()))
                .map(plain)
                .expect("the typeface is built into the program")
        };
        let (regular, italic, bold) = (instance("Regular"), instance("Italic"), instance("Bold"));
        let mut signs = regular.info().clone();
        signs.family = SIGNS.to_owned();
        book.push(signs);
        fonts.push(regular.font().clone());
        let bravura: &'static [u8] = include_bytes!("../../../assets/bravura/Bravura.otf");
        let music = Font::new(Bytes::new(bravura), 0)
            .as_ref()
            .map(plain)
            .expect("the music font is built into the program");
        Faces { book: LazyHash::new(book), fonts, music, regular, italic, bold }
    });
    &FACES
}

/// The font as it is: none of ours has variable axes, so size and variant
/// change nothing.
fn plain(font: &Font) -> FontInstance {
    font.clone().instantiate(FontVariant::default(), Abs::pt(10.0), &FontVariations::default())
}
