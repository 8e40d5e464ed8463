//! The five kinds of published instances: their words, the files each needs, and the door of each module.

use std::fs;
use std::path::{Path, PathBuf};

use crate::run::{InstanceAnswer, InstanceSettings};
use crate::{rcpsp, scp, sop, ssp, upit};

/// A kind of published instance.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, clap::ValueEnum)]
pub enum InstanceKind {
    /// Sequential ordering: TSPLIB and SOPLIB files.
    Sop,
    /// Job sequencing and tool switching: files of Crama and others.
    Ssp,
    /// Set cover: OR-Library files.
    Scp,
    /// Maximum closure: ultimate pits of MineLib, `.upit` beside `.prec`.
    Closure,
    /// Project scheduling: PSPLIB files of one mode.
    Rcpsp,
}

impl InstanceKind {
    /// All kinds in the order of the report.
    pub const ALL: [Self; 5] = [Self::Sop, Self::Ssp, Self::Scp, Self::Closure, Self::Rcpsp];

    /// The word of the command line, which is also the folder's name.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Sop => "sop",
            Self::Ssp => "ssp",
            Self::Scp => "scp",
            Self::Closure => "closure",
            Self::Rcpsp => "rcpsp",
        }
    }

    /// The ending of this kind's files.
    pub const fn ending(self) -> &'static str {
        match self {
            Self::Sop => "sop",
            Self::Ssp | Self::Scp => "txt",
            Self::Closure => "upit",
            Self::Rcpsp => "sm",
        }
    }

    /// Reads, solves and judges one file.
    pub fn run_file(self, file: &Path, settings: &InstanceSettings) -> Result<InstanceAnswer, String> {
        let name = file.file_stem().map(|stem| stem.to_string_lossy().into_owned()).unwrap_or_default();
        let text = read_text(file)?;
        let answer = match self {
            Self::Sop => sop::run_sop_instance(&name, &text, settings),
            Self::Ssp => ssp::run_ssp_instance(&name, &text, settings),
            Self::Scp => scp::run_scp_instance(&name, &text, settings),
            Self::Rcpsp => rcpsp::run_rcpsp_instance(&name, &text, settings),
            Self::Closure => {
                let arcs_file = file.with_extension("prec");
                let arcs = read_text(&arcs_file)?;
                upit::run_closure_instance(&name, &text, &arcs, settings)
            }
        };
        answer.map_err(|fault| format!("{}: {fault}", file.display()))
    }

    /// Every file of this kind in a folder and the folders inside, by name.
    pub fn list_files(self, folder: &Path) -> Result<Vec<PathBuf>, String> {
        let mut found = Vec::new();
        let mut open = vec![folder.to_owned()];
        while let Some(folder) = open.pop() {
            let entries = fs::read_dir(&folder).map_err(|e| format!("{}: {e}", folder.display()))?;
            for entry in entries {
                let path = entry.map_err(|e| format!("{}: {e}", folder.display()))?.path();
                if path.is_dir() {
                    open.push(path);
                } else if path.extension().is_some_and(|e| e == self.ending()) {
                    found.push(path);
                }
            }
        }
        found.sort();
        Ok(found)
    }
}

fn read_text(file: &Path) -> Result<String, String> {
    fs::read_to_string(file).map_err(|e| format!("{}: {e}", file.display()))
}
