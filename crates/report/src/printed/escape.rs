//! Escaping of text for HTML that is also well-formed XML.

use super::content::Mark;

/// The text with everything replaced that could be read as markup, in element content and in quoted attributes.
///
/// Characters that XML 1.0 does not allow (section 2.2 of that recommendation) become U+FFFD, and so do the marks that
/// turn the direction of writing, with which a title could disguise what stands after it.
pub fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 8);
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            _ => out.push(harmless(c)),
        }
    }
    out
}

/// The character, or what stands for one that is not allowed.
pub(super) fn harmless(c: char) -> char {
    match c {
        '\t' | '\n' | '\r' => ' ',
        '\u{0}'..='\u{1f}' | '\u{7f}'..='\u{9f}' | '\u{fffe}' | '\u{ffff}' => '\u{fffd}',
        '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' => '\u{fffd}',
        _ => c,
    }
}

/// A paragraph of a class that begins with a few strong words.
pub(crate) fn lead(class: &str, strong: &str, text: &str) -> String {
    let (strong, text) = (escaped(strong), escaped(text));
    format!("<p class=\"{class}\"><strong>{strong}</strong> {text}</p>\n")
}

/// Names and values within their list.
pub(crate) fn facts(list: &[(String, String)]) -> String {
    let fact = |(name, value): &(String, String)| {
        let (name, value) = (escaped(name), escaped(value));
        format!("<div><dt>{name}</dt><dd>{value}</dd></div>\n")
    };
    list.iter().map(fact).collect()
}

/// A word in its frame: the frame differs in line, not in colour.
pub(crate) fn framed(mark: Mark, word: &str) -> String {
    let (class, word) = (mark.class(), escaped(word));
    format!("<span class=\"mark {class}\">{word}</span>")
}

/// What a browser may do with a page: show it, and run the scripts that carry this number; load nothing. It stands in the
/// page's head.
pub(crate) fn policy(number: Option<&str>) -> String {
    let scripts = number.map_or_else(|| "'none'".to_owned(), |n| format!("'nonce-{n}'"));
    format!(
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'; img-src data: \
         blob:; script-src {scripts}; base-uri 'none'; form-action 'none'\"/>\n"
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn markup_becomes_text() {
        assert_eq!(
            escaped("<script>alert('a & \"b\"')</script>"),
            "&lt;script&gt;alert(&#39;a &amp; &quot;b&quot;&#39;)&lt;/script&gt;"
        );
    }

    #[test]
    fn control_and_direction_characters_are_replaced() {
        assert_eq!(escaped("a\u{0}b\u{202e}c\nd"), "a\u{fffd}b\u{fffd}c d");
    }
}
