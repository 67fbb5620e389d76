//! The domain from outside: jobs written as tables, gates one by one, the stored form byte for byte.

mod clocks;
mod decide;
mod families;
mod follow;
mod gates;
mod prepare;
mod script;
mod stock;
mod stored;
mod tables;
