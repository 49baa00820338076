//! Record of all fittings: for each its requested corrections, the changed inputs, and the lengths on the pattern that
//! changed by at least half a millimetre.

use super::fitting::{Correction, CorrectionSite, Fitting, FittingRound, InputChange, dart_name};
use crate::body::Figure;
use crate::draft::{Draft, Role};
use crate::field::FieldKind;
use crate::ruler::Ruler;

/// Smallest change of a length on the pattern that the record of fittings lists, in centimetres.
const MIN_LISTED_CHANGE_CM: f64 = 0.05;

/// Row of a table in the record of fittings: name, value before, value after.
type FittingRecordRow = [String; 3];

impl Fitting {
    /// Returns the record of all fittings as text; `ruler` formats the lengths.
    ///
    /// For each fitting, the record has these tables: the requested corrections; the changed inputs; the measurements
    /// of the figure that have the effect of corrections, if any; and the lengths that changed on the pattern, rounded
    /// to the step of the ruler, each before and after.
    ///
    /// ```
    /// use kirtle::{Body, Ease, Rules, Unit};
    /// use kirtle::sizes::{Correction, CorrectionSite, CorrectionTarget, Fitting};
    ///
    /// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
    /// let first = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
    /// let shorter = Correction { what: CorrectionTarget::DartLength, by: -1.0, at: CorrectionSite::Front };
    /// let record = Fitting::new(first).correct(&[shorter])?.fitting_record(Unit::Cm);
    /// let line = record.lines().find(|line| line.starts_with("front dart 1, length")).unwrap();
    /// assert_eq!(line.split_whitespace().collect::<Vec<_>>(), ["front", "dart", "1,", "length", "9.0", "8.0"]);
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn fitting_record(&self, ruler: impl Into<Ruler>) -> String {
        let line = |[name, before, after]: &FittingRecordRow| {
            format!("{name:<38}{before:>11}{after:>11}").trim_end().to_owned() + "\n"
        };
        let tables = self.fitting_record_tables(ruler.into());
        tables.iter().map(|rows| rows.iter().map(line).collect::<String>()).collect::<Vec<_>>().join("\n")
    }

    /// Returns the record of all fittings as tables in HTML; `ruler` formats the lengths.
    pub fn fitting_record_html(&self, ruler: impl Into<Ruler>) -> String {
        let row = |(k, cells): (usize, &FittingRecordRow)| {
            let tag = if k == 0 { "th" } else { "td" };
            format!("<tr>{}</tr>", cells.each_ref().map(|cell| format!("<{tag}>{cell}</{tag}>")).concat())
        };
        let rows = |rows: &Vec<FittingRecordRow>| rows.iter().enumerate().map(row).collect::<String>();
        let table = |table| format!("<tbody>{}</tbody>", rows(table));
        let tables: String = self.fitting_record_tables(ruler.into()).iter().map(table).collect();
        format!("<table>{tables}</table>")
    }

    /// Returns the tables of the record, three or four for each fitting; the first row of a table is the head.
    fn fitting_record_tables(&self, ruler: Ruler) -> Vec<Vec<FittingRecordRow>> {
        let drafts_before = std::iter::once(&self.uncorrected).chain(self.rounds().iter().map(|round| &round.draft));
        let rounds = drafts_before.zip(self.rounds()).enumerate();
        let tables = rounds.flat_map(|(k, (before, round))| {
            let unit = ruler.unit().name();
            let compared =
                |name: &str, rows| rows_with_head_or_nothing([&format!("{name} ({unit})"), "before", "after"], rows);
            let asked = [&format!("Fitting {} ({unit})", k + 1), "", "requested"];
            let asked = rows_with_head_or_nothing(asked, correction_rows(&round.corrections, ruler));
            let changed = compared("Input", changed_input_rows(round, ruler));
            let measured = measurement_rows(before, &round.measurements, ruler);
            let measured = (!measured.is_empty()).then(|| compared("Measurements with the same effect", measured));
            let lengths = compared("Pattern", changed_length_rows(before, &round.draft, ruler));
            [asked, changed].into_iter().chain(measured).chain([lengths])
        });
        tables.collect()
    }
}

/// Puts a head above the rows of a table; a table without rows gets the row "nothing".
fn rows_with_head_or_nothing(head: [&str; 3], mut rows: Vec<FittingRecordRow>) -> Vec<FittingRecordRow> {
    if rows.is_empty() {
        rows.push(["nothing", "", ""].map(str::to_owned));
    }
    rows.insert(0, head.map(str::to_owned));
    rows
}

/// Formats name and value of a length in centimetres, or of a ratio, whose name gets "(ratio)" appended.
fn name_and_number_texts(name: &str, kind: FieldKind, value: f64, ruler: Ruler) -> (String, String) {
    let name = name.replace('_', " ");
    match kind {
        FieldKind::Length => (name, ruler.format_input_length(value)),
        _ => (format!("{name} (ratio)"), Ruler::Cm.format_input_length(value)),
    }
}

