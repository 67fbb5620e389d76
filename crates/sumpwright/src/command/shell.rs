//! `completions` and `man`: shell help.

use clap::CommandFactory;
use serde_json::json;

use crate::args::Cli;
use crate::print::{Answer, Fault};

#[derive(Debug, clap::Args)]
pub struct CompletionsArgs {
    /// Which shell
    #[arg(value_name = "SHELL")]
    shell: clap_complete::Shell,
}

#[derive(Debug, clap::Args)]
pub struct ManArgs {
    /// Manual page of one command: `man job log` [default: the whole program]
    #[arg(value_name = "COMMAND")]
    command: Vec<String>,
}

pub fn completions(args: &CompletionsArgs) -> Result<Answer, Fault> {
    let mut script = Vec::new();
    clap_complete::generate(args.shell, &mut Cli::command(), "sumpwright", &mut script);
    let script = String::from_utf8_lossy(&script).into_owned();
    let document = json!({ "shell": args.shell.to_string(), "script": script });
    Ok(Answer::new(script, document))
}

pub fn man(args: &ManArgs) -> Result<Answer, Fault> {
    let mut root = Cli::command();
    root.build();
    let mut command = root;
    for word in &args.command {
        command = command.find_subcommand(word).cloned().ok_or_else(|| {
            Fault::new(
                format!("there is no command \"{}\"", args.command.join(" ")),
                "`sumpwright --help` lists the commands",
            )
        })?;
    }
    let mut page = Vec::new();
    clap_mangen::Man::new(command)
        .render(&mut page)
        .map_err(|why| Fault::new(format!("the manual page cannot be set: {why}"), "use --help instead"))?;
    let page = String::from_utf8_lossy(&page).into_owned();
    Ok(Answer::new(page.clone(), json!({ "page": page })))
}
