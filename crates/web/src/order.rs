//! The order of the book as its files have it, and what they say of each section and item: what
//! is shown where sections and items are moved, changed and taken out.

use std::collections::BTreeSet;

use apoyando_book::edit::{EditError, Revision, Said, lines_of, said_in, sections_of};
use axum::extract::{Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use axum::{Json, Router};
use serde::{Deserialize, Serialize};

use crate::bench::Bench;
use crate::server::{Shared, asset, refused};

/// The book in its order.
#[derive(Serialize)]
struct Order {
    /// The revision of the file that has the order of sections.
    base: Option<Revision>,
    sections: Vec<SectionSaid>,
    /// Files of sections that are not in the book.
    aside: Vec<String>,
    /// Files of pieces that no item names.
    loose: Vec<String>,
    /// Texts before the first section.
    preface: Vec<String>,
}

/// A section as its file has it.
#[derive(Serialize)]
struct SectionSaid {
    /// The name of its file without ending.
    name: String,
    base: Option<Revision>,
    says: Said,
    items: Vec<ItemSaid>,
    /// What is wrong with its file.
    fault: Option<String>,
}

/// An item as its file has it.
#[derive(Serialize)]
struct ItemSaid {
    /// What it is called in the book.
    title: String,
    /// The page it begins on, if it stands on one.
    page: Option<usize>,
    /// Which item with music it is, from 0.
    music: Option<usize>,
    says: Said,
}

/// What this part of the page asks for.
pub fn routes() -> Router<Shared> {
    let script = "text/javascript";
    Router::new()
        .route("/order", get(order))
        .route("/lines", get(lines))
        .route("/order.js", get(move || asset(script, include_str!("../assets/order.js"))))
        .route("/write.js", get(move || asset(script, include_str!("../assets/write.js"))))
}

async fn order(State(shared): State<Shared>) -> Result<Response, StatusCode> {
    Ok(match shared.ask(of).await? {
        Ok(order) => Json(order).into_response(),
        Err(error) => refused(error),
    })
}

#[derive(Deserialize)]
struct WhichItem {
    section: String,
    item: usize,
}

/// The lines of an item, so that they can be put into another section.
async fn lines(
    State(shared): State<Shared>,
    Query(which): Query<WhichItem>,
) -> Result<Response, StatusCode> {
    let file = format!("sections/{}.toml", which.section);
    Ok(match shared.ask(move |bench| bench.text(&file)).await? {
        Ok(text) => match lines_of(&text.unwrap_or_default(), which.item) {
            Ok(lines) => lines.into_response(),
            Err(message) => refused(message),
        },
        Err(error) => refused(error),
    })
}

/// A key of what is said.
fn say<'a>(said: &'a Said, key: &str) -> Option<&'a str> {
    said.iter().find(|(name, _)| name == key).map(|(_, text)| text.as_str())
}

fn of(bench: &Bench) -> Result<Order, EditError> {
    let plan = bench.text("book.toml")?.unwrap_or_default();
    let fault = |message| EditError::Plan { file: "book.toml".to_owned(), message };
    let names = sections_of(&plan).map_err(fault)?;
    let files = bench.files();
    let sections: Vec<SectionSaid> = names.iter().map(|name| section(bench, name)).collect();
    let named: BTreeSet<&str> =
        sections.iter().flat_map(|it| &it.items).filter_map(|it| say(&it.says, "file")).collect();
    let in_folder = |folder: &'static str| {
        files.iter().filter_map(move |file| file.strip_prefix(folder)?.strip_prefix('/'))
    };
    let aside = in_folder("sections").filter_map(|file| file.strip_suffix(".toml"));
    let aside = aside.filter(|name| !names.iter().any(|it| it == name)).map(str::to_owned);
    let loose = in_folder("pieces").filter(|file| !file.ends_with(".pins.toml"));
    let loose = loose.filter(|file| !named.contains(file)).map(str::to_owned);
    let preface = bench.book().into_iter().flat_map(|book| &book.preface);
    Ok(Order {
        base: bench.revision("book.toml")?,
        aside: aside.collect(),
        loose: loose.collect(),
        preface: preface.map(|prose| prose.file.clone()).collect(),
        sections,
    })
}

fn section(bench: &Bench, name: &str) -> SectionSaid {
    let file = format!("sections/{name}.toml");
    let read = bench.text(&file).map_err(|error| error.to_string());
    let said = read.and_then(|text| said_in(&text.unwrap_or_default()));
    let (says, items, fault) = match said {
        Ok((says, items)) => (says, items, None),
        Err(message) => (Vec::new(), Vec::new(), Some(message)),
    };
    let built = |index: usize| {
        (0..)
            .map_while(|at| Some((at, bench.item(at)?)))
            .find(|(_, built)| built.section == name && built.index == index)
    };
    let items = items.into_iter().enumerate().map(|(index, says)| {
        let built = built(index);
        let plain = || {
            let own = say(&says, "title").or_else(|| say(&says, "file"));
            own.or_else(|| say(&says, "kind")).unwrap_or("an item").to_owned()
        };
        ItemSaid {
            title: built.map_or_else(plain, |(_, built)| built.title.clone()),
            page: built.and_then(|(at, _)| bench.page_of(at)),
            music: built.map(|(at, _)| at),
            says,
        }
    });
    SectionSaid {
        name: name.to_owned(),
        base: bench.revision(&file).ok().flatten(),
        items: items.collect(),
        says,
        fault,
    }
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::*;

    #[test]
    fn the_order_of_the_demo_is_told() {
        let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/garden-gate");
        let order = of(&Bench::open(&demo).unwrap()).unwrap();
        let names: Vec<&str> = order.sections.iter().map(|it| it.name.as_str()).collect();
        assert_eq!(names, ["c-major", "a-minor", "g-major"]);
        let last = &order.sections[2];
        assert_eq!(last.items.len(), 7);
        assert_eq!(last.items[6].title, "The Blue Pitcher");
        assert_eq!(say(&last.items[4].says, "degrees"), Some("I IV V I"));
        assert!(last.items.iter().all(|item| item.page.is_some()));
        assert!(order.aside.is_empty() && order.loose.is_empty());
        assert_eq!(order.preface, ["text/welcome.md", "text/how-to-practise.md"]);
    }
}
