//! Lines and columns of a text.

/// Starts of a text's lines, so that a place is found without reading the text again from its beginning.
pub struct Lines<'t> {
    text: &'t str,
    starts: Vec<usize>,
}

impl<'t> Lines<'t> {
    /// Lines of a text.
    pub fn of(text: &'t str) -> Self {
        let starts = std::iter::once(0).chain(text.match_indices('\n').map(|(at, _)| at + 1)).collect();
        Self { text, starts }
    }

    /// Line and column, from 1, of a byte offset; columns count characters.
    pub fn line_and_column(&self, offset: usize) -> (usize, usize) {
        let mut end = offset.min(self.text.len());
        while !self.text.is_char_boundary(end) {
            end -= 1;
        }
        let line = self.starts.partition_point(|start| *start <= end);
        let start = self.starts[line - 1];
        (line, self.text[start..end].chars().count() + 1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_and_columns_count_from_one_and_columns_in_characters() {
        let lines = Lines::of("a\n\nµb\n");
        let places: Vec<_> = (0..=6).map(|offset| lines.line_and_column(offset)).collect();
        // Offset 4 lies within the two bytes of the third line's first character.
        assert_eq!(places, [(1, 1), (1, 2), (2, 1), (3, 1), (3, 1), (3, 2), (3, 3)]);
        assert_eq!(lines.line_and_column(99), (4, 1));
    }
}
