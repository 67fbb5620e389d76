//! One act of the technician as a form: a verb, its fields, one button.

/// How strongly the button speaks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Weight {
    /// Act now: the only use of the accent.
    Now,
    /// The one button while nothing presses.
    Main,
    /// One of the quiet acts below.
    Quiet,
}

/// What a field takes.
#[derive(Clone, Debug, PartialEq)]
pub enum Input {
    /// A number in the unit beside the field, or a quantity written out.
    Number,
    /// One line of words.
    Text,
    /// Several lines of words.
    Long,
    /// One of a few.
    Choice(Vec<Choice>),
    /// A box to tick; the value is what is sent when ticked.
    Tick,
    /// A rate of drops per minute: counted by tapping where there is script, typed where there is none.
    Drops,
}

/// One of a few.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    pub value: String,
    pub label: String,
    pub chosen: bool,
}

/// One field of a form.
#[derive(Clone, Debug, PartialEq)]
pub struct Field {
    /// As in the command.
    pub name: String,
    pub label: String,
    pub input: Input,
    /// Unit assumed for a plain number, shown beside it; empty for none.
    pub unit: String,
    /// What was entered before, or a proposal.
    pub value: String,
    /// A short help under the field; empty for none.
    pub hint: String,
    pub required: bool,
    /// What is wrong with the value; empty when nothing is.
    pub wrong: String,
}

/// How far one tap moves a figure.
const STEPS: &[(&str, &str)] =
    &[("°C", "1"), ("°F", "1"), ("L", "0.1"), ("qt", "0.1"), ("N·m", "1"), ("lbf·ft", "1"), ("°", "0.1")];

impl Field {
    /// An empty required field.
    #[must_use]
    pub fn new(name: &str, label: &str, input: Input) -> Self {
        Self {
            name: name.into(),
            label: label.into(),
            input,
            unit: String::new(),
            value: String::new(),
            hint: String::new(),
            required: true,
            wrong: String::new(),
        }
    }

    /// The unit beside the field, as its reader chose.
    #[must_use]
    pub fn shown_unit(&self) -> String {
        crate::choice::current().units.unit(&self.unit)
    }

    /// The value in that unit.
    #[must_use]
    pub fn shown_value(&self) -> String {
        crate::choice::current().units.plain(&self.value, &self.unit)
    }

    /// One step of a figure in its shown unit; `None` for what is not stepped.
    #[must_use]
    pub fn step(&self) -> Option<&'static str> {
        let unit = self.shown_unit();
        STEPS.iter().find(|(known, _)| self.input == Input::Number && *known == unit).map(|(_, by)| *by)
    }

    /// Counted by tapping where there is script.
    #[must_use]
    pub fn is_drops(&self) -> bool {
        self.input == Input::Drops
    }

    /// Whether a phone shows its number keys.
    #[must_use]
    /// Most letters that are kept of what is typed here.
    pub fn most(&self) -> Option<usize> {
        Some(match self.name.as_str() {
            "text" if self.input == Input::Long => job::words::LONGEST_NOTE,
            "vehicle" | "technician" | "fluid" | "by" => app::LONGEST_NAME,
            "because" | "reason" => job::words::LONGEST_FIELD,
            _ => return None,
        })
    }

    pub fn is_figure(&self) -> bool {
        matches!(self.input, Input::Number | Input::Drops)
    }

    /// A number in `unit`.
    #[must_use]
    pub fn number(name: &str, label: &str, unit: &str) -> Self {
        Self { unit: unit.into(), ..Self::new(name, label, Input::Number) }
    }

    /// A box to tick that sends `value`.
    #[must_use]
    pub fn tick(name: &str, label: &str, value: &str) -> Self {
        Self { value: value.into(), ..Self::new(name, label, Input::Tick) }
    }

    /// One of a few: (value, label); the first is chosen.
    #[must_use]
    pub fn choice(name: &str, label: &str, of: &[(&str, &str)]) -> Self {
        let choices = of
            .iter()
            .enumerate()
            .map(|(i, (value, label))| Choice { value: (*value).into(), label: (*label).into(), chosen: i == 0 })
            .collect();
        Self::new(name, label, Input::Choice(choices))
    }

    /// The same field with a value in it.
    #[must_use]
    pub fn with(mut self, value: &str) -> Self {
        if let Input::Choice(choices) = &mut self.input {
            for choice in choices {
                choice.chosen = choice.value == value;
            }
        }
        self.value = value.into();
        self
    }

    /// The same field with a help under it.
    #[must_use]
    pub fn hint(mut self, hint: &str) -> Self {
        self.hint = hint.into();
        self
    }

    /// The same field, not required.
    #[must_use]
    pub fn optional(mut self) -> Self {
        self.required = false;
        self
    }
}

/// One act as a form.
#[derive(Clone, Debug, PartialEq)]
pub struct Act {
    /// Where the form goes: `/job/{id}/log`.
    pub action: String,
    /// The command: `open`, `reading`, …
    pub verb: String,
    /// Words on the button.
    pub label: String,
    /// Smaller words under them; empty for none.
    pub under: String,
    pub weight: Weight,
    /// Cannot be taken back: the button is held for 0.8 s, or confirmed on a second page where there is no script.
    pub hold: bool,
    pub fields: Vec<Field>,
    /// Fields that are sent but not shown: `plug`, `override`, …
    pub hidden: Vec<(String, String)>,
    /// Made for this form: the same form sent twice is one command.
    pub id: String,
    /// The last entry of the log this form was made from.
    pub seq: u64,
}

impl Act {
    /// An act without fields.
    #[must_use]
    pub fn new(job: &str, id: &str, seq: u64, verb: &str, label: &str) -> Self {
        Self {
            action: format!("/job/{job}/log"),
            verb: verb.into(),
            label: label.into(),
            under: String::new(),
            weight: Weight::Main,
            hold: false,
            fields: Vec::new(),
            hidden: Vec::new(),
            id: id.into(),
            seq,
        }
    }

    /// With a hidden field.
    #[must_use]
    pub fn hidden(mut self, name: &str, value: &str) -> Self {
        self.hidden.push((name.into(), value.into()));
        self
    }

    /// With a field.
    #[must_use]
    pub fn field(mut self, field: Field) -> Self {
        self.fields.push(field);
        self
    }

    /// Held, because it cannot be taken back.
    #[must_use]
    pub fn held(mut self) -> Self {
        self.hold = true;
        self
    }

    /// With the given weight.
    #[must_use]
    pub fn weight(mut self, weight: Weight) -> Self {
        self.weight = weight;
        self
    }

    /// With smaller words under the label.
    #[must_use]
    pub fn under(mut self, words: &str) -> Self {
        self.under = words.into();
        self
    }

    /// Class of the form: how strong, and whether one field stands beside the button.
    #[must_use]
    pub fn class(&self) -> &'static str {
        match (self.weight, self.fields.len()) {
            (Weight::Now, 1) => "act now beside",
            (Weight::Now, _) => "act now",
            (Weight::Main, 1) => "act main beside",
            (Weight::Main, _) => "act main",
            (Weight::Quiet, _) => "act quiet",
        }
    }
}
