//! All there is for the typesetter: one text and the fonts of this crate.

use crate::PrintError;
use crate::glyphs;
use std::sync::OnceLock;
use typst::diag::{FileError, FileResult, SourceDiagnostic};
use typst::foundations::{Bytes, Datetime, Duration};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Feature, Library, LibraryExt, World, WorldExt};
use typst_kit::fonts::FontStore;

/// Upright and bold of the family all papers are set in (SIL Open Font Licence 1.1, see `fonts/LICENSE-OFL.txt`).
pub(crate) const OWN: [&[u8]; 2] =
    [include_bytes!("../fonts/SourceSansPro-Regular.ttf"), include_bytes!("../fonts/SourceSansPro-Bold.ttf")];

/// The own family first, then those the typesetter brings.
fn fonts() -> &'static FontStore {
    static FONTS: OnceLock<FontStore> = OnceLock::new();
    FONTS.get_or_init(|| {
        let mut store = FontStore::new();
        for data in OWN {
            store.extend(Font::iter(Bytes::new(data)).map(|font| {
                let info = font.info().clone();
                (font, info)
            }));
        }
        store.extend(typst_kit::fonts::embedded());
        store
    })
}

/// A world of one text.
pub(crate) struct ClosedWorld {
    library: LazyHash<Library>,
    main: FileId,
    source: Source,
}

impl ClosedWorld {
    /// With the characters of the text that no font can show written otherwise.
    pub(crate) fn of(text: &str) -> Self {
        // Rows of a table are told to readers that cannot see it only with this extra of the typesetter.
        let library = Library::builder().with_features([Feature::A11yExtras].into_iter().collect()).build();
        let main = main_file();
        let source = Source::new(main, glyphs::shown(text, fonts().book()));
        Self { library: LazyHash::new(library), main, source }
    }

    /// The first thing the typesetter says.
    pub(crate) fn refused(&self, errors: &[SourceDiagnostic]) -> PrintError {
        let Some(first) = errors.first() else {
            return PrintError::Refused { message: "refused without a reason".to_owned(), line: None };
        };
        let start = self.range(first.span).map(|r| r.start);
        let line = start.and_then(|at| self.source.lines().byte_to_line(at)).map(|l| l + 1);
        let hints: String = first.hints.iter().map(|h| format!("; {}", h.v)).collect();
        PrintError::Refused { message: format!("{}{hints}", first.message), line }
    }
}

/// The one file's id, made once: ids are never freed.
fn main_file() -> FileId {
    static MAIN: OnceLock<FileId> = OnceLock::new();
    *MAIN.get_or_init(|| {
        #[allow(clippy::expect_used)] // a fixed name that is a valid path
        let path = VirtualPath::new("paper.typ").expect("a plain file name is a path");
        RootedPath::new(VirtualRoot::Project, path).intern()
    })
}

impl World for ClosedWorld {
    fn library(&self) -> &LazyHash<Library> {
        &self.library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        fonts().book()
    }

    fn main(&self) -> FileId {
        self.main
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        if id == self.main { Ok(self.source.clone()) } else { Err(FileError::AccessDenied) }
    }

    fn file(&self, _: FileId) -> FileResult<Bytes> {
        Err(FileError::AccessDenied)
    }

    fn font(&self, index: usize) -> Option<Font> {
        fonts().font(index)
    }

    fn today(&self, _: Option<Duration>) -> Option<Datetime> {
        None
    }
}
