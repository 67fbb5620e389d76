//! Integration tests of `quantity`: what manuals print, what people read, and the laws that hold in between.

mod agreement;
mod factors;
mod laws;
mod printing;
mod reading;
mod refusing;
