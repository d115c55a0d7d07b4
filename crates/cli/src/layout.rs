//! Tables and paragraphs for a terminal.

use std::fmt::Write;

use halfrow_core::bench::Bench;

/// A bench's title, or what stands for it.
pub fn title(bench: &Bench) -> &str {
    if bench.title.trim().is_empty() { "Untitled bench" } else { &bench.title }
}

/// The width that paragraphs are set to, in characters.
const WIDTH: usize = 80;

/// Columns of text, each as wide as its widest cell, two spaces apart.
#[derive(Debug)]
pub struct Table {
    rows: Vec<Vec<String>>,
    /// Whether a column holds numbers, which stand at its right edge.
    right: Vec<bool>,
}

impl Table {
    /// A table with these headings; a heading that begins with `>` is that of a column of numbers.
    pub fn new(headings: &[&str]) -> Table {
        let right = headings.iter().map(|heading| heading.starts_with('>')).collect();
        let first = headings.iter().map(|heading| heading.trim_start_matches('>').to_owned()).collect();
        Table { rows: vec![first], right }
    }

    /// Adds a row with a cell for each column.
    pub fn row(&mut self, cells: impl IntoIterator<Item = String>) {
        self.rows.push(cells.into_iter().collect());
    }

    /// The table as lines.
    pub fn text(&self) -> String {
        let width =
            |column: usize| self.rows.iter().map(|row| row[column].chars().count()).max().unwrap_or_default();
        let widths: Vec<usize> = (0..self.right.len()).map(width).collect();
        let mut text = String::new();
        for row in &self.rows {
            let mut line = String::new();
            for ((cell, &width), &right) in row.iter().zip(&widths).zip(&self.right) {
                if right {
                    write!(line, "{cell:>width$}  ").expect("a string takes all");
                } else {
                    write!(line, "{cell:<width$}  ").expect("a string takes all");
                }
            }
            text.push_str(line.trim_end());
            text.push('\n');
        }
        text
    }
}

/// A paragraph behind a label: lines of at most 80 characters, the second and all others as far in
/// as the first. A word that is longer than a line gets one of its own.
pub fn paragraph(label: &str, words: &str) -> String {
    let indent = label.chars().count();
    let mut text = label.to_owned();
    let mut used = indent;
    for word in words.split_whitespace() {
        let length = word.chars().count();
        if used > indent && used + 1 + length > WIDTH {
            text.push('\n');
            text.extend(std::iter::repeat_n(' ', indent));
            used = indent;
        } else if used > indent {
            text.push(' ');
            used += 1;
        }
        text.push_str(word);
        used += length;
    }
    text.push('\n');
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_stand_at_the_right_edge_and_no_line_ends_in_spaces() {
        let mut table = Table::new(&["Part", ">Ohms", "Note"]);
        table.row(["R1 Ω", "220", ""].map(str::to_owned));
        table.row(["R2", "4700", "warm"].map(str::to_owned));
        assert_eq!(table.text(), "Part  Ohms  Note\nR1 Ω   220\nR2    4700  warm\n");
    }

    #[test]
    fn a_paragraph_hangs_behind_its_label_and_keeps_within_the_width() {
        let text = paragraph("  Do:  ", &"word ".repeat(40));
        assert!(text.lines().all(|line| line.chars().count() <= WIDTH));
        assert!(text.lines().skip(1).all(|line| line.starts_with("       word")));
        assert_eq!(text.split_whitespace().count(), 41);
    }
}
