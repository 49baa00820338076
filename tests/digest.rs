//! Checksums of the output for some hundred bodies in every format, equal in every build.
//!
//! `tests/python/test_digest.py` computes the same checksums through the Python extension, another build of the
//! library. `KIRTLE_WRITE=1 cargo test --features python --test all digest::` writes the file; say in the commit why it
//! changed.

use std::fmt::Write;
use std::fs;
use std::sync::Arc;

use crate::committed::assert_committed;
use arrow_array::cast::AsArray;
use arrow_array::types::{Float64Type, Int8Type};
use arrow_array::{Array, ArrayRef, Float64Array, RecordBatch, RecordBatchIterator};
use arrow_schema::DataType;
use kirtle::arrow::{ColumnOrConstant, DraftBatchReader, KeptColumns, TableRequest};
use kirtle::batch::Threads;
use kirtle::document::{LayReport, PatternReport, Request};
use kirtle::drawing::Paper;
use kirtle::files::SvgScale;
use kirtle::sensitivity::StandardErrors;
use kirtle::{Body, Cutting, Ease, Preset, Problems, Rules, SizeChart, Unit};

/// File of checksums; a line has the kind of output, its CRC-32 (ISO 3309) and its number of bytes.
const DIGESTS: &str = "tests/golden/digests.txt";

/// File of bodies; a line has unit, waist, hip, hip depth, length, ease at waist and hip, and rules.
const BODIES: &str = "tests/golden/bodies.tsv";

/// Step between the bodies whose slow outputs are computed: patterns, PDF, lays and standard errors.
const SLOW_STEP: usize = 10;

/// Remainder of each byte, the table of CRC-32.
const REMAINDERS: [u32; 256] = {
    let mut table = [0; 256];
    let mut byte = 0;
    while byte < 256 {
        let mut remainder: u32 = byte;
        let mut bit = 0;
        while bit < 8 {
            remainder = if remainder & 1 == 1 { 0xedb8_8320 ^ (remainder >> 1) } else { remainder >> 1 };
            bit += 1;
        }
        table[byte as usize] = remainder;
        byte += 1;
    }
    table
};

/// CRC-32 of the bytes of one kind of output so far.
struct Digest {
    kind: &'static str,
    remainder: u32,
    bytes: usize,
}

impl Digest {
    fn new(kind: &'static str) -> Self {
        Self { kind, remainder: !0, bytes: 0 }
    }

    /// Adds an output, without the version of Kirtle that documents and PDF name.
    fn update(&mut self, bytes: &[u8]) {
        let text: String = bytes.iter().copied().map(char::from).collect();
        let bytes: Vec<u8> =
            text.replace(kirtle::VERSION, "").chars().map(|byte| u8::try_from(byte).unwrap()).collect();
        self.bytes += bytes.len();
        for byte in bytes {
            let [low, ..] = self.remainder.to_le_bytes();
            self.remainder = REMAINDERS[usize::from(low ^ byte)] ^ (self.remainder >> 8);
        }
    }

    fn line(&self) -> String {
        format!("{} {:08x} {}\n", self.kind, !self.remainder, self.bytes)
    }
}

#[test]
fn the_checksum_is_the_standard_crc_32() {
    let mut digest = Digest::new("check");
    digest.update(b"1234");
    digest.update(b"56789");
    assert_eq!(digest.line(), "check cbf43926 9\n");
}

/// Returns the JSON request of a line of the file of bodies.
fn request(line: &str) -> String {
    let [unit, waist, hip, depth, length, waist_ease, hip_ease, rules] =
        line.split('\t').collect::<Vec<_>>().try_into().unwrap();
    format!(
        "{{\"unit\": \"{unit}\", \"body\": {{\"waist\": {waist}, \"hip\": {hip}, \"hip_depth\": {depth}, \"length\": {length}}}, \
         \"ease\": {{\"waist\": {waist_ease}, \"hip\": {hip_ease}}}, \"rules\": {rules}}}"
    )
}

/// Adds the outputs of a request to the digests, with patterns, PDF, lays and standard errors only if `slow` is set.
fn update_all(text: &str, slow: bool, digests: &mut [Digest; 7]) -> Result<(), Problems> {
    let [results, drawings, dxf, patterns, pdf, lays, errors] = digests;
    results.update(kirtle::draft_json(text)?.as_bytes());
    let request = Request::from_json(text)?;
    let draft = request.draft()?;
    drawings.update(kirtle::files::svg(&kirtle::drawing::draw_draft(&draft, request.unit), SvgScale::True).as_bytes());
    let pattern = request.pattern(&draft)?;
    let drawing = kirtle::drawing::draw_pattern(&pattern, request.unit);
    let drawing = kirtle::drawing::with_notes_on_buying(drawing, &pattern, request.unit);
    dxf.update(kirtle::files::dxf(&drawing).as_bytes());
    if slow {
        patterns.update(PatternReport::new(&pattern, request.unit).to_json().as_bytes());
        pdf.update(&kirtle::files::pdf(&kirtle::drawing::paginate(&drawing, &Paper::named("A4")?)?));
        let laid = Request::from_json(&text.replace("\"rules\"", "\"cloth\": {\"width\": 150}, \"rules\""))?;
        lays.update(LayReport::new(&laid.lay(&pattern)?, request.unit).to_json().as_bytes());
        for error in draft.uncertainty(&StandardErrors::iso_20685(Unit::Cm), Unit::Cm)?.standard_errors {
            errors.update(&error.to_le_bytes());
        }
    }
    Ok(())
}

