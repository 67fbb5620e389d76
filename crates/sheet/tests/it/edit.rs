//! Editing the text of a sheet: forms, comparing, merging, proposals, the schema for editors.

use serde_json::Value;
use sheet::edit::{Entry, compare, groups, json_schema, merge, propose, renamed, set, skeleton, take};
use sheet::{Family, check, shipped};

fn keld() -> &'static str {
    shipped()[0].1
}

/// The form shows what stands there, and saving it unchanged changes no byte.
#[test]
fn law_a_form_saved_as_shown_leaves_every_byte() {
    for (file, text) in shipped() {
        let mut saved = (*text).to_owned();
        let groups = groups(text).expect(file);
        assert!(groups.iter().map(|g| g.fields.len()).sum::<usize>() > 25, "{file}");
        for field in groups.iter().flat_map(|group| &group.fields) {
            saved = set(&saved, &field.path, &field.value).expect(&field.path);
        }
        assert_eq!(saved, *text, "{file}");
    }
}

/// A value changed by the form is the value the text then has, and nothing else has changed.
#[test]
fn law_a_form_and_a_text_editor_come_to_the_same() {
    for (path, value, from, to) in [
        ("window.temperature", "40–50 °C", "value = \"35–45 °C (95–113 °F)\"", "value = \"40–50 °C\""),
        ("selector.hold", "5 s", "hold = \"3 s\"", "hold = \"5 s\""),
        ("interval.severe_factor", "0,6", "severe_factor = 0.5", "severe_factor = 0.6"),
        ("selector.positions", "P | R | N | D | P", "", ""),
    ] {
        let by_form = set(keld(), path, value).expect(path);
        if !from.is_empty() {
            assert!(keld().contains(from), "{from}");
            assert_eq!(by_form, keld().replacen(from, to, 1), "{path}");
        }
        let differences = compare(keld(), &by_form).expect("both parse");
        assert_eq!(differences.len(), 1, "{path}: {differences:?}");
        assert!(check(&by_form).sheet.is_some(), "{path}");
    }
}

/// A comment behind a value is no part of it.
#[test]
fn hand_values_without_their_comments() {
    let text = keld().replacen("format = 1", "format = 1 # the first", 1).replacen(
        "severe_factor = 0.5",
        "severe_factor = 0.5 # half",
        1,
    );
    let value = |path: &str| {
        groups(&text).expect("TOML").into_iter().flat_map(|g| g.fields).find(|f| f.path == path).expect(path).value
    };
    assert_eq!((value("format"), value("interval.severe_factor")), ("1".to_owned(), "0.5".to_owned()));
    assert!(compare(keld(), &text).expect("TOML").is_empty());
    assert!(set(&text, "interval.severe_factor", "0.6").expect("set").contains("severe_factor = 0.6 # half"));
}

/// A caution with a comma in it stays one caution.
#[test]
fn hand_the_items_of_a_list() {
    let cautions = "Hot, very hot, exhaust.\nMind the pan; it is plastic.";
    for value in [cautions.to_owned(), cautions.replace('\n', " | ")] {
        let text = set(keld(), "cautions", &value).expect("set");
        let sheet = check(&text).sheet.expect("a whole sheet");
        assert_eq!(sheet.cautions, ["Hot, very hot, exhaust.", "Mind the pan; it is plastic."]);
    }
    let text = set(keld(), "plug[fill].roles", "fill, level").expect("set");
    assert!(text.contains("roles = [\"fill\", \"level\"]"));
}

#[test]
fn law_comments_survive_setting_adding_and_removing() {
    let comments = |text: &str| text.lines().filter(|line| line.trim_start().starts_with('#')).count();
    let text = keld().replace("hold = ", "# held with the foot on the brake\nhold = ");
    let mut edited = text.clone();
    for (path, value) in [
        ("selector.hold", "4 s"),
        ("unit.edition", ""),
        ("plug[second-drain].name", "Second drain plug"),
        ("limits.ambient", "5–35 °C"),
        ("limits.ambient.source", "manual, page 4"),
    ] {
        edited = set(&edited, path, value).expect(path);
    }
    assert_eq!(comments(&edited), comments(&text));
    assert!(edited.contains("# held with the foot on the brake\nhold = \"4 s\""));
    assert!(edited.contains("id = \"second-drain\"") && !edited.contains("edition ="));
}

