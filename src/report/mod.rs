//! Findings printed: in full for a person, one line each for editors, as JSON, SARIF and lines of GitHub for programs.
//!
//! Layer 6. Makes texts; who prints them is up to the command line.

mod concise;
#[cfg(feature = "terminal")]
mod full;
mod github;
mod json;
#[cfg(feature = "terminal")]
mod sarif;

pub use concise::concise;
#[cfg(feature = "terminal")]
pub use full::full;
pub use github::github;
pub use json::json;
#[cfg(feature = "terminal")]
pub use sarif::sarif;

use crate::finding::{Finding, Severity};

/// How many errors and warnings there are, in words; `None` when there are neither.
#[must_use]
pub fn summary(findings: &[Finding]) -> Option<String> {
    let count = |severity| findings.iter().filter(|it| it.severity == severity).count();
    let plural = |n: usize, word: &str| format!("{n} {word}{}", if n == 1 { "" } else { "s" });
    let (errors, warnings) = (count(Severity::Error), count(Severity::Warning));
    match (errors, warnings) {
        (0, 0) => None,
        (errors, 0) => Some(plural(errors, "error")),
        (0, warnings) => Some(plural(warnings, "warning")),
        (errors, warnings) => Some(format!("{} and {}", plural(errors, "error"), plural(warnings, "warning"))),
    }
}

/// What is wrong and what to do next, in one line.
fn words(finding: &Finding) -> String {
    finding.help.as_ref().map_or_else(|| finding.message.clone(), |help| format!("{}; {help}", finding.message))
}
