//! Print: document text to PDF, tagged (PDF/UA-1) and archivable (PDF/A-2a); one picture from SVG to PNG.
//!
//! The text is what `papers` writes (`papers::typeset`): a program in the typesetter's language whose first line names its version.
//! It is compiled in a closed world: one text, the fonts of this crate, no file, no network, no clock. Same text, same bytes: the only date is
//! the one the text gives.
//!
//! Characters for which no font here has a form are written by their number (`[U+1F600]`), since an archivable file may hold no empty
//! form; characters that are never seen are left out.
//!
//! Knows no case and no plan: text in, bytes out.

mod closed_world;
mod glyphs;
mod pixels;

pub use pixels::{SCALE, png};

use closed_world::ClosedWorld;
use typst::foundations::Smart;
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards};

/// First line of a text that can be printed.
pub const FORM: &str = "// bisque document text 1";

/// Why a text was not printed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PrintError {
    /// The text does not begin with [`FORM`].
    OtherForm(String),
    /// The typesetter refuses the text: message and line, where it told one.
    Refused {
        /// What it says.
        message: String,
        /// Line from 1.
        line: Option<usize>,
    },
    /// The picture cannot be drawn: what is wrong with it.
    Picture(String),
}

impl std::fmt::Display for PrintError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::OtherForm(first) => write!(
                f,
                "the text begins with `{first}`; expected `{FORM}`; use the `bisque` and `bisque-print` of one version"
            ),
            Self::Refused { message, line: Some(line) } => write!(f, "line {line}: {message}"),
            Self::Refused { message, line: None } => f.write_str(message),
            Self::Picture(why) => {
                write!(f, "the picture cannot be drawn: {why}; expected an SVG of `bisque papers --only figures`")
            }
        }
    }
}

impl std::error::Error for PrintError {}

/// The text as a PDF.
///
/// # Errors
/// [`PrintError`] for another form of text, and whatever the typesetter refuses.
pub fn pdf(text: &str) -> Result<Vec<u8>, PrintError> {
    let first = text.lines().next().unwrap_or_default();
    if first != FORM {
        return Err(PrintError::OtherForm(first.chars().take(60).collect()));
    }
    let world = ClosedWorld::of(text);
    let printed = printed(&world);
    // What was remembered of this text is of no use to the next, printed or refused.
    typst::comemo::evict(0);
    printed
}

fn printed(world: &ClosedWorld) -> Result<Vec<u8>, PrintError> {
    let document: PagedDocument = typst::compile(world).output.map_err(|e| world.refused(&e))?;
    let standards = PdfStandards::new(&[PdfStandard::A_2a, PdfStandard::Ua_1])
        .map_err(|e| PrintError::Refused { message: e.message().to_string(), line: None })?;
    let options = PdfOptions { creator: Smart::Custom(Some("bisque".to_owned())), standards, ..PdfOptions::default() };
    typst_pdf::pdf(&document, &options).map_err(|e| world.refused(&e))
}
