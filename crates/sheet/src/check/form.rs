//! What a form of value is called, and how a sample of it stands in TOML.

use super::schema::Form;

impl Form {
    /// What the form is called in a message.
    pub(crate) fn name(self) -> &'static str {
        match self {
            Self::Text => "a text in quotes",
            Self::Texts => "a list of texts",
            Self::Word(_) => "one word in quotes",
            Self::Words(_) => "a list of words",
            Self::Flag => "true or false",
            Self::Whole => "a whole number",
            Self::Factor(..) => "a number",
            Self::Plain(_) => "a quantity with its unit, in quotes",
            Self::Sourced(_) => "a table of value, source and status",
            Self::Table(_) => "a table",
            Self::Tables(_) => "one or more tables in double brackets",
        }
    }

    /// The sample as it stands in TOML; the texts of a list are parted by `|`.
    pub(crate) fn toml(self, sample: &str) -> String {
        match self {
            Self::Text | Self::Word(_) | Self::Plain(_) => format!("\"{sample}\""),
            Self::Texts | Self::Words(_) => {
                let quoted: Vec<_> = sample.split('|').map(|w| format!("\"{w}\"")).collect();
                format!("[{}]", quoted.join(", "))
            }
            Self::Flag | Self::Whole | Self::Factor(..) => sample.to_owned(),
            Self::Sourced(_) => format!("{{ value = \"{sample}\", source = \"book and page\", status = \"read\" }}"),
            Self::Table(t) | Self::Tables(t) => {
                let inner: Vec<_> = t.keys.iter().map(|k| format!("{} = {}", k.name, k.form.toml(k.sample))).collect();
                format!("{{ {} }}", inner.join(", "))
            }
        }
    }
}
