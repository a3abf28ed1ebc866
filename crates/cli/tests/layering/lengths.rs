//! How long the functions of a file are, in lines from the signature to the closing brace, as `rustfmt` sets them.

/// Functions with more lines than `most`: name, first line, lines.
pub fn longer_than(most: usize, text: &str) -> Vec<(String, usize, usize)> {
    let lines: Vec<&str> = text.lines().collect();
    let mut found = Vec::new();
    for (first, line) in lines.iter().enumerate() {
        let Some(name) = declared(line) else { continue };
        let indent = &line[..line.len() - line.trim_start().len()];
        let ends = |line: &&str| {
            line.strip_prefix(indent)
                .is_some_and(|rest| rest == "}" || (rest.starts_with(')') && rest.ends_with(';')))
        };
        let whole_on_one = line.ends_with('}') || line.ends_with(';');
        let last = match lines[first + 1..].iter().position(ends) {
            _ if whole_on_one => first,
            Some(after) => first + 1 + after,
            None => lines.len() - 1,
        };
        let length = last + 1 - first;
        if length > most {
            found.push((name.to_owned(), first + 1, length));
        }
    }
    found
}

/// The name of the function that a line declares.
fn declared(line: &str) -> Option<&str> {
    let (before, after) = line.trim_start().split_once("fn ")?;
    let qualified = before.split_whitespace().all(|word| {
        let known = ["pub", "const", "unsafe", "extern", "async", "\"C\""];
        known.contains(&word) || word.starts_with("pub(") || word.ends_with(')')
    });
    let end = after.find(|c: char| !c.is_alphanumeric() && c != '_')?;
    (qualified && end > 0 && !before.contains("//")).then(|| &after[..end])
}

#[test]
fn lines_are_counted_from_the_signature_to_the_brace() {
    let text = "\
fn short() {}
trait Of {
    fn of(
        &self,
    );
}
pub(crate) const fn long<T>(
    a: T,
) {
    if a {
    }
}
// fn said() {
";
    let all = longer_than(0, text);
    let wanted = [("short", 1, 1), ("of", 3, 3), ("long", 7, 6)];
    let wanted = wanted.map(|(name, first, lines)| (name.to_owned(), first, lines));
    assert_eq!(all, wanted);
    assert_eq!(longer_than(5, text).len(), 1);
    assert_eq!(longer_than(6, text).len(), 0);
}
