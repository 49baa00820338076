//! The same bytes from every build: what is made of some hundred bodies, reduced to a checksum for each kind.
//!
//! `tests/python/test_digest.py` makes them through the extension, which is built with other optimisations, in other surroundings.
//! `KIRTLE_WRITE=1 cargo test --features pdf,arrow --test digest` writes them anew; say why they changed.
#![cfg(all(feature = "pdf", feature = "arrow"))]
// A test that cannot go on should stop.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::fmt::Write;
use std::fs;
use std::sync::Arc;

use arrow_array::cast::AsArray;
use arrow_array::types::{Float64Type, Int8Type};
use arrow_array::{Array, ArrayRef, Float64Array, RecordBatch, RecordBatchIterator};
use arrow_schema::DataType;
use kirtle::arrow::{Drafts, TableRequest, TableSource};
use kirtle::batch::Threads;
use kirtle::document::{LayReport, PatternReport, Request};
use kirtle::drawing::Paper;
use kirtle::files::Scale;
use kirtle::sensitivity::StandardErrors;
use kirtle::{Body, Ease, Problems, Rules, SizeChart, Unit};

/// The file of checksums: a kind, its CRC-32 (ISO 3309), and its bytes.
const DIGESTS: &str = "tests/golden/digests.txt";

/// A body for each line: unit, waist, hip, hip depth, length, ease at waist and hip, rules.
const BODIES: &str = "tests/golden/bodies.tsv";

/// Of what takes long, one body in so many.
const FEW: usize = 10;

/// The remainders of all bytes.
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

/// A checksum in the making.
struct Digest {
    kind: &'static str,
    remainder: u32,
    bytes: usize,
}

impl Digest {
    fn new(kind: &'static str) -> Self {
        Self { kind, remainder: !0, bytes: 0 }
    }

    fn take(&mut self, bytes: &[u8]) {
        for byte in bytes {
            let [low, ..] = self.remainder.to_le_bytes();
            self.remainder = REMAINDERS[usize::from(low ^ byte)] ^ (self.remainder >> 8);
        }
        self.bytes += bytes.len();
    }

    fn line(&self) -> String {
        format!("{} {:08x} {}\n", self.kind, !self.remainder, self.bytes)
    }
}

#[test]
fn the_checksum_is_the_usual_one() {
    let mut digest = Digest::new("check");
    digest.take(b"1234");
    digest.take(b"56789");
    assert_eq!(digest.line(), "check cbf43926 9\n");
}

/// The request of a line, as text.
fn request(line: &str) -> String {
    let [unit, waist, hip, depth, length, waist_ease, hip_ease, rules] =
        line.split('\t').collect::<Vec<_>>().try_into().unwrap();
    format!(
        "{{\"unit\": \"{unit}\", \"body\": {{\"waist\": {waist}, \"hip\": {hip}, \"hip_depth\": {depth}, \"length\": {length}}}, \
         \"ease\": {{\"waist\": {waist_ease}, \"hip\": {hip_ease}}}, \"rules\": {rules}}}"
    )
}

/// What is made of a request, into the digests of results, drawings, DXF, patterns; and of some, of PDF, lays, errors.
fn make(text: &str, few: bool, digests: &mut [Digest; 7]) -> Result<(), Problems> {
    let [results, drawings, dxf, patterns, pdf, lays, errors] = digests;
    results.take(kirtle::draft_json(text)?.as_bytes());
    let request = Request::from_json(text)?;
    let draft = request.draft()?;
    drawings.take(kirtle::files::svg(&kirtle::drawing::draw(&draft, request.unit), Scale::True).as_bytes());
    let pattern = request.pattern(&draft)?;
    let drawing = kirtle::drawing::draw_pattern(&pattern, request.unit);
    dxf.take(kirtle::files::dxf(&drawing).as_bytes());
    if few {
        patterns.take(PatternReport::new(&pattern, request.unit).to_json().as_bytes());
        pdf.take(&kirtle::files::pdf(&kirtle::drawing::print(&drawing, &Paper::named("A4")?)?));
        let laid = Request::from_json(&text.replace("\"rules\"", "\"cloth\": {\"width\": 150}, \"rules\""))?;
        lays.take(LayReport::new(&laid.lay(&pattern)?, request.unit).to_json().as_bytes());
        for error in draft.uncertainty(&StandardErrors::iso_20685(Unit::Cm), Unit::Cm)?.standard_errors {
            errors.take(&error.to_le_bytes());
        }
    }
    Ok(())
}

