//! Findings one line each.
//!
//! Layer 6.

use std::fmt::Write as _;

use crate::finding::Finding;

/// `path:line:column: severity[code]: message; help`, one line for each finding.
#[must_use]
pub fn concise(findings: &[Finding]) -> String {
    let mut report = String::new();
    for finding in findings {
        let (line, column) = finding.place.line_and_column();
        let path = finding.place.file.path();
        // Writing to a string cannot fail.
        let _ = write!(report, "{path}:{line}:{column}: {}[{}]: {}", finding.severity, finding.code, finding.message);
        if let Some(help) = &finding.help {
            let _ = write!(report, "; {help}");
        }
        report.push('\n');
    }
    report
}
