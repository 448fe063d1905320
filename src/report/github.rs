//! Findings as the lines by which a job on GitHub marks places of files.
//!
//! Layer 6.

use std::fmt::Write as _;

use super::words;
use crate::finding::{Finding, Severity};

/// A workflow command for each finding, without those that the author means:
/// `::warning file=PATH,line=LINE,col=COLUMN,endLine=LINE,endColumn=COLUMN,title=CODE::MESSAGE`.
///
/// Source: GitHub Docs, "Workflow commands for GitHub Actions", on annotations and on what is written as `%0A` (from memory).
#[must_use]
pub fn github(findings: &[Finding]) -> String {
    let mut report = String::new();
    for finding in findings {
        let command = match finding.severity {
            Severity::Error => "error",
            Severity::Warning => "warning",
            Severity::Note => "notice",
            Severity::Acknowledged => continue,
        };
        let (start, end) = (finding.place.line_and_column(), finding.place.end());
        // Writing to a string cannot fail.
        let _ = writeln!(
            report,
            "::{command} file={},line={},col={},endLine={},endColumn={},title={}::{}",
            of_property(finding.place.file.path()),
            start.0,
            start.1,
            end.0,
            end.1,
            of_property(finding.code),
            of_message(&words(finding))
        );
    }
    report
}

fn of_message(text: &str) -> String {
    text.replace('%', "%25").replace('\r', "%0D").replace('\n', "%0A")
}

fn of_property(text: &str) -> String {
    of_message(text).replace(':', "%3A").replace(',', "%2C")
}
