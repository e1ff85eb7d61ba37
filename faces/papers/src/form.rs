//! How a document is set: its language, the few words that page and terminal add of themselves, the size of type and the sheet.

/// Language and size of a document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Form {
    /// Language tag (BCP 47), e.g. `en-GB`.
    pub lang: String,
    /// True for a language written from right to left.
    pub right_to_left: bool,
    /// True for large print (16 point on paper), for readers at home.
    pub large: bool,
    /// The sheet it is printed on.
    pub sheet: Sheet,
    /// Words that are not the document's own.
    pub words: PageWords,
}

/// The sheet a document is printed on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sheet {
    /// A4 upright, sections after each other.
    Upright,
    /// A4 across, a section a page, as large as it fits.
    Across,
}

/// Words that a page adds of itself.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PageWords {
    /// Link over the head of the page to its text.
    pub skip: String,
    /// Name of the list of sections.
    pub contents: String,
    /// Name of a table without caption.
    pub table: String,
    /// What unfolds the data of a picture.
    pub data: String,
    /// What opens a remark, a caution and a stop.
    pub notes: [String; 3],
}

impl Default for Form {
    /// British English at the usual size.
    fn default() -> Self {
        let own = |text: &str| text.to_owned();
        Self {
            lang: own("en-GB"),
            right_to_left: false,
            large: false,
            sheet: Sheet::Upright,
            words: PageWords {
                skip: own("Skip to the text"),
                contents: own("Contents"),
                table: own("Table"),
                data: own("The data as a table"),
                notes: ["Note", "Caution", "Stop"].map(own),
            },
        }
    }
}