#[test]
fn fault_paths_and_values_that_cannot_be() {
    for (path, value) in [
        ("windows.temperature", "1 °C"),
        ("window", "x"),
        ("plug", "x"),
        ("plug[fill]", "x"),
        ("plug[fill.name", "x"),
        ("unit[0].name", "x"),
        ("", "x"),
        ("window..temperature", "x"),
        ("window.temperature.", "x"),
        ("interval.severe_factor", "half"),
        ("interval.severe_factor", "NaN"),
        ("plug[fill].seal.single_use", "maybe"),
        ("format", "one"),
    ] {
        let why = set(keld(), path, value).expect_err(path);
        assert!(!why.what.is_empty() && !why.hint.is_empty());
    }
    assert!(set("[unit\n", "unit.name", "x").expect_err("no TOML").what.contains("line 1"));
    assert!(set("unit = 3", "unit.name", "x").is_err());
    assert!(set("plug = 3", "plug[a].name", "x").is_err());
    assert!(set(keld(), "unit.name", &"x".repeat(100_000)).is_err());
}

#[test]
fn hand_compare_tells_other_print_from_other_value() {
    let other = set(keld(), "window.temperature", "95 to 113 °F").expect("set");
    let other = set(&other, "capacity.total", "8.5 L").expect("set");
    let found = compare(keld(), &other).expect("both parse");
    // 35 °C is 95 °F and 45 °C is 113 °F; 8.5 L is not 9.0 L.
    let agree: Vec<(&str, bool)> = found.iter().map(|d| (d.path.as_str(), d.agree)).collect();
    assert_eq!(agree, [("window.temperature", true), ("capacity.total", false)]);
    assert!(compare(keld(), keld()).expect("both parse").is_empty());
    assert!(compare("x", keld()).expect_err("no TOML").what.contains("first"));
}

#[test]
fn law_merging_takes_what_lacks_and_leaves_conflicts() {
    let base = set(keld(), "unit.edition", "").expect("set");
    let base = set(&base, "limits.ambient", "").expect("set");
    let other = renamed(keld(), "keld-o6-b", "Keld O6, second booklet").expect("renamed");
    let other = set(&other, "capacity.total", "8.5 L").expect("set");
    let merged = merge(&base, &other, &[], false).expect("both parse");
    assert!(merged.taken.contains(&"unit.edition".to_owned()));
    assert_eq!(merged.conflicts.iter().map(|d| d.path.as_str()).collect::<Vec<_>>(), ["capacity.total"]);
    let sheet = check(&merged.text).sheet.expect("a whole sheet");
    assert_eq!((sheet.id.as_str(), sheet.capacity.total.printed.as_str()), ("keld-o6", "9.0 L"));
    let chosen = merge(&base, &other, &["capacity.total".to_owned()], false).expect("both parse");
    assert!(chosen.conflicts.is_empty() && chosen.text.contains("8.5 L"));
    // All from the second, names apart: then nothing but names differs.
    let all = merge(&base, &other, &[], true).expect("both parse").text;
    let left: Vec<String> = compare(&all, &other).expect("both parse").into_iter().map(|d| d.path).collect();
    assert_eq!(left, ["unit.id", "unit.name"]);
    assert!(merge(&base, &other, &["fluid.kv40".to_owned()], false).is_err());
}

/// Any two shipped sheets, of whatever families, merge into text that is still TOML and holds every value of the first.
#[test]
fn law_any_two_sheets_merge() {
    for (_, a) in shipped() {
        for (file, b) in shipped() {
            let merged = merge(a, b, &[], false).expect(file);
            assert!(compare(a, &merged.text).expect("TOML").iter().all(|d| d.a.is_none()), "{file}");
        }
    }
}

