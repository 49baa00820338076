//! The rooms of the house: each uses only rooms on lower floors, and no file or function grows out of hand.

// A test that cannot go on should stop.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

/// The floors, the lowest first; see DEVELOPERS.md.
const FLOORS: [&[&str]; 10] = [
    &["error", "scalar"],
    &["field", "geometry"],
    &["body"],
    &["draft"],
    &["pattern"],
    &["ease_profile", "sensitivity", "sizes"],
    &["drawing", "findings", "proof", "survey"],
    &["batch", "document"],
    &["arrow", "files"],
    &["python"],
];

fn floor(room: &str) -> usize {
    FLOORS.iter().position(|rooms| rooms.contains(&room)).unwrap_or_else(|| panic!("{room} is on no floor"))
}

fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(sources(&path));
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            found.push(path);
        }
    }
    found
}

/// The room that a file is in: the first part of its path below `src`.
fn room(path: &Path) -> String {
    let below = path.strip_prefix("src").unwrap();
    below.components().next().unwrap().as_os_str().to_str().unwrap().trim_end_matches(".rs").to_owned()
}

/// The code of a file: what stands before `//` on each line.
fn code(path: &Path) -> Vec<String> {
    let text = fs::read_to_string(path).unwrap();
    text.lines().map(|line| line.split("//").next().unwrap().trim_end().to_owned()).collect()
}

/// The rooms named after `crate::` anywhere in a file's code.
fn used(path: &Path) -> Vec<String> {
    let text = code(path).join("\n").replace("$crate::", "crate::");
    let hidden = text.contains("crate::{") || text.contains("super::super");
    assert!(!hidden, "{}: name each room as crate::room, so that this test sees it", path.display());
    let names = text.split("crate::").skip(1).filter(|rest| rest.starts_with(char::is_lowercase));
    let name = |rest: &str| rest.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect::<String>();
    names.map(name).collect()
}

#[test]
fn every_room_uses_only_lower_floors() {
    let mut seen = BTreeMap::new();
    for path in sources(Path::new("src")) {
        let here = room(&path);
        if here == "lib" {
            continue;
        }
        for there in used(&path).into_iter().filter(|there| *there != here) {
            assert!(floor(&there) < floor(&here), "{} uses {there}, which is not below {here}", path.display());
            *seen.entry((here.clone(), there)).or_insert(0) += 1;
        }
    }
    let uses: i32 = seen.values().sum();
    assert!(seen.len() >= 20 && uses >= 50, "{} pairs, {uses} uses: does the test still read the code?", seen.len());
}

#[test]
fn every_room_has_its_floor() {
    let rooms: Vec<String> =
        sources(Path::new("src")).iter().map(|path| room(path)).filter(|room| room != "lib").collect();
    assert!(FLOORS.iter().copied().flatten().all(|room| rooms.iter().any(|seen| seen == room)));
    assert!(rooms.iter().all(|room| floor(room) < FLOORS.len()));
}

#[test]
fn files_and_functions_are_short() {
    let files: Vec<PathBuf> = [Path::new("src"), Path::new("tests")].into_iter().flat_map(sources).collect();
    assert!(files.len() >= 30, "{}", files.len());
    let mut functions = 0;
    for path in files {
        let lines: Vec<String> = code(&path).into_iter().filter(|line| !line.trim().is_empty()).collect();
        assert!(lines.len() <= 300, "{}: {} lines of code", path.display(), lines.len());
        let indent = |line: &str| line.len() - line.trim_start().len();
        for (start, line) in lines.iter().enumerate().filter(|(_, line)| line.contains("fn ") && line.ends_with('{')) {
            let rest = lines[start..].iter();
            let length = rest.take_while(|inner| inner.trim() != "}" || indent(inner) != indent(line)).count();
            functions += 1;
            assert!(length <= 60, "{}: {} has {length} lines", path.display(), line.trim());
        }
    }
    assert!(functions >= 200, "{functions}");
}

/// The binding is names and conversions only: a fifth of the code at the most, and less as rooms are added below it.
#[test]
fn the_binding_stays_thin() {
    let lines = |path: &PathBuf| code(path).iter().filter(|line| !line.trim().is_empty()).count();
    let (binding, rest): (Vec<PathBuf>, Vec<PathBuf>) =
        sources(Path::new("src")).into_iter().partition(|path| room(path) == "python");
    let (binding, rest): (usize, usize) = (binding.iter().map(lines).sum(), rest.iter().map(lines).sum());
    assert!(binding * 5 <= binding + rest, "{binding} lines beside {rest}");
}

/// Only one file may trust a pointer: Arrow's streams come in Python's capsules.
#[test]
fn one_file_is_excused_from_safety() {
    let is_unsafe = |path: &PathBuf| code(path).iter().any(|line| line.contains("unsafe"));
    let excused: Vec<PathBuf> = sources(Path::new("src")).into_iter().filter(is_unsafe).collect();
    assert_eq!(excused, [Path::new("src/python/capsule.rs")]);
}

