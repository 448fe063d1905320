//! The protocol between mdBook and a preprocessor of its: JSON on standard input and output.

use std::io::Read;

use kettlebook::report::{full, summary};
use kettlebook::show::visible;
use mdbook_preprocessor::book::Book;
use mdbook_preprocessor::{MDBOOK_VERSION, PreprocessorContext};

use crate::preprocess::{process, told_when_building};

/// What a run gives.
pub enum Reply {
    /// The book for standard output, and words for the instructor.
    Book {
        /// JSON.
        json: String,
        /// Warnings and notes; may be empty.
        words: String,
    },
    /// No book: what to tell the instructor.
    Failure(String),
}

/// Answers one request of mdBook.
///
/// - `styled`: whether the words may have colours.
#[must_use]
pub fn answer(mut request: impl Read, styled: bool) -> Reply {
    let mut text = String::new();
    if let Err(cause) = request.read_to_string(&mut text) {
        return Reply::Failure(format!("mdbook-kettle cannot read what mdBook sends: {cause}\n"));
    }
    if text.trim().is_empty() {
        return Reply::Failure(
            "mdbook-kettle is run by mdBook, which sends it a book. To build a course yourself, run `kettlebook build`.\n"
                .into(),
        );
    }
    // The version first: another protocol may hold the book in another shape, which would only look like broken JSON.
    let version = serde_json::from_str::<serde_json::Value>(&text)
        .ok()
        .and_then(|it| Some(it.get(0)?.get("mdbook_version")?.as_str()?.to_owned()));
    if let Some(version) = &version
        && !speaks_our_protocol(version)
    {
        return Reply::Failure(format!(
            "mdbook-kettle needs mdBook 0.5 (it was made for {MDBOOK_VERSION}), and this is mdBook {version}.\n"
        ));
    }
    let (context, mut book): (PreprocessorContext, Book) = match serde_json::from_str(&text) {
        Ok(request) => request,
        Err(cause) => {
            return Reply::Failure(format!("mdbook-kettle does not understand what mdBook sends: {cause}\n"));
        }
    };
    let outcome = match process(&mut book, &context, "", &context.config.build.build_dir, true) {
        Ok(outcome) => outcome,
        Err(error) => return Reply::Failure(visible(&format!("{error}\n"))),
    };
    let failed = outcome.failed();
    let findings = told_when_building(outcome.findings);
    let mut words = full(&findings, styled);
    if let Some(summary) = summary(&findings) {
        words.push_str(&format!("Kettlebook found {summary}.\n"));
    }
    if failed {
        words.push_str("Nothing was built; the last good book is as it was.\n");
        return Reply::Failure(words);
    }
    match serde_json::to_string(&book) {
        Ok(json) => Reply::Book { json, words },
        Err(cause) => Reply::Failure(format!("mdbook-kettle cannot write the book: {cause}\n")),
    }
}

/// Any 0.5 speaks it; the third number does not matter.
fn speaks_our_protocol(version: &str) -> bool {
    semver::Version::parse(version).is_ok_and(|it| (it.major, it.minor) == (0, 5))
}