fn correction_rows(corrections: &[Correction], ruler: Ruler) -> Vec<FittingRecordRow> {
    let row = |one: &Correction| {
        let site = if one.at == CorrectionSite::Shared { String::new() } else { format!(" at {}", one.at.name()) };
        let (name, by) = name_and_number_texts(one.what.name(), one.what.amount_field().kind, one.by, ruler);
        [format!("{name}{site}"), String::new(), format!("{}{by}", if one.by > 0.0 { "+" } else { "" })]
    };
    corrections.iter().map(row).collect()
}

/// Returns a row for each changed input, but one row for all given darts.
fn changed_input_rows(round: &FittingRound, ruler: Ruler) -> Vec<FittingRecordRow> {
    let (of_darts, others): (Vec<_>, Vec<_>) =
        round.changes.iter().partition(|change| change.field.starts_with("rules.darts"));
    let become_given = of_darts.iter().any(|change| change.before.is_none());
    let texts = if become_given { ["darts", "by shares", "given"] } else { ["given darts", "", "changed"] };
    let given = (!of_darts.is_empty()).then(|| texts.map(str::to_owned));
    others.into_iter().map(|change| changed_input_row(change, ruler)).chain(given).collect()
}

/// Returns the row of a changed input, or of a measurement of the figure.
fn changed_input_row(change: &InputChange, ruler: Ruler) -> FittingRecordRow {
    let (part, name) = change.field.rsplit_once('.').unwrap_or_default();
    let name = if part == "ease" { format!("{name} ease") } else { name.to_owned() };
    let number = |value| match part {
        "body.figure" => (name.replace('_', " "), ruler.format_length(value)),
        _ => name_and_number_texts(&name, change.kind, value, ruler),
    };
    let ((name, after), before) = (number(change.after), change.before.map(|value| number(value).1));
    [name, before.unwrap_or_default(), after]
}

/// Returns a row for each measurement of the figure. Where the draft `before` has no length to the floor, the lengths
/// end at the hem, and their names say so.
fn measurement_rows(before: &Draft, measurements: &[InputChange], ruler: Ruler) -> Vec<FittingRecordRow> {
    let Figure { front_length, side_length, back_length, .. } = before.figure();
    let has_lengths = front_length.or(*side_length).or(*back_length).is_some();
    let row = |change: &InputChange| {
        let [name, before, after] = changed_input_row(change, ruler);
        let to_hem = if change.field.ends_with("_length") && !has_lengths { " to the hem" } else { "" };
        [name + to_hem, before, after]
    };
    measurements.iter().map(row).collect()
}

/// Returns a row for each length that differs between two drafts, by at least [`MIN_LISTED_CHANGE_CM`] and in print;
/// for a dart that only one draft has, a cell is empty.
fn changed_length_rows(before: &Draft, after: &Draft, ruler: Ruler) -> Vec<FittingRecordRow> {
    let [before, after] = [before, after].map(pattern_lengths);
    let find =
        |list: &[(String, f64)], name: &str| list.iter().find(|(other, _)| other == name).map(|(_, length)| *length);
    let gone = before.iter().filter(|(name, _)| find(&after, name).is_none());
    let row = |(name, _): &(String, f64)| {
        let [before, after] = [&before, &after].map(|list| find(list, name));
        let is_small = before.zip(after).is_some_and(|(a, b)| (b - a).abs() < MIN_LISTED_CHANGE_CM);
        let [old, new] = [before, after].map(|length| length.map_or(String::new(), |cm| ruler.format_length(cm)));
        (!is_small && old != new).then(|| [name.clone(), old, new])
    };
    after.iter().chain(gone).filter_map(row).collect()
}

/// Returns the lengths of a draft that a cutter compares after a fitting, by name, in centimetres. The names are those of
/// the table that the shell prints of a draft.
fn pattern_lengths(draft: &Draft) -> Vec<(String, f64)> {
    let depth = draft.body().hip_depth;
    let mut all = vec![
        ("finished waist".to_owned(), draft.sewn_waist()),
        ("finished hip".to_owned(), 2.0 * (draft.back.width + draft.front.width)),
        ("hip depth, straight down".to_owned(), depth),
        ("along the side seam".to_owned(), draft.back.edge_length(Role::Side)),
        ("waist shaping, side seam, each panel".to_owned(), draft.suppression.side / 2.0),
    ];
    let girth = draft.girth_at(depth / 2.0).ok();
    all.extend(girth.map(|girth| ("finished girth half-way to hip line".to_owned(), girth)));
    for panel in draft.panels() {
        let half = panel.half.name();
        all.push((format!("{half}, width at the hip"), panel.width));
        all.push((format!("{half}, waist lower at centre"), panel.waist_lowering));
        all.push((format!("{half}, centre seam or fold"), panel.edge_length(Role::Centre)));
        for (k, dart) in panel.darts.iter().enumerate() {
            let name = dart_name(panel.half, k + 1).replacen(' ', " dart ", 1);
            all.push((format!("{name}, from centre"), dart.centre));
            all.push((format!("{name}, intake"), dart.intake));
            all.push((format!("{name}, length"), dart.length));
        }
    }
    all
}
