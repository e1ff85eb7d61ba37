//! Where every field of a case stands in its file.

use answer::Place;
use std::collections::BTreeMap;

/// Places by path, e.g. `abutment[1].pulp`.
#[derive(Debug, Clone, Default)]
pub(crate) struct Places {
    file: String,
    by_path: BTreeMap<String, Place>,
}

impl Places {
    /// No places yet, in a file.
    pub(crate) fn of_file(file: &str) -> Self {
        Self { file: file.to_owned(), by_path: BTreeMap::new() }
    }

    /// Notes where a field stands.
    pub(crate) fn note(&mut self, path: &str, place: &Place) {
        self.by_path.insert(path.to_owned(), place.clone());
    }

    /// Where a field stands; a field that is not written stands at its section, and what has no section, at the file.
    pub(crate) fn at(&self, path: &str) -> Place {
        let mut known = path;
        loop {
            if let Some(place) = self.by_path.get(known) {
                return Place { field: path.to_owned(), ..place.clone() };
            }
            match known.rfind('.') {
                Some(dot) => known = &known[..dot],
                None => return Place { field: path.to_owned(), ..Place::file(self.file.clone()) },
            }
        }
    }

    /// True when the field is written.
    pub(crate) fn has(&self, path: &str) -> bool {
        self.by_path.contains_key(path)
    }
}
