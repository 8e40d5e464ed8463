//! What lies near a name that nothing has: the same kind of file there, a level up or a level down, most alike first.

use super::file_kind::{FileKind, WantedFile};
use faults::{name_distance, nearest_name};
use std::fs;
use std::path::{Path, PathBuf};

/// Neighbours that are told, at most.
const MAX_NEIGHBOURS: usize = 3;

/// Entries of a folder that are looked at, at most.
const MAX_ENTRIES: usize = 200;

/// What lies near a path that does not exist, most alike first.
#[must_use]
pub fn find_neighbours(missing: &Path, wanted: WantedFile) -> Vec<PathBuf> {
    let Some((folder, name)) = split_at_missing(missing) else { return Vec::new() };
    let mut seen = Vec::new();
    list_entries(&folder, &mut seen);
    let inside: Vec<PathBuf> = seen.iter().filter(|path| path.is_dir()).cloned().collect();
    inside.iter().filter(|sub| !is_one_thing(sub)).for_each(|sub| list_entries(sub, &mut seen));
    let near_by = rank_paths(&seen, &name, wanted);
    if !near_by.is_empty() {
        return near_by;
    }
    let mut above = Vec::new();
    if let Some(parent) = folder.parent() {
        list_entries(if parent.as_os_str().is_empty() { Path::new(".") } else { parent }, &mut above);
    }
    rank_paths(&above, &name, wanted)
}

/// What lies in a folder and is of the kind that is wanted.
#[must_use]
pub fn find_inside(folder: &Path, wanted: WantedFile) -> Vec<PathBuf> {
    let mut seen = Vec::new();
    list_entries(folder, &mut seen);
    let inside: Vec<PathBuf> = seen.iter().filter(|path| path.is_dir()).cloned().collect();
    inside.iter().filter(|sub| !is_one_thing(sub)).for_each(|sub| list_entries(sub, &mut seen));
    seen.retain(|path| FileKind::of_path(path).is_some_and(|kind| wanted.is_met_by(kind)));
    seen.truncate(MAX_NEIGHBOURS);
    seen
}

/// Whether a folder is a book or a store as a whole: nobody names a file in it.
fn is_one_thing(folder: &Path) -> bool {
    matches!(FileKind::of_path(folder), Some(FileKind::Book | FileKind::Store))
}

/// The last folder of a path that exists, and the first name below it that does not.
fn split_at_missing(missing: &Path) -> Option<(PathBuf, String)> {
    let mut name = missing.file_name()?.to_string_lossy().into_owned();
    let mut folder = missing.parent()?;
    while !folder.as_os_str().is_empty() && !folder.is_dir() {
        name = folder.file_name()?.to_string_lossy().into_owned();
        folder = folder.parent()?;
    }
    let folder = if folder.as_os_str().is_empty() { PathBuf::from(".") } else { folder.to_owned() };
    Some((folder, name))
}

/// The entries of a folder by name, hidden ones left out; those of the present folder without its dot.
fn list_entries(folder: &Path, into: &mut Vec<PathBuf>) {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten().map(|entry| entry.path());
    let mut paths: Vec<PathBuf> = entries
        .filter(|path| path.file_name().is_some_and(|name| !name.to_string_lossy().starts_with('.')))
        .map(|path| path.strip_prefix(".").map_or_else(|_| path.clone(), Path::to_owned))
        .collect();
    paths.sort();
    paths.truncate(MAX_ENTRIES);
    into.extend(paths);
}

/// The name of a path without its ending.
fn stem_of(path: &Path) -> String {
    path.file_stem().map_or_else(String::new, |stem| stem.to_string_lossy().into_owned())
}

/// The paths of the kind that is wanted and those with a like name, most alike first.
fn rank_paths(paths: &[PathBuf], name: &str, wanted: WantedFile) -> Vec<PathBuf> {
    let stem = stem_of(Path::new(name));
    let is_kin = |path: &Path| FileKind::of_path(path).is_some_and(|kind| wanted.is_met_by(kind));
    let is_like = |path: &Path| {
        let other = path.file_name().unwrap_or_default().to_string_lossy();
        nearest_name(name, [&*other]).is_some() || nearest_name(&stem, [&*stem_of(path)]).is_some()
    };
    let rank = |path: &PathBuf| {
        let other = stem_of(path);
        let begins_alike = other.starts_with(&stem) || stem.starts_with(&other);
        (!is_kin(path), !begins_alike, name_distance(&stem, &other))
    };
    let may_be_meant = |path: &Path| {
        let is_mistake = FileKind::of_path(path).is_none_or(|kind| wanted.is_mistaken_for(kind));
        is_kin(path) || (is_like(path) && !is_mistake)
    };
    let mut near: Vec<PathBuf> = paths.iter().filter(|path| may_be_meant(path)).cloned().collect();
    near.sort_by_cached_key(rank);
    near.truncate(MAX_NEIGHBOURS);
    near
}

#[cfg(test)]
mod tests {
    use super::{find_inside, find_neighbours};
    use crate::load::WantedFile;
    use std::path::Path;

    /// A folder with two books, a store and a plan; the neighbours of a name in it, without the folder.
    fn check(missing: &str, wanted: WantedFile, expected: &[&str]) {
        let folder = tempfile::tempdir().expect("a folder");
        let book = "format = \"traywright-book/2\"\n";
        for (path, text) in [
            ("books/grey-van/engine.toml", book),
            ("books/blue-bus.toml", book),
            ("store/store.toml", "format = \"traywright-store/1\"\n"),
            ("out/plan.json", "{\"format\": \"traywright-plan/2\"}"),
            ("notes.txt", "dear all\n"),
        ] {
            let path = folder.path().join(path);
            std::fs::create_dir_all(path.parent().expect("a folder")).expect("it is made");
            std::fs::write(path, text).expect("it is written");
        }
        let near = find_neighbours(&folder.path().join(missing), wanted);
        let near: Vec<&Path> =
            near.iter().map(|path| path.strip_prefix(folder.path()).expect("within")).collect();
        assert_eq!(near, expected.iter().map(Path::new).collect::<Vec<_>>(), "{missing}");
    }

    #[test]
    fn the_most_alike_of_the_same_kind_comes_first() {
        check("books/grey.toml", WantedFile::Book, &["books/grey-van", "books/blue-bus.toml"]);
        check("books/blue-buss.toml", WantedFile::Book, &["books/blue-bus.toml", "books/grey-van"]);
    }

    #[test]
    fn a_level_down_and_a_level_up_are_looked_into() {
        check("blue-bus.toml", WantedFile::Book, &["books/blue-bus.toml", "books/grey-van"]);
        check("books/tools", WantedFile::Store, &["store"]);
        check("no/such/folder/plan.json", WantedFile::Plan, &["out/plan.json"]);
    }

    /// A pipe that nobody writes to would be waited for without an end.
    #[cfg(unix)]
    #[test]
    fn a_pipe_beside_it_is_not_read() {
        let above = tempfile::tempdir().expect("a folder");
        // A level up is looked at too: it is this test's own.
        let folder = above.path().join("books");
        super::fs::create_dir(&folder).expect("a folder");
        let pipe = folder.join("bus.toml");
        let made = std::process::Command::new("mkfifo").arg(&pipe).status().expect("mkfifo is there");
        assert!(made.success());
        assert!(find_neighbours(&folder.join("bus.json"), WantedFile::Plan).is_empty());
    }

    #[test]
    fn nothing_is_named_where_nothing_is_near() {
        check("books/a.journal", WantedFile::Journal, &[]);
        assert!(find_inside(Path::new("no-such-folder"), WantedFile::Plan).is_empty());
    }
}