/// The drafts of the bodies in centimetres by the default rules.
fn batches(lines: &[&str], threads: usize) -> Vec<RecordBatch> {
    let rows: Vec<Vec<f64>> = lines
        .iter()
        .filter_map(|line| line.strip_prefix("cm\t"))
        .map(|line| line.split('\t').take(6).map(|cell| cell.parse().unwrap()).collect())
        .collect();
    let names = ["waist", "hip", "hip_depth", "length", "we", "he"];
    let column = |k: usize| Arc::new(rows.iter().map(|row| row[k]).collect::<Float64Array>()) as ArrayRef;
    let table = RecordBatch::try_from_iter(names.iter().enumerate().map(|(k, name)| (*name, column(k)))).unwrap();
    let source = RecordBatchIterator::new([Ok(table.clone())], table.schema());
    let of = |path: &str, name: &str| (path.to_owned(), TableSource::Column(name.to_owned()));
    let numbers = vec![of("ease.waist", "we"), of("ease.hip", "he")];
    let request = TableRequest { numbers, ease: None, rules: Rules::default(), unit: Unit::Cm, outlines: false };
    let drafts = Drafts::new(source, &request, Threads::new(Some(threads)).unwrap()).unwrap();
    drafts.map(Result::unwrap).collect()
}

/// Every cell of a column: numbers as their bytes, texts with a line's end; nothing as a zero byte.
fn cells(column: &ArrayRef, digest: &mut Digest) {
    for row in 0..column.len() {
        match column.data_type() {
            _ if column.is_null(row) => digest.take(&[0]),
            DataType::Float64 => digest.take(&column.as_primitive::<Float64Type>().value(row).to_le_bytes()),
            DataType::Int8 => digest.take(&column.as_primitive::<Int8Type>().value(row).to_le_bytes()),
            DataType::Utf8 => digest.take(format!("{}\n", column.as_string::<i32>().value(row)).as_bytes()),
            _ => {
                let words = column.as_list::<i32>().value(row);
                let words: Vec<&str> = words.as_string::<i32>().iter().map(Option::unwrap).collect();
                digest.take(format!("{}\n", words.join(",")).as_bytes());
            }
        }
    }
}

fn table_of(batches: &[RecordBatch]) -> Digest {
    let mut digest = Digest::new("table");
    batches.iter().flat_map(RecordBatch::columns).for_each(|column| cells(column, &mut digest));
    digest
}

#[test]
fn every_build_makes_the_same_bytes() {
    let text = fs::read_to_string(BODIES).unwrap();
    let lines: Vec<&str> = text.lines().collect();
    let kinds = ["results", "drawings", "dxf", "patterns", "pdf", "lays", "errors"];
    let (mut digests, mut refusals) = (kinds.map(Digest::new), Digest::new("refusals"));
    for (k, line) in lines.iter().enumerate() {
        if let Err(problems) = make(&request(line), k % FEW == 0, &mut digests) {
            refusals.take(serde_json::to_string(&problems).unwrap().as_bytes());
        }
    }
    let table = table_of(&batches(&lines, 1));
    assert_eq!(table_of(&batches(&lines, 5)).line(), table.line());
    let mut nest = Digest::new("nest");
    let range = SizeChart::demo().draft(&Ease { waist: 1.5, hip: 5.0 }, &Rules::default()).unwrap();
    let drawing = kirtle::drawing::draw_nest(&range, Unit::In);
    nest.take(kirtle::files::svg(&kirtle::drawing::with_header(drawing.clone()), Scale::True).as_bytes());
    nest.take(&kirtle::files::pdf(&kirtle::drawing::print(&drawing, &Paper::named("A0").unwrap()).unwrap()));
    let altered = range.alter(&Body { waist: 70.0, hip: 100.0, hip_depth: 20.5, length: 58.0 }, None).unwrap();
    nest.take(altered.instructions(Unit::Cm).join("\n").as_bytes());
    let all = digests.iter().chain([&refusals, &table, &nest]);
    let made = all.fold(String::new(), |mut made, digest| {
        write!(made, "{}", digest.line()).unwrap();
        made
    });
    if std::env::var_os("KIRTLE_WRITE").is_some() {
        fs::write(DIGESTS, &made).unwrap();
    }
    assert_eq!(fs::read_to_string(DIGESTS).unwrap(), made);
}
