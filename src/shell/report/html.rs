//! Writes HTML so that no text can become markup.

use crate::shell::ink::sanitize;

/// The style of every page, embedded in the page.
const STYLE: &str = include_str!("style.css");

/// An HTML buffer.
#[derive(Debug, Default)]
pub(super) struct Html(String);

impl Html {
    /// Appends the program's own markup; never a text from outside.
    pub fn raw(&mut self, markup: &str) -> &mut Html {
        self.0.push_str(markup);
        self
    }

    /// Appends a text: HTML's special characters are escaped, unsafe characters become visible.
    pub fn text(&mut self, text: &str) -> &mut Html {
        self.0.push_str(&escaped(text));
        self
    }

    /// Appends an element containing a text; `tag` may carry attributes: `p class="faint"`.
    pub fn element(&mut self, tag: &str, text: &str) -> &mut Html {
        let name = tag.split(' ').next().unwrap_or(tag);
        self.raw(&format!("<{tag}>")).text(text).raw(&format!("</{name}>\n"))
    }

    /// Appends a table head; a name that begins with `|` marks a text column.
    pub fn table(&mut self, heads: &[&str]) -> &mut Html {
        self.raw("<div class=\"scroll\"><table>\n<thead><tr>");
        for head in heads {
            match head.strip_prefix('|') {
                Some(text) => self.element("th scope=\"col\" class=\"text\"", text),
                None => self.element("th scope=\"col\"", head),
            };
        }
        self.raw("</tr></thead>\n<tbody>\n")
    }

    /// Ends a table.
    pub fn end_table(&mut self) -> &mut Html {
        self.raw("</tbody></table></div>\n")
    }

    /// Appends a row of texts; those after the first are figures.
    pub fn row(&mut self, class: &str, cells: &[&str]) -> &mut Html {
        self.raw(&format!("<tr class=\"{class}\">"));
        for (place, cell) in cells.iter().enumerate() {
            self.element(if place == 0 { class_of_key(cell) } else { "td class=\"figure\"" }, cell);
        }
        self.raw("</tr>\n")
    }
}

/// CSS class of a key: a short name is never broken, a long one may be.
fn class_of_key(text: &str) -> &'static str {
    if text.chars().count() <= 8 { "td class=\"key\"" } else { "td" }
}

/// A text escaped for HTML.
fn escaped(text: &str) -> String {
    let text = sanitize(text);
    let mut safe = String::with_capacity(text.len() + 8);
    for c in text.chars() {
        match c {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&#39;"),
            c => safe.push(c),
        }
    }
    safe
}

/// A whole page: it loads nothing from elsewhere and runs no script.
pub(super) fn document(title: &str, body: Html) -> String {
    format!(
        "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">\n\
         <title>{}</title>\n<style>\n{STYLE}</style>\n</head>\n<body>\n{}</body>\n</html>\n",
        escaped(title),
        body.0
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_stays_a_text() {
        let mut html = Html::default();
        html.element("p class=\"x\"", "<script>alert('1')</script> & \u{1b}[31m");
        assert_eq!(html.0, "<p class=\"x\">&lt;script&gt;alert(&#39;1&#39;)&lt;/script&gt; &amp; \\u{1b}[31m</p>\n");
    }
}
