//! A check that a page is well-formed, for tests of pages.

/// Every tag closes in order, every attribute is quoted, every ampersand begins a known entity.
pub fn well_formed(html: &str) -> Result<usize, String> {
    let body = html
        .strip_prefix("<!DOCTYPE html>\n")
        .ok_or("no document type")?;
    let mut open: Vec<String> = Vec::new();
    let mut elements = 0;
    let mut rest = body;
    while let Some(at) = rest.find('<') {
        for piece in rest[..at].split('&').skip(1) {
            if !["amp;", "lt;", "gt;", "quot;", "#39;"]
                .iter()
                .any(|e| piece.starts_with(e))
            {
                return Err(format!("stray ampersand before {piece:.20}"));
            }
        }
        let end = at + rest[at..].find('>').ok_or("a tag that does not end")?;
        let tag = &rest[at + 1..end];
        rest = &rest[end + 1..];
        if tag.contains('<') || tag.matches('"').count() % 2 != 0 {
            return Err(format!("broken tag <{tag}>"));
        }
        if let Some(name) = tag.strip_prefix('/') {
            let last = open.pop().ok_or("one end too many")?;
            if last != name {
                return Err(format!("</{name}> closes <{last}>"));
            }
        } else {
            elements += 1;
            let name: String = tag.split([' ', '/']).next().unwrap_or_default().into();
            if !tag.ends_with('/') {
                open.push(name);
            }
        }
    }
    if open.is_empty() {
        Ok(elements)
    } else {
        Err(format!("left open: {open:?}"))
    }
}