/// Drafts the bodies given in centimetres as a table, by the default rules.
fn draft_batches(lines: &[&str], threads: usize) -> Vec<RecordBatch> {
    let rows: Vec<Vec<f64>> = lines
        .iter()
        .filter_map(|line| line.strip_prefix("cm\t"))
        .map(|line| line.split('\t').take(6).map(|cell| cell.parse().unwrap()).collect())
        .collect();
    let names = ["waist", "hip", "hip_depth", "length", "we", "he"];
    let column = |k: usize| Arc::new(rows.iter().map(|row| row[k]).collect::<Float64Array>()) as ArrayRef;
    let table = RecordBatch::try_from_iter(names.iter().enumerate().map(|(k, name)| (*name, column(k)))).unwrap();
    let source = RecordBatchIterator::new([Ok(table.clone())], table.schema());
    let source_column = |path: &str, name: &str| (path.to_owned(), ColumnOrConstant::Column(name.to_owned()));
    let numbers = vec![source_column("ease.waist", "we"), source_column("ease.hip", "he")];
    let request = TableRequest {
        numbers,
        ease: None,
        rules: Rules::default(),
        unit: Unit::Cm,
        outlines: false,
        keep: KeptColumns::default(),
    };
    let drafts = DraftBatchReader::new(source, &request, Threads::new(Some(threads)).unwrap()).unwrap();
    drafts.map(Result::unwrap).collect()
}

/// Adds every cell of a column: a number as its bytes, a text as a line, a null as a zero byte.
fn update_column(column: &ArrayRef, digest: &mut Digest) {
    for row in 0..column.len() {
        match column.data_type() {
            _ if column.is_null(row) => digest.update(&[0]),
            DataType::Float64 => digest.update(&column.as_primitive::<Float64Type>().value(row).to_le_bytes()),
            DataType::Int8 => digest.update(&column.as_primitive::<Int8Type>().value(row).to_le_bytes()),
            DataType::Utf8 => digest.update(format!("{}\n", column.as_string::<i32>().value(row)).as_bytes()),
            _ => {
                let words = column.as_list::<i32>().value(row);
                let words: Vec<&str> = words.as_string::<i32>().iter().map(Option::unwrap).collect();
                digest.update(format!("{}\n", words.join(",")).as_bytes());
            }
        }
    }
}

fn table_digest(batches: &[RecordBatch]) -> Digest {
    let mut digest = Digest::new("table");
    batches.iter().flat_map(RecordBatch::columns).for_each(|column| update_column(column, &mut digest));
    digest
}

#[test]
fn every_build_writes_the_same_bytes() {
    let bodies = fs::read_to_string(BODIES).unwrap();
    let lines: Vec<&str> = bodies.lines().collect();
    let kinds = ["results", "drawings", "dxf", "patterns", "pdf", "lays", "errors"];
    let (mut digests, mut refusals) = (kinds.map(Digest::new), Digest::new("refusals"));
    for (k, line) in lines.iter().enumerate() {
        if let Err(problems) = update_all(&request(line), k % SLOW_STEP == 0, &mut digests) {
            refusals.update(serde_json::to_string(&problems).unwrap().as_bytes());
        }
    }
    let table = table_digest(&draft_batches(&lines, 1));
    assert_eq!(table_digest(&draft_batches(&lines, 5)).line(), table.line());
    let mut nest = Digest::new("nest");
    let range = SizeChart::demo().draft(&Ease { waist: 1.5, hip: 5.0 }, &Rules::default()).unwrap();
    let drawing =
        kirtle::drawing::draw_nest(&range.nest(&[], &Cutting::preset(Preset::None, Unit::Cm)).unwrap(), Unit::In);
    nest.update(kirtle::files::svg(&kirtle::drawing::with_header(drawing.clone()), SvgScale::True).as_bytes());
    nest.update(&kirtle::files::pdf(&kirtle::drawing::paginate(&drawing, &Paper::named("A0").unwrap()).unwrap()));
    let altered = range.alter(&Body { waist: 70.0, hip: 100.0, hip_depth: 20.5, length: 58.0 }, None).unwrap();
    nest.update(altered.instructions(Unit::Cm).join("\n").as_bytes());
    let all = digests.iter().chain([&refusals, &table, &nest]);
    let text = all.fold(String::new(), |mut text, digest| {
        write!(text, "{}", digest.line()).unwrap();
        text
    });
    assert_committed(DIGESTS, &text);
}
