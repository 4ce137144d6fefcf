//! The commands on book folders: `new`, `check`, `build`, `open`.

mod build;

use std::path::Path;

use apoyando_book::{Book, Edition, new_book};
use apoyando_fingering::{Finding, Severity};
use apoyando_makeup::printing;
use apoyando_workshop::{Built, Progress, Workshop};
use serde::Serialize;

use crate::args::{CheckArguments, Format, NewArguments, OpenArguments};
use crate::trouble::{Outcome, print, say};

pub use build::run as build;

/// `new DIR`
pub fn new(arguments: &NewArguments) -> Outcome {
    let folder = &arguments.folder;
    match new_book(folder) {
        Ok(()) => {
            let shown = folder.display();
            print(&format!(
                "{shown}: a small book to begin with. Build it with: apoyando build {shown}\n"
            ));
            Outcome::Good
        }
        Err(error) => {
            say(format_args!("error: {error}"));
            Outcome::Broken
        }
    }
}

/// `check DIR`
pub fn check(arguments: &CheckArguments) -> Outcome {
    let findings = match open(&arguments.folder) {
        Ok(book) => all_findings(&work(&book, &book.every_edition())),
        Err(Unopened::NoBook(message)) => {
            say(format_args!("error: {message}"));
            return Outcome::Broken;
        }
        Err(Unopened::Faults(findings)) => findings,
    };
    report(&findings, arguments.format)
}

/// `open DIR`
pub fn open_in_browser(arguments: &OpenArguments) -> Outcome {
    let served = |book: apoyando_web::Served| {
        let apoyando_web::Served { address, title } = book;
        print(&format!("{title}: open at {address} (this computer only). Stop with Ctrl-C.\n"));
    };
    match apoyando_web::open(&arguments.folder, arguments.port, served) {
        Ok(()) => Outcome::Good,
        Err(error) => {
            say(format_args!("error: {error}"));
            Outcome::Broken
        }
    }
}

/// Why there is no book to work on.
enum Unopened {
    /// No folder or no plan in it.
    NoBook(String),
    /// Faults in the plan.
    Faults(Vec<Finding>),
}

fn open(folder: &Path) -> Result<Book, Unopened> {
    Book::open(folder).map_err(|errors| match &errors[..] {
        [only] if only.place().is_none() => Unopened::NoBook(only.to_string()),
        _ => Unopened::Faults(errors.iter().map(|error| error.finding()).collect()),
    })
}

/// Works a book out in some of its editions. What does not depend on the edition
/// is done once.
fn work(book: &Book, editions: &[Edition]) -> Vec<Built> {
    let workshop = Workshop::default();
    editions
        .iter()
        .map(|edition| {
            workshop.build(&printing(book, edition), &|progress: &Progress| {
                let name = if edition.name.is_empty() { "main" } else { &edition.name };
                say(format_args!("{name} [{}/{}] {}", progress.done, progress.of, progress.what));
            })
        })
        .collect()
}

/// What was found in any edition, each thing once.
fn all_findings(built: &[Built]) -> Vec<Finding> {
    let mut findings: Vec<Finding> = Vec::new();
    for finding in built.iter().flat_map(|built| &built.findings) {
        if !findings.contains(finding) {
            findings.push(finding.clone());
        }
    }
    findings
}

/// The worst that was found.
fn worst(findings: &[Finding]) -> Outcome {
    if findings.iter().any(|finding| finding.severity == Severity::Error) {
        Outcome::Found
    } else {
        Outcome::Good
    }
}

/// Prints findings on the output channel, with a count for people.
fn report(findings: &[Finding], format: Format) -> Outcome {
    match format {
        Format::Text => {
            let mut text: String = findings.iter().map(|finding| format!("{finding}\n")).collect();
            let count = |severity, one, many| {
                let found = findings.iter().filter(|f| f.severity == severity).count();
                format!("{found} {}", if found == 1 { one } else { many })
            };
            text.push_str(&format!(
                "{}, {}, {}\n",
                count(Severity::Error, "error", "errors"),
                count(Severity::Warning, "warning", "warnings"),
                count(Severity::Advice, "piece of advice", "pieces of advice")
            ));
            print(&text);
        }
        Format::Json => {
            #[derive(Serialize)]
            struct Report<'a> {
                findings: &'a [Finding],
            }
            match serde_json::to_string_pretty(&Report { findings }) {
                Ok(text) => print(&(text + "\n")),
                Err(error) => {
                    say(format_args!("error: the findings cannot be written as JSON: {error}"));
                    return Outcome::Broken;
                }
            }
        }
    }
    worst(findings)
}
