//! `sheet`: making, copying, comparing, merging and keeping unit sheets.

mod edit;
mod keep;
mod propose;

use std::path::PathBuf;

use clap::Subcommand;

use super::write_file;
use crate::print::{Answer, Fault};

/// What can be done with sheets.
#[derive(Debug, Subcommand)]
pub enum SheetCommand {
    /// List the sheets one can plan from
    List(keep::ListArgs),
    /// Print an empty sheet for a family, or write it to a file
    New(edit::NewArgs),
    /// Copy a sheet under another id
    Copy(edit::CopyArgs),
    /// Set one value and leave everything else, comments too, as it is
    Set(edit::SetArgs),
    /// List where two sheets differ
    Compare(edit::CompareArgs),
    /// Make one sheet of two: what the first lacks comes from the second
    Merge(edit::MergeArgs),
    /// Print the format as JSON Schema, for an editor
    Schema,
    /// Propose values from a passage of a manual, and take those that are confirmed
    Propose(propose::Args),
    /// Keep a sheet in the workshop as its next version
    Keep(keep::KeepArgs),
    /// List the versions of a kept sheet, or print one
    History(keep::HistoryArgs),
}

/// Runs one of them.
pub fn run(command: &SheetCommand) -> Result<Answer, Fault> {
    match command {
        SheetCommand::List(args) => keep::list(args),
        SheetCommand::New(args) => edit::new(args),
        SheetCommand::Copy(args) => edit::copy(args),
        SheetCommand::Set(args) => edit::set(args),
        SheetCommand::Compare(args) => edit::compare(args),
        SheetCommand::Merge(args) => edit::merge(args),
        SheetCommand::Schema => {
            let schema = sheet::edit::json_schema();
            Ok(Answer::new(format!("{schema:#}\n"), schema))
        }
        SheetCommand::Propose(args) => propose::run(args),
        SheetCommand::Keep(args) => keep::keep(args),
        SheetCommand::History(args) => keep::history(args),
    }
}

/// Where a text goes.
#[derive(Debug, clap::Args)]
pub struct Out {
    /// Write the text to this file instead of printing it
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
}

impl Out {
    /// The text as an answer, with a remark for people when it went to a file.
    fn answer(&self, text: String, mut json: serde_json::Value, remark: &str) -> Result<Answer, Fault> {
        json["text"] = text.clone().into();
        let said = match &self.out {
            None => text,
            Some(path) => {
                write_file(path, text.as_bytes())?;
                format!("{}{} written\n", remark, path.display())
            }
        };
        Ok(Answer::new(said, json))
    }
}

impl From<sheet::edit::EditError> for Fault {
    fn from(why: sheet::edit::EditError) -> Self {
        Self::new(why.what, why.hint)
    }
}
