//! The nearest known word to one that is not known: "did you mean".
//!
//! References: the restricted edit distance (optimal string alignment) of F. J. Damerau, Communications of
//! the ACM 7 (1964) 171-176, and V. I. Levenshtein (1966).

/// Number of insertions, deletions, replacements and swaps of neighbours that turn `a` into `b`.
pub fn edit_distance(a: &str, b: &str) -> usize {
    let a: Vec<char> = a.chars().collect();
    let b: Vec<char> = b.chars().collect();
    let width = b.len() + 1;
    let mut table = vec![0usize; (a.len() + 1) * width];
    for (i, row) in table.chunks_mut(width).enumerate() {
        row[0] = i;
    }
    for (j, cell) in table[..width].iter_mut().enumerate() {
        *cell = j;
    }
    for i in 1..=a.len() {
        for j in 1..=b.len() {
            let replace = table[(i - 1) * width + j - 1] + usize::from(a[i - 1] != b[j - 1]);
            let delete = table[(i - 1) * width + j] + 1;
            let insert = table[i * width + j - 1] + 1;
            let mut best = replace.min(delete).min(insert);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                best = best.min(table[(i - 2) * width + j - 2] + 1);
            }
            table[i * width + j] = best;
        }
    }
    table[a.len() * width + b.len()]
}

/// The candidate nearest to `word` if it is near enough to be what was meant (at most a third of the
/// longer word differs, and always one letter may). Case counts half: the match without case is tried too.
/// Failing that, the first candidate that begins with the word (blanks read as hyphens).
/// Among equals the first candidate wins, so the order of the candidates decides, not chance.
pub fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let longest = 64;
    if word.is_empty() || word.chars().count() > longest {
        return None;
    }
    let lower = word.to_lowercase();
    let start = lower.replace([' ', '_'], "-");
    let mut begins = None;
    let mut best: Option<(usize, &str)> = None;
    for candidate in candidates {
        let plain = 2 * edit_distance(word, candidate);
        let folded = 2 * edit_distance(&lower, &candidate.to_lowercase()) + 1;
        let distance = plain.min(folded);
        let length = word.chars().count().max(candidate.chars().count());
        let allowed = 2 * (length / 3).max(1) + 1;
        if distance <= allowed && best.is_none_or(|(d, _)| distance < d) {
            best = Some((distance, candidate));
        }
        let begun = start.chars().count() >= 3 && candidate.to_lowercase().starts_with(&start);
        if begins.is_none() && begun {
            begins = Some(candidate);
        }
    }
    best.map(|(_, candidate)| candidate).or(begins)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn distances_of_known_pairs() {
        // kitten / sitting is the textbook pair (Levenshtein): 3.
        assert_eq!(edit_distance("kitten", "sitting"), 3);
        assert_eq!(edit_distance("", "abc"), 3);
        assert_eq!(edit_distance("abc", ""), 3);
        assert_eq!(edit_distance("torqeu", "torque"), 1);
        assert_eq!(edit_distance("same", "same"), 0);
    }

    #[test]
    fn nearest_prefers_exact_letters_over_folded_case() {
        assert_eq!(nearest("km/H", ["m/s", "km/h", "mph"]), Some("km/h"));
        assert_eq!(nearest("kmh", ["m/s", "km/h", "mph"]), Some("km/h"));
        assert_eq!(nearest("lenght", ["length", "wall"]), Some("length"));
        assert_eq!(nearest("zebra", ["length", "wall"]), None);
        assert_eq!(
            nearest(
                "small car",
                ["pickup-2000", "small-car-820", "small-car-900"]
            ),
            Some("small-car-820")
        );
        assert_eq!(nearest("", ["a"]), None);
        assert_eq!(nearest(&"x".repeat(100_000), ["a"]), None);
    }
}
