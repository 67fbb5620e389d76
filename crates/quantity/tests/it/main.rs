//! Integration tests of `quantity`.

mod smoke;