/// The dependencies of the manifest: name, whether it is optional, and whether a reason stands above it.
fn dependencies() -> Vec<(String, bool, bool)> {
    // In the package of a release cargo has written the manifest anew, and keeps the old one beside it.
    let manifest = fs::read_to_string("Cargo.toml.orig").or_else(|_| fs::read_to_string("Cargo.toml")).unwrap();
    let lines: Vec<&str> = manifest.lines().skip_while(|line| *line != "[dependencies]").collect();
    let lines: Vec<&str> = lines.into_iter().skip(1).take_while(|line| !line.starts_with('[')).collect();
    let named = lines.iter().enumerate().filter_map(|(k, line)| Some((k, line.split_once(" = ")?.0, line)));
    let named = named.filter(|(_, name, _)| !name.starts_with('#'));
    let reason = |k: usize| k > 0 && lines[k - 1].starts_with("# ");
    named.map(|(k, name, line)| (name.to_owned(), line.contains("optional = true"), reason(k))).collect()
}

#[test]
fn every_dependency_has_its_reason() {
    let manual = fs::read_to_string("DEVELOPERS.md").unwrap();
    let table = manual.split("\n## Dependencies\n").nth(1).unwrap().split("\n## ").next().unwrap();
    let mut told = BTreeMap::new();
    for row in table.lines().filter_map(|line| line.strip_prefix("| ")).filter(|row| !row.starts_with("crate |")) {
        let (names, reason) = row.split_once(" | ").unwrap();
        assert!(reason.len() > 5, "{row}");
        let (names, feature) = names.split_once(" (feature `").unwrap_or((names, ""));
        told.extend(names.split(", ").map(|name| (name.to_owned(), !feature.is_empty())));
    }
    let dependencies = dependencies();
    assert!(dependencies.len() > 10, "{}: does the test still read the manifest?", dependencies.len());
    assert!(dependencies.iter().all(|(.., reason)| *reason), "{dependencies:?}");
    let named: BTreeMap<String, bool> = dependencies.into_iter().map(|(name, optional, _)| (name, optional)).collect();
    assert!(named == told, "{named:?} beside {told:?}");
}

/// What cargo says of this package and all that it is built of on this machine.
fn metadata() -> serde_json::Value {
    let tool = |program: &str, arguments: &[&str]| {
        let output = std::process::Command::new(program).args(arguments).output().unwrap();
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        String::from_utf8(output.stdout).unwrap()
    };
    let rustc = tool("rustc", &["-vV"]);
    let host = rustc.lines().find_map(|line| line.strip_prefix("host: ")).unwrap();
    let arguments = ["metadata", "--format-version=1", "--locked", "--all-features", "--filter-platform", host];
    serde_json::from_str(&tool(env!("CARGO"), &arguments)).unwrap()
}

/// No other toolchain need be there to see that a crate asks for a newer one.
#[test]
fn no_dependency_needs_a_newer_rust() {
    let metadata = metadata();
    let packages = metadata["packages"].as_array().unwrap();
    let version = |package: &serde_json::Value| -> Option<Vec<u32>> {
        let parts = package["rust_version"].as_str()?.split('.');
        Some(parts.map(|part| part.parse().unwrap()).chain([0, 0]).take(3).collect())
    };
    let own = packages.iter().find(|package| package["name"] == "kirtle").and_then(version).unwrap();
    let newer: Vec<_> = packages.iter().filter(|package| version(package) > Some(own.clone())).collect();
    let newer: Vec<_> = newer.iter().map(|package| (&package["name"], &package["rust_version"])).collect();
    assert!(packages.len() > 50 && newer.is_empty(), "{} packages, {newer:?}", packages.len());
}

/// A class of Python that nobody changes can be in the hands of several threads, with Python's lock or without.
#[test]
fn every_python_class_is_frozen() {
    let text: String = sources(Path::new("src")).iter().map(|path| code(path).join("\n")).collect();
    let classes: Vec<&str> = text.split("pyclass(").skip(1).collect();
    assert!(classes.len() >= 30 && !text.contains("#[pyclass]"), "{}", classes.len());
    assert!(classes.iter().all(|class| class.trim_start().starts_with("frozen")));
    assert!(text.contains("#[pymodule(gil_used = false)]"));
}

/// What is published holds all that is needed to build and judge it, and nothing that lies about.
#[test]
fn the_package_is_whole_and_clean() {
    let arguments = ["package", "--list", "--allow-dirty", "--offline"];
    let output = std::process::Command::new(env!("CARGO")).args(arguments).output().unwrap();
    let list = String::from_utf8(output.stdout).unwrap();
    let names: Vec<&str> = list.lines().collect();
    for name in
        ["LICENSE-MIT", "LICENSE-APACHE", "src/files/font/LICENCE", "python/THIRD-PARTY", "python/kirtle/py.typed"]
    {
        assert!(names.contains(&name), "{name} is not in {list}");
    }
    let top = ["benches", "python", "src", "tests"];
    let kinds = [
        "css", "csv", "dxf", "js", "json", "md", "pdf", "png", "py", "pyi", "rs", "svg", "toml", "tsv", "ttf", "txt",
        "typed",
    ];
    for name in names.iter().filter(|name| name.contains('/')) {
        let kind = name.rsplit_once('.').map_or("", |(_, kind)| kind);
        let known = kinds.contains(&kind)
            || name.starts_with("tests/attacks/corpus/")
            || ["src/files/font/LICENCE", "python/THIRD-PARTY", "tests/run"].contains(name);
        assert!(top.contains(&name.split('/').next().unwrap()) && known, "{name}");
    }
}
