//! Saving patterns, lays and drawings to files; the extension of the file name chooses the format.
//!
//! A file is written completely or not at all: a failed save leaves an earlier file as it was.

use std::fmt;
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};

use super::dxf::dxf;
use super::svg::{SvgScale, svg};
use crate::document::{LayReport, PatternReport};
use crate::drawing::{
    Drawing, Paper, draw_lay, draw_lay_at_true_size, draw_pattern, with_header, with_notes_on_buying,
};
use crate::error::{Code, Problem, Problems};
use crate::lesson::Lesson;
use crate::pattern::{Lay, Pattern};
use crate::wording::Wording;

/// Reason why a file was not written.
#[derive(Debug)]
pub enum SaveError {
    /// The path, the extension or the paper was refused, before anything was written.
    Refused(Problems),
    /// Writing failed with an I/O error; no partial file is left.
    Failed(PathBuf, io::Error),
}

impl fmt::Display for SaveError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            SaveError::Refused(problems) => problems.fmt(f),
            SaveError::Failed(path, error) => write!(f, "{}: {error}", path.display()),
        }
    }
}

impl std::error::Error for SaveError {}

impl From<Problems> for SaveError {
    fn from(problems: Problems) -> Self {
        Self::Refused(problems)
    }
}

impl Pattern {
    /// Saves the pattern to a file in the format of its extension: `.pdf` (with the feature `pdf`) on `paper`,
    /// `.svg` with a header above the pieces, `.dxf`, or `.json` by the schema `pattern`. `wording`
    /// prints lengths and texts; lengths in JSON are exact, in the unit of its ruler.
    ///
    /// # Errors
    /// [`SaveError::Refused`] for another extension, for paper too small, and for the path of a device or pipe;
    /// [`SaveError::Failed`] if the file cannot be written. An earlier file of that name stays as it was.
    ///
    /// ```
    /// use kirtle::{Body, Cutting, Ease, Rules, Unit};
    /// use kirtle::drawing::Paper;
    ///
    /// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
    /// let pattern = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?.pattern(&Cutting::default())?;
    /// let path = std::env::temp_dir().join("kirtle-example.svg");
    /// pattern.save(&path, Unit::Cm, &Paper::named("A4")?)?;
    /// # std::fs::remove_file(path)?;
    /// let refused = pattern.save("pattern.txt", Unit::Cm, &Paper::named("A4")?).unwrap_err();
    /// assert!(refused.to_string().starts_with("path: \"pattern.txt\" is not a name that ends with"));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn save<'t>(
        &self,
        path: impl AsRef<Path>,
        wording: impl Into<Wording<'t>>,
        paper: &Paper,
    ) -> Result<(), SaveError> {
        write_file(path.as_ref(), |path| self.file_bytes(path, wording, paper))
    }

    /// Returns the bytes of the file that [`save`](Self::save) writes, for a caller without a file system; only the
    /// extension of `path` counts.
    ///
    /// # Errors
    /// [`Code::UnknownChoice`] for another extension, [`Code::PaperTooSmall`] for paper too small.
    ///
    /// ```
    /// use kirtle::{Body, Code, Cutting, Ease, Rules, Unit};
    /// use kirtle::drawing::Paper;
    ///
    /// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
    /// let pattern = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?.pattern(&Cutting::default())?;
    /// let paper = Paper::named("A4")?;
    /// assert!(pattern.file_bytes("pattern.svg", Unit::Cm, &paper)?.starts_with(b"<svg"));
    /// assert_eq!(pattern.file_bytes("pattern.txt", Unit::Cm, &paper).unwrap_err()[0].code, Code::UnknownChoice);
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn file_bytes<'t>(
        &self,
        path: impl AsRef<Path>,
        wording: impl Into<Wording<'t>>,
        paper: &Paper,
    ) -> Result<Vec<u8>, Problems> {
        let (path, wording) = (path.as_ref(), wording.into());
        let extension = file_extension_in_lower_case(path);
        if extension == "json" {
            return Ok(PatternReport::new(self, wording.ruler.unit()).to_json().into_bytes());
        }
        let drawing = draw_pattern(self, wording);
        // DXF has no notes.
        let drawing = if extension == "dxf" { drawing } else { with_notes_on_buying(drawing, self, wording.ruler) };
        drawing_file_bytes(path, &drawing, paper, ".pdf, .svg, .dxf or .json")
    }
}

