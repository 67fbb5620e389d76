//! What pages are made of, checked from outside.

mod asset;
mod fixture;
mod page;
mod route;
