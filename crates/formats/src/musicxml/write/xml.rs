//! Indented XML, element by element.

use quick_xml::escape::escape;

/// Text of a document in the making.
pub(super) struct Xml {
    text: String,
    open: Vec<&'static str>,
}

impl Xml {
    pub(super) fn new() -> Self {
        Self { text: "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n".to_owned(), open: Vec::new() }
    }

    fn start(&mut self, name: &str, attributes: &[(&str, &str)]) {
        self.text.extend(std::iter::repeat_n(' ', self.open.len()));
        self.text.push('<');
        self.text.push_str(name);
        for (key, value) in attributes {
            self.text.push(' ');
            self.text.push_str(key);
            self.text.push_str("=\"");
            self.text.push_str(&clean(value));
            self.text.push('"');
        }
    }

    /// Begins an element that has children.
    pub(super) fn open(&mut self, name: &'static str, attributes: &[(&str, &str)]) {
        self.start(name, attributes);
        self.text.push_str(">\n");
        self.open.push(name);
    }

    /// Ends the element begun last.
    pub(super) fn close(&mut self) {
        if let Some(name) = self.open.pop() {
            self.text.extend(std::iter::repeat_n(' ', self.open.len()));
            self.text.push_str("</");
            self.text.push_str(name);
            self.text.push_str(">\n");
        }
    }

    /// An element that holds text.
    pub(super) fn text(&mut self, name: &str, attributes: &[(&str, &str)], text: &str) {
        self.start(name, attributes);
        self.text.push('>');
        self.text.push_str(&clean(text));
        self.text.push_str("</");
        self.text.push_str(name);
        self.text.push_str(">\n");
    }

    /// An element without content.
    pub(super) fn empty(&mut self, name: &str, attributes: &[(&str, &str)]) {
        self.start(name, attributes);
        self.text.push_str("/>\n");
    }

    pub(super) fn finish(mut self) -> String {
        while !self.open.is_empty() {
            self.close();
        }
        self.text
    }
}

/// Escaped, without the characters XML 1.0 does not allow at all.
fn clean(text: &str) -> String {
    let allowed = |c: &char| matches!(c, '\t' | '\n' | '\r' | ' '..='\u{d7ff}' | '\u{e000}'..='\u{fffd}' | '\u{10000}'..);
    let text: String = text.chars().filter(allowed).collect();
    escape(text.as_str()).into_owned()
}
