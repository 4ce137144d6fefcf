//! An author's words as HTML: plain lines and CommonMark. Nothing an author writes is read as
//! markup of the page: tags stand there as text, as they do in print, and pictures are their
//! words alone.

use pulldown_cmark::{BlockQuoteKind, CowStr, Event, HeadingLevel, Options, Parser, Tag, TagEnd};

use crate::escaped::escaped;

/// A line of plain text.
pub fn line(text: &str) -> String {
    Curled::default().text(text)
}

/// CommonMark. Headings begin one level below `under` and skip none.
pub fn prose(source: &str, under: usize) -> String {
    let mut out = String::new();
    let mut curled = Curled::default();
    let mut levels: Vec<usize> = Vec::new();
    let mut last = under;
    let mut links: Vec<bool> = Vec::new();
    for event in Parser::new_ext(source, Options::ENABLE_GFM) {
        match event {
            Event::Start(tag) => {
                if begins_a_line(&tag) {
                    curled = Curled::default();
                }
                match tag {
                    Tag::Heading { level, .. } => {
                        last = (under + depth(level)).min(last + 1).min(6);
                        levels.push(last);
                        out.push_str(&format!("<h{last}>"));
                    }
                    Tag::Link { dest_url, .. } => {
                        links.push(begin_link(&mut out, &dest_url));
                    }
                    other => out.push_str(&begin(&other)),
                }
            }
            Event::End(TagEnd::Heading(_)) => {
                out.push_str(&format!("</h{}>", levels.pop().unwrap_or(last)));
            }
            Event::End(TagEnd::Link) => {
                out.push_str(if links.pop() == Some(true) { "</a>" } else { "" });
            }
            Event::End(end) => out.push_str(finish(&end)),
            Event::Code(text) => {
                out.push_str(&format!("<code>{}</code>", escaped(&text)));
                curled.after(&text);
            }
            Event::Text(text) | Event::Html(text) | Event::InlineHtml(text) => {
                out.push_str(&curled.text(&text));
            }
            Event::SoftBreak => out.push_str(&curled.text("\n")),
            Event::HardBreak => out.push_str("<br>"),
            Event::Rule => out.push_str("<hr>"),
            _ => {}
        }
    }
    out
}

fn begins_a_line(tag: &Tag<'_>) -> bool {
    !matches!(tag, Tag::Emphasis | Tag::Strong | Tag::Link { .. } | Tag::Image { .. })
}

/// Links lead to pages and letters only; other words are words.
fn begin_link(out: &mut String, address: &CowStr<'_>) -> bool {
    let leads = ["https://", "http://", "mailto:"].iter().any(|kind| address.starts_with(kind));
    if leads {
        out.push_str(&format!("<a href=\"{}\" rel=\"noreferrer\">", escaped(address)));
    }
    leads
}

fn begin(tag: &Tag<'_>) -> String {
    match tag {
        Tag::Paragraph => "<p>".to_owned(),
        Tag::BlockQuote(Some(kind)) => {
            format!("<div class=\"notice\"><p class=\"kind\">{}</p>", title(*kind))
        }
        Tag::BlockQuote(None) => "<blockquote>".to_owned(),
        Tag::CodeBlock(_) => "<pre>".to_owned(),
        Tag::HtmlBlock => "<p>".to_owned(),
        Tag::List(None) => "<ul>".to_owned(),
        Tag::List(Some(1)) => "<ol>".to_owned(),
        Tag::List(Some(first)) => format!("<ol start=\"{first}\">"),
        Tag::Item => "<li>".to_owned(),
        Tag::Emphasis => "<em>".to_owned(),
        Tag::Strong => "<strong>".to_owned(),
        _ => String::new(),
    }
}

const fn finish(end: &TagEnd) -> &'static str {
    match end {
        TagEnd::Paragraph | TagEnd::HtmlBlock => "</p>",
        TagEnd::BlockQuote(Some(_)) => "</div>",
        TagEnd::BlockQuote(None) => "</blockquote>",
        TagEnd::CodeBlock => "</pre>",
        TagEnd::List(false) => "</ul>",
        TagEnd::List(true) => "</ol>",
        TagEnd::Item => "</li>",
        TagEnd::Emphasis => "</em>",
        TagEnd::Strong => "</strong>",
        _ => "",
    }
}

/// The title of a box, as in print.
const fn title(kind: BlockQuoteKind) -> &'static str {
    match kind {
        BlockQuoteKind::Note => "Note",
        BlockQuoteKind::Tip => "Tip",
        BlockQuoteKind::Important => "Important",
        BlockQuoteKind::Warning => "Warning",
        BlockQuoteKind::Caution => "Caution",
    }
}

const fn depth(level: HeadingLevel) -> usize {
    match level {
        HeadingLevel::H1 => 1,
        HeadingLevel::H2 => 2,
        _ => 3,
    }
}

/// Straight quotation marks made those of print, as the press does.
#[derive(Default)]
struct Curled {
    last: Option<char>,
}

impl Curled {
    fn text(&mut self, text: &str) -> String {
        let mut curled = String::with_capacity(text.len());
        for c in text.chars() {
            let opens =
                self.last.is_none_or(|last| last.is_whitespace() || "([{–—-“‘\"'".contains(last));
            curled.push(match (c, opens) {
                ('"', true) => '“',
                ('"', false) => '”',
                ('\'', true) => '‘',
                ('\'', false) => '’',
                (c, _) => c,
            });
            self.last = Some(c);
        }
        escaped(&curled)
    }

    fn after(&mut self, text: &str) {
        self.last = text.chars().last().or(self.last);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn commonmark_becomes_html() {
        assert_eq!(
            prose("# Listen\n\nPlay *slowly*, **then**\nfaster.\n\n3. one\n4. two\n\n- a\n", 1),
            "<h2>Listen</h2><p>Play <em>slowly</em>, <strong>then</strong>\nfaster.</p>\
             <ol start=\"3\"><li>one</li><li>two</li></ol><ul><li>a</li></ul>"
        );
        assert_eq!(
            prose("> [!CAUTION]\n> Stop.", 2),
            "<div class=\"notice\"><p class=\"kind\">Caution</p><p>Stop.</p></div>"
        );
    }

    #[test]
    fn headings_skip_no_level() {
        assert_eq!(prose("### a\n# b\n## c", 2), "<h3>a</h3><h3>b</h3><h4>c</h4>");
    }

    #[test]
    fn nothing_an_author_writes_is_markup() {
        let html = prose(
            "<script>alert(1)</script>\n\na <b onclick=\"x\">b</b> ![seen](http://x.y/z.png) \
             [run](javascript:x) [read](https://x.y/?a=\"b\")",
            1,
        );
        assert!(html.contains("&lt;script&gt;") && html.contains("&lt;b onclick="), "{html}");
        assert!(!html.contains("<img") && html.contains("seen"), "{html}");
        assert!(!html.contains("javascript"), "{html}");
        assert!(
            html.contains("<a href=\"https://x.y/?a=&quot;b&quot;\" rel=\"noreferrer\">read</a>")
        );
    }

    #[test]
    fn quotation_marks_are_those_of_print() {
        assert_eq!(line("The student's \"wheel\" <'90>"), "The student’s “wheel” &lt;’90&gt;");
        assert_eq!(prose("*\"a\"* isn't", 1), "<p><em>“a”</em> isn’t</p>");
    }
}
