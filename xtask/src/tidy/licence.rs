//! Licences of everything the workspace is built from.

use super::Violation;
use super::metadata::Metadata;

const ALLOWED: &[&str] = &[
    "MIT",
    "Apache-2.0",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "ISC",
    "Zlib",
    "Unlicense",
    "0BSD",
    "BSL-1.0",
    "CC0-1.0",
    "Unicode-3.0",
    "OFL-1.1",
    "CDLA-Permissive-2.0",
];

/// Allowed where the product does not contain it.
const ALLOWED_IN_TESTS: &[&str] = &["MPL-2.0"];

pub fn allowed(metadata: &Metadata) -> Vec<Violation> {
    let members = metadata.packages.iter().filter(|(_, p)| p.member).map(|(id, _)| id.clone());
    let product = metadata.tree(members);
    let mut found = Vec::new();
    for (id, package) in metadata.packages.iter().filter(|(_, p)| !p.member) {
        let in_product = product.contains(id);
        let fits = |name: &str| ALLOWED.contains(&name) || (!in_product && ALLOWED_IN_TESTS.contains(&name));
        let licence = package.licence.as_deref().unwrap_or("(none stated)");
        if !granted(licence, &fits) {
            found.push(Violation::new(
                &package.name,
                format!("licence {licence}{}", if in_product { "" } else { ", tests only" }),
                "the product is MIT or Apache-2.0 and asks nothing more of those who pass it on",
                "choose another crate, or a feature set without it; see ALLOWED in xtask/src/tidy/licence.rs",
            ));
        }
    }
    found
}

/// Whether an SPDX expression can be met with licences that fit. `/` is an old way to write OR.
fn granted(expression: &str, fits: &impl Fn(&str) -> bool) -> bool {
    let spaced = expression.replace('(', " ( ").replace(')', " ) ").replace('/', " OR ");
    let words: Vec<&str> = spaced.split_whitespace().collect();
    let mut at = 0;
    let met = either(&words, &mut at, fits);
    met && at == words.len()
}

fn either(words: &[&str], at: &mut usize, fits: &impl Fn(&str) -> bool) -> bool {
    let mut met = both(words, at, fits);
    while words.get(*at) == Some(&"OR") {
        *at += 1;
        // Not `||`: the words of the other side have to be passed over in any case.
        met |= both(words, at, fits);
    }
    met
}

fn both(words: &[&str], at: &mut usize, fits: &impl Fn(&str) -> bool) -> bool {
    let mut met = one(words, at, fits);
    while words.get(*at) == Some(&"AND") {
        *at += 1;
        met &= one(words, at, fits);
    }
    met
}

fn one(words: &[&str], at: &mut usize, fits: &impl Fn(&str) -> bool) -> bool {
    let Some(word) = words.get(*at) else { return false };
    *at += 1;
    if *word == "(" {
        let met = either(words, at, fits);
        let closed = words.get(*at) == Some(&")");
        *at += 1;
        return met && closed;
    }
    // An exception only ever allows more.
    if words.get(*at) == Some(&"WITH") {
        *at += 2;
    }
    fits(word)
}

#[cfg(test)]
mod tests {
    use super::super::metadata::made_up;
    use super::*;

    #[test]
    fn hand_expressions() {
        let fits = |name: &str| ALLOWED.contains(&name);
        for good in [
            "MIT",
            "MIT/Apache-2.0",
            "GPL-3.0-only OR MIT",
            "(MIT OR X) AND Unicode-3.0",
            "Apache-2.0 WITH LLVM-exception OR X",
        ] {
            assert!(granted(good, &fits), "{good}");
        }
        for bad in ["GPL-3.0-only", "MIT AND X", "(MIT", "MIT)", "", "MIT AND (X OR Y)", "MIT MIT"] {
            assert!(!granted(bad, &fits), "{bad}");
        }
    }

    #[test]
    fn hand_what_only_tests_contain_may_be_mpl() {
        let metadata = made_up(&[
            ("web", None, true, &["a"], &["b"]),
            ("a", Some("MPL-2.0"), false, &[], &[]),
            ("b", Some("MPL-2.0"), false, &[], &[]),
            ("c", None, false, &[], &[]),
        ]);
        let places: Vec<_> = allowed(&metadata).into_iter().map(|v| v.place).collect();
        assert_eq!(places, ["a", "c"]);
    }
}