impl Lay {
    /// Saves the lay to a file in the format of its extension: `.pdf` (with the feature `pdf`) on one page of `paper`,
    /// `.svg` at a fifth of true size, `.dxf` at true size, or `.json` by the schema `lay`. `wording` prints lengths and
    /// texts; lengths in JSON are exact, in the unit of its ruler.
    ///
    /// # Errors
    /// [`SaveError::Refused`] and [`SaveError::Failed`] as for [`Pattern::save`]; refused for `.dxf` if the cloth is
    /// folded, as [`draw_lay_at_true_size`] is.
    ///
    /// ```
    /// use kirtle::{Body, Cutting, Ease, Rules, Unit};
    /// use kirtle::drawing::Paper;
    /// use kirtle::pattern::Cloth;
    ///
    /// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
    /// let pattern = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?.pattern(&Cutting::default())?;
    /// let lay = pattern.lay(&Cloth { width: 140.0, folded: true, one_way: false, selvedge: 1.0 })?;
    /// let path = std::env::temp_dir().join("kirtle-lay-example.json");
    /// lay.save(&path, Unit::Cm, &Paper::named("A4")?)?;
    /// # std::fs::remove_file(path)?;
    /// let refused = lay.save("lay.dxf", Unit::Cm, &Paper::named("A4")?).unwrap_err();
    /// assert!(refused.to_string().ends_with("which has one layer: lay the cloth open"));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn save<'t>(
        &self,
        path: impl AsRef<Path>,
        wording: impl Into<Wording<'t>>,
        paper: &Paper,
    ) -> Result<(), SaveError> {
        let wording = wording.into();
        write_file(path.as_ref(), |path| match file_extension_in_lower_case(path).as_str() {
            #[cfg(feature = "pdf")]
            "pdf" => Ok(super::pdf::pdf(&crate::drawing::draw_lay_on_page(self, wording, paper)?)),
            "svg" => Ok(svg(&draw_lay(self, wording), SvgScale::True).into_bytes()),
            "dxf" => Ok(dxf(&draw_lay_at_true_size(self, wording)?).into_bytes()),
            "json" => Ok(LayReport::new(self, wording.ruler.unit()).to_json().into_bytes()),
            _ => Err(unknown_file_extension_problem(path, ".pdf, .svg, .dxf or .json")),
        })
    }
}

impl Lesson {
    /// Saves the lesson to a file in the format of its extension: `.pdf` on A4 (with the feature `pdf`), or `.md` as
    /// Markdown without figures.
    ///
    /// # Errors
    /// [`SaveError::Refused`] and [`SaveError::Failed`] as for [`Pattern::save`].
    ///
    /// ```
    /// use kirtle::{Body, Ease, Rules, Unit};
    ///
    /// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
    /// let lesson = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?.lesson(Unit::Cm);
    /// let path = std::env::temp_dir().join("kirtle-lesson-example.md");
    /// lesson.save(&path)?;
    /// # std::fs::remove_file(path)?;
    /// assert!(lesson.save("lesson.svg").unwrap_err().to_string().starts_with("path: \"lesson.svg\" is not"));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn save(&self, path: impl AsRef<Path>) -> Result<(), SaveError> {
        write_file(path.as_ref(), |path| match file_extension_in_lower_case(path).as_str() {
            #[cfg(feature = "pdf")]
            "pdf" => Ok(super::pdf::pdf(&crate::drawing::draw_lesson(self))),
            "md" => Ok(self.to_markdown().into_bytes()),
            _ => Err(unknown_file_extension_problem(path, ".pdf or .md")),
        })
    }
}

/// Creates a problem of a path with the error code `code`; the message quotes the path.
fn path_problem(code: Code, path: &Path) -> Problem {
    Problem::new(code, "path").with_value(format!("{:?}", path.display().to_string()))
}

/// Saves a drawing to a file in the format of its extension: `.pdf` (with the feature `pdf`) on `paper`, `.svg` with a
/// header, or `.dxf`.
///
/// # Errors
/// [`SaveError::Refused`] and [`SaveError::Failed`] as for [`Pattern::save`].
///
/// ```
/// use kirtle::{Cutting, Ease, Rules, SizeChart, Unit};
/// use kirtle::drawing::Paper;
///
/// let range = SizeChart::demo().draft(&Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
/// let nest = kirtle::drawing::draw_nest(&range.nest(&["38", "40"], &Cutting::default())?, Unit::Cm);
/// let path = std::env::temp_dir().join("kirtle-nest-example.svg");
/// kirtle::files::save_drawing(&path, &nest, &Paper::named("A4")?)?;
/// # std::fs::remove_file(path)?;
/// assert!(kirtle::files::save_drawing("nest.txt", &nest, &Paper::named("A4")?).is_err());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn save_drawing(path: impl AsRef<Path>, drawing: &Drawing, paper: &Paper) -> Result<(), SaveError> {
    write_file(path.as_ref(), |path| drawing_file_bytes(path, drawing, paper, ".pdf, .svg or .dxf"))
}

/// Returns a drawing as the bytes of a file in the format of `path`'s extension. An unknown extension is an error whose
/// message lists `extensions`.
fn drawing_file_bytes(path: &Path, drawing: &Drawing, paper: &Paper, extensions: &str) -> Result<Vec<u8>, Problems> {
    Ok(match file_extension_in_lower_case(path).as_str() {
        #[cfg(feature = "pdf")]
        "pdf" => super::pdf::pdf(&crate::drawing::paginate(drawing, paper)?),
        "svg" => svg(&with_header(drawing.clone()), SvgScale::True).into_bytes(),
        "dxf" => dxf(drawing).into_bytes(),
        _ => return Err(unknown_file_extension_problem(path, extensions)),
    })
}