#[test]
fn law_a_skeleton_lacks_only_what_the_manual_must_say() {
    for (family, word, _) in Family::ALL {
        let text = skeleton("new-1", "New \"one\"", "Maker", "kind", family);
        let checked = check(&text);
        let codes: std::collections::BTreeSet<&str> = checked.findings.iter().map(|f| f.code).collect();
        assert!(checked.has_errors(), "{word}: an empty sheet is no sheet");
        for code in &codes {
            let fair =
                ["empty", "no-source", "unreadable", "missing", "torque-missing", "interval-empty", "level-missing"];
            assert!(fair.contains(code), "{word}: {code}: {:?}", checked.findings.iter().find(|f| f.code == *code));
        }
        assert!(text.contains("\"new-1\"") && groups(&text).is_ok());
    }
}

const PASSAGE: &str = "Fluid level. The vehicle must stand on level ground (tilt max. 1°). Connect the reader.\n\
    The fluid level is checked with the engine idling while the fluid temperature is between 35 and 45 °C (95–113 °F).\n\
    Hold the selector in each position for 3 s. Then let the engine idle for 1 min.\n\
    Dry capacity: 9.0 L. About 4.0 L drain when the drain plug is removed.\n\
    Tighten the drain plug to 35 N·m; tighten the fill plug to 30 N·m (22 lbf·ft). Level plug: 20 N·m.\n\
    Change the fluid every 60 000 km or 6 years.";

#[test]
fn script_a_passage_of_a_manual_gives_proposals_with_their_place() {
    let passage = propose(PASSAGE);
    assert!(passage.findings.is_empty());
    let found: Vec<(&str, Option<&str>, usize)> =
        passage.proposals.iter().map(|p| (p.printed.as_str(), p.path.as_deref(), p.line)).collect();
    let expected = [
        ("1°", Some("limits.tilt"), 1),
        ("35 and 45 °C (95–113 °F)", Some("window.temperature"), 2),
        ("3 s", Some("selector.hold"), 3),
        ("1 min", Some("selector.idle_after"), 3),
        ("9.0 L", Some("capacity.total"), 4),
        ("4.0 L", Some("capacity.drained"), 4),
        ("35 N·m", Some("plug[drain].torque"), 5),
        ("30 N·m (22 lbf·ft)", Some("plug[fill].torque"), 5),
        ("20 N·m", Some("plug[level].torque"), 5),
        ("60 000 km", Some("interval.distance"), 6),
        ("6 years", Some("interval.time"), 6),
    ];
    assert_eq!(found, expected);
    for proposal in &passage.proposals {
        assert!(proposal.sentence.contains(&proposal.printed), "{proposal:?}");
        let line = PASSAGE.lines().nth(proposal.line - 1).expect("a line");
        let from: String = line.chars().skip(proposal.column - 1).collect();
        assert!(from.starts_with(proposal.printed.split(' ').next().expect("a word")), "{proposal:?}");
        assert!(!proposal.because.is_empty());
    }
}

