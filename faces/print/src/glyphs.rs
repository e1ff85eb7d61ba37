//! Characters that no font of this crate can show are written by their number.

use typst::text::FontBook;

/// The text with every character shown by some font; the others as `[U+1F600]`, never-seen ones left out.
///
/// Such characters stand in quoted strings only (`papers::typeset`), where brackets mean nothing.
pub(crate) fn shown(text: &str, book: &FontBook) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        if c.is_ascii() || c == BREAK || (!private(c) && covered(c, book)) {
            out.push(c);
        } else if !unseen(c) {
            out.push_str(&format!("[U+{:04X}]", c as u32));
        }
    }
    out
}

/// Space of no width: a place where a long word may be broken, no form needed.
const BREAK: char = '\u{200b}';

fn covered(c: char, book: &FontBook) -> bool {
    (0..).map_while(|i| book.info(i)).any(|info| info.coverage.contains(c as u32))
}

/// Characters whose meaning is private; an archivable file may not hold them.
fn private(c: char) -> bool {
    matches!(c as u32, 0xE000..=0xF8FF | 0xF_0000..=0x10_FFFF) || c == '\u{fffd}'
}

/// Characters that only steer others: joiners, selectors of a variant, tags.
fn unseen(c: char) -> bool {
    matches!(c as u32, 0x200C..=0x200F | 0x2028..=0x202E | 0x2060..=0x206F | 0xFE00..=0xFE0F | 0xFEFF | 0xE_0000..=0xE_0FFF)
}
