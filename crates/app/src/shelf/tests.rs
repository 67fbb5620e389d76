use super::*;

fn lines(kind: ShelfKind, text: &str) -> Vec<(usize, String)> {
    read_shelf(kind, text).findings.into_iter().map(|found| (found.line, found.message)).collect()
}

#[test]
fn hand_the_examples_are_read_without_findings() {
    for kind in ShelfKind::ALL {
        let read = read_shelf(kind, kind.example());
        assert_eq!(read.findings, [], "{kind:?}");
    }
    let prices = read_shelf(ShelfKind::Prices, ShelfKind::Prices.example()).shelf;
    assert_eq!((prices.currency.as_str(), prices.cans.len(), prices.cans[1].price), ("EUR", 3, 61.0));
    assert!((prices.cans[2].size_ml.ml() - 946.353).abs() < 0.001);
    let stock = read_shelf(ShelfKind::Stock, ShelfKind::Stock.example()).shelf.stock;
    assert_eq!((stock.len(), stock[0].opened, stock[1].opened), (4, true, false));
    let tools = read_shelf(ShelfKind::Tools, ShelfKind::Tools.example()).shelf;
    assert_eq!((tools.wrenches.len(), tools.bits.len(), tools.pumps[0].adapters.len()), (2, 3, 2));
    // 2026-03-10: 56 years with 14 leap days since 1970, then 31 + 28 + 9 days.
    let days = 56 * 365 + 14 + 31 + 28 + 9;
    assert_eq!(tools.wrenches[0].calibrated.as_ref().unwrap().number, days);
}

#[test]
fn hand_a_price_that_cannot_be_names_its_line() {
    let list = |price: &str| format!("currency = \"kr\"\n\n[[can]]\nname = \"a\"\nsize = \"1 L\"\nprice = {price}\n");
    for price in ["-14.5", "0", "0.0", "nan", "inf", "-inf", "\"\"", "\"cheap\"", "1e300"] {
        let found = lines(ShelfKind::Prices, &list(price));
        assert_eq!(found.len(), 1, "{price}: {found:?}");
        assert!(found[0].0 == 6 || price == "\"\"", "{price}: {found:?}");
    }
    assert_eq!(lines(ShelfKind::Prices, &list("14.5")), []);
    assert!(lines(ShelfKind::Prices, &list("-14.5"))[0].1.contains("negative"));
    let size = "[[can]]\nname = \"a\"\nsize = \"-1 L\"\nprice = 3\n";
    assert_eq!(lines(ShelfKind::Prices, size)[0].0, 3);
}

#[test]
fn hand_an_empty_or_foreign_list_is_told() {
    for kind in ShelfKind::ALL {
        assert!(lines(kind, "")[0].1.contains("empty"), "{kind:?}");
        assert_eq!(lines(kind, "# nothing\n")[0].0, 1);
        assert_eq!(lines(kind, "a = [\n")[0].0, 1);
        assert!(lines(kind, "\n[[hammer]]\nname = \"h\"\n")[0] == (2, "“hammer” does not belong here".to_owned()));
    }
    let unknown = "[[wrench]]\nname = \"W\"\nscale = \"5–50 N·m\"\ncolour = \"red\"\n";
    assert_eq!(lines(ShelfKind::Tools, unknown), [(4, "“colour” is not known here".to_owned())]);
    let date = "[[wrench]]\nname = \"W\"\nscale = \"5–50 N·m\"\ncalibrated = \"March\"\n";
    assert_eq!(lines(ShelfKind::Tools, date)[0].0, 4);
}

#[test]
fn hand_a_table_with_commas_is_read_too() {
    for (mark, price) in [(",", "14.50"), (";", "14,50"), ("\t", "14.50")] {
        let text = ["# currency: EUR", "name,size,price", "\"can, small\",1 L,P", "big,5 L,61"].join("\n");
        let text = text.replace("can, small", "can SMALL").replace(',', mark).replace('P', price);
        let read = read_shelf(ShelfKind::Prices, &text);
        assert_eq!(read.findings, [], "{mark:?}");
        let cans: Vec<(&str, f64)> = read.shelf.cans.iter().map(|can| (can.name.as_str(), can.price)).collect();
        assert_eq!((read.shelf.currency.as_str(), cans), ("EUR", vec![("can SMALL", 14.5), ("big", 61.0)]));
    }
    assert_eq!(
        lines(ShelfKind::Prices, "name,size,price\na,1 L,-3\nb,,4\n").iter().map(|f| f.0).collect::<Vec<_>>(),
        [2, 3]
    );
    assert!(lines(ShelfKind::Prices, "name,size\na,1 L\n")[0].1.contains("price"));
    let quoted = read_shelf(ShelfKind::Prices, "name,size,price\n\"can, \"\"small\"\"\",1 L,3\n");
    assert_eq!(quoted.shelf.cans[0].name, "can, \"small\"");
}

#[test]
fn law_any_text_is_read_without_a_panic() {
    let bits = [
        "[[can]]",
        "price = ",
        "\"",
        "\n",
        "1 L",
        "= nan",
        ",",
        ";",
        "[[",
        "]]",
        "\u{feff}",
        "size",
        "name,size,price\n",
    ];
    for a in bits {
        for b in bits {
            for c in bits {
                for kind in ShelfKind::ALL {
                    read_shelf(kind, &format!("{a}{b}{c}{a}"));
                }
            }
        }
    }
}
