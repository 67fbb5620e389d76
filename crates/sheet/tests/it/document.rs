//! The document of the format is written from the schema.

#[test]
fn golden_document_lists_what_the_check_knows() {
    let page = include_str!("../../../../docs/sheet.md");
    let tables = page.split_once("<!-- keys -->\n\n").and_then(|(_, rest)| rest.split_once("\n<!-- end of keys -->"));
    let written = sheet::keys_markdown();
    assert_eq!(tables.map(|(tables, _)| tables), Some(written.as_str()), "put this between the marks:\n{written}");
}

#[test]
fn hand_the_document_shows_a_sheet_that_passes() {
    let page = include_str!("../../../../docs/sheet.md");
    let examples: Vec<_> = page.split("```toml\n").skip(1).filter_map(|rest| rest.split_once("```")).collect();
    assert!(!examples.is_empty());
    for (example, _) in examples {
        let checked = sheet::check(example);
        assert!(checked.sheet.is_some(), "{:#?}", checked.findings);
    }
}
