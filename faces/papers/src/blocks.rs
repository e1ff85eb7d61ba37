//! What papers are made of: a document of sections, a section of blocks, words with a few marks.

use crate::form::Form;
use picture::{Scene, Table};

/// A run of words with one mark.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Span {
    /// As it stands.
    Plain(String),
    /// What the eye should find first.
    Strong(String),
    /// Of second rank: sources, conditions.
    Quiet(String),
    /// A mark of trust in a frame, e.g. `from memory`.
    Tag(String),
    /// A link to another place of the same document: words and id.
    Within(String, String),
}

/// Words with marks.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Words(pub Vec<Span>);

impl Words {
    /// Adds plain words.
    #[must_use]
    pub fn plain(mut self, text: impl Into<String>) -> Self {
        self.0.push(Span::Plain(text.into()));
        self
    }

    /// Adds strong words.
    #[must_use]
    pub fn strong(mut self, text: impl Into<String>) -> Self {
        self.0.push(Span::Strong(text.into()));
        self
    }

    /// Adds quiet words.
    #[must_use]
    pub fn quiet(mut self, text: impl Into<String>) -> Self {
        self.0.push(Span::Quiet(text.into()));
        self
    }

    /// Adds a mark of trust.
    #[must_use]
    pub fn tag(mut self, text: impl Into<String>) -> Self {
        self.0.push(Span::Tag(text.into()));
        self
    }

    /// Adds a link to a section of the same document.
    #[must_use]
    pub fn link(mut self, text: impl Into<String>, id: impl Into<String>) -> Self {
        self.0.push(Span::Within(text.into(), id.into()));
        self
    }

    /// Adds other words with their marks.
    #[must_use]
    pub fn followed_by(mut self, other: Self) -> Self {
        self.0.extend(other.0);
        self
    }

    /// True when there is nothing to read.
    pub fn is_empty(&self) -> bool {
        self.0.iter().all(|s| s.text().trim().is_empty())
    }

    /// The words without marks; marks of trust in square brackets.
    pub fn text(&self) -> String {
        self.0
            .iter()
            .map(|s| match s {
                Span::Tag(t) => format!("[{t}]"),
                other => other.text().to_owned(),
            })
            .collect()
    }
}

impl Span {
    /// The words.
    pub fn text(&self) -> &str {
        match self {
            Self::Plain(t) | Self::Strong(t) | Self::Quiet(t) | Self::Tag(t) | Self::Within(t, _) => t,
        }
    }
}

impl From<&str> for Words {
    fn from(text: &str) -> Self {
        Self(vec![Span::Plain(text.to_owned())])
    }
}

impl From<String> for Words {
    fn from(text: String) -> Self {
        Self(vec![Span::Plain(text)])
    }
}

/// A cell of a table: a small picture above words, or one of them.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Cell {
    /// The picture.
    pub scene: Option<Scene>,
    /// The words.
    pub words: Words,
}

impl<T: Into<Words>> From<T> for Cell {
    fn from(words: T) -> Self {
        Self { scene: None, words: words.into() }
    }
}

/// A table with a caption, heads of columns, and the first cell of each row as its head.
#[derive(Debug, Clone, PartialEq)]
pub struct Grid {
    /// What the table says.
    pub caption: String,
    /// Heads of columns.
    pub heads: Vec<String>,
    /// Rows; the first cell heads its row.
    pub rows: Vec<Row>,
}

/// A row of a table.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Row {
    /// The cells.
    pub cells: Vec<Cell>,
    /// True for a row of second rank.
    pub dimmed: bool,
}

impl From<Table> for Grid {
    fn from(table: Table) -> Self {
        let rows =
            table.rows.into_iter().map(|r| Row { cells: r.into_iter().map(Cell::from).collect(), dimmed: false });
        Self { caption: String::new(), heads: table.heads, rows: rows.collect() }
    }
}

/// What a note is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Weight {
    /// Worth knowing.
    Remark,
    /// Someone could be hurt.
    Caution,
    /// Speaks against going on.
    Stop,
}

impl Weight {
    /// The English word that opens the note.
    pub fn word(self) -> &'static str {
        match self {
            Self::Remark => "Note",
            Self::Caution => "Caution",
            Self::Stop => "Stop",
        }
    }

    /// The word that opens the note in the document's language.
    pub fn word_in(self, form: &Form) -> &str {
        let [remark, caution, stop] = &form.words.notes;
        match self {
            Self::Remark => remark,
            Self::Caution => caution,
            Self::Stop => stop,
        }
    }
}

/// One block.
#[derive(Debug, Clone, PartialEq)]
pub enum Block {
    /// A heading within a section.
    Heading(String),
    /// The sentence to be read first.
    Lead(Words),
    /// A paragraph.
    Paragraph(Words),
    /// A list.
    List(Vec<Words>),
    /// A list whose order matters.
    Numbered(Vec<Words>),
    /// A table.
    Table(Grid),
    /// A picture with its finding as caption and its data one step away.
    Figure(Scene),
    /// Pictures side by side where there is room.
    Beside(Vec<Scene>),
    /// A note that opens with its word.
    Note(Weight, Words),
    /// Blocks shown on request: one line stands for them.
    Folded(Words, Vec<Block>),
    /// Names and values.
    Facts(Vec<(String, Words)>),
    /// Words, then as many ruled lines to be filled by hand.
    Blank(Words, usize),
}

/// A part of a document under its own heading.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    /// Id within the document: ASCII letters, digits and `-`.
    pub id: String,
    /// Heading.
    pub title: String,
    /// Blocks.
    pub blocks: Vec<Block>,
}

impl Section {
    /// A section; its id is made from `id` by dropping what an id cannot hold.
    pub fn new(id: &str, title: impl Into<String>, blocks: Vec<Block>) -> Self {
        Self { id: plain_id(id), title: title.into(), blocks }
    }
}

/// A paper.
#[derive(Debug, Clone, PartialEq)]
pub struct Document {
    /// Heading of the whole.
    pub title: String,
    /// What stands before the first section.
    pub opening: Vec<Block>,
    /// The sections.
    pub sections: Vec<Section>,
    /// What stands at the foot.
    pub closing: Vec<Block>,
    /// Language and size.
    pub form: Form,
}

/// ASCII letters, digits and `-` only.
pub fn plain_id(text: &str) -> String {
    text.chars()
        .map(|c| if c == '_' || c == ' ' { '-' } else { c })
        .filter(|c| c.is_ascii_alphanumeric() || *c == '-')
        .collect()
}
