//! What pages are made of, checked from outside.

mod fixture;
