//! The small forms of the prepare page: standing, shims, thermometers. Each answers what its own fields hold.

use std::collections::BTreeMap;

use app::{Advice, AppError};
use sheet::Sheet;

use crate::view::{Field, Input, ReckonView};

type Entered = BTreeMap<String, String>;

/// Fields of each form, in the order of the page.
const FORMS: [(&str, &[&str]); 3] = [
    ("soak", &["arrives", "air", "new_fluid"]),
    ("shim", &["pitch", "roll", "wheelbase", "track"]),
    ("thermometers", &["instruments", "stood"]),
];

/// The forms with what was entered and what follows.
pub(crate) fn reckons(sheet: &Sheet, entered: &Entered) -> Vec<ReckonView> {
    FORMS.iter().map(|(id, fields)| reckon(id, fields, sheet, entered)).collect()
}

fn reckon(id: &str, own: &[&str], sheet: &Sheet, entered: &Entered) -> ReckonView {
    let get = |name: &str| entered.get(name).map_or("", |value| value.trim());
    let asked = own.iter().any(|name| !get(name).is_empty());
    let answer: Option<Result<Advice, AppError>> = asked.then(|| match id {
        "soak" => app::soak_advice(sheet, get("arrives"), get("air"), get("new_fluid")),
        "shim" => app::shim_advice(sheet, get("pitch"), get("roll"), get("wheelbase"), get("track")),
        _ => app::thermometer_advice(sheet, get("instruments"), get("stood"), "°C"),
    });
    let (advice, trouble) = match answer {
        Some(Ok(advice)) => (advice, String::new()),
        Some(Err(why)) => (Advice::default(), format!("{why}. {}", why.hint())),
        None => (Advice::default(), String::new()),
    };
    let (title, about, button) = words(id);
    let carried = entered.iter().filter(|(name, _)| !own.contains(&name.as_str()));
    ReckonView {
        id: id.to_owned(),
        title: title.to_owned(),
        about: about.to_owned(),
        fields: fields(id, entered),
        button: button.to_owned(),
        carried: carried.map(|(name, value)| (name.clone(), value.clone())).collect(),
        head: advice.head,
        rows: advice.rows,
        says: advice.says,
        trouble,
    }
}

fn words(id: &str) -> (&'static str, &'static str, &'static str) {
    match id {
        "soak" => ("Arrives hot", "How long it has to stand before its window can be met.", "When is it cool enough?"),
        "shim" => ("Floor not level", "What goes under which stand.", "Which shims?"),
        _ => (
            "Thermometers at cold soak",
            "After a night all of them should say the same. One a line: probe: 18.2 °C",
            "Which one is right?",
        ),
    }
}

fn fields(id: &str, entered: &Entered) -> Vec<Field> {
    // A number with the unit of its field stands in the field again without it.
    let with = |field: Field| {
        let value = entered.get(&field.name).cloned().unwrap_or_default();
        let bare = value.strip_suffix(&field.unit).unwrap_or(&value).trim().to_owned();
        let bare = if bare.parse::<f64>().is_ok() { bare } else { value };
        field.optional().with(&bare)
    };
    let fields = match id {
        "soak" => vec![
            Field::number("arrives", "Fluid on arrival", "°C"),
            Field::number("air", "Air in the bay", "°C"),
            Field::number("new_fluid", "New fluid", "°C").hint("as warm as the air if empty"),
        ],
        "shim" => vec![
            Field::number("pitch", "Nose up", "°").hint("down is negative"),
            Field::number("roll", "Right side up", "°").hint("left is negative"),
            Field::number("wheelbase", "Front to rear stands", "mm"),
            Field::number("track", "Left to right stands", "mm").hint("1500 if empty"),
        ],
        _ => vec![
            Field::new("instruments", "Instruments", Input::Long),
            Field::number("stood", "It stood", "h").hint("engine off"),
        ],
    };
    fields.into_iter().map(with).collect()
}
