//! Text files with names, and places in them: the only code that turns byte offsets into lines and columns.
//!
//! Layer 0. Opens no file: whoever has the text hands it over.

use std::ops::Range;
use std::sync::Arc;

/// A text somebody wrote, with the path by which they know it.
#[derive(Debug, PartialEq, Eq)]
pub struct SourceFile {
    path: String,
    text: String,
    not_text_at: Option<usize>,
}

impl SourceFile {
    /// A file by the path its author would recognise, with its text.
    #[must_use]
    pub fn new(path: impl Into<String>, text: impl Into<String>) -> Arc<SourceFile> {
        Arc::new(SourceFile { path: path.into(), text: text.into(), not_text_at: None })
    }

    /// A file as it was read. What is not UTF-8 is replaced, so that everything else can still be looked at.
    #[must_use]
    pub fn from_bytes(path: impl Into<String>, bytes: &[u8]) -> Arc<SourceFile> {
        // An editor may start a file with a byte order mark, which TOML and Markdown do not want.
        let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
        let not_text_at = std::str::from_utf8(bytes).err().map(|it| it.valid_up_to());
        Arc::new(SourceFile { path: path.into(), text: String::from_utf8_lossy(bytes).into_owned(), not_text_at })
    }

    /// The place of the first thing in it that is not UTF-8.
    #[must_use]
    pub fn not_text(self: &Arc<SourceFile>) -> Option<Place> {
        let start = self.not_text_at?;
        Some(Place { file: Arc::clone(self), span: start..start + char::REPLACEMENT_CHARACTER.len_utf8() })
    }

    /// The path, with forward slashes on every system.
    #[must_use]
    pub fn path(&self) -> &str {
        &self.path
    }

    /// The path from a folder of the course on, such as `recipes`; of a file that lies elsewhere its name.
    #[must_use]
    pub fn name_in(&self, folder: &str) -> &str {
        let below = self.path.rmatch_indices(folder).find_map(|(at, _)| {
            let is_whole = at == 0 || self.path[..at].ends_with('/');
            self.path[at + folder.len()..].strip_prefix('/').filter(|_| is_whole)
        });
        below.unwrap_or_else(|| self.path.rsplit('/').next().unwrap_or_default())
    }

    /// The whole text.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Line and column of a byte offset, both counted from 1, columns in characters.
    ///
    /// An offset past the end counts as the end. In `"ab\ncd"`, offset 4 is line 2, column 2.
    #[must_use]
    pub fn line_and_column(&self, offset: usize) -> (usize, usize) {
        let mut offset = offset.min(self.text.len());
        while !self.text.is_char_boundary(offset) {
            offset -= 1;
        }
        let before = &self.text[..offset];
        let line_start = before.rfind('\n').map_or(0, |it| it + 1);
        (before.matches('\n').count() + 1, before[line_start..].chars().count() + 1)
    }
}

/// A stretch of a file, for pointing at it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    /// The file.
    pub file: Arc<SourceFile>,
    /// Byte offsets into its text.
    pub span: Range<usize>,
}

impl Place {
    /// Line and column of the start, counted from 1.
    #[must_use]
    pub fn line_and_column(&self) -> (usize, usize) {
        self.file.line_and_column(self.span.start)
    }

    /// Line and column behind the end.
    #[must_use]
    pub fn end(&self) -> (usize, usize) {
        self.file.line_and_column(self.span.end)
    }
}

/// A value and the place it was typed at.
#[derive(Clone, Debug, PartialEq)]
pub struct Located<T> {
    /// What was typed.
    pub value: T,
    /// Where.
    pub place: Place,
}

/// A text cut out of a file, perhaps with line prefixes taken away, that still knows where each byte came from.
///
/// The body of a fenced block inside a quote is one: its lines lack the `> ` they have in the file.
#[derive(Clone, Debug)]
pub struct Extract {
    file: Arc<SourceFile>,
    text: String,
    /// Where each piece starts in `text` and in the file, in order.
    pieces: Vec<(usize, usize)>,
    /// Where an empty extract would stand.
    fallback: usize,
}

impl Extract {
    /// An empty extract that stands at `offset` of the file; pieces are added in order.
    #[must_use]
    pub fn at(file: &Arc<SourceFile>, offset: usize) -> Extract {
        Extract { file: Arc::clone(file), text: String::new(), pieces: Vec::new(), fallback: offset }
    }

