//! Run by a person: builds and checks courses.

use std::process::ExitCode;

use clap::Parser;
use mdbook_kettle::cli::{Arguments, run};

fn main() -> ExitCode {
    run(Arguments::parse())
}