/// The same passage in three more languages, with decimal commas; the words are the trade's, from memory, no source.
const ELSEWHERE: [(&str, &str, [&str; 11]); 3] = [
    (
        "German",
        "Das Fahrzeug muss waagerecht stehen (Neigung max. 1°). Das Lesegerät anschließen.\n\
         Der Ölstand wird bei Motorleerlauf geprüft, während die Öltemperatur zwischen 35 und 45 °C liegt.\n\
         Wählhebel in jeder Stellung 3 Sekunden halten. Danach den Motor 1 Minute im Leerlauf laufen lassen.\n\
         Gesamtfüllmenge: 9,25 Liter. Etwa 4,5 L laufen ab, wenn die Ablassschraube entfernt wird.\n\
         Ablassschraube mit 35 N·m anziehen; Einfüllschraube mit 30 Nm. Niveauschraube: 12,5 Nm.\n\
         Das Öl alle 60 000 km oder 6 Jahre wechseln.",
        [
            "1°",
            "35 und 45 °C",
            "3 Sekunden",
            "1 Minute",
            "9,25 Liter",
            "4,5 L",
            "35 N·m",
            "30 Nm",
            "12,5 Nm",
            "60 000 km",
            "6 Jahre",
        ],
    ),
    (
        "French",
        "Le véhicule doit être sur un sol plan (pente max. 1°). Brancher le lecteur.\n\
         Le niveau d'huile est contrôlé moteur au ralenti, lorsque la température de l'huile est comprise entre 35 et 45 °C.\n\
         Maintenir le sélecteur dans chaque position pendant 3 secondes. Puis laisser tourner le moteur au ralenti 1 minute.\n\
         Capacité totale, à sec : 9,25 litres. Environ 4,5 L s'écoulent par le bouchon de vidange.\n\
         Serrer le bouchon de vidange à 35 N·m ; le bouchon de remplissage à 30 N·m. Bouchon de niveau : 12,5 N·m.\n\
         Remplacer l'huile tous les 60 000 km ou 6 ans.",
        [
            "1°",
            "35 et 45 °C",
            "3 secondes",
            "1 minute",
            "9,25 litres",
            "4,5 L",
            "35 N·m",
            "30 N·m",
            "12,5 N·m",
            "60 000 km",
            "6 ans",
        ],
    ),
    (
        "Spanish",
        "El vehículo debe estar en suelo plano (pendiente máx. 1°). Conectar el lector.\n\
         El nivel se comprueba con el motor al ralentí, con la temperatura del aceite de 35 a 45 °C.\n\
         Mantener la palanca en cada posición durante 3 segundos. Después dejar el motor al ralentí 1 minuto.\n\
         Capacidad total, en seco: 9,25 litros. Salen unos 4,5 L por el tapón de vaciado.\n\
         Apretar el tapón de vaciado a 35 N·m; el tapón de llenado a 30 N·m. Tapón de nivel: 12,5 N·m.\n\
         Cambiar el aceite cada 60 000 km o 6 años.",
        [
            "1°",
            "35 a 45 °C",
            "3 segundos",
            "1 minuto",
            "9,25 litros",
            "4,5 L",
            "35 N·m",
            "30 N·m",
            "12,5 N·m",
            "60 000 km",
            "6 años",
        ],
    ),
];

#[test]
fn hand_a_path_in_words() {
    for (path, words) in [
        ("capacity.total", Some("dry fill")),
        ("plug[fill].torque", Some("fill plug: tightening torque")),
        ("window.temperature", Some("fluid temperature range for setting the level")),
        ("nothing.here", None),
        ("", None),
    ] {
        assert_eq!(sheet::edit::meaning(path).as_deref(), words, "{path}");
    }
    for proposal in propose(PASSAGE).proposals {
        assert!(proposal.path.iter().chain(&proposal.others).all(|path| sheet::edit::meaning(path).is_some()));
    }
}

#[test]
fn script_a_passage_in_another_language_gives_the_same_keys() {
    let keys: Vec<_> = propose(PASSAGE).proposals.into_iter().map(|p| p.path).collect();
    for (language, text, printed) in ELSEWHERE {
        let passage = propose(text);
        let found: Vec<_> = passage.proposals.iter().map(|p| (p.printed.as_str(), p.path.clone())).collect();
        let expected: Vec<_> = printed.into_iter().zip(keys.iter().cloned()).collect();
        assert_eq!(found, expected, "{language}");
        for proposal in &passage.proposals {
            let line = text.lines().nth(proposal.line - 1).expect("a line");
            let from: String = line.chars().skip(proposal.column - 1).collect();
            assert!(
                from.starts_with(&proposal.printed) && proposal.sentence.contains(&proposal.printed),
                "{proposal:?}"
            );
        }
        // What was found is what the sheet reads: 9.25 L, 12.5 N·m, 60 000 km, 35 to 45 °C.
        let confirmed: Vec<(String, String)> =
            passage.proposals.iter().filter_map(|p| Some((p.path.clone()?, p.printed.clone()))).collect();
        let sheet = check(&take(keld(), &confirmed, "page 7").expect("taken")).sheet.expect(language);
        let near = |value: f64, expected: f64| assert!((value - expected).abs() < 1e-6, "{language}: {value}");
        near(sheet.capacity.total.mid().litres(), 9.25);
        near(sheet.plug("level").and_then(|plug| plug.torque.as_ref()).expect("a torque").mid().nm(), 12.5);
        near(sheet.interval.as_ref().and_then(|i| i.distance.as_ref()).expect("a distance").mid().km(), 60_000.0);
        let window = sheet.window_span().expect("a window");
        assert_eq!((window.low.celsius(), window.high.celsius()), (35.0, 45.0), "{language}");
    }
    // A point before three digits may be either: the reading is told, and the check doubts sixty kilometres.
    let passage = propose("Das Öl alle 60.000 km wechseln.");
    assert!(!passage.proposals[0].note.is_empty(), "{passage:?}");
    let confirmed = [("interval.distance".to_owned(), passage.proposals[0].printed.clone())];
    let findings = check(&take(keld(), &confirmed, "page 7").expect("taken")).findings;
    assert!(findings.iter().any(|finding| finding.code == "implausible"), "{findings:?}");
}

