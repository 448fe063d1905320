//! Findings one line each.
//!
//! Layer 6.

use std::fmt::Write as _;

use super::words;
use crate::finding::Finding;
use crate::show::visible;

/// `path:line:column: severity[code]: message; help`, one line for each finding.
#[must_use]
pub fn concise(findings: &[Finding]) -> String {
    let mut report = String::new();
    for finding in findings {
        let (line, column) = finding.place.line_and_column();
        let path = finding.place.file.path();
        let mut line_of_report = String::new();
        // Writing to a string cannot fail.
        let _ = write!(
            line_of_report,
            "{path}:{line}:{column}: {}[{}]: {}",
            finding.severity,
            finding.code,
            words(finding)
        );
        // A file's name may hold an end of line.
        report.push_str(&visible(&line_of_report).replace('\n', "␊"));
        report.push('\n');
    }
    report
}
