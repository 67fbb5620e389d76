mod support;

mod backup;
mod damage;
mod disk;
mod document;
mod files;
mod format;
mod kill;
mod migrate;
mod torn;
mod write;
