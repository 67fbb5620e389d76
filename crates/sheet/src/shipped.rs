//! The sheets that come with the program: invented makes, typical figures, at least one for each procedure family.

macro_rules! sheets {
    ($($name:literal)+) => { [$((concat!($name, ".toml"), include_str!(concat!("../sheets/", $name, ".toml")))),+] };
}

const SHIPPED: [(&str, &str); 14] = sheets! {
    "keld-o6"
    "torvane-r5"
    "ostrel-t8"
    "marrow-d4"
    "lunde-v1"
    "keld-m6"
    "brask-p7"
    "torvane-r5-dry"
    "sollin-w6"
    "lunde-s5"
    "ostrel-l6"
    "brask-h4"
    "vexel-e9"
    "vexel-k7"
};

/// File name and text of each shipped sheet. All describe units of invented makers; the first two are set by overflow.
pub fn shipped() -> &'static [(&'static str, &'static str)] {
    &SHIPPED
}
