//! Integration tests of the formulas, one module a subject.

mod balance;
mod balance_explain;
mod blend;
mod colour;
mod fit;
mod fluid;
mod gauge;
mod level;
mod montecarlo;
mod nist;
mod prepare;
mod published;
mod pump;
mod renewal;
mod runoff;
mod runoff_learnt;
mod torque;
mod warmup;
mod warmup_findings;
