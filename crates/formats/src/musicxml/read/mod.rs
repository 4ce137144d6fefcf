//! Reading a partwise score.

mod attributes;
mod barline;
mod cue;
mod dashes;
mod direction;
mod grace;
mod heading;
mod lyric;
mod notations;
mod note;
mod number;
mod part;
mod wavy;

use roxmltree::Node;

use crate::fit::{self, fit};
use crate::report::Report;
use crate::rough::RoughPiece;
use crate::text::Lines;
use crate::{ReadError, ReadOptions, ReadPiece};

/// The text being read.
pub(super) struct Source<'a> {
    pub file: &'a str,
    pub lines: Lines,
}

impl Source<'_> {
    /// Line and column where a node begins.
    fn place(&self, node: Node<'_, '_>) -> (u32, u32) {
        self.lines.place(node.range().start)
    }

    /// An element whose content cannot be.
    fn error(&self, node: Node<'_, '_>, what: impl Into<String>) -> ReadError {
        let (line, column) = self.place(node);
        ReadError::Element {
            file: self.file.to_owned(),
            line,
            column,
            element: node.tag_name().name().to_owned(),
            what: what.into(),
        }
    }
}

/// Reads the piece under the root element.
pub(super) fn piece(
    source: &Source<'_>,
    root: Node<'_, '_>,
    options: &ReadOptions,
) -> Result<ReadPiece, ReadError> {
    let mut report = Report::new(source.file);
    let mut rough = RoughPiece { heading: heading::heading(root), ..RoughPiece::default() };
    let names = heading::parts(root);
    for name in heading::unread(root) {
        report.not_read_anywhere(&name);
    }
    let parts: Vec<Node<'_, '_>> = elements(root, "part").collect();
    for node in &parts {
        let id = node.attribute("id").unwrap_or_default();
        let listed = names.iter().find(|part| part.id == id).cloned().unwrap_or_default();
        report.part = (parts.len() > 1).then(|| {
            if listed.name.is_empty() { format!("part {id}") } else { listed.name.clone() }
        });
        let read = part::read(source, *node, listed, &mut report)?;
        fit::merge::bars(&mut rough.bars, read.bars, &mut report);
        rough.parts.extend(read.parts);
    }
    report.part = None;
    report.bar = None;
    report.line = None;
    if rough.parts.len() > usize::from(u16::MAX) {
        return Err(source.error(root, "there are too many parts"));
    }
    fit(source.file, rough, options, report)
}

/// Children with a name.
fn elements<'a, 'i: 'a>(
    node: Node<'a, 'i>,
    name: &'static str,
) -> impl Iterator<Item = Node<'a, 'i>> {
    node.children().filter(move |child| child.has_tag_name(name))
}

/// The first child with a name.
fn child<'a, 'i: 'a>(node: Node<'a, 'i>, name: &'static str) -> Option<Node<'a, 'i>> {
    elements(node, name).next()
}

/// The trimmed text of an element; empty if it has none.
fn text<'a>(node: Node<'a, '_>) -> &'a str {
    node.text().unwrap_or_default().trim()
}

/// The trimmed text of a child; empty if there is none.
fn child_text<'a, 'i: 'a>(node: Node<'a, 'i>, name: &'static str) -> &'a str {
    child(node, name).map(text).unwrap_or_default()
}
