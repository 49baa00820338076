//! What the documentation promises: everything that can refuse says when, and shows it in an example that is run.

// A test that cannot go on should stop.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::fs;
use std::path::{Path, PathBuf};

use serde_json::Value;

/// A public function that can refuse, and what stands above it.
struct Fallible {
    place: String,
    docs: Vec<String>,
}

fn sources(folder: &Path) -> Vec<PathBuf> {
    let paths = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    paths.flat_map(|path| if path.is_dir() { sources(&path) } else { vec![path] }).collect()
}

/// The public functions of a file that return a `Result`.
///
/// The compiler's `unreachable_pub` sees to it that whatever is `pub` can be reached from outside.
fn fallible(path: &Path) -> Vec<Fallible> {
    let text = fs::read_to_string(path).unwrap();
    let lines: Vec<&str> = text.lines().map(str::trim).collect();
    let heads = lines.iter().enumerate().filter(|(_, line)| line.starts_with("pub ") && line.contains("fn "));
    let signature = |start: usize| {
        let to = lines[start..].iter().position(|line| line.ends_with('{') || line.ends_with(';')).unwrap();
        lines[start..=start + to].join(" ")
    };
    let refuses = |start: usize| signature(start).rsplit("-> ").next().unwrap().starts_with("Result<");
    heads
        .filter(|(start, _)| refuses(*start))
        .map(|(start, line)| {
            let above =
                lines[..start].iter().rev().take_while(|line| line.starts_with("///") || line.starts_with("#["));
            let docs = above.map(|line| line.trim_start_matches('/').trim().to_owned()).collect::<Vec<_>>();
            let name = line.split("fn ").nth(1).unwrap().split(['(', '<']).next().unwrap();
            Fallible { place: format!("{}: {name}", path.display()), docs: docs.into_iter().rev().collect() }
        })
        .collect()
}

#[test]
fn whatever_can_refuse_says_when_and_shows_it() {
    // What Python sees is documented by its own page.
    let files = sources(Path::new("src")).into_iter().filter(|path| !path.starts_with("src/python"));
    let rust = files.filter(|path| path.extension().is_some_and(|extension| extension == "rs"));
    let found: Vec<Fallible> = rust.flat_map(|path| fallible(&path)).collect();
    assert!(found.len() >= 50, "{}: does the test still read the code?", found.len());
    let mut wanting = Vec::new();
    for Fallible { place, docs } in &found {
        let fences: Vec<&String> = docs.iter().filter(|line| line.starts_with("```")).collect();
        let example = docs.iter().skip_while(|line| !line.starts_with("```")).collect::<Vec<_>>();
        let never =
            docs.iter().skip_while(|line| *line != "# Errors").nth(1).is_some_and(|line| line.starts_with("None: "));
        let refused = never || example.iter().any(|line| line.contains("err()") || line.contains("Err("));
        if !docs.iter().any(|line| line == "# Errors") {
            wanting.push(format!("{place} does not say when it refuses, under `# Errors`"));
        }
        if fences.len() < 2 || *fences[0] != "```" {
            wanting.push(format!("{place} has no example that is run"));
        } else if !refused {
            wanting.push(format!("{place} shows nothing that is refused"));
        }
    }
    assert!(wanting.is_empty(), "{}:\n{}", wanting.len(), wanting.join("\n"));
}

/// Whatever stands in a schema is read by people who write in other languages.
#[test]
fn no_schema_shows_rust() {
    let schemas = sources(Path::new("tests/schemas"));
    assert!(schemas.len() >= 7, "{}", schemas.len());
    for path in schemas {
        let text = fs::read_to_string(&path).unwrap();
        assert!(!text.contains("use kirtle") && !text.contains("```"), "{} shows Rust", path.display());
    }
}

/// The blocks of a language on a page.
fn blocks(page: &str, language: &str) -> Vec<String> {
    let text = fs::read_to_string(page).unwrap();
    let fence = format!("\n```{language}\n");
    text.split(&fence).skip(1).map(|rest| rest.split("\n```").next().unwrap().to_owned()).collect()
}

/// Whether a document has all that an excerpt of it shows.
fn shows(excerpt: &Value, whole: &Value) -> bool {
    match (excerpt, whole) {
        (Value::Object(some), Value::Object(all)) => {
            some.iter().all(|(key, value)| all.get(key).is_some_and(|other| shows(value, other)))
        }
        _ => excerpt == whole,
    }
}

#[test]
fn the_documents_on_the_page_are_those_of_the_code() {
    let shown = blocks("src/embedding.md", "json");
    let [request, result, wrong, error, whole] = shown.as_slice() else { panic!("{} documents", shown.len()) };
    let [result, error] = [result, error].map(|text| serde_json::from_str::<Value>(text).unwrap());
    assert!(kirtle::draft_json(whole).is_ok());
    let drafted: Value = serde_json::from_str(&kirtle::draft_json(request).unwrap()).unwrap();
    assert!(shows(&result, &drafted), "{result:#} is not of {:#}", drafted["lay"]);
    assert_eq!(error, serde_json::to_value(kirtle::draft_json(wrong).unwrap_err()).unwrap());
}

/// Results say the version of their form; errors and what a survey tells do not, and the page says so.
#[test]
fn documents_carry_their_format() {
    for name in kirtle::document::SCHEMAS {
        let schema = kirtle::document::schema(name).unwrap();
        assert_eq!(schema["$id"], format!("urn:kirtle:{name}:{}", kirtle::document::FORMAT));
        let told = schema.to_string().contains("The version of this format.");
        let without = ["error", "fit", "best_chart", "best_sizes", "comparison"];
        assert_eq!(told, !without.contains(&name), "{name}");
    }
}
