//! Rules about the text of a file: lengths, words, names of tests, nothing unfinished.

use super::Violation;
use super::source::Source;

const FILE_LINES: usize = 600;
const FUNCTION_LINES_WARNED: usize = 90;
const FUNCTION_LINES: usize = 120;

/// What the name of a test begins with, which says what its expected value rests on.
const TEST_PREFIXES: &[&str] = &["hand_", "val_", "law_", "trade_", "golden_", "script_", "fault_", "sim_"];

/// Words that stand for work outside this tree. Written in two halves, or this file would break its own rule.
const WORDS: &[&str] = &[concat!("shared", "/design"), concat!("seed ", "document"), concat!("trans", "cript")];

/// Code that is unfinished, switched off or left from a search for a fault; in halves for the same reason.
const UNFINISHED: &[&str] = &[
    concat!("to", "do!"),
    concat!("unimple", "mented!"),
    concat!("#[ig", "nore"),
    concat!("should_", "panic"),
    concat!("d", "bg!"),
];

pub fn words(source: &Source) -> Vec<Violation> {
    let mut found = Vec::new();
    for (number, line) in source.text.lines().enumerate() {
        let line = line.to_lowercase();
        for word in WORDS.iter().filter(|word| line.contains(*word)) {
            found.push(Violation::new(
                format!("{}:{}", source.path, number + 1),
                format!("the words “{word}”"),
                "a reader of this tree has nothing they could refer to",
                "say what is meant, or name the public source",
            ));
        }
    }
    found
}

pub fn lengths(source: &Source) -> Vec<Violation> {
    let mut found = Vec::new();
    let lines = source.text.lines().count();
    if lines > FILE_LINES {
        found.push(Violation::new(
            format!("{}:{lines}", source.path),
            format!("{lines} lines, allowed are {FILE_LINES}"),
            "a file holds one thing",
            "split it by meaning",
        ));
    }
    for function in source.functions().into_iter().filter(|f| f.lines > FUNCTION_LINES_WARNED) {
        let mut violation = Violation::new(
            format!("{}:{}", source.path, function.line),
            format!("`{}` has {} lines, allowed are {FUNCTION_LINES}", function.name, function.lines),
            "a function is read in one go",
            "give its parts names, or turn cases into a table",
        );
        violation.only_warning = function.lines <= FUNCTION_LINES;
        found.push(violation);
    }
    found
}

pub fn unfinished(source: &Source) -> Vec<Violation> {
    let mut found = Vec::new();
    for word in UNFINISHED {
        for at in source.places(word) {
            found.push(Violation::new(
                source.place(at),
                format!("`{word}`"),
                "what is here works and is checked; what is not is not here",
                "finish it or take it out",
            ));
        }
    }
    found
}

pub fn test_names(source: &Source) -> Vec<Violation> {
    let attributes = ["#[test]", "#[tokio::test"].into_iter().flat_map(|a| source.code.match_indices(a));
    let functions = source.functions();
    let mut found = Vec::new();
    for (at, _) in attributes {
        // In a macro the name may be an argument (`fn $name`): the function right below is the one, or none is.
        let below = source.places("fn").find(|f| *f > at);
        let Some(test) = functions.iter().find(|f| Some(f.at) == below) else { continue };
        if !TEST_PREFIXES.iter().any(|prefix| test.name.starts_with(prefix)) {
            found.push(Violation::new(
                format!("{}:{}", source.path, test.line),
                format!("test `{}`", test.name),
                "the name says what the expected value rests on",
                "begin it with hand_, val_, law_, trade_, golden_, script_, fault_ or sim_",
            ));
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rust(text: &str) -> Source {
        Source::new("crates/a/src/b.rs", text)
    }

    #[test]
    fn hand_words_are_caught_anywhere() {
        let text = format!("fine\n// see the {}\n", WORDS[1].to_uppercase());
        let found = words(&rust(&text));
        assert_eq!((found.len(), found[0].place.as_str()), (1, "crates/a/src/b.rs:2"));
    }

    #[test]
    fn hand_long_files_and_functions_are_caught() {
        assert_eq!(lengths(&rust(&"\n".repeat(601))).len(), 1);
        let function = |lines: usize| format!("fn long() {{\n{}}}\n", "x();\n".repeat(lines - 2));
        assert!(lengths(&rust(&function(90))).is_empty());
        assert!(lengths(&rust(&function(91)))[0].only_warning);
        assert!(!lengths(&rust(&function(121)))[0].only_warning);
    }

    #[test]
    fn hand_unfinished_code_is_caught() {
        for word in UNFINISHED {
            let found = unfinished(&rust(&format!("fn a() {{}}\n{word}")));
            assert_eq!((found.len(), found[0].place.as_str()), (1, "crates/a/src/b.rs:2"), "{word}");
        }
        let (begun, left) = (UNFINISHED[0], UNFINISHED[4]);
        assert!(unfinished(&rust(&format!("// {begun}()\nlet a = \"{left}\"; my_{left}();"))).is_empty());
    }

    #[test]
    fn hand_names_of_tests_are_caught() {
        let found =
            test_names(&rust("#[test]\nfn hand_a() {}\n#[test]\nfn it_works() {}\n#[tokio::test(x)]\nasync fn b() {}"));
        assert_eq!(
            found.iter().map(|v| v.place.as_str()).collect::<Vec<_>>(),
            ["crates/a/src/b.rs:4", "crates/a/src/b.rs:6"]
        );
    }
}
