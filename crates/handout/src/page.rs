//! The page as a file: everything in it, nothing beside it.

use std::collections::BTreeMap;

use apoyando_book::Language;
use apoyando_engrave::Inline;
use apoyando_fretboard::Instrument;
use apoyando_sound::files::SoundFileError;
use apoyando_workshop::plan::{PagePlan, PlannedSection, SectionKind};
use apoyando_workshop::{Built, BuiltItem};
use rayon::prelude::*;
use serde::Serialize;

use crate::heard::{Heard, heard};
use crate::lesson::{Played, lesson};
use crate::sounds::sounds;
use crate::words::line;
use crate::{STAND_CSS, STAND_HTML, STAND_JS};

/// A page for students.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Handout {
    /// The section it is of, by the name of its file without ending.
    pub section: String,
    /// The file.
    pub html: String,
}

/// Why pages could not be made.
#[derive(Debug, thiserror::Error)]
pub enum HandoutError {
    /// A sound that cannot be made.
    #[error(transparent)]
    Sound(#[from] SoundFileError),
    /// What is played cannot be written down.
    #[error("what is played cannot be written as JSON: {0}")]
    Json(#[from] serde_json::Error),
}

/// A section with its items, and how each is played if it can be.
struct Lesson<'a> {
    section: &'a PlannedSection,
    items: Vec<(&'a BuiltItem, Option<Heard>)>,
}

/// What the script of a page is told.
#[derive(Serialize)]
struct Packed<'a> {
    items: Vec<Option<&'a Heard>>,
    sounds: BTreeMap<&'a str, &'a str>,
}

/// A page for every section that has music, as it is engraved for this edition. Each sound is
/// made once for all of them.
///
/// # Errors
/// If a sound cannot be made.
pub fn handouts(built: &Built, instrument: &Instrument) -> Result<Vec<Handout>, HandoutError> {
    let lessons = lessons(built, instrument);
    let all = lessons.iter().flat_map(|lesson| &lesson.items);
    let names = all.filter_map(|(_, heard)| heard.as_ref()).flat_map(Heard::sounds);
    let sounds = sounds(names, instrument)?;
    lessons.par_iter().map(|lesson| handout(lesson, &built.plan, &sounds)).collect()
}

/// Items stand in the order of their blocks.
fn lessons<'a>(built: &'a Built, instrument: &Instrument) -> Vec<Lesson<'a>> {
    let heard: Vec<Option<Heard>> =
        built.items.par_iter().map(|item| heard(item, instrument).ok()).collect();
    let mut items = built.items.iter().map(|item| &**item).zip(heard);
    let lessons = built.plan.sections.iter().filter(|it| it.kind == SectionKind::Lessons);
    let lessons = lessons.map(|section| {
        let music = section.blocks.iter().filter(|block| block.music().is_some()).count();
        Lesson { section, items: items.by_ref().take(music).collect() }
    });
    lessons.filter(|lesson| !lesson.items.is_empty()).collect()
}

fn handout(
    lesson: &Lesson<'_>,
    plan: &PagePlan,
    sounds: &BTreeMap<String, String>,
) -> Result<Handout, HandoutError> {
    let played = |heard: &Option<Heard>| heard.is_some();
    let items: Vec<Played<'_>> =
        lesson.items.iter().map(|(built, heard)| Played { built, heard: played(heard) }).collect();
    let mut inline = Inline::default();
    let main = self::lesson(&mut inline, lesson.section, &items, &plan.style);
    let Language::English = plan.language;
    let html = filled(
        include_str!("../assets/page.html"),
        &[
            ("language", "en"),
            ("title", &line(&lesson.section.heading)),
            ("book", &line(&plan.title)),
            ("line", &line(&lesson.section.line)),
            ("style", &[STAND_CSS, include_str!("../assets/page.css")].concat()),
            ("definitions", inline.definitions()),
            ("lesson", &main),
            ("stand", &STAND_HTML.replace("{more}", "")),
            ("packed", &packed(lesson, sounds)?),
            ("script", &[STAND_JS, include_str!("../assets/page.js")].concat()),
        ],
    );
    let section = lesson.items.first().map(|(item, _)| item.section.clone()).unwrap_or_default();
    Ok(Handout { section, html })
}

