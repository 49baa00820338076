//! Files by their name: whole, or not at all.

use std::fmt;
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};

use super::dxf::dxf;
use super::svg::{Scale, svg};
use crate::document::{LayReport, PatternReport};
use crate::drawing::{Drawing, Paper, draw_lay, draw_pattern, with_header};
use crate::error::{Code, Problem, Problems};
use crate::field::Unit;
use crate::pattern::{Lay, Pattern};

/// Why a file was not written.
#[derive(Debug)]
pub enum SaveError {
    /// The name or the paper is refused.
    Refused(Problems),
    /// The file could not be written; nothing is left of it.
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

/// The formats of a pattern, by the ends of their names.
#[cfg(feature = "pdf")]
const OF_PATTERNS: &str = ".pdf, .svg, .dxf or .json";
#[cfg(not(feature = "pdf"))]
const OF_PATTERNS: &str = ".svg, .dxf or .json";

/// The formats of a drawing.
#[cfg(feature = "pdf")]
const OF_DRAWINGS: &str = ".pdf or .svg";
#[cfg(not(feature = "pdf"))]
const OF_DRAWINGS: &str = ".svg";

impl Pattern {
    /// Writes the pattern in the format that the end of the name tells: `.pdf` (with the feature `pdf`) on `paper`, `.svg`
    /// with a head above the pieces, `.dxf`, or `.json` as the schema `pattern` says. Words and lengths are in `unit`.
    ///
    /// # Errors
    /// [`SaveError::Refused`] for any other name, for paper too small, and where a device or a pipe is; [`SaveError::Failed`] where the file cannot be
    /// written: a file of that name that was there stays as it was.
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
    #[cfg_attr(not(feature = "pdf"), allow(unused_variables, reason = "only PDF has paper"))]
    pub fn save(&self, path: impl AsRef<Path>, unit: Unit, paper: &Paper) -> Result<(), SaveError> {
        let path = named(path.as_ref())?;
        let drawing = || draw_pattern(self, unit);
        let bytes = match ending(path).as_str() {
            #[cfg(feature = "pdf")]
            "pdf" => super::pdf::pdf(&crate::drawing::print(&drawing(), paper)?),
            "svg" => svg(&with_header(drawing()), Scale::True).into_bytes(),
            "dxf" => dxf(&drawing()).into_bytes(),
            "json" => PatternReport::new(self, unit).to_json().into_bytes(),
            _ => return Err(unknown(path, OF_PATTERNS)),
        };
        write(path, &bytes)
    }
}

impl Lay {
    /// Writes the lay: `.svg` a fifth of its true size, or `.json` as the schema `lay` says. Words and lengths are in `unit`.
    ///
    /// # Errors
    /// As [`Pattern::save`].
    ///
    /// ```
    /// use kirtle::{Body, Cutting, Ease, Rules, Unit};
    /// use kirtle::pattern::Cloth;
    ///
    /// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
    /// let pattern = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?.pattern(&Cutting::default())?;
    /// let lay = pattern.lay(&Cloth { width: 140.0, folded: true, one_way: false })?;
    /// let path = std::env::temp_dir().join("kirtle-lay-example.json");
    /// lay.save(&path, Unit::Cm)?;
    /// # std::fs::remove_file(path)?;
    /// assert!(lay.save("lay.pdf", Unit::Cm).unwrap_err().to_string().starts_with("path: \"lay.pdf\" is not"));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn save(&self, path: impl AsRef<Path>, unit: Unit) -> Result<(), SaveError> {
        let path = named(path.as_ref())?;
        let bytes = match ending(path).as_str() {
            "svg" => svg(&draw_lay(self, unit), Scale::True).into_bytes(),
            "json" => LayReport::new(self, unit).to_json().into_bytes(),
            _ => return Err(unknown(path, ".svg or .json")),
        };
        write(path, &bytes)
    }
}

/// The path, if a file can have that name.
fn named(path: &Path) -> Result<&Path, Problems> {
    let shown = path.display().to_string();
    let problem = || Problem::new(Code::WrongType, "path").with_value(format!("{shown:?}"));
    if shown.contains('\0') {
        Err(problem().with_limit("a file's name, which has no zero byte").into())
    } else {
        Ok(path)
    }
}

