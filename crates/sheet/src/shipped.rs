//! The sheets that come with the program: invented makes, typical figures.

const SHIPPED: [(&str, &str); 2] = [
    ("keld-o6.toml", include_str!("../sheets/keld-o6.toml")),
    ("torvane-r5.toml", include_str!("../sheets/torvane-r5.toml")),
];

/// File name and text of each shipped sheet. Both describe units of invented makers.
pub fn shipped() -> &'static [(&'static str, &'static str)] {
    &SHIPPED
}
