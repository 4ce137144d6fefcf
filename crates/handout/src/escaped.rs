//! Text as HTML.

/// Text that stands in HTML or SVG, between quotation marks too.
pub fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_stands_in_quotation_marks() {
        assert_eq!(escaped("<a b=\"c\">'&'"), "&lt;a b=&quot;c&quot;&gt;&#39;&amp;&#39;");
    }
}
