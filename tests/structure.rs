//! Architecture: which rooms may use which, lengths of files and functions, dependencies, contents of the package.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

/// Rooms of each floor, the lowest floor first; see DEVELOPERS.md.
const FLOORS: [&[&str]; 10] = [
    &["error", "random", "scalar"],
    &["field", "geometry", "interrupt", "text"],
    &["body", "ruler", "student_t"],
    &["draft", "wording"],
    &["ease_profile", "pattern"],
    &["findings", "sensitivity", "sizes"],
    &["lesson", "proof", "size_search", "survey"],
    &["batch", "document", "drawing"],
    &["arrow", "files"],
    &["python", "web"],
];

fn floor(room: &str) -> usize {
    FLOORS.iter().position(|rooms| rooms.contains(&room)).unwrap_or_else(|| panic!("{room} is on no floor"))
}

/// Returns all Rust files below a folder.
fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut files = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            files.extend(sources(&path));
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            files.push(path);
        }
    }
    files
}

/// Returns the first part of a file's path below a folder, without `.rs`.
fn part_below(folder: &Path, path: &Path) -> String {
    let below = path.strip_prefix(folder).unwrap();
    below.components().next().unwrap().as_os_str().to_str().unwrap().trim_end_matches(".rs").to_owned()
}

/// Returns the room of a file: the first part of its path below `src`.
fn room(path: &Path) -> String {
    part_below(Path::new("src"), path)
}

/// Returns the lines of a file without comments.
fn code(path: &Path) -> Vec<String> {
    let text = fs::read_to_string(path).unwrap();
    text.lines().map(|line| line.split("//").next().unwrap().trim_end().to_owned()).collect()
}

/// Returns the text of a file without comments, with paths of macros as other paths.
fn text(path: &Path) -> String {
    code(path).join("\n").replace("$crate::", "crate::")
}

/// Returns the name at the start of a text.
fn leading_name(text: &str) -> String {
    text.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect()
}

/// Returns the rooms that a file uses: every name after `crate::`.
fn used_rooms(path: &Path) -> Vec<String> {
    let text = text(path);
    let hides_room = text.contains("crate::{") || text.contains("super::super");
    assert!(!hides_room, "{}: name each room as crate::room, so that this test sees it", path.display());
    let names = text.split("crate::").skip(1).filter(|rest| rest.starts_with(char::is_lowercase));
    names.map(leading_name).collect()
}

#[test]
fn every_room_uses_only_lower_floors() {
    let mut uses_by_pair = BTreeMap::new();
    for path in sources(Path::new("src")) {
        let here = room(&path);
        if here == "lib" {
            continue;
        }
        for there in used_rooms(&path).into_iter().filter(|there| *there != here) {
            assert!(floor(&there) < floor(&here), "{} uses {there}, which is not below {here}", path.display());
            *uses_by_pair.entry((here.clone(), there)).or_insert(0) += 1;
        }
    }
    let uses: i32 = uses_by_pair.values().sum();
    let pairs = uses_by_pair.len();
    assert!(pairs >= 20 && uses >= 50, "{pairs} pairs of rooms, {uses} uses: does the test still read the code?");
}

/// Rooms whose files have no cyclic dependency, so that each file can be read after those that it uses.
const ROOMS_WITHOUT_CYCLES: [&str; 11] = [
    "arrow",
    "body",
    "document",
    "drawing",
    "files",
    "findings",
    "geometry",
    "pattern",
    "sensitivity",
    "sizes",
    "python",
];

/// Returns the part of a room that holds a file: a file or folder of the room, or `mod` for what the room itself declares.
fn part(room: &str, path: &Path) -> String {
    part_below(&Path::new("src").join(room), path)
}

/// Returns the parts of a room that a file uses: every name after `super::` or `crate::room::`; in the room's `mod.rs`,
/// every part that is named outside of declarations and re-exports.
fn used_parts(room: &str, path: &Path, parts: &[String]) -> Vec<String> {
    let (here, text) = (part(room, path), text(path));
    if here == "mod" {
        let statements = text.split_inclusive([';', '}']).filter(|statement| !statement.contains("use "));
        let text: String = statements.collect();
        return parts.iter().filter(|part| text.contains(&format!("{part}::"))).cloned().collect();
    }
    let inside_folder = path.strip_prefix("src").unwrap().components().count() > 3 && !path.ends_with("mod.rs");
    let own = format!("crate::{room}::");
    let prefixes = if inside_folder { vec![own.as_str()] } else { vec!["super::", own.as_str()] };
    let names = prefixes.iter().flat_map(|prefix| text.split(prefix).skip(1).map(leading_name));
    names.map(|name| if parts.contains(&name) { name } else { "mod".to_owned() }).filter(|name| *name != here).collect()
}

#[test]
fn files_of_these_rooms_have_no_cyclic_dependency() {
    for room in ROOMS_WITHOUT_CYCLES {
        let files = sources(&Path::new("src").join(room));
        let parts: Vec<String> = files.iter().map(|path| part(room, path)).filter(|part| part != "mod").collect();
        let mut uses: BTreeMap<String, Vec<String>> = BTreeMap::new();
        for path in &files {
            uses.entry(part(room, path)).or_default().extend(used_parts(room, path, &parts));
        }
        let edges = uses.values().map(Vec::len).sum::<usize>();
        assert!(
            edges >= files.len() / 2,
            "{room}: {edges} uses in {} files: does the test still read the code?",
            files.len()
        );
        // Remove every part that uses no other part; the rest has a cyclic dependency.
        while let Some(free) = uses.iter().find(|(_, used)| used.iter().all(|part| !uses.contains_key(part))) {
            let free = free.0.clone();
            uses.remove(&free);
        }
        assert!(uses.is_empty(), "{room}: these files have a cyclic dependency, or use a file that has one: {uses:?}");
    }
}

