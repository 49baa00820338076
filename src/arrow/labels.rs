//! Columns of labels, which group rows: texts, numbers, booleans or categories of any Arrow type, read as texts.

use std::collections::HashMap;

use arrow_array::cast::AsArray;
use arrow_array::{Array, RecordBatch, RecordBatchReader};
use arrow_schema::{DataType, FieldRef};

use super::columns::{describe_column, is_numeric_type, visit_array_numbers};
use crate::error::{Problems, escape_and_truncate_for_message};

/// Groups of rows by label: the labels in order, a missing label last, and for each row the index of its label.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Groups {
    /// Labels: ordered categories in their order; or else first numbers in ascending order, then other texts in
    /// ascending order. Last `None` for rows without a label.
    pub labels: Vec<Option<String>>,
    /// For each row, the index of its label in `labels`.
    pub by_row: Vec<usize>,
}

/// Returns whether a column of an Arrow type can be read as labels: texts, numbers, booleans or categories.
pub(super) fn is_label_type(data_type: &DataType) -> bool {
    match data_type {
        DataType::Utf8 | DataType::LargeUtf8 | DataType::Utf8View | DataType::Boolean => true,
        DataType::Dictionary(_, values) => is_label_type(values),
        other => is_numeric_type(other),
    }
}

/// Returns the label of each row of a column; `None` for a null.
fn read_labels(array: &dyn Array) -> Vec<Option<String>> {
    match array.data_type() {
        DataType::Utf8 => array.as_string::<i32>().iter().map(|text| text.map(str::to_owned)).collect(),
        DataType::LargeUtf8 => array.as_string::<i64>().iter().map(|text| text.map(str::to_owned)).collect(),
        DataType::Utf8View => array.as_string_view().iter().map(|text| text.map(str::to_owned)).collect(),
        DataType::Boolean => array.as_boolean().iter().map(|value| value.map(|value| value.to_string())).collect(),
        DataType::Dictionary(..) => {
            let dictionary = array.as_any_dictionary();
            let values = read_labels(dictionary.values());
            let keys = if values.is_empty() { Vec::new() } else { dictionary.normalized_keys() };
            let label = |row: usize| if array.is_null(row) { None } else { values[keys[row]].clone() };
            (0..array.len()).map(label).collect()
        }
        _ => {
            let mut labels = Vec::with_capacity(array.len());
            visit_array_numbers(array, &mut |number| labels.push(number.map(|number| number.to_string())));
            labels
        }
    }
}

/// Adds to the problem of each column of texts in place of numbers how to convert the column, and its first text that is
/// not a number in the next batch of `source`.
pub(super) fn name_first_wrong_texts(problems: Problems, source: &mut impl RecordBatchReader) -> Problems {
    let Some(Ok(batch)) = source.next() else { return problems };
    problems.map(|problem| {
        let is_at_fault = |field: &&FieldRef| problem.value == Some(describe_column(field).into());
        let column = batch.schema_ref().fields().iter().find(is_at_fault).filter(|field| field.data_type().is_string());
        let Some(column) = column else { return problem };
        let is_wrong = |text: &String| text.trim().parse::<f64>().is_err();
        let text = read_labels(&batch[column.name().as_str()]).into_iter().flatten().find(is_wrong);
        let quoted = text.map(|text| escape_and_truncate_for_message(&text));
        let text = quoted.map_or(String::new(), |text| format!(" (the first text that is not a number is \"{text}\")"));
        problem
            .with_limit(format!("a column of numbers{text}: convert it by pandas.to_numeric or .cast(polars.Float64)"))
    })
}

/// Reader of labels, which numbers the labels in the order in which they first occur.
#[derive(Clone, Debug, Default)]
pub(super) struct LabelReader {
    index_by_label: HashMap<Option<String>, usize>,
    /// Position of each label among the ordered categories read so far; empty if categories have no order.
    category_positions: HashMap<Option<String>, usize>,
    by_row: Vec<usize>,
}

impl LabelReader {
    /// Reads the labels of the rows of a record batch from the column with the index `column`.
    pub(super) fn append_labels_of_batch(&mut self, batch: &RecordBatch, column: usize) {
        let labels = batch.column(column);
        if batch.schema_ref().field(column).dict_is_ordered() == Some(true) {
            for category in read_labels(labels.as_any_dictionary().values()) {
                let next = self.category_positions.len();
                self.category_positions.entry(category).or_insert(next);
            }
        }
        for label in read_labels(labels) {
            let next = self.index_by_label.len();
            self.by_row.push(*self.index_by_label.entry(label).or_insert(next));
        }
    }

    /// Returns the groups of all rows read, with their labels in the order of [`Groups::labels`].
    pub(super) fn into_groups(self) -> Groups {
        let mut labels: Vec<(Option<String>, usize)> = self.index_by_label.into_iter().collect();
        let number = |label: &Option<String>| label.as_ref().and_then(|text| text.parse::<f64>().ok());
        let rank = |label: &Option<String>| {
            (label.is_none(), self.category_positions.get(label).copied(), number(label).is_none())
        };
        labels.sort_by(|(a, _), (b, _)| {
            let numbers = number(a).unwrap_or_default().total_cmp(&number(b).unwrap_or_default());
            rank(a).cmp(&rank(b)).then(numbers).then(a.cmp(b))
        });
        let mut sorted_index = vec![0; labels.len()];
        labels.iter().enumerate().for_each(|(k, (_, index))| sorted_index[*index] = k);
        let by_row = self.by_row.into_iter().map(|index| sorted_index[index]).collect();
        Groups { labels: labels.into_iter().map(|(label, _)| label).collect(), by_row }
    }
}