/// What is played, in a form that ends no script.
fn packed(
    lesson: &Lesson<'_>,
    sounds: &BTreeMap<String, String>,
) -> Result<String, serde_json::Error> {
    let items: Vec<Option<&Heard>> = lesson.items.iter().map(|(_, heard)| heard.as_ref()).collect();
    let names = items.iter().flatten().flat_map(|heard| heard.sounds());
    let sounds = names
        .filter_map(|name| sounds.get_key_value(name))
        .map(|(name, sound)| (name.as_str(), sound.as_str()))
        .collect();
    Ok(serde_json::to_string(&Packed { items, sounds })?.replace('<', "\\u003c"))
}

/// A template with its `{places}` filled. What is filled in is not looked at again.
fn filled(template: &str, places: &[(&str, &str)]) -> String {
    let mut out = String::new();
    let mut rest = template;
    while let Some(at) = rest.find('{') {
        let (before, after) = rest.split_at(at);
        out.push_str(before);
        let place = after[1..].split_once('}').and_then(|(name, beyond)| {
            Some((places.iter().find(|(own, _)| *own == name)?.1, beyond))
        });
        match place {
            Some((text, beyond)) => {
                out.push_str(text);
                rest = beyond;
            }
            None => {
                out.push('{');
                rest = &after[1..];
            }
        }
    }
    out.push_str(rest);
    out
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use apoyando_book::Book;
    use apoyando_fretboard::Millimetres;
    use apoyando_workshop::{Printing, Workshop};

    use super::*;

    fn demo() -> (Built, Instrument) {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/garden-gate");
        let book = Book::open(&folder).unwrap();
        let edition = book.main_edition();
        let printing = Printing { book: &book, edition: &edition, line: Millimetres(175.0) };
        (Workshop::default().build(&printing, &|_| {}), book.instrument.clone())
    }

    /// Every item of every section stands on a page, with every note and every sound of it.
    #[test]
    fn all_of_the_demo_is_handed_out() {
        let (built, guitar) = demo();
        let pages = handouts(&built, &guitar).unwrap();
        let sections: Vec<&str> = pages.iter().map(|page| page.section.as_str()).collect();
        assert_eq!(sections, ["c-major", "a-minor", "g-major"]);
        for page in &pages {
            let own = built.items.iter().filter(|item| item.section == page.section);
            let notes: usize = own.clone().map(|item| item.score.notes().len()).sum();
            assert_eq!(page.html.matches("class=\"note\"").count(), notes, "{}", page.section);
            assert_eq!(page.html.matches("class=\"hear\"").count(), own.clone().count());
            let (_, rest) = page.html.split_once("id=\"packed\">").unwrap();
            let (json, _) = rest.split_once("</script>").unwrap();
            let packed: serde_json::Value = serde_json::from_str(json).unwrap();
            for item in packed["items"].as_array().unwrap() {
                for strike in item["strikes"].as_array().unwrap() {
                    let name = strike["sound"].as_str().unwrap();
                    assert!(packed["sounds"][name].is_string(), "{name}");
                }
            }
            assert!(
                !page.html.contains("{lesson}") && page.html.contains("Playing without strain")
            );
        }
        assert_eq!(handouts(&built, &guitar).unwrap(), pages, "the same bytes twice");
    }

    #[test]
    fn what_is_filled_in_is_not_filled_again() {
        assert_eq!(filled("{a} {b} {c {", &[("a", "{b}"), ("b", "x")]), "{b} x {c {");
    }

    #[test]
    fn what_is_packed_ends_no_script() {
        let (mut built, guitar) = demo();
        let item = std::sync::Arc::make_mut(&mut built.items[0]);
        item.title = "</script><b>".to_owned();
        let pages = handouts(&built, &guitar).unwrap();
        assert!(pages[0].html.contains("\\u003c/script>\\u003cb>"));
    }
}