/// Reads the rooms of each floor from the map in DEVELOPERS.md.
fn mapped_floors() -> Vec<Vec<String>> {
    let manual = fs::read_to_string("DEVELOPERS.md").unwrap();
    let map = manual.split("\n| floor | room | job |\n|---|---|---|\n").nth(1).unwrap().split("\n\n").next().unwrap();
    let mut floors = vec![Vec::new(); FLOORS.len()];
    for row in map.lines() {
        let cells: Vec<&str> = row.split('|').map(str::trim).collect();
        assert!(cells[3].len() > 20, "{row}");
        floors[cells[1].parse::<usize>().unwrap()].push(cells[2].trim_matches('`').to_owned());
    }
    floors
}

#[test]
fn the_map_of_the_developers_page_has_the_floors_of_this_test() {
    let sorted = |floor: &[String]| {
        let mut rooms = floor.to_vec();
        rooms.sort();
        rooms
    };
    let here = FLOORS.map(|rooms| sorted(&rooms.iter().map(|room| (*room).to_owned()).collect::<Vec<_>>()));
    let mapped: Vec<_> = mapped_floors().iter().map(|floor| sorted(floor)).collect();
    assert_eq!(mapped, here);
}

#[test]
fn every_room_is_on_a_floor_and_every_floor_has_only_rooms() {
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
        // Tests and printed texts are long lists, read one entry at a time.
        let is_list = path.starts_with("tests") || room(&path) == "wording";
        assert!(is_list || lines.len() <= 300, "{}: {} lines of code", path.display(), lines.len());
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

/// Streams of Arrow arrive as pointers in Python capsules; JavaScript finds functions by their names.
#[test]
fn only_one_file_has_unsafe_code_and_one_exports_names() {
    let files_with = |is_wanted: fn(&str) -> bool| -> Vec<PathBuf> {
        let files = sources(Path::new("src")).into_iter();
        files.filter(|path| code(path).iter().any(|line| is_wanted(&line.replace("allow(unsafe_code", "")))).collect()
    };
    let is_unsafe = |line: &str| line.replace("#[unsafe(no_mangle)]", "").contains("unsafe");
    assert_eq!(files_with(is_unsafe), [Path::new("src/python/capsule.rs")]);
    assert_eq!(files_with(|line| line.contains("#[unsafe(no_mangle)]")), [Path::new("src/web/mod.rs")]);
}

#[test]
fn every_dependency_has_a_reason_in_the_manifest() {
    // In a published package cargo normalises the manifest and keeps the original as Cargo.toml.orig.
    let manifest = fs::read_to_string("Cargo.toml.orig").or_else(|_| fs::read_to_string("Cargo.toml")).unwrap();
    let lines = manifest.split("\n[dependencies]\n").nth(1).unwrap().lines().take_while(|line| !line.starts_with('['));
    let lines: Vec<&str> = std::iter::once("").chain(lines.filter(|line| !line.is_empty())).collect();
    let is_reason = |line: &str| line.starts_with("# ") && line.len() > 12;
    let pairs = lines.windows(2).filter(|pair| !pair[1].starts_with('#')).collect::<Vec<_>>();
    assert!(pairs.len() > 10, "{}: does the test still read the manifest?", pairs.len());
    for pair in pairs {
        assert!(is_reason(pair[0]), "{}", pair[1]);
    }
}

/// Returns the metadata of this package and its dependencies for the host, from cargo.
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

/// Compares declared versions, so that the oldest supported toolchain need not be installed.
#[test]
fn no_dependency_needs_a_newer_rust_than_the_package() {
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

/// Frozen classes can be shared by threads, also in Python without the global interpreter lock.
#[test]
fn every_python_class_is_frozen() {
    let text: String = sources(Path::new("src")).iter().map(|path| code(path).join("\n")).collect();
    let classes: Vec<&str> = text.split("pyclass(").skip(1).collect();
    assert!(classes.len() >= 30 && !text.contains("#[pyclass]"), "{}", classes.len());
    assert!(classes.iter().all(|class| class.trim_start().starts_with("frozen")));
    assert!(text.contains("#[pymodule(gil_used = false)]"));
}

#[test]
fn the_package_has_all_licences_and_only_files_of_known_kinds() {
    let arguments = ["package", "--list", "--allow-dirty", "--offline"];
    let output = std::process::Command::new(env!("CARGO")).args(arguments).output().unwrap();
    let list = String::from_utf8(output.stdout).unwrap();
    let names: Vec<&str> = list.lines().collect();
    for name in ["LICENSE-MIT", "LICENSE-APACHE", "README.md", "src/files/font/LICENCE"] {
        assert!(names.contains(&name), "{name} is not in {list}");
    }
    let kinds = ["html", "js", "md", "rs", "ts", "ttf"];
    for name in names.iter().filter(|name| name.contains('/')) {
        let is_known = kinds.contains(&name.rsplit_once('.').map_or("", |(_, kind)| kind))
            || ["src/files/font/LICENCE", "src/web/build"].contains(name);
        assert!(name.starts_with("src/") && is_known, "{name} does not belong into the package");
    }
}