#[test]
fn script_confirmed_proposals_go_in_with_their_source() {
    let confirmed = [
        ("window.temperature".to_owned(), "40 to 50 °C".to_owned()),
        ("plug[drain].torque".to_owned(), "22 N·m".to_owned()),
    ];
    let text = take(keld(), &confirmed, "Booklet B, page 7").expect("taken");
    let sheet = check(&text).sheet.expect("a whole sheet");
    let window = sheet.level.window().expect("a window");
    assert_eq!((window.printed.as_str(), window.source.as_str()), ("40 to 50 °C", "Booklet B, page 7"));
    assert!(take(keld(), &confirmed, " ").is_err(), "no source, no value");
    assert!(take(keld(), &[("nothing.here".to_owned(), "1 L".to_owned())], "x").is_err());
    // A plug named by its role is found by it: in the second sheet the drain is the level plug.
    let torvane = take(shipped()[1].1, &confirmed[1..], "Booklet B, page 7").expect("taken");
    assert_eq!(compare(shipped()[1].1, &torvane).expect("TOML")[0].path, "plug[level].torque");
}

#[test]
fn fault_passages_of_nonsense() {
    for text in [
        "",
        "   \n",
        "lorem ipsum dolor",
        "12 34 56",
        "¼½ …",
        "🦆 42 🦆",
        "a\0b\u{202e}c 5",
        "1e999 L",
        "((((((((",
        "35 35 35 35 °",
    ] {
        let passage = propose(text);
        let told = passage
            .findings
            .iter()
            .any(|(_, code, what, cure)| code.starts_with("found-n") && !what.is_empty() && !cure.is_empty());
        assert!(told, "{text:?}: {passage:?}");
    }
    let long = "9 L ".repeat(50_000);
    assert_eq!(propose(&long).findings[0].1, "too-large");
    // A long passage of numbers is read in a moment.
    assert!(propose(&"torque 25 N·m and 4 L at 40 °C\n".repeat(800)).proposals.len() >= 2_400);
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig::with_cases(64))]
    #[test]
    fn law_no_passage_and_no_edit_panics(text in ".{0,300}", path in "[a-z\\[\\]\\.0-9]{0,24}", value in ".{0,40}") {
        let _ = propose(&text);
        let _ = set(&text, &path, &value);
        let _ = set(keld(), &path, &value);
        let _ = compare(keld(), &text);
        let _ = groups(&text);
    }
    #[test]
    fn law_a_quantity_in_a_sentence_is_found_as_printed(low in 20..60i32, width in 1..20i32) {
        let printed = format!("{low}–{} °C", low + width);
        let passage = propose(&format!("Set the level while the fluid temperature is {printed}, then close."));
        proptest::prop_assert_eq!(&passage.proposals[0].printed, &printed);
        proptest::prop_assert_eq!(passage.proposals[0].path.as_deref(), Some("window.temperature"));
    }
}