    /// The whole file as an extract of itself.
    #[must_use]
    pub fn whole(file: &Arc<SourceFile>) -> Extract {
        let mut extract = Extract::at(file, 0);
        extract.push(file.text(), 0);
        extract
    }

    /// Adds a piece of text that starts at `offset` of the file.
    pub fn push(&mut self, piece: &str, offset: usize) {
        // What goes on where the last piece ended is the same piece.
        let goes_on = self.pieces.last().is_some_and(|(start, at)| at + self.text.len() - start == offset);
        if !goes_on {
            self.pieces.push((self.text.len(), offset));
        }
        self.text.push_str(piece);
    }

    /// Adds a stretch of another extract of the same file.
    pub fn extend(&mut self, other: &Extract, span: Range<usize>) {
        let mut from = span.start;
        while from < span.end {
            let next_idx = other.pieces.partition_point(|(start, _)| *start <= from);
            let end = other.pieces.get(next_idx).map_or(span.end, |(start, _)| (*start).min(span.end));
            self.push(&other.text[from..end], other.offset_in_file(from));
            from = end;
        }
    }

    /// The text of all pieces, one after the other.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The place in the file of a stretch of this text.
    #[must_use]
    pub fn place(&self, span: Range<usize>) -> Place {
        let start = self.offset_in_file(span.start);
        // The end is taken from the piece of the last byte, so that a span never runs into the next line's prefix.
        let end = if span.end > span.start { self.offset_in_file(span.end - 1) + 1 } else { start };
        let mut end = end.clamp(start, self.file.text().len().max(start));
        while end < self.file.text().len() && !self.file.text().is_char_boundary(end) {
            end += 1;
        }
        Place { file: Arc::clone(&self.file), span: start..end }
    }

    fn offset_in_file(&self, offset: usize) -> usize {
        let after = self.pieces.partition_point(|(start, _)| *start <= offset);
        match after.checked_sub(1) {
            Some(piece_idx) => self.pieces[piece_idx].1 + offset - self.pieces[piece_idx].0,
            None => self.fallback,
        }
    }
}

/// The characters of a text that nobody sees, with their offsets: those that turn the direction of what follows, so that
/// it reads as other numbers; those without any width; and those that are no characters, which we use as marks.
///
/// What joins letters of scripts that need it, or pictures, is no such character, nor is a hyphen that shows at need.
pub fn invisible(text: &str) -> impl Iterator<Item = (usize, char)> + '_ {
    let is_ascii = |it: Option<char>| it.is_none_or(|it| it.is_ascii());
    text.char_indices().filter(move |(at, it)| match *it {
        '\n' | '\r' | '\t' => false,
        '\u{200c}' | '\u{200d}' => {
            is_ascii(text[..*at].chars().next_back()) || is_ascii(text[at + it.len_utf8()..].chars().next())
        }
        it if it.is_control() => true,
        '\u{34f}' | '\u{61c}' | '\u{115f}' | '\u{1160}' | '\u{17b4}' | '\u{17b5}' | '\u{180b}'..='\u{180f}' => true,
        '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{2800}' | '\u{3164}' => true,
        '\u{fdd0}'..='\u{fdef}' | '\u{feff}' | '\u{ffa0}' | '\u{fff0}'..='\u{fffc}' | '\u{e0000}'..='\u{e0fff}' => true,
        it => u32::from(it) & 0xfffe == 0xfffe,
    })
}

/// The place of the first character on each line that nobody sees.
pub fn invisible_by_line(extract: &Extract) -> impl Iterator<Item = (Place, char)> + '_ {
    let mut start = 0;
    extract.text().split_inclusive('\n').filter_map(move |line| {
        let line_start = start;
        start += line.len();
        let (at, it) = invisible(line).next()?;
        Some((extract.place(line_start + at..line_start + at + it.len_utf8()), it))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_count_characters_and_lines_start_at_one() {
        let file = SourceFile::new("a.md", "é=1\r\nbé x");
        assert_eq!(file.line_and_column(0), (1, 1));
        assert_eq!(file.line_and_column(2), (1, 2));
        assert_eq!(file.line_and_column(7), (2, 2));
        assert_eq!(file.line_and_column(999), (2, 5));
    }

    #[test]
    fn a_piece_keeps_its_place_in_the_file() {
        let file = SourceFile::new("a.md", "> one\n> two\n");
        let mut extract = Extract::at(&file, 0);
        extract.push("one\n", 2);
        extract.push("two\n", 8);
        assert_eq!(extract.place(4..7).span, 8..11);
        assert_eq!(extract.place(0..3).span, 2..5);
    }
}