/// Returns the extension of a path's file name in lower case, without the dot; empty if there is no extension.
fn file_extension_in_lower_case(path: &Path) -> String {
    path.extension().map(|extension| extension.to_string_lossy().to_lowercase()).unwrap_or_default()
}

/// Creates the problem of a path with an unknown file extension; the message lists the known `extensions`, without a
/// first `.pdf` if there is no feature `pdf`.
fn unknown_file_extension_problem(path: &Path, extensions: &str) -> Problems {
    let without_pdf =
        || format!("{}; .pdf needs Kirtle with its feature `pdf`", extensions.trim_start_matches(".pdf, "));
    let known = if cfg!(feature = "pdf") { extensions.to_owned() } else { without_pdf() };
    path_problem(Code::UnknownChoice, path).with_limit(format!("a name that ends with {known}")).into()
}

/// Number of partial files begun by this process, which makes the name of each unique.
static PARTIAL_FILE_COUNT: AtomicU64 = AtomicU64::new(0);

/// Writes the bytes that `bytes` returns for the path to a partial file in the folder of `path`, then renames that file
/// to `path`, so that no reader sees a part of the bytes. Follows symbolic links, keeps the permissions of an earlier
/// file, and refuses a device or pipe, and a path with a NUL byte, which a system would take for the end of the path.
fn write_file(path: &Path, bytes: impl FnOnce(&Path) -> Result<Vec<u8>, Problems>) -> Result<(), SaveError> {
    if path.display().to_string().contains('\0') {
        let problem = path_problem(Code::WrongType, path).with_limit("a file name without a zero byte");
        return Err(Problems::from(problem).into());
    }
    let bytes = bytes(path)?;
    let (partial, mut file) = create_partial_file(path)?;
    let written = file.write_all(&bytes).map_err(|error| SaveError::Failed(path.to_owned(), error));
    written.and_then(|()| replace_by_partial_file(path, &partial)).inspect_err(|_| drop(fs::remove_file(&partial)))
}

/// Creates an empty file with a unique name in the folder of the file that `path` names or links to. The caller writes
/// the file and calls [`replace_by_partial_file`], or removes the file.
pub(crate) fn create_partial_file(path: &Path) -> Result<(PathBuf, fs::File), SaveError> {
    let failed = |error| SaveError::Failed(path.to_owned(), error);
    let target = resolve_symbolic_links(path);
    let earlier = fs::metadata(&target).ok();
    if earlier.as_ref().is_some_and(fs::Metadata::is_dir) {
        // Opening a folder for writing fails; the system's error says why.
        fs::File::options().write(true).open(&target).map_err(failed)?;
    }
    if earlier.as_ref().is_some_and(|earlier| !earlier.is_file()) {
        let limit = "the path of a regular file: a device or pipe has that name; choose another name";
        return Err(Problems::from(path_problem(Code::WrongType, path).with_limit(limit)).into());
    }
    // WebAssembly has no process identifier.
    let process = if cfg!(target_family = "wasm") { 0 } else { std::process::id() };
    let (partial, file) = loop {
        let count = PARTIAL_FILE_COUNT.fetch_add(1, Ordering::Relaxed);
        let partial = target.with_file_name(format!(".kirtle-{process}-{count}.part"));
        match fs::File::create_new(&partial) {
            // A killed process with the same id may have left such a file.
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {}
            created => break (partial, created.map_err(failed)?),
        }
    };
    // Who must not read the old content must not read the new content, either.
    if let Some(permissions) = earlier.map(|earlier| earlier.permissions()).filter(|old| !old.readonly()) {
        let set = file.set_permissions(permissions).map_err(failed);
        set.inspect_err(|_| drop(fs::remove_file(&partial)))?;
    }
    Ok((partial, file))
}

/// Replaces the file that `path` names or links to by a partial file, which gets the permissions of the replaced file.
pub(crate) fn replace_by_partial_file(path: &Path, partial: &Path) -> Result<(), SaveError> {
    let target = resolve_symbolic_links(path);
    let earlier = fs::metadata(&target);
    let set = earlier.map_or(Ok(()), |earlier| fs::set_permissions(partial, earlier.permissions()));
    set.and_then(|()| fs::rename(partial, &target)).map_err(|error| SaveError::Failed(path.to_owned(), error))
}

/// Follows a chain of at most 40 symbolic links from a path; returns the last path, whether or not a file exists there.
fn resolve_symbolic_links(path: &Path) -> PathBuf {
    let next = |target: &PathBuf| Some(target.parent()?.join(fs::read_link(target).ok()?));
    std::iter::successors(Some(path.to_owned()), next).take(41).last().unwrap_or_default()
}
