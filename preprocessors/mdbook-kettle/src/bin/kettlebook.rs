//! Run by a person: builds and checks courses.

use std::process::ExitCode;

use clap::Parser;
use mdbook_kettle::cli::{Arguments, run};

fn main() -> ExitCode {
    match Arguments::try_parse() {
        Ok(arguments) => run(arguments),
        Err(error) => {
            // Help and version come this way too, and are no failure.
            let code = if error.use_stderr() { ExitCode::FAILURE } else { ExitCode::SUCCESS };
            // If even this cannot be printed there is nobody to tell.
            let _ = error.print();
            code
        }
    }
}
