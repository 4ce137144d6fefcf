//! Words on the page: plain text and CommonMark made into content. Nothing an
//! author writes is ever read as markup of the typesetter: every character goes
//! in as text.

use std::num::NonZeroUsize;

use pulldown_cmark::{BlockQuoteKind, Event, HeadingLevel, Options, Parser, Tag, TagEnd};
use typst_library::foundations::{Content, NativeElement, Packed, Smart};
use typst_library::model::{
    Attribution, Destination, EnumElem, EnumItem, HeadingElem, LinkElem, LinkTarget, ListElem,
    ListItem, ParbreakElem, QuoteElem, Url,
};
use typst_library::text::{LinebreakElem, SmartQuoteElem, TextElem};
use typst_library::visualize::LineElem;

use crate::error::Fault;
use crate::faces::{MISSING, faces};

/// Lists in lists, quotations in quotations: deeper ones are set at this depth.
const DEEPEST: usize = 5;

/// Characters of a running head, which leaves room for the other at the same height.
const LONGEST_RUNNING: usize = 60;

/// Sets words and remembers the characters that could not be set.
#[derive(Default)]
pub struct Setter {
    /// What was noticed.
    pub faults: Vec<Fault>,
    /// Level of the heading set last, for headings that may not skip a level.
    pub level: usize,
}

impl Setter {
    /// A line of plain text.
    pub fn line(&mut self, place: &str, text: &str) -> Content {
        let text = self.printable(place, text);
        quoted(&text)
    }

    /// The text with white space made even and a box for every character the
    /// faces do not have.
    pub fn printable(&mut self, place: &str, text: &str) -> String {
        let mut printed = String::with_capacity(text.len());
        let mut missing: Vec<char> = Vec::new();
        for c in text.chars() {
            if c == '\u{a0}' || c == '\u{2002}' {
                printed.push(c);
            } else if c.is_whitespace() || c.is_control() {
                if !printed.ends_with(' ') {
                    printed.push(' ');
                }
            } else if typst_library::text::is_default_ignorable(c) || faces().have(c) {
                printed.push(c);
            } else {
                printed.push(MISSING);
                if !missing.contains(&c) {
                    missing.push(c);
                }
            }
        }
        self.miss(place, missing);
        printed
    }

    /// Notes characters that could not be set.
    pub fn miss(&mut self, place: &str, characters: Vec<char>) {
        if characters.is_empty() {
            return;
        }
        let known = self.faults.iter_mut().find_map(|fault| match fault {
            Fault::MissingCharacters { place: p, characters } if p == place => Some(characters),
            _ => None,
        });
        match known {
            Some(known) => {
                let new: Vec<char> =
                    characters.into_iter().filter(|c| !known.contains(c)).collect();
                known.extend(new);
            }
            None => {
                self.faults.push(Fault::MissingCharacters { place: place.to_owned(), characters })
            }
        }
    }

    /// A heading as it stands in the running heads.
    pub fn running(&mut self, place: &str, heading: &str) -> String {
        short(&self.printable(place, heading), LONGEST_RUNNING)
    }

    /// A heading of the table of contents at this level, or as deep as the one
    /// before it allows.
    pub fn level(&mut self, wanted: usize) -> NonZeroUsize {
        self.level = wanted.clamp(1, self.level + 1);
        NonZeroUsize::MIN.saturating_add(self.level - 1)
    }

    /// CommonMark. Headings begin one level below `under`.
    pub fn prose(&mut self, place: &str, source: &str, under: usize) -> Content {
        let mut open: Vec<Open> = vec![Open::new(None)];
        for event in Parser::new_ext(source, Options::ENABLE_GFM) {
            match event {
                Event::Start(tag) => open.push(Open::new(Some(tag))),
                Event::End(end) => self.close(&mut open, end, under),
                Event::Text(text) | Event::Code(text) => {
                    let text = self.raw(place, &text);
                    push(&mut open, quoted(&text));
                }
                Event::Html(text) | Event::InlineHtml(text) => {
                    let text = self.raw(place, &text);
                    push(&mut open, TextElem::packed(text));
                }
                Event::SoftBreak => push(&mut open, TextElem::packed(" ")),
                Event::HardBreak => push(&mut open, LinebreakElem::shared().clone()),
                Event::Rule => {
                    push(&mut open, ParbreakElem::shared().clone());
                    push(&mut open, LineElem::new().pack());
                    push(&mut open, ParbreakElem::shared().clone());
                }
                _ => {}
            }
        }
        Content::sequence(open.into_iter().flat_map(|open| open.children))
    }

    /// As [`printable`](Self::printable), with spaces left as they are.
    fn raw(&mut self, place: &str, text: &str) -> String {
        text.split(' ').map(|word| self.printable(place, word)).collect::<Vec<_>>().join(" ")
    }

