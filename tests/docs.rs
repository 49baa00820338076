//! Documentation: every public function that can fail documents its errors and shows one; JSON on pages is that of the code.

use std::fs;
use std::path::{Path, PathBuf};

use serde_json::Value;

/// A public function that returns a `Result`, with the lines of its doc comment.
struct Fallible {
    location: String,
    docs: Vec<String>,
}

fn sources(folder: &Path) -> Vec<PathBuf> {
    let paths = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    paths.flat_map(|path| if path.is_dir() { sources(&path) } else { vec![path] }).collect()
}

/// Returns the public functions of a file that return a `Result`.
///
/// The lint `unreachable_pub` ensures that every `pub` function is part of the public API.
fn fallible_functions(path: &Path) -> Vec<Fallible> {
    let text = fs::read_to_string(path).unwrap();
    let lines: Vec<&str> = text.lines().map(str::trim).collect();
    let heads = lines.iter().enumerate().filter(|(_, line)| line.starts_with("pub ") && line.contains("fn "));
    let signature = |start: usize| {
        let to = lines[start..].iter().position(|line| line.ends_with('{') || line.ends_with(';')).unwrap();
        lines[start..=start + to].join(" ")
    };
    let is_fallible = |start: usize| signature(start).rsplit("-> ").next().unwrap().starts_with("Result<");
    heads
        .filter(|(start, _)| is_fallible(*start))
        .map(|(start, line)| {
            let above =
                lines[..start].iter().rev().take_while(|line| line.starts_with("///") || line.starts_with("#["));
            let docs = above.map(|line| line.trim_start_matches('/').trim().to_owned()).collect::<Vec<_>>();
            let name = line.split("fn ").nth(1).unwrap().split(['(', '<']).next().unwrap();
            Fallible { location: format!("{}: {name}", path.display()), docs: docs.into_iter().rev().collect() }
        })
        .collect()
}

#[test]
fn every_fallible_function_documents_and_shows_its_errors() {
    // The Python API is documented in python/reference.md.
    let files = sources(Path::new("src")).into_iter().filter(|path| !path.starts_with("src/python"));
    let rust = files.filter(|path| path.extension().is_some_and(|extension| extension == "rs"));
    let functions: Vec<Fallible> = rust.flat_map(|path| fallible_functions(&path)).collect();
    assert!(functions.len() >= 50, "only {} functions: does the test still read the code?", functions.len());
    let mut problems = Vec::new();
    for Fallible { location, docs } in &functions {
        let fences: Vec<&String> = docs.iter().filter(|line| line.starts_with("```")).collect();
        let example = docs.iter().skip_while(|line| !line.starts_with("```")).collect::<Vec<_>>();
        let is_infallible =
            docs.iter().skip_while(|line| *line != "# Errors").nth(1).is_some_and(|line| line.starts_with("None: "));
        let shows_error = is_infallible || example.iter().any(|line| line.contains("err()") || line.contains("Err("));
        if !docs.iter().any(|line| line == "# Errors") {
            problems.push(format!("{location} has no section `# Errors`"));
        }
        if fences.len() < 2 || *fences[0] != "```" {
            problems.push(format!("{location} has no example that runs"));
        } else if !shows_error {
            problems.push(format!("{location} has no example that returns an error"));
        }
    }
    assert!(problems.is_empty(), "{} problems:\n{}", problems.len(), problems.join("\n"));
}

/// Schemas are read by users of other languages than Rust.
#[test]
fn no_schema_shows_rust() {
    let schemas = sources(Path::new("tests/schemas"));
    assert!(schemas.len() >= 7, "{}", schemas.len());
    for path in schemas {
        let text = fs::read_to_string(&path).unwrap();
        assert!(!["use kirtle", "```", "[("].iter().any(|rust| text.contains(rust)), "{} shows Rust", path.display());
    }
}

/// Returns the code blocks of a language on a page.
fn blocks(page: &str, language: &str) -> Vec<String> {
    let text = fs::read_to_string(page).unwrap();
    let fence = format!("\n```{language}\n");
    text.split(&fence).skip(1).map(|rest| rest.split("\n```").next().unwrap().to_owned()).collect()
}

/// Returns whether a document contains every member of an excerpt.
fn contains(excerpt: &Value, whole: &Value) -> bool {
    match (excerpt, whole) {
        (Value::Object(part), Value::Object(all)) => {
            part.iter().all(|(key, value)| all.get(key).is_some_and(|other| contains(value, other)))
        }
        _ => excerpt == whole,
    }
}

#[test]
fn the_documents_on_the_embedding_page_are_those_of_the_code() {
    let documents = blocks("src/embedding.md", "json");
    let [request, result, wrong_request, error, full_request] = documents.as_slice() else {
        panic!("{} documents", documents.len())
    };
    let [result, error] = [result, error].map(|text| serde_json::from_str::<Value>(text).unwrap());
    assert!(kirtle::draft_json(full_request).is_ok());
    let drafted: Value = serde_json::from_str(&kirtle::draft_json(request).unwrap()).unwrap();
    assert!(contains(&result, &drafted), "{result:#} is not part of the result, whose lay is {:#}", drafted["lay"]);
    assert_eq!(error, serde_json::to_value(kirtle::draft_json(wrong_request).unwrap_err()).unwrap());
}

/// Errors, texts and the reports of surveys have no field `format`; all other documents have one.
#[test]
fn documents_carry_the_version_of_their_format() {
    for name in kirtle::document::SCHEMA_NAMES {
        let schema = kirtle::document::schema(name).unwrap();
        assert_eq!(schema["$id"], format!("urn:kirtle:{name}:{}", kirtle::document::FORMAT_VERSION));
        let has_format = schema.to_string().contains("Version of the document format.");
        let without = ["error", "fit", "best_chart", "best_sizes", "comparison", "texts"];
        assert_eq!(has_format, !without.contains(&name), "{name}");
    }
}
