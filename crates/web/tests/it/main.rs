//! What pages are made of, checked from outside.

mod asset;
mod decide;
mod families;
mod fixture;
mod page;
mod photo;
mod prepare;
mod route;
mod sheets;
