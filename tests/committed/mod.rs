//! Committed files that the code can write again.

use std::fs;

/// Compares a committed file with the text that the code gives; `KIRTLE_WRITE` writes the file. A panic shows the first
/// line that differs.
pub(crate) fn assert_committed(path: &str, text: &str) {
    if std::env::var_os("KIRTLE_WRITE").is_some() {
        fs::write(path, text).unwrap();
    }
    let committed = fs::read_to_string(path).unwrap_or_default();
    if committed != text {
        let equal = committed.lines().zip(text.lines()).take_while(|(old, new)| old == new).count();
        let [old, new] = [&committed, text].map(|text| text.lines().nth(equal).unwrap_or("(end of the file)"));
        let advice = "run this test with KIRTLE_WRITE=1 and review the change";
        panic!("{path}, line {}:\ncommitted: {old:.300}\n from code: {new:.300}\n{advice}", equal + 1);
    }
}
