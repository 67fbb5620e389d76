//! What pages are made of, checked from outside.

mod asset;
mod decide;
mod fixture;
mod page;
mod prepare;
mod route;
mod sheets;
