//! Streams that are closed or full, and an environment that is no text: a clear sentence and the right exit code.

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use crate::{KETTLEBOOK, MDBOOK_KETTLE, PLAIN, small_course, stderr, stdout, write};

/// Runs a line of the shell in the folder above the course; `kettlebook` and `mdbook-kettle` are the programs.
fn shell(course: &Path, line: &str) -> Output {
    let line = line.replace("mdbook-kettle", MDBOOK_KETTLE);
    let line = line.strip_prefix("kettlebook").map_or(line.clone(), |rest| format!("{KETTLEBOOK}{rest}"));
    let folder = course.parent().expect("the course is in a folder");
    Command::new("bash").args(["-o", "pipefail", "-c", &line]).current_dir(folder).output().expect("bash runs")
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_or_closed_stream_makes_no_panic() {
    let (_folder, course) = small_course("# Page\n", PLAIN);
    let full = "error: standard output cannot be written to: No space left on device";
    for (line, code, told) in [
        ("kettlebook check >&-", 0, ""),
        ("kettlebook check 2>&-", 0, ""),
        ("kettlebook check 2>/dev/full", 0, ""),
        ("kettlebook check --format json >/dev/full", 1, full),
        ("kettlebook build >/dev/full", 1, full),
        ("kettlebook build 2>/dev/full", 0, ""),
        ("kettlebook batch plain >/dev/full", 1, full),
        ("kettlebook batch --schema | head -1", 0, ""),
        ("kettlebook batch plain --json | head -1", 0, ""),
        ("mdbook-kettle < /dev/null 2>/dev/full", 1, ""),
    ] {
        let output = shell(&course, line);
        let words = stderr(&output);
        assert_eq!(output.status.code(), Some(code), "{line}\n{words}");
        assert!(!words.contains("panicked") && words.contains(told), "{line}\n{words}");
    }
}

#[cfg(unix)]
#[test]
fn a_variable_that_is_not_utf_8_counts_only_where_it_is_a_setting() {
    use std::ffi::OsStr;
    use std::os::unix::ffi::OsStrExt;
    let (_folder, course) = small_course("# Page\n", PLAIN);
    let run = |name: &str| {
        let mut command = Command::new(KETTLEBOOK);
        command.arg("build").arg(&course).env(name, OsStr::from_bytes(b"soap\xff"));
        command.output().expect("kettlebook runs")
    };
    assert!(run("SOMETHING").status.success());
    assert!(run("MDBOOK_VERSION").status.success());
    let output = run("MDBOOK_BOOK__TITLE");
    assert_eq!((output.status.code(), stdout(&output)), (Some(1), String::new()));
    assert!(stderr(&output).starts_with("error: the environment variable MDBOOK_BOOK__TITLE is not UTF-8"));
}

#[cfg(unix)]
#[test]
fn a_style_sheet_that_is_a_link_is_not_written_through() {
    let (folder, course) = small_course("# Page\n", PLAIN);
    let shared = folder.path().join("shared.css");
    fs::write(&shared, "/* of another course */").expect("it can be written");
    write(&course, "theme/kettle.js", "");
    std::os::unix::fs::symlink(&shared, course.join("theme/kettle.css")).expect("the link can be made");
    let output = shell(&course, "kettlebook build");
    assert!(stderr(&output).contains("kettle.css: it is a link to another file"), "{}", stderr(&output));
    assert_eq!(fs::read_to_string(&shared).expect("it can be read"), "/* of another course */");
}

/// No file name, title, key or line of a lesson reaches the terminal as an order to it.
#[cfg(unix)]
#[test]
fn orders_to_the_terminal_are_shown_and_not_obeyed() {
    let hostile = "\u{1b}[2J\u{9b}31m\u{202e}";
    let recipe = PLAIN.replace("Plain", "Plain\\u001b[2J");
    let (_folder, course) = small_course("# Page\n", &recipe);
    write(
        &course,
        &format!("src/{hostile}\nname.md"),
        &format!("# Page\n\nWords {hostile} {{{{ {hostile} }}}} {hostile}.\n"),
    );
    let summary = format!("# Summary\n\n- [Page](page.md)\n- [Other](<{hostile}.md>)\n");
    write(
        &course,
        &format!("src/{hostile}.md"),
        &format!("```kettle {hostile}\n```\n\nLye {{{{ l{hostile}ye }}}} {hostile} \r here\r\n"),
    );
    write(&course, "src/SUMMARY.md", &summary);
    write(&course, &format!("recipes/{hostile}.toml"), &format!("title = \"{hostile}\"\n\"{hostile}\" = 5\n"));
    for arguments in [
        vec!["check"],
        vec!["check", "--format", "concise"],
        vec!["build"],
        vec!["batch", "plain"],
        vec!["batch", hostile],
    ] {
        let output = shell(&course, &format!("kettlebook {} \"$@\"", arguments.join(" ").replace(hostile, "no")));
        let words = stdout(&output) + &stderr(&output);
        let obeyed = words.chars().find(|it| it.is_control() && *it != '\n' || *it == '\u{202e}');
        assert_eq!(obeyed, None, "{arguments:?}: {words:?}");
        assert!(
            words.contains('␛') || words.contains("U+001B") || arguments.contains(&hostile),
            "{arguments:?}: {words}"
        );
    }
}
