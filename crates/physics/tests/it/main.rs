//! Integration tests of the formulas, one module a subject.

mod balance;
mod fluid;
mod level;
mod renewal;
mod runoff;
mod torque;
mod warmup;
