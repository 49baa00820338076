//! Rules for the names that users give to sizes and pieces: length, one line, and the letters of the PDF font.

use crate::error::Problem;

/// Maximum number of characters in the name of a size, or in the name printed on pattern pieces.
pub(crate) const MAX_NAME_CHARS: usize = 60;

// Maximum number of lines that a user adds to a sheet, and maximum number of characters of each.
pub(crate) const MAX_NOTES: usize = 10;
pub(crate) const MAX_NOTE_CHARS: usize = 200;

/// Returns whether the PDF font has a glyph for a character: Latin, Greek, Cyrillic and their punctuation.
pub(crate) fn is_in_pdf_font(letter: char) -> bool {
    matches!(letter, ' '..='~' | '\u{a0}'..='\u{17f}' | '\u{218}'..='\u{21b}' | '\u{370}'..='\u{377}'
        | '\u{37a}'..='\u{37f}' | '\u{384}'..='\u{38a}' | '\u{38c}' | '\u{38e}'..='\u{3a1}' | '\u{3a3}'..='\u{45f}'
        | '\u{490}'..='\u{491}' | '\u{2010}'..='\u{2027}' | '\u{2030}' | '\u{2032}'..='\u{2033}' | '\u{20ac}'
        | '\u{2116}' | '\u{215b}'..='\u{215e}' | '\u{2212}')
}

/// For each combining mark: the mark, then pairs of a letter and the one letter of the PDF font for letter and mark.
const COMPOSED_LETTERS: &str = "\
    \u{300}AÀEÈIÌOÒUÙaàeèiìoòuùЕЀИЍеѐиѝ\u{301}AÁEÉIÍOÓUÚYÝaáeéiíoóuúyýCĆcćLĹlĺNŃnńRŔrŕSŚsśZŹzź¨΅ΑΆΕΈΗΉΙΊΟΌΥΎΩΏϊΐαάεέ\
    ηήιίϋΰοόυύωώϒϓГЃКЌгѓкќ\u{302}AÂEÊIÎOÔUÛaâeêiîoôuûCĈcĉGĜgĝHĤhĥJĴjĵSŜsŝWŴwŵYŶyŷ\u{303}AÃNÑOÕaãnñoõIĨiĩUŨuũ\u{304}\
    AĀaāEĒeēIĪiīOŌoōUŪuū\u{306}AĂaăEĔeĕGĞgğIĬiĭOŎoŏUŬuŭУЎИЙийуў\u{307}CĊcċEĖeėGĠgġIİZŻzż\u{308}AÄEËIÏOÖUÜaäeëiïoöuü\
    yÿYŸΙΪΥΫιϊυϋϒϔЕЁІЇеёії\u{30a}AÅaåUŮuů\u{30b}OŐoőUŰuű\u{30c}CČcčDĎdďEĚeěLĽlľNŇnňRŘrřSŠsšTŤtťZŽzž\u{326}SȘsșTȚtț\
    \u{327}CÇcçGĢgģKĶkķLĻlļNŅnņRŖrŗSŞsşTŢtţ\u{328}AĄaąEĘeęIĮiįUŲuų";

/// Returns a text in which each letter with a combining mark is one letter, if the PDF font has it.
pub(crate) fn compose_letters(text: &str) -> String {
    text.chars().fold(String::with_capacity(text.len()), |mut composed, letter| {
        let is_mark = |letter: &char| ('\u{300}'..='\u{36f}').contains(letter);
        let after_mark = is_mark(&letter).then(|| COMPOSED_LETTERS.split_once(letter)).flatten();
        let pairs: Vec<char> = after_mark.map_or("", |(_, pairs)| pairs).chars().take_while(|c| !is_mark(c)).collect();
        let pair = pairs.chunks(2).find(|pair| composed.ends_with(pair[0]));
        composed.truncate(composed.len() - pair.map_or(0, |pair| pair[0].len_utf8()));
        composed.push(pair.map_or(letter, |pair| pair[1]));
        composed
    })
}

/// Returns whether a text is empty or consists of white space and zero-width characters only.
pub(crate) fn is_blank(text: &str) -> bool {
    text.chars()
        .all(|letter| letter.is_whitespace() || matches!(letter, '\u{200b}'..='\u{200f}' | '\u{2060}' | '\u{feff}'))
}

/// Returns a title that starts with a name, such as "Ann. Straight skirt"; the plain title for a blank name.
pub(crate) fn title_with_name(name: &str, title: &str) -> String {
    if is_blank(name) { title.to_owned() } else { format!("{name}. {title}") }
}

/// Returns whether a character is forbidden in names: control, line separator, text direction mark or noncharacter.
fn is_forbidden_in_names(letter: char) -> bool {
    let is_mark = matches!(letter, '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    is_mark || letter.is_control() || matches!(letter, '\u{fdd0}'..='\u{fdef}' | '\u{fffe}' | '\u{ffff}')
}

/// Returns the problem of a name or printed text with more than `max` characters or with a forbidden one; `None` for a
/// valid text. The message on a forbidden character says that the text is not `wanted`, such as "a
/// text on one line".
pub(crate) fn long_or_forbidden_text_problem(field: &str, text: &str, max: usize, wanted: &str) -> Option<Problem> {
    let too_many = Problem::too_many_problem(field, text.chars().count(), max, "letters");
    too_many
        .or_else(|| text.chars().any(is_forbidden_in_names).then(|| Problem::invalid_name_problem(field, text, wanted)))
}

/// Returns the problems of `cutting.name`, the name printed on pattern pieces, and of `cutting.notes`, lines printed on
/// the sheet.
pub(crate) fn printed_text_problems(name: &str, notes: &[String]) -> Vec<Problem> {
    let problem = |field: &str, text: &str, max| long_or_forbidden_text_problem(field, text, max, "a text on one line");
    let of_name = problem("cutting.name", name, MAX_NAME_CHARS);
    let too_many = Problem::too_many_problem("cutting.notes", notes.len(), MAX_NOTES, "notes");
    let of_note = |(k, note): (usize, &String)| problem(&format!("cutting.notes[{k}]"), note, MAX_NOTE_CHARS);
    of_name.into_iter().chain(too_many).chain(notes.iter().take(MAX_NOTES).enumerate().filter_map(of_note)).collect()
}