/// Writes any drawing: `.pdf` (with the feature `pdf`) on `paper`, or `.svg` with a head above it.
///
/// # Errors
/// As [`Pattern::save`].
///
/// ```
/// use kirtle::{Ease, Rules, SizeChart, Unit};
/// use kirtle::drawing::Paper;
///
/// let range = SizeChart::demo().draft(&Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
/// let path = std::env::temp_dir().join("kirtle-nest-example.svg");
/// kirtle::files::save_drawing(&path, &kirtle::drawing::draw_nest(&range, Unit::Cm), &Paper::named("A4")?)?;
/// # std::fs::remove_file(path)?;
/// assert!(kirtle::files::save_drawing("nest.txt", &kirtle::drawing::draw_nest(&range, Unit::Cm), &Paper::named("A4")?).is_err());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[cfg_attr(not(feature = "pdf"), allow(unused_variables, reason = "only PDF has paper"))]
pub fn save_drawing(path: impl AsRef<Path>, drawing: &Drawing, paper: &Paper) -> Result<(), SaveError> {
    let path = named(path.as_ref())?;
    let bytes = match ending(path).as_str() {
        #[cfg(feature = "pdf")]
        "pdf" => super::pdf::pdf(&crate::drawing::print(drawing, paper)?),
        "svg" => svg(&with_header(drawing.clone()), Scale::True).into_bytes(),
        _ => return Err(unknown(path, OF_DRAWINGS)),
    };
    write(path, &bytes)
}

fn ending(path: &Path) -> String {
    path.extension().map(|ending| ending.to_string_lossy().to_lowercase()).unwrap_or_default()
}

fn unknown(path: &Path, endings: &str) -> SaveError {
    let problem = Problem::new(Code::UnknownChoice, "path").with_value(format!("{:?}", path.display().to_string()));
    SaveError::Refused(problem.with_limit(format!("a name that ends with {endings}")).into())
}

/// How many files this process has begun, so that no two of them are one.
static BEGUN: AtomicU64 = AtomicU64::new(0);

/// Writes beside the place first, then moves there, so that nobody ever finds half a file. A link stays a link, and a file
/// that was there hands on its permissions; a device or a pipe is left alone.
fn write(path: &Path, bytes: &[u8]) -> Result<(), SaveError> {
    let place = behind(path);
    let known = fs::metadata(&place).ok();
    if known.as_ref().is_some_and(|known| !known.is_file() && !known.is_dir()) {
        let problem = Problem::new(Code::WrongType, "path").with_value(format!("{:?}", path.display().to_string()));
        return Err(SaveError::Refused(problem.with_limit("a place for a file: a device or a pipe is there").into()));
    }
    let (half, begun) = begin(&place);
    let written = begun.and_then(|mut file| {
        if let Some(known) = known {
            file.set_permissions(known.permissions())?;
        }
        file.write_all(bytes)?;
        fs::rename(&half, &place)
    });
    written.map_err(|error| {
        // What is not there cannot be removed, and need not.
        _ = fs::remove_file(&half);
        SaveError::Failed(path.to_owned(), error)
    })
}

/// The place that a path leads to, through links, whether or not a file is there.
fn behind(path: &Path) -> PathBuf {
    const MAX_LINKS: u32 = 40;
    let mut place = path.to_owned();
    for _ in 0..MAX_LINKS {
        let Ok(next) = fs::read_link(&place) else { break };
        place = place.parent().unwrap_or(Path::new("")).join(next);
    }
    place
}

/// A new file beside a place, under a name that nobody else has.
fn begin(place: &Path) -> (PathBuf, io::Result<fs::File>) {
    loop {
        let count = BEGUN.fetch_add(1, Ordering::Relaxed);
        let half = place.with_file_name(format!(".kirtle-{}-{count}.part", std::process::id()));
        match fs::File::create_new(&half) {
            // Left there by a process of the same number that was killed.
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {}
            begun => return (half, begun),
        }
    }
}