    fn close(&mut self, open: &mut Vec<Open>, end: TagEnd, under: usize) {
        if open.len() < 2 {
            return;
        }
        let Some(Open { tag: Some(tag), children, items }) = open.pop() else { return };
        let depth = open
            .iter()
            .filter(|o| matches!(o.tag, Some(Tag::List(_) | Tag::BlockQuote(_))))
            .count();
        let loose = children.iter().any(|child| child.is::<ParbreakElem>());
        let body = Content::sequence(children);
        let parbreak = || ParbreakElem::shared().clone();
        let content = match (tag, end) {
            (Tag::Paragraph, _) => Content::sequence([parbreak(), body, parbreak()]),
            (Tag::Heading { level, .. }, _) => {
                let level = self.level(under + depth_of(level));
                HeadingElem::new(body).with_level(Smart::Custom(level)).with_outlined(false).pack()
            }
            (Tag::Emphasis, _) => body.emph(),
            (Tag::Strong, _) => body.strong(),
            (Tag::Link { dest_url, .. }, _) => match Url::new(dest_url.to_string()) {
                Ok(url) => LinkElem::new(LinkTarget::Dest(Destination::Url(url)), body).pack(),
                Err(_) => body,
            },
            // The layout knows a box by the title it is attributed to.
            (Tag::BlockQuote(Some(kind)), _) if depth < DEEPEST => QuoteElem::new(body)
                .with_block(true)
                .with_attribution(Some(Attribution::Content(TextElem::packed(title_of(kind)))))
                .pack(),
            (Tag::BlockQuote(_), _) if depth < DEEPEST => {
                QuoteElem::new(body).with_block(true).pack()
            }
            (Tag::Item, _) => {
                if let Some(list) = open.last_mut() {
                    list.items.push((body, loose));
                }
                return;
            }
            (Tag::List(first), _) if depth < DEEPEST => list(first, items),
            (Tag::List(_), _) => Content::sequence(
                items.into_iter().flat_map(|(body, _)| [parbreak(), body, parbreak()]),
            ),
            (Tag::CodeBlock(_) | Tag::HtmlBlock, _) => {
                Content::sequence([parbreak(), body, parbreak()])
            }
            _ => body,
        };
        push(open, content);
    }
}

/// The title of a box.
const fn title_of(kind: BlockQuoteKind) -> &'static str {
    match kind {
        BlockQuoteKind::Note => "Note",
        BlockQuoteKind::Tip => "Tip",
        BlockQuoteKind::Important => "Important",
        BlockQuoteKind::Warning => "Warning",
        BlockQuoteKind::Caution => "Caution",
    }
}

/// A tag that is open and what it holds so far.
struct Open<'a> {
    tag: Option<Tag<'a>>,
    children: Vec<Content>,
    items: Vec<(Content, bool)>,
}

impl<'a> Open<'a> {
    fn new(tag: Option<Tag<'a>>) -> Self {
        Self { tag, children: Vec::new(), items: Vec::new() }
    }
}

fn push(open: &mut [Open<'_>], content: Content) {
    if let Some(last) = open.last_mut() {
        last.children.push(content);
    }
}

fn list(first: Option<u64>, items: Vec<(Content, bool)>) -> Content {
    let tight = !items.iter().any(|(_, loose)| *loose);
    match first {
        None => {
            let items = items.into_iter().map(|(body, _)| Packed::new(ListItem::new(body)));
            ListElem::new(items.collect()).with_tight(tight).pack()
        }
        Some(first) => {
            let items = items.into_iter().map(|(body, _)| Packed::new(EnumItem::new(body)));
            EnumElem::new(items.collect()).with_tight(tight).with_start(Smart::Custom(first)).pack()
        }
    }
}

fn depth_of(level: HeadingLevel) -> usize {
    match level {
        HeadingLevel::H1 => 1,
        HeadingLevel::H2 => 2,
        _ => 3,
    }
}

/// The text with straight quotation marks left to the language of the book.
fn quoted(text: &str) -> Content {
    let mut parts = Vec::new();
    let mut rest = text;
    while let Some(at) = rest.find(['"', '\'']) {
        let (before, after) = rest.split_at(at);
        if !before.is_empty() {
            parts.push(TextElem::packed(before));
        }
        parts.push(SmartQuoteElem::new().with_double(after.starts_with('"')).pack());
        rest = &after[1..];
    }
    if !rest.is_empty() {
        parts.push(TextElem::packed(rest));
    }
    Content::sequence(parts)
}

/// A title, or what stands for one that has no words: a heading has some.
pub fn titled(title: &str) -> &str {
    if title.trim().is_empty() { "Untitled" } else { title }
}

/// A title cut to what fits a running head.
pub fn short(title: &str, longest: usize) -> String {
    if title.chars().count() <= longest {
        return title.to_owned();
    }
    let mut cut: String = title.chars().take(longest).collect();
    if let Some(space) = cut.rfind(' ') {
        cut.truncate(space);
    }
    format!("{} …", cut.trim_end_matches([' ', ',', ';', ':', '.', '–', '—']))
}
