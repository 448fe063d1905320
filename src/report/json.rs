//! Findings for programs.
//!
//! Layer 6.

use serde::Serialize;

use crate::finding::Finding;

#[derive(Serialize)]
struct Report<'a> {
    /// Raised when a key changes its meaning or goes away.
    version: u32,
    findings: Vec<Row<'a>>,
}

#[derive(Serialize)]
struct Row<'a> {
    code: &'a str,
    severity: String,
    path: &'a str,
    line: usize,
    column: usize,
    message: &'a str,
    label: &'a str,
    help: Option<&'a str>,
}

/// A JSON object with `version` and `findings`; lines and columns count from 1.
///
/// # Errors
///
/// When they cannot be written as JSON.
pub fn json(findings: &[Finding]) -> Result<String, serde_json::Error> {
    let rows = findings.iter().map(|finding| {
        let (line, column) = finding.place.line_and_column();
        Row {
            code: finding.code,
            severity: finding.severity.to_string(),
            path: finding.place.file.path(),
            line,
            column,
            message: &finding.message,
            label: &finding.label,
            help: finding.help.as_deref(),
        }
    });
    let report = Report { version: 1, findings: rows.collect() };
    let mut text = serde_json::to_string_pretty(&report)?;
    text.push('\n');
    Ok(text)
}
