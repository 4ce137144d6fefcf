//! What is inside the PDF, read from its bytes: names and dictionaries stand
//! in it in the clear, only streams are packed.

use apoyando_press::pdf;

use crate::sample;

fn count(pdf: &[u8], what: &str) -> usize {
    pdf.windows(what.len()).filter(|part| *part == what.as_bytes()).count()
}

/// Every name after this key, up to the next delimiter.
fn names(pdf: &[u8], key: &str) -> Vec<String> {
    let starts = (0..pdf.len()).filter(|&i| pdf[i..].starts_with(key.as_bytes()));
    starts
        .map(|i| {
            let rest = &pdf[i + key.len()..];
            let end = rest.iter().position(|b| b"/<>[]() \n".contains(b)).unwrap_or(rest.len());
            String::from_utf8_lossy(&rest[..end]).into_owned()
        })
        .collect()
}

#[test]
fn every_font_is_embedded_and_a_subset() {
    let pdf = pdf(&sample::book()).unwrap();
    let fonts = names(&pdf, "/FontName/");
    assert!(fonts.iter().any(|name| name.contains("Bravura")), "{fonts:?}");
    for name in &fonts {
        // ISO 32000-1, 9.6.4: six capitals and a plus sign mark a subset.
        let (tag, family) = name.split_once('+').expect("a subset has a tag");
        assert!(tag.len() == 6 && tag.bytes().all(|b| b.is_ascii_uppercase()), "{name}");
        assert!(family.starts_with("LibertinusSerif") || family.starts_with("Bravura"), "{name}");
    }
    assert_eq!(count(&pdf, "/FontFile3"), fonts.len(), "a font is not embedded");
}

#[test]
fn there_are_no_pictures_in_it() {
    let pdf = pdf(&sample::book()).unwrap();
    assert_eq!(count(&pdf, "/Subtype/Image"), 0);
}

#[test]
fn it_is_tagged_in_a_language_and_every_drawing_has_words() {
    let mut book = sample::book();
    book.language = "de".to_owned();
    let pdf = pdf(&book).unwrap();
    assert_eq!(count(&pdf, "/MarkInfo"), 1);
    assert_eq!(count(&pdf, "/StructTreeRoot "), 1);
    assert!(count(&pdf, "/Lang(de") >= 1);
    assert!(count(&pdf, "<pdfuaid:part>1</pdfuaid:part>") == 1);
    // 1 + 6 + 2 + 3 + 9 systems, 5 diagrams, 7 systems.
    assert_eq!(count(&pdf, "/S/Figure"), 33);
    assert_eq!(count(&pdf, "/Alt(Bars"), 28);
    assert_eq!(count(&pdf, "/Alt(A chord diagram"), 5);
}

#[test]
fn sections_exercises_and_pieces_are_bookmarks_and_the_contents_link_to_them() {
    let pdf = pdf(&sample::book()).unwrap();
    let marks =
        ["Contents", "How to read the signs", "G major", "Pieces", "The Ferry at Dusk", "Credits"];
    for mark in marks {
        assert!(count(&pdf, &format!("/Title({mark})")) >= 1, "no bookmark {mark}");
    }
    // Four sections, five exercises, a piece, a link in the prose.
    assert_eq!(count(&pdf, "/Subtype/Link"), 11);
}
