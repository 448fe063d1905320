//! Run by mdBook: JSON from standard input to standard output, words for the instructor to standard error.

use std::io::{IsTerminal, stdin};
use std::process::ExitCode;

use clap::{Parser, Subcommand};
use mdbook_kettle::output::{is_styled, print, say};
use mdbook_kettle::protocol::{Reply, answer};

/// The Kettlebook preprocessor for mdBook: computes the recipe blocks of a soapmaking course.
///
/// Not meant to be run by hand: mdBook runs it for a book whose book.toml has the section [preprocessor.kettle]. To
/// build a course yourself, run `kettlebook build`.
#[derive(Parser)]
#[command(version)]
struct Arguments {
    #[command(subcommand)]
    question: Option<Question>,
}

#[derive(Subcommand)]
enum Question {
    /// Answer by the exit code whether pages can be made for a renderer: yes, for every one
    Supports {
        /// The renderer's name
        renderer: String,
    },
}

fn main() -> ExitCode {
    if Arguments::parse().question.is_some() {
        return ExitCode::SUCCESS;
    }
    if stdin().is_terminal() {
        say("mdbook-kettle is run by mdBook. To build a course yourself, run `kettlebook build`.\n");
        return ExitCode::FAILURE;
    }
    match answer(stdin().lock(), is_styled()) {
        Reply::Book { json, words } => {
            say(&words);
            match print(&format!("{json}\n")) {
                Ok(()) => ExitCode::SUCCESS,
                Err(cause) => {
                    say(&format!("mdbook-kettle cannot send the book to mdBook: {cause}\n"));
                    ExitCode::FAILURE
                }
            }
        }
        Reply::Failure(words) => {
            say(&words);
            ExitCode::FAILURE
        }
    }
}
