//! The resolved copy read for people: each value with where it came from, which the copy keeps as a comment.

/// One line of a resolved copy.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stated {
    /// Path of the key; elements of lists by their number, from 1.
    pub path: String,
    /// The value as text with its unit.
    pub value_text: String,
    /// Where it came from: `given`, `default: ...`, `class ...`, `computed: ...`.
    pub origin: String,
}

impl Stated {
    /// Whether the scenario's author left the value open.
    pub fn assumed(&self) -> bool {
        ["default: ", "class ", "computed: "]
            .iter()
            .any(|origin| self.origin.starts_with(origin))
    }
}

/// The values of a resolved copy in its order, also those that it states as a comment only. Lines that are not of that
/// form are passed over: the copy may have been edited.
pub fn stated_values(resolved_text: &str) -> Vec<Stated> {
    let mut out = Vec::new();
    let mut section = String::new();
    // Headers of lists, each with the number of its last element.
    let mut lists: Vec<(String, usize)> = Vec::new();
    for line in resolved_text.lines() {
        if let Some(header) = line.strip_prefix("[[").and_then(|l| l.strip_suffix("]]")) {
            let below = format!("{header}.");
            lists.retain(|(name, _)| !name.starts_with(&below));
            match lists.iter_mut().find(|(name, _)| name == header) {
                Some((_, number)) => *number += 1,
                None => lists.push((header.to_owned(), 1)),
            }
            section = numbered(header, &lists);
        } else if let Some(header) = line.strip_prefix('[').and_then(|l| l.strip_suffix(']')) {
            section = numbered(header, &lists);
        } else if let Some((key, value_text, origin)) = parts(line) {
            let path = if section.is_empty() {
                key.to_owned()
            } else {
                format!("{section}.{key}")
            };
            out.push(Stated {
                path,
                value_text,
                origin: origin.to_owned(),
            });
        }
    }
    out
}

/// How many values a resolved copy says that the scenario's author left open; as many as the reader told of the file.
pub fn assumed_values(resolved_text: &str) -> usize {
    stated_values(resolved_text)
        .iter()
        .filter(|s| s.assumed())
        .count()
}

/// `support.arm.joint` as `support.arm[1].joint`.
fn numbered(header: &str, lists: &[(String, usize)]) -> String {
    let mut generic = String::new();
    let mut out = String::new();
    for part in header.split('.') {
        if !generic.is_empty() {
            generic.push('.');
            out.push('.');
        }
        generic.push_str(part);
        out.push_str(part);
        if let Some((_, number)) = lists.iter().find(|(name, _)| *name == generic) {
            out.push_str(&format!("[{number}]"));
        }
    }
    out
}

/// Key, value and origin of `key = value  # origin`, which may stand behind a `# `.
fn parts(line: &str) -> Option<(&str, String, &str)> {
    let line = line.strip_prefix("# ").unwrap_or(line);
    let (key, rest) = line.split_once(" = ")?;
    let plain = |b: u8| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'_';
    if key.is_empty() || !key.bytes().all(plain) {
        return None;
    }
    let (value, origin) = rest.split_at(end_of_value(rest)?);
    let value_text = value.trim().replace("\\\"", "\u{1}").replace('"', "");
    Some((
        key,
        value_text.replace('\u{1}', "\""),
        origin.strip_prefix("# ")?,
    ))
}

/// Where the comment begins: at the first `#` outside of quotes.
fn end_of_value(text: &str) -> Option<usize> {
    let (mut quoted, mut escaped) = (false, false);
    for (at, c) in text.char_indices() {
        match c {
            _ if escaped => escaped = false,
            '\\' if quoted => escaped = true,
            '"' => quoted = !quoted,
            '#' if !quoted => return Some(at),
            _ => {}
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read;

    const FIRST: &str = include_str!("../../../scenarios/first.toml");

    /// What the reader tells of a file, the copy of that file tells again.
    #[test]
    fn a_resolved_copy_tells_what_was_assumed() {
        let loaded = read(FIRST, "first.toml", &[]).unwrap();
        let stated = stated_values(&loaded.resolved_text);
        let assumed: Vec<&Stated> = stated.iter().filter(|s| s.assumed()).collect();
        let told = |path: &str| loaded.assumptions.iter().find(|a| a.path == path);
        for s in &assumed {
            // Elements of lists may be told by name there; bands are written out in the copy, so that it does not ask for
            // those of the class.
            if s.path.ends_with("class_bands") {
                assert!(told(&s.path).is_some(), "{s:?}");
            } else if let Some(a) = told(&s.path) {
                assert_eq!((&s.value_text, &s.origin), (&a.value_text, &a.source));
            } else {
                assert!(s.path.contains('['), "{s:?} is not told by the reader");
            }
        }
        assert_eq!(loaded.assumptions.len(), assumed.len());
        assert!(
            stated
                .iter()
                .any(|s| s.path == "support.arm[1].luminaire[1].mass"
                    || s.path == "support.arm[1].reach")
        );
        let title = stated.iter().find(|s| s.path == "title").unwrap();
        assert_eq!(title.value_text, loaded.scenario.title);
        assert!(!title.assumed());
    }

    #[test]
    fn quotes_hide_comments_and_strange_lines_are_passed_over() {
        let text = "title = \"a # b \\\" c\"  # given\nno line\nx = 1\n<b> = 2  # given\n[[a.b]]\nk = [\"1 mm\", \"2 mm\"]  # default: d\n\
                    [[a.b.c]]\nk = 1  # given\n[[a.b]]\n[[a.b.c]]\n# k = 1  # computed: e\n";
        let all = stated_values(text);
        let flat: Vec<(&str, &str, &str)> = all
            .iter()
            .map(|s| (s.path.as_str(), s.value_text.as_str(), s.origin.as_str()))
            .collect();
        assert_eq!(
            flat,
            [
                ("title", "a # b \" c", "given"),
                ("a.b[1].k", "[1 mm, 2 mm]", "default: d"),
                ("a.b[1].c[1].k", "1", "given"),
                ("a.b[2].c[1].k", "1", "computed: e"),
            ]
        );
    }
}