/// The part of JSON Schema (draft 2020-12) that the schema uses, written from the specification's own words.
fn valid(schema: &Value, value: &Value, root: &Value) -> Result<(), String> {
    match schema {
        Value::Bool(true) => return Ok(()),
        Value::Bool(false) => return Err(format!("{value} may not stand here")),
        _ => {}
    }
    let fail = |what: &str| Err(format!("{what}: {value}"));
    if let Some(reference) = schema["$ref"].as_str() {
        valid(root.pointer(reference.trim_start_matches('#')).expect("a definition"), value, root)?;
    }
    if let Some(kind) = schema["type"].as_str() {
        let is = match kind {
            "object" => value.is_object(),
            "array" => value.is_array(),
            "string" => value.is_string(),
            "boolean" => value.is_boolean(),
            "integer" => value.is_i64(),
            "number" => value.is_number(),
            other => panic!("type {other}"),
        };
        if !is {
            return fail(kind);
        }
    }
    if schema["enum"].as_array().is_some_and(|words| !words.contains(value)) {
        return fail("enum");
    }
    if !schema["const"].is_null() && schema["const"] != *value {
        return fail("const");
    }
    if schema["pattern"] == "\\S" && value.as_str().is_some_and(|text| text.trim().is_empty()) {
        return fail("pattern");
    }
    let bounds = value.as_f64().zip(schema["exclusiveMinimum"].as_f64()).zip(schema["maximum"].as_f64());
    if bounds.is_some_and(|((number, low), high)| number <= low || number > high) {
        return fail("range");
    }
    if let Some(items) = value.as_array() {
        if schema["minItems"].as_u64().is_some_and(|least| (items.len() as u64) < least) {
            return fail("minItems");
        }
        for item in items {
            valid(schema.get("items").unwrap_or(&Value::Bool(true)), item, root)?;
        }
    }
    if let Some(table) = value.as_object() {
        for name in schema["required"].as_array().into_iter().flatten().filter_map(Value::as_str) {
            table.get(name).ok_or_else(|| format!("{name} is missing"))?;
        }
        let properties = schema["properties"].as_object();
        for (name, inner) in table {
            match properties.and_then(|p| p.get(name)) {
                Some(schema) => valid(schema, inner, root).map_err(|why| format!("{name}: {why}"))?,
                None if schema["additionalProperties"] == false => return Err(format!("{name} is unknown")),
                None => {}
            }
        }
    }
    for part in schema["allOf"].as_array().into_iter().flatten() {
        valid(part, value, root)?;
    }
    if schema.get("if").is_some_and(|when| valid(when, value, root).is_ok()) {
        valid(&schema["then"], value, root)?;
    }
    Ok(())
}

fn as_json(text: &str) -> Value {
    serde_json::to_value(toml::from_str::<toml::Table>(text).expect("TOML")).expect("JSON")
}

#[test]
fn law_the_schema_and_the_check_agree_about_keys() {
    let schema = json_schema();
    for (file, text) in shipped() {
        let whole = as_json(text);
        assert_eq!(valid(&schema, &whole, &schema), Ok(()), "{file}");
        // Each key taken away: the schema misses it exactly when the check does.
        for (table, inner) in whole.as_object().expect("a table") {
            let mut paths = vec![vec![table.clone()]];
            paths.extend(
                inner.as_object().into_iter().flat_map(|t| t.keys()).map(|key| vec![table.clone(), key.clone()]),
            );
            for path in paths {
                let mut less = whole.clone();
                match path.as_slice() {
                    [table] => less.as_object_mut().expect("a table").remove(table),
                    [table, key] => less[table].as_object_mut().expect("a table").remove(key),
                    _ => None,
                };
                let missed = valid(&schema, &less, &schema).is_err();
                let text = toml::to_string(&less).expect("TOML");
                let told = check(&text).findings.iter().any(|f| f.code == "missing" || f.code == "unknown-word");
                // What renews and what judges are two families, and the schema knows rules for one alone.
                let two_families =
                    whole["unit"]["level"].is_string() || path == ["unit", "level"] || path == ["unit", "family"];
                assert!(
                    missed == told || (two_families && told),
                    "{file}: without {path:?}: schema {missed}, check {told}"
                );
            }
        }
        // A key that nobody knows.
        for table in ["unit", "capacity", "fluid"] {
            let mut more = whole.clone();
            more[table]["nmae"] = "x".into();
            assert!(valid(&schema, &more, &schema).is_err(), "{file}: {table}");
        }
    }
}

#[test]
fn law_fields_of_the_form_are_keys_of_the_schema() {
    for (file, text) in shipped() {
        for field in groups(text).expect(file).iter().flat_map(|group| &group.fields) {
            assert!(!field.about.is_empty());
            if let (Entry::Choice(words), false) = (&field.entry, field.value.is_empty()) {
                assert!(words.contains(&field.value.as_str()), "{file}: {}", field.path);
            }
        }
    }
}
