//! Findings with the lines they are about.
//!
//! Layer 6.

use annotate_snippets::renderer::DecorStyle;
use annotate_snippets::{AnnotationKind, Level, Renderer, Snippet};

use crate::finding::{Finding, Severity};
use crate::show::visible;

/// One finding after the other, each with its line, a marker and the next step; with colours if `styled`.
#[must_use]
pub fn full(findings: &[Finding], styled: bool) -> String {
    let renderer = if styled { Renderer::styled() } else { Renderer::plain() }.decor_style(DecorStyle::Ascii);
    let mut report = String::new();
    for finding in findings {
        let level = match finding.severity {
            Severity::Error => Level::ERROR,
            Severity::Warning => Level::WARNING,
            Severity::Note => Level::NOTE,
            Severity::Acknowledged => Level::INFO.with_name("acknowledged"),
        };
        let file = &finding.place.file;
        // Reaching over a line's end would draw the whole next line into the picture.
        let span = finding.place.span.clone();
        let first_line_end = file.text()[span.start..].find('\n').map_or(file.text().len(), |it| span.start + it);
        let span = span.start..span.end.min(first_line_end).max(span.start);
        let snippet = Snippet::source(file.text())
            .path(visible(file.path()))
            .annotation(AnnotationKind::Primary.span(span).label(visible(&finding.label)));
        let mut group = level.primary_title(visible(&finding.message)).id(finding.code).element(snippet);
        if let Some(help) = &finding.help {
            group = group.element(Level::HELP.message(visible(help)));
        }
        // The lines that it shows still hold what it does not know; by now every escape is one of its colours.
        let drawn = renderer.render(&[group]);
        report.push_str(&drawn.split('\u{1b}').map(visible).collect::<Vec<_>>().join("\u{1b}"));
        report.push_str("\n\n");
    }
    report
}
