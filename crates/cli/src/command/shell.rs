//! `traywright shell`: completions and the manual page, made from the same definitions as the help.

use crate::command_line;
use crate::exit::{CommandFailure, CommandVerdict, print_answer};
use clap::Subcommand;

/// Completions for a shell, and the manual page.
#[derive(Debug, Subcommand)]
pub enum ShellCommand {
    /// Prints completions for a shell.
    Completions {
        /// The shell.
        shell: clap_complete::Shell,
    },
    /// Prints the manual page of a command, or of the whole program.
    Man {
        /// The command, such as `plan`.
        command: Option<String>,
    },
}

impl ShellCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let mut root = command_line();
        let mut out = Vec::new();
        match self {
            Self::Completions { shell } => clap_complete::generate(shell, &mut root, "traywright", &mut out),
            Self::Man { command } => {
                let page = match command {
                    None => root,
                    Some(name) => root.find_subcommand(&name).cloned().ok_or_else(|| {
                        CommandFailure::bad_request(format!(
                            "there is no command `{name}`; see `traywright help`"
                        ))
                    })?,
                };
                clap_mangen::Man::new(page)
                    .render(&mut out)
                    .map_err(|e| CommandFailure::own_fault(e.to_string()))?;
            }
        }
        print_answer(&String::from_utf8_lossy(&out)).map(|()| CommandVerdict::Clean)
    }
}
