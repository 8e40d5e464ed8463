//! What the report runs: every instance at hand with each seed, and the peers beside it, each with its seconds.

use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use super::known::{self, BestKnown};
use crate::kind::InstanceKind;

/// A general-purpose solver set beside ours.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ComparedSolver {
    /// This planner.
    Ours,
    /// CP-SAT of OR-Tools with eight workers.
    CpSat,
    /// The routing library of OR-Tools.
    Routing,
    /// HiGHS.
    Highs,
}

impl ComparedSolver {
    /// The name on the page.
    pub const fn title(self) -> &'static str {
        match self {
            Self::Ours => "this planner",
            Self::CpSat => "CP-SAT",
            Self::Routing => "OR-Tools routing",
            Self::Highs => "HiGHS",
        }
    }

    /// The script that runs a peer on a kind.
    pub fn script_name(self, kind: InstanceKind) -> String {
        let name = match self {
            Self::Ours => "ours",
            Self::CpSat => "cp_sat",
            Self::Routing => "routing",
            Self::Highs => "highs",
        };
        format!("{}_{name}.py", kind.word())
    }

    /// The peers that are run on a kind.
    pub const fn peers_of(kind: InstanceKind) -> &'static [Self] {
        match kind {
            InstanceKind::Sop => &[Self::CpSat, Self::Routing],
            InstanceKind::Ssp | InstanceKind::Rcpsp => &[Self::CpSat],
            InstanceKind::Scp => &[Self::CpSat, Self::Highs],
            InstanceKind::Closure => &[],
        }
    }
}

/// One instance at hand.
#[derive(Debug, Clone, PartialEq)]
pub struct PublishedInstance {
    /// Its kind.
    pub kind: InstanceKind,
    /// Its file.
    pub file: PathBuf,
    /// What is known of it.
    pub known: BestKnown,
}

/// A set of instances that share an aim, with the seconds each gets.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InstanceGroup {
    /// Title on the page.
    pub title: &'static str,
    /// What is aimed at, in words.
    pub aim: &'static str,
    /// Seconds before scaling.
    pub seconds: f64,
    /// Whether a proof is aimed at, so that reaching a value known to be best is not the end.
    pub proof: bool,
}

/// Sequential ordering by whether it is closed, its size and its collection.
const SOP: [InstanceGroup; 4] = [
    InstanceGroup {
        title: "closed, up to 80 nodes",
        aim: "best known, worst of the seeds",
        seconds: 10.0,
        proof: false,
    },
    InstanceGroup {
        title: "closed, more nodes",
        aim: "best known, worst of the seeds",
        seconds: 60.0,
        proof: false,
    },
    InstanceGroup { title: "open", aim: "within 0.5 % (prob.100: 3 %)", seconds: 60.0, proof: false },
    InstanceGroup { title: "SOPLIB", aim: "within 1 %", seconds: 60.0, proof: false },
];
const SSP: InstanceGroup = InstanceGroup { title: "all", aim: "best known", seconds: 10.0, proof: false };
const SCP: [InstanceGroup; 4] = [
    InstanceGroup { title: "4 to 6", aim: "proven", seconds: 5.0, proof: true },
    InstanceGroup { title: "a and b", aim: "proven", seconds: 20.0, proof: true },
    InstanceGroup { title: "c and d", aim: "within 1 %", seconds: 60.0, proof: false },
    InstanceGroup { title: "nre, nrg and clr", aim: "within 4 %", seconds: 60.0, proof: false },
];
const CLOSURE: InstanceGroup = InstanceGroup {
    title: "mines",
    aim: "proven; newman1 in 0.02 s, zuck_small in 1 s",
    seconds: 10.0,
    proof: true,
};
const RCPSP: [InstanceGroup; 3] = [
    InstanceGroup { title: "30 jobs", aim: "optimum", seconds: 2.0, proof: false },
    InstanceGroup { title: "60 jobs", aim: "mean within 1 %", seconds: 20.0, proof: false },
    InstanceGroup { title: "120 jobs", aim: "mean within 3 %", seconds: 20.0, proof: false },
];

impl PublishedInstance {
    /// The group of this instance.
    pub fn group(&self) -> InstanceGroup {
        let size = self.known.first_size();
        match self.kind {
            InstanceKind::Sop if self.known.instance.starts_with("R.") => SOP[3],
            InstanceKind::Sop if !self.known.is_closed() => SOP[2],
            InstanceKind::Sop => SOP[usize::from(size > 80)],
            InstanceKind::Ssp => SSP,
            InstanceKind::Closure => CLOSURE,
            InstanceKind::Scp => SCP[scp_group(&self.known.instance)],
            InstanceKind::Rcpsp => RCPSP[usize::from(size > 30) + usize::from(size > 60)],
        }
    }
}

/// By the letters and digits behind `scp`.
fn scp_group(name: &str) -> usize {
    match name.strip_prefix("scp").unwrap_or(name).as_bytes() {
        [b'4'..=b'6', ..] => 0,
        [b'a' | b'b', ..] => 1,
        [b'c', b'l', ..] => 3,
        [b'c' | b'd', ..] => 2,
        _ => 3,
    }
}

/// The instances in a folder of which a best value is known; and the names of known ones that are not there.
///
/// # Errors
/// A folder that cannot be read.
pub fn find_instances(
    kind: InstanceKind,
    data: &Path,
) -> Result<(Vec<PublishedInstance>, Vec<String>), String> {
    let files = kind.list_files(&data.join(kind.word()))?;
    let mut found = Vec::new();
    let mut missing = Vec::new();
    for known in known::read_best_known(kind)? {
        let named = |file: &&PathBuf| file.file_stem().is_some_and(|stem| *stem == *known.instance);
        match files.iter().find(named) {
            Some(file) => found.push(PublishedInstance { kind, file: file.clone(), known }),
            None => missing.push(known.instance),
        }
    }
    Ok((found, missing))
}

/// One run to be made.
#[derive(Debug, Clone, PartialEq)]
pub struct RunJob<'i> {
    /// Who solves.
    pub solver: ComparedSolver,
    /// What.
    pub instance: &'i PublishedInstance,
    /// Seed.
    pub seed: u64,
    /// Seconds.
    pub seconds: f64,
    /// Threads of ours, workers of a peer.
    pub threads: u16,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_known_instance_has_its_group() {
        let check = |kind: InstanceKind, name: &str, title: &str| {
            let known = known::read_best_known(kind).expect("good").into_iter().find(|k| k.instance == name);
            let instance = PublishedInstance { kind, file: PathBuf::new(), known: known.expect(name) };
            assert_eq!(instance.group().title, title, "{name}");
        };
        check(InstanceKind::Sop, "ESC78", "closed, up to 80 nodes");
        check(InstanceKind::Sop, "rbg109a", "closed, more nodes");
        check(InstanceKind::Sop, "ry48p.2", "open");
        check(InstanceKind::Sop, "R.200.100.15", "SOPLIB");
        check(InstanceKind::Scp, "scp65", "4 to 6");
        check(InstanceKind::Scp, "scpa1", "a and b");
        check(InstanceKind::Scp, "scpc3", "c and d");
        check(InstanceKind::Scp, "scpclr10", "nre, nrg and clr");
        check(InstanceKind::Scp, "scpnrg1", "nre, nrg and clr");
        check(InstanceKind::Rcpsp, "j3013_1", "30 jobs");
        check(InstanceKind::Rcpsp, "j609_1", "60 jobs");
        check(InstanceKind::Rcpsp, "j12046_2", "120 jobs");
        check(InstanceKind::Ssp, "crama_t1_s1n001", "all");
    }
}
