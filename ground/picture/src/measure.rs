//! Width of text by an own table, cleaning of text that came from people, shortening and wrapping.
//!
//! Advance widths in thousandths of the type size are those of the metric-compatible sans-serif families most systems hold
//! (Liberation Sans 2, read from its `hmtx` table); characters outside the table count as wide as a capital, East Asian and
//! pictorial ones as 1.3 em, so that a layout is never too narrow for them. Where a reader's system has none of these families
//! the drawn text may differ by up to about 15 %.

use unicode_width::UnicodeWidthChar;

/// ` ` to `~`.
const BASIC: [u16; 95] = [
    278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556, 556, 556, 556, 556,
    556, 556, 556, 278, 278, 584, 584, 584, 556, 1015, 667, 667, 722, 722, 667, 611, 778, 722, 278, 500, 667, 556, 833,
    722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 278, 278, 278, 469, 556, 333, 556, 556, 500, 556,
    556, 278, 556, 556, 222, 222, 500, 222, 833, 556, 556, 556, 556, 333, 500, 278, 556, 500, 722, 500, 500, 500, 334,
    260, 334, 584,
];
/// Widest bold letter of everyday text against its upright form.
const BOLD: f64 = 1.10;

/// What sums of widths may be off by, px.
const ROUNDING: f64 = 1e-6;
/// Column of the terminal in em.
const COLUMN: f64 = 6.5 / 12.0;

/// Advance of one character in em.
fn advance(c: char) -> f64 {
    match c {
        ' '..='~' => f64::from(BASIC[c as usize - 32]) / 1000.0,
        '\u{2013}' | '\u{b1}' | '\u{d7}' | '\u{2212}' | '\u{2264}' | '\u{2265}' | '\u{2248}' => 0.584,
        '\u{2014}' | '\u{2026}' | '\u{2190}' | '\u{2192}' => 1.0,
        '\u{b7}' | '\u{2018}' | '\u{2019}' | '\u{b0}' => 0.4,
        _ => match UnicodeWidthChar::width(c) {
            Some(0) | None => 0.0,
            Some(1) => 0.75,
            Some(_) => 1.3,
        },
    }
}

/// Room a line of text of `size` px needs, in px: the wider of what the page and what the terminal need (a column of the terminal
/// is 6.5 px at type of 12 px), so that a layout holds on both.
pub fn width(text: &str, size: f64, bold: bool) -> f64 {
    let page = text.chars().map(advance).sum::<f64>() * if bold { BOLD } else { 1.0 };
    page.max(columns(text) as f64 * COLUMN) * size
}

/// Number of columns a text takes in a terminal.
pub fn columns(text: &str) -> usize {
    text.chars().map(|c| UnicodeWidthChar::width(c).unwrap_or(0)).sum()
}

/// Text as it may be shown: control characters (terminal escapes among them) and characters that turn the direction of writing
/// are removed, line breaks and tabs become spaces, runs of spaces one space.
pub fn clean(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '\n' | '\r' | '\t' | ' ' | '\u{2028}' | '\u{2029}' => {
                if !out.is_empty() && !out.ends_with(' ') {
                    out.push(' ');
                }
            }
            '\u{200e}' | '\u{200f}' | '\u{061c}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}' => {}
            c if c.is_control() || (c as u32) & 0xfffe == 0xfffe => {}
            c => out.push(c),
        }
    }
    out.truncate(out.trim_end().len());
    out
}

/// Text shortened with an ellipsis until it is at most `limit` px wide.
pub fn shorten(text: &str, size: f64, bold: bool, limit: f64) -> String {
    let factor = if bold { BOLD } else { 1.0 };
    let (mut page, mut terminal, mut cut) = (0.0, 0.0, 0);
    let dots = (advance('\u{2026}') * factor).max(COLUMN);
    for (at, c) in text.char_indices() {
        if (f64::max(page, terminal) + dots) * size <= limit + ROUNDING {
            cut = at;
        }
        page += advance(c) * factor;
        terminal += UnicodeWidthChar::width(c).unwrap_or(0) as f64 * COLUMN;
        if f64::max(page, terminal) * size > limit + ROUNDING {
            return format!("{}\u{2026}", text[..cut].trim_end());
        }
    }
    text.to_owned()
}

/// Words set in lines of at most `limit` px, at most `most` lines; the last line is shortened when words remain, and so is a
/// single word wider than a line.
pub fn wrap(text: &str, size: f64, bold: bool, limit: f64, most: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split(' ').filter(|w| !w.is_empty()) {
        let full = lines.len() == most;
        match lines.last_mut() {
            Some(line) if full || fits(line, word, size, bold, limit) => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
        if lines.len() == most && lines.last().is_some_and(|line| width(line, size, bold) > limit + ROUNDING) {
            break;
        }
    }
    lines.iter().map(|line| shorten(line, size, bold, limit)).collect()
}

fn fits(line: &str, word: &str, size: f64, bold: bool, limit: f64) -> bool {
    width(line, size, bold) + width(" ", size, bold) + width(word, size, bold) <= limit + ROUNDING
}

/// Text in lines of at most `limit` columns of a terminal; a word longer than that is cut.
pub fn fold(text: &str, limit: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split(' ').filter(|w| !w.is_empty()) {
        match lines.last_mut() {
            Some(line) if columns(line) + 1 + columns(word) <= limit => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
        while let Some(last) = lines.pop_if(|l| columns(l) > limit) {
            let mut head = String::new();
            let mut rest = String::new();
            for c in last.chars() {
                if rest.is_empty() && columns(&head) + columns(&c.to_string()) <= limit {
                    head.push(c);
                } else {
                    rest.push(c);
                }
            }
            lines.push(head);
            if rest.is_empty() {
                break;
            }
            lines.push(rest);
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cleaning_takes_escapes_and_turns_of_direction() {
        assert_eq!(clean("a\u{1b}[31mb\n\n c\u{202e}d\u{0}"), "a[31mb cd");
    }

    #[test]
    fn shortened_and_wrapped_text_keeps_its_limit() {
        let long = "many words ".repeat(1000);
        assert!(width(&shorten(&long, 12.0, true, 90.0), 12.0, true) <= 90.0 + ROUNDING);
        let lines = wrap(&long, 12.0, false, 120.0, 3);
        assert_eq!(lines.len(), 3);
        assert!(lines.iter().all(|l| width(l, 12.0, false) <= 120.0 + ROUNDING) && lines[2].ends_with('\u{2026}'));
        assert!(fold(&long, 30).iter().chain(&fold(&"w".repeat(99), 7)).all(|l| columns(l) <= 30));
        assert_eq!(wrap("two words", 12.0, false, 500.0, 3), vec!["two words"]);
    }
}
