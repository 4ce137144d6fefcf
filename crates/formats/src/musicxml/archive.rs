//! The compressed form: a zip archive whose container file names the score.

use std::io::{Cursor, Read};

use zip::ZipArchive;

use crate::ReadError;
use crate::text;

/// Most entries an archive may have: score, parts, pictures.
const MOST_ENTRIES: usize = 1000;

/// The bytes of the score in an archive, at most so many.
pub(super) fn score(file: &str, bytes: &[u8], limit: u64) -> Result<Vec<u8>, ReadError> {
    let broken = |reason: String| ReadError::Archive { file: file.to_owned(), reason };
    let mut archive =
        ZipArchive::new(Cursor::new(bytes)).map_err(|error| broken(error.to_string()))?;
    if archive.len() > MOST_ENTRIES {
        let count = archive.len();
        return Err(broken(format!("{count} entries; a score has at most {MOST_ENTRIES}")));
    }
    let path = match entry(file, &mut archive, "META-INF/container.xml", limit)? {
        Some(container) => root_file(&container)
            .ok_or_else(|| broken("META-INF/container.xml names no score".to_owned()))?,
        None => archive
            .file_names()
            .flatten()
            .find(|name| {
                !name.starts_with("META-INF/")
                    && (name.ends_with(".musicxml") || name.ends_with(".xml"))
            })
            .map(|name| name.into_owned())
            .ok_or_else(|| broken("there is no META-INF/container.xml and no score".to_owned()))?,
    };
    entry(file, &mut archive, &path, limit)?
        .ok_or_else(|| broken(format!("its container names {path}, which is not in it")))
}

/// One entry, unpacked under the byte limit; `None` if there is none.
fn entry(
    file: &str,
    archive: &mut ZipArchive<Cursor<&[u8]>>,
    name: &str,
    limit: u64,
) -> Result<Option<Vec<u8>>, ReadError> {
    let broken = |reason: String| ReadError::Archive {
        file: file.to_owned(),
        reason: format!("{name}: {reason}"),
    };
    let entry = match archive.by_name(name) {
        Ok(entry) => entry,
        Err(zip::result::ZipError::FileNotFound) => return Ok(None),
        Err(error) => return Err(broken(error.to_string())),
    };
    let mut unpacked = Vec::new();
    // The stated size may lie, so what comes out is counted.
    entry.take(limit + 1).read_to_end(&mut unpacked).map_err(|error| broken(error.to_string()))?;
    if unpacked.len() as u64 > limit {
        let what = format!("{name} in the archive");
        return Err(ReadError::TooLarge { file: file.to_owned(), what, limit });
    }
    Ok(Some(unpacked))
}

/// The path of the first root file, which is the score by the container's rule.
fn root_file(container: &[u8]) -> Option<String> {
    let text = text::decode(container).ok()?;
    let options =
        roxmltree::ParsingOptions { nodes_limit: 10_000, allow_dtd: true, ..Default::default() };
    let document = roxmltree::Document::parse_with_options(&text, options).ok()?;
    let root = document.descendants().find(|node| node.tag_name().name() == "rootfile")?;
    root.attribute("full-path").map(str::to_owned)
}
