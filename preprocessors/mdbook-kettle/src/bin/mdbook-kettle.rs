//! Run by mdBook: JSON from standard input to standard output, words for the instructor to standard error.
#![allow(clippy::print_stdout, clippy::print_stderr, reason = "standard output is the protocol")]

use std::io::{IsTerminal, stderr, stdin};
use std::process::ExitCode;

use clap::{Parser, Subcommand};
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
        eprintln!("mdbook-kettle is run by mdBook. To build a course yourself, run `kettlebook build`.");
        return ExitCode::FAILURE;
    }
    let styled = stderr().is_terminal() && std::env::var_os("NO_COLOR").is_none();
    match answer(stdin().lock(), styled) {
        Reply::Book { json, words } => {
            eprint!("{words}");
            println!("{json}");
            ExitCode::SUCCESS
        }
        Reply::Failure(words) => {
            eprint!("{words}");
            ExitCode::FAILURE
        }
    }
}
