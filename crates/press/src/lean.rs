//! A page for the screen: the typesetter's SVG, lighter, so that a browser draws it faster.
//!
//! - An outline that is used again is a path and no symbol, which would open a viewport of its
//!   own each time.
//! - Black and the non-zero rule are what SVG fills with anyway (SVG 2, 13.4.1 and 13.4.2).
//! - Names of outlines are short.

use std::collections::HashMap;

use quick_xml::events::{BytesStart, Event};
use quick_xml::{Reader, Writer};

/// The same picture; as it is, if it cannot be read.
pub fn lean(svg: String) -> String {
    written(&svg).unwrap_or(svg)
}

fn written(svg: &str) -> Option<String> {
    let mut reader = Reader::from_str(svg);
    let mut out = Writer::new(Vec::with_capacity(svg.len()));
    let mut names = Names::default();
    // A symbol that has just been opened, and whether one has become a path.
    let mut opened: Option<BytesStart<'_>> = None;
    let mut path = false;
    loop {
        let event = reader.read_event().ok()?;
        let symbol = match (&event, opened.take()) {
            (Event::Empty(inner), Some(symbol)) if inner.name().as_ref() == "path" => {
                path = true;
                Some(symbol)
            }
            (_, Some(symbol)) => {
                out.write_event(Event::Start(names.shortened(&symbol, None)?)).ok()?;
                None
            }
            (_, None) => None,
        };
        match event {
            Event::Start(start) if start.name().as_ref() == "symbol" => opened = Some(start),
            Event::End(end) if path && end.name().as_ref() == "symbol" => path = false,
            Event::Start(start) => {
                out.write_event(Event::Start(names.shortened(&start, None)?)).ok()?;
            }
            Event::Empty(empty) => {
                let written = names.shortened(&empty, symbol.as_ref())?;
                out.write_event(Event::Empty(written)).ok()?;
            }
            Event::Eof => return String::from_utf8(out.into_inner()).ok(),
            event => out.write_event(event).ok()?,
        }
    }
}

/// Short names of what is referred to.
#[derive(Default)]
struct Names(HashMap<String, usize>);

impl Names {
    fn short(&mut self, name: &str) -> String {
        let next = self.0.len();
        format!("o{}", self.0.entry(name.to_owned()).or_insert(next))
    }

    /// A tag without what is so anyway, with the name of another if there is one.
    fn shortened(
        &mut self,
        tag: &BytesStart<'_>,
        named: Option<&BytesStart<'_>>,
    ) -> Option<BytesStart<'static>> {
        let mut out = BytesStart::new(tag.name().as_ref().to_owned());
        if let Some(id) = named.and_then(|named| named.try_get_attribute("id").ok()?) {
            out.push_attribute(("id", self.short(&id.value).as_str()));
        }
        for attribute in tag.attributes() {
            let attribute = attribute.ok()?;
            let (key, value) = (attribute.key.as_ref(), attribute.value.as_ref());
            let local = |open: &str, close: &str| value.strip_prefix(open)?.strip_suffix(close);
            match (key, value) {
                ("fill", "#000000") | ("fill-rule", "nonzero") => {}
                ("id", name) => out.push_attribute(("id", self.short(name).as_str())),
                _ => {
                    match (local("#", "").filter(|_| key.ends_with("href")), local("url(#", ")")) {
                        (Some(name), _) => {
                            out.push_attribute((key, format!("#{}", self.short(name)).as_str()));
                        }
                        (_, Some(name)) => {
                            out.push_attribute((
                                key,
                                format!("url(#{})", self.short(name)).as_str(),
                            ));
                        }
                        _ => out.push_attribute(attribute),
                    }
                }
            }
        }
        Some(out)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn outlines_are_paths_with_short_names_and_black_goes_without_saying() {
        let svg = concat!(
            "<svg xmlns=\"s\"><use xlink:href=\"#gAB\" x=\"1\" fill=\"#000000\" ",
            "fill-rule=\"nonzero\"/><path fill=\"#ffffff\" d=\"M 0 0\"/><g clip-path=\"url(#c)\">",
            "<image href=\"data:image/png;base64,AA==\"/></g><defs>",
            "<symbol id=\"gAB\" overflow=\"visible\"><path d=\"M 1 1 &quot;\"/></symbol>",
            "<symbol id=\"gCD\"><image href=\"#gAB\"/></symbol><clipPath id=\"c\"/></defs></svg>",
        );
        let lighter = concat!(
            "<svg xmlns=\"s\"><use xlink:href=\"#o0\" x=\"1\"/><path fill=\"#ffffff\" ",
            "d=\"M 0 0\"/><g clip-path=\"url(#o1)\"><image href=\"data:image/png;base64,AA==\"/>",
            "</g><defs><path id=\"o0\" d=\"M 1 1 &quot;\"/>",
            "<symbol id=\"o2\"><image href=\"#o0\"/></symbol><clipPath id=\"o1\"/></defs></svg>",
        );
        assert_eq!(lean(svg.to_owned()), lighter);
    }

    #[test]
    fn what_cannot_be_read_is_left() {
        assert_eq!(lean("<svg".to_owned()), "<svg");
    }
}
