//! Findings in the Static Analysis Results Interchange Format, which code hosts and editors read.
//!
//! Layer 6.

use std::collections::BTreeSet;

use percent_encoding::{AsciiSet, CONTROLS, utf8_percent_encode};
use serde_sarif::sarif::{
    ArtifactLocation, Location, Message, PhysicalLocation, Region, ReportingDescriptor, Result as Row, ResultLevel,
    Run, Sarif, Suppression, Tool, ToolComponent,
};

use super::words;
use crate::finding::{Finding, Severity};

/// What cannot stand in the path of an address as it is (RFC 3986, section 3.3), beside what is not ASCII.
const NOT_IN_A_PATH: AsciiSet = CONTROLS
    .add(b' ')
    .add(b'"')
    .add(b'#')
    .add(b'%')
    .add(b'<')
    .add(b'>')
    .add(b'?')
    .add(b'[')
    .add(b'\\')
    .add(b']')
    .add(b'^')
    .add(b'`')
    .add(b'{')
    .add(b'|')
    .add(b'}');

/// One run of SARIF 2.1.0 with a result for each finding; columns count characters, and what the author means is suppressed.
///
/// Source: Static Analysis Results Interchange Format (SARIF) Version 2.1.0, OASIS Standard, 27 March 2020.
///
/// - `version`: that of the program that found them.
///
/// # Errors
///
/// When it cannot be written as JSON.
pub fn sarif(findings: &[Finding], version: &str) -> Result<String, serde_json::Error> {
    let codes: BTreeSet<&str> = findings.iter().map(|it| it.code).collect();
    let rules: Vec<ReportingDescriptor> =
        codes.into_iter().map(|it| ReportingDescriptor::builder().id(it).build()).collect();
    let driver = ToolComponent::builder().name("Kettlebook").version(version).rules(rules).build();
    let run = Run::builder()
        .tool(Tool::builder().driver(driver).build())
        .column_kind("unicodeCodePoints")
        .results(findings.iter().map(row).collect::<Vec<_>>())
        .build();
    let sarif = Sarif::builder().version("2.1.0").runs(vec![run]).build();
    let mut text = serde_json::to_string_pretty(&sarif)?;
    text.push('\n');
    Ok(text)
}

fn row(finding: &Finding) -> Row {
    let (start, end) = (finding.place.line_and_column(), finding.place.end());
    let path = utf8_percent_encode(finding.place.file.path(), &NOT_IN_A_PATH).to_string();
    let place = PhysicalLocation::builder()
        .artifact_location(ArtifactLocation::builder().uri(path).build())
        .region(
            Region::builder()
                .start_line(number(start.0))
                .start_column(number(start.1))
                .end_line(number(end.0))
                .end_column(number(end.1))
                .build(),
        )
        .build();
    let level = match finding.severity {
        Severity::Error => ResultLevel::Error,
        Severity::Warning => ResultLevel::Warning,
        Severity::Note | Severity::Acknowledged => ResultLevel::Note,
    };
    // What the author acknowledged stands in the recipe, with the reason.
    let suppressions: Vec<Suppression> = (finding.severity == Severity::Acknowledged)
        .then(|| Suppression::builder().kind("inSource").build())
        .into_iter()
        .collect();
    Row::builder()
        .rule_id(finding.code)
        .level(level)
        .message(Message::builder().text(words(finding)).build())
        .locations(vec![Location::builder().physical_location(place).build()])
        .suppressions(suppressions)
        .build()
}

fn number(it: usize) -> i64 {
    i64::try_from(it).unwrap_or(i64::MAX)
}
