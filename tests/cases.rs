//! Files with mistakes in them, each promising in a comment what must be found in it, and where.
//!
//! A promise stands on the line that it is about: `#~ error[unknown-fat] @9 did you mean`, in Markdown outside blocks
//! `<!--~ error[unknown-value] @9 did you mean -->`. After the severity and the code come, if wanted, the column and
//! words that the message, the label or the help must have. Each `^` after the `~` moves the promise to the line above,
//! each `v` to the line below, for where a comment on the line itself would change what the line means. A file without a
//! promise promises that there is nothing to find.
//!
//! A new case is a new file:
//!
//! | folder | what a file is | what belongs to it |
//! | --- | --- | --- |
//! | `cases/` | a recipe | nothing but the built-in tables |
//! | `cases/tables/` | a table; its name up to the first dot says which one | nothing |
//! | `cases/book/` | a book.toml | nothing |
//! | `cases/pages/` | a lesson page | the course in `pages/course/`; files to include in `pages/included/` |
//! | `cases/courses/` | each folder is a course | its own recipes, tables, templates and pages, read by their names; files to include in `src/included/` |

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use kettlebook::course::{Contents, Course, CourseFiles, LessonFiles, SUMMARY, included_file};
use kettlebook::finding::Finding;
use kettlebook::page::{Form, Lesson, Page};
use kettlebook::source::SourceFile;

/// A book.toml with nothing wrong in it and nothing set.
const BOOK: &str = "[preprocessor.kettle]\ncommand = \"mdbook-kettle\"\n[output.html]\n\
                    additional-css = [\"theme/kettle.css\"]\nadditional-js = [\"theme/kettle.js\"]\n";

/// What was found in some files.
struct Case {
    /// The file's or folder's name without its ending: the name of a constructor in `src/finding/`, or what is tried.
    name: String,
    /// The files that may promise something.
    files: Vec<Arc<SourceFile>>,
    /// Everything that was found.
    findings: Vec<Finding>,
}

/// What a file says must be found in it.
struct Promise {
    /// The line that it is about, counted from 1.
    line_number: usize,
    /// `error[code]`
    severity_and_code: String,
    /// The column, if the promise names one.
    column: Option<usize>,
    /// Words that the finding must have somewhere.
    words: String,
    /// As typed, for telling that it was not kept.
    typed: String,
}

impl Promise {
    fn is_kept_by(&self, finding: &Finding) -> bool {
        let (line_number, column) = finding.place.line_and_column();
        line_number == self.line_number
            && self.severity_and_code == format!("{}[{}]", finding.severity, finding.code)
            && self.column.is_none_or(|it| it == column)
            && [&finding.message, &finding.label]
                .into_iter()
                .chain(&finding.help)
                .any(|it| it.contains(self.words.as_str()))
    }
}

/// The promises of a file.
fn promises(file: &SourceFile) -> Vec<Promise> {
    let mut promises = Vec::new();
    for (line_index, line) in file.text().lines().enumerate() {
        let Some((_, typed)) = line.split_once("<!--~").or_else(|| line.split_once("#~")) else { continue };
        let typed = typed.trim_end().trim_end_matches("-->");
        // A template ends its comment with `#}` and goes on.
        let typed = typed.split("#}").next().unwrap_or_default();
        let (arrows, rest) = typed.split_once(' ').unwrap_or((typed, ""));
        let up = arrows.matches('^').count();
        let down = arrows.matches('v').count();
        assert_eq!(up + down, arrows.len(), "{}: unreadable promise: {line}", file.path());
        let (severity_and_code, rest) = rest.trim().split_once(' ').unwrap_or((rest.trim(), ""));
        let is_readable = severity_and_code.ends_with(']')
            && ["error[", "warning[", "note[", "acknowledged["].iter().any(|it| severity_and_code.starts_with(it));
        assert!(is_readable, "{}: unreadable promise: {line}", file.path());
        let rest = rest.trim();
        let (column, words) = match rest.strip_prefix('@') {
            Some(rest) => {
                let (column, words) = rest.split_once(' ').unwrap_or((rest, ""));
                (Some(column.parse().unwrap_or_else(|_| panic!("{}: no column: {line}", file.path()))), words.trim())
            }
            None => (None, rest),
        };
        promises.push(Promise {
            line_number: line_index + 1 + down - up,
            severity_and_code: severity_and_code.to_owned(),
            column,
            words: words.to_owned(),
            typed: typed.trim().to_owned(),
        });
    }
    promises
}

/// Compares what was found with what was promised; every difference is a line.
fn differences(case: &Case) -> Vec<String> {
    let mut findings = case.findings.clone();
    let mut differences = Vec::new();
    for file in &case.files {
        for promise in promises(file) {
            let kept = findings.iter().position(|it| it.place.file == *file && promise.is_kept_by(it));
            match kept {
                Some(finding_idx) => drop(findings.remove(finding_idx)),
                None => differences.push(format!(
                    "{}: {}:{}: promised but not found: {}",
                    case.name,
                    file.path(),
                    promise.line_number,
                    promise.typed
                )),
            }
        }
    }
    for it in &findings {
        let (line, column) = it.place.line_and_column();
        differences.push(format!(
            "{}: {}:{line}:{column}: found but not promised: {}[{}] {} ({}) {}",
            case.name,
            it.place.file.path(),
            it.severity,
            it.code,
            it.message,
            it.label,
            it.help.as_deref().unwrap_or_default()
        ));
    }
    differences
}

/// Fails on a promise not kept and on a finding not promised, and shows all of them.
#[track_caller]
fn check(cases: &[Case]) {
    assert!(!cases.is_empty(), "no cases");
    let differences: Vec<String> = cases.iter().flat_map(differences).collect();
    assert!(differences.is_empty(), "\n{}", differences.join("\n"));
}

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases")
}

/// The names in a folder, sorted: those that end with `ending`, or the folders where it is empty.
fn names_in(folder: &Path, ending: &str) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap_or_else(|it| panic!("{}: {it}", folder.display()));
    let mut names: Vec<String> = entries
        .map(|it| it.expect("the entry can be read"))
        .filter(|it| it.path().is_dir() == ending.is_empty())
        .map(|it| it.file_name().to_string_lossy().into_owned())
        .filter(|it| it.ends_with(ending))
        .collect();
    names.sort();
    names
}

fn read(path: &str) -> Arc<SourceFile> {
    let bytes = fs::read(folder().join(path)).unwrap_or_else(|it| panic!("{path}: {it}"));
    SourceFile::from_bytes(path, &bytes)
}

/// A course with nothing in it but a book.toml.
fn empty_course() -> CourseFiles {
    CourseFiles {
        book_toml: SourceFile::new("book.toml", BOOK),
        recipes: Vec::new(),
        tables: Vec::new(),
        templates: Vec::new(),
    }
}

/// What is found in a course and its pages, given as paths below `root`.
fn findings_of(root: &str, files: &CourseFiles, pages: &[Arc<SourceFile>]) -> Vec<Finding> {
    let (mut course, mut findings) = Course::new(files);
    findings.extend(course.missing_assets(Form::Html));
    // The folder of the pages as a case about it names it; where links lead is for the programs to find out.
    let typed = files.book_toml.text().split_once("build-dir = \"").and_then(|(_, rest)| rest.split_once('"'));
    let (top, pages_folder) = (Path::new("/above/course"), typed.map_or("book", |it| it.0));
    findings.extend(course.misplaced_pages(top, &top.join("src"), &top.join(pages_folder)));
    let lesson = |file: &Arc<SourceFile>| {
        let id = file.path().rsplit('/').next().unwrap_or_default().to_owned();
        Lesson { title: id.trim_end_matches(".md").to_owned(), part: String::new(), id, file: Arc::clone(file) }
    };
    let lessons: Vec<_> = pages.iter().filter(|it| !it.path().ends_with(SUMMARY)).map(lesson).collect();
    let included = |including: &str, path: &str| included_file(&folder().join(root), root, including, path);
    let (read, of_settings) = course.read_pages(lessons, &included);
    findings.extend(of_settings);
    // Only cases about the list of the lessons have one.
    if pages.iter().any(|it| it.path().ends_with(SUMMARY)) || root.ends_with("no_summary") {
        let src = format!("{root}/src");
        let lessons = LessonFiles::read(&folder().join(&src), &src).expect("the lessons can be read");
        let contents = Contents::of(&lessons, course.place_of_src());
        findings.extend(contents.errors.iter().cloned().chain(contents.loose_ends(&lessons)));
    }
    let mut used = BTreeSet::new();
    for page in &read {
        let rendered = course.render(page, Form::Html);
        findings.extend(rendered.findings);
        used.extend(rendered.recipes);
    }
    if !pages.is_empty() {
        findings.extend(course.unused_recipes(&used));
    }
    findings
}

fn recipe_cases() -> Vec<Case> {
    let case = |name: String| {
        let file = read(&name);
        let files = CourseFiles { recipes: vec![Arc::clone(&file)], ..empty_course() };
        Case {
            name: name.trim_end_matches(".toml").to_owned(),
            findings: findings_of("", &files, &[]),
            files: vec![file],
        }
    };
    names_in(&folder(), ".toml").into_iter().map(case).collect()
}

fn table_cases() -> Vec<Case> {
    let case = |name: String| {
        let (table, rest) = name.split_once('.').expect("a name such as fats.no_source.toml");
        let text = fs::read_to_string(folder().join("tables").join(&name)).expect("the case can be read");
        let file = SourceFile::new(format!("tables/{table}.toml"), text);
        let files = CourseFiles { tables: vec![Arc::clone(&file)], ..empty_course() };
        Case {
            name: rest.trim_end_matches(".toml").to_owned(),
            findings: findings_of("", &files, &[]),
            files: vec![file],
        }
    };
    names_in(&folder().join("tables"), ".toml").into_iter().map(case).collect()
}

fn book_cases() -> Vec<Case> {
    let case = |name: String| {
        let file = read(&format!("book/{name}"));
        let files = CourseFiles { book_toml: Arc::clone(&file), ..empty_course() };
        Case {
            name: name.trim_end_matches(".toml").to_owned(),
            findings: findings_of("", &files, &[]),
            files: vec![file],
        }
    };
    names_in(&folder().join("book"), ".toml").into_iter().map(case).collect()
}

/// The pages of the course in `pages/course/`, each on its own, and that course as a case of its own.
fn page_cases() -> Vec<Case> {
    let files = CourseFiles::read(&folder().join("pages/course"), "pages/course").expect("the course can be read");
    let (course, findings) = Course::new(&files);
    let course_case = Case { name: "course".into(), findings, files: files.recipes.clone() };
    let included: Vec<_> = names_in(&folder().join("pages/included"), ".md")
        .iter()
        .map(|it| read(&format!("pages/included/{it}")))
        .collect();
    let case = |name: String| {
        let file = read(&format!("pages/{name}"));
        let included_at =
            |including: &str, path: &str| included_file(&folder().join("pages"), "pages", including, path);
        let lesson = Lesson { id: "page".into(), title: "Page".into(), part: String::new(), file: Arc::clone(&file) };
        let findings = course.render(&Page::read(lesson, &included_at), Form::Html).findings;
        // An included file keeps its promises on every page that includes it.
        let mut files = vec![Arc::clone(&file)];
        let mut file_idx = 0;
        while file_idx < files.len() {
            let text = files[file_idx].text().to_owned();
            for it in &included {
                let name = it.path().trim_start_matches("pages/");
                if text.contains(&format!("{name}}}}}")) && !files.contains(it) {
                    files.push(Arc::clone(it));
                }
            }
            file_idx += 1;
        }
        Case { name: name.trim_end_matches(".md").to_owned(), findings, files }
    };
    let pages = names_in(&folder().join("pages"), ".md").into_iter().map(case);
    pages.chain([course_case]).collect()
}

fn course_cases() -> Vec<Case> {
    let case = |name: String| {
        let root = format!("courses/{name}");
        let files = CourseFiles::read(&folder().join(&root), &root).expect("the course can be read");
        let pages: Vec<_> = names_in(&folder().join(&root).join("src"), ".md")
            .iter()
            .map(|it| read(&format!("{root}/src/{it}")))
            .collect();
        let findings = findings_of(&root, &files, &pages);
        let mut all = vec![Arc::clone(&files.book_toml)];
        all.extend(files.recipes.iter().chain(&files.tables).chain(&files.templates).cloned());
        all.extend(pages);
        let included = folder().join(&root).join("src/included");
        if included.is_dir() {
            all.extend(names_in(&included, ".md").iter().map(|it| read(&format!("{root}/src/included/{it}"))));
        }
        Case { name, findings, files: all }
    };
    names_in(&folder().join("courses"), "").into_iter().map(case).collect()
}

#[test]
fn recipes_say_what_is_wrong_with_them_and_where() {
    check(&recipe_cases());
}

#[test]
fn tables_say_what_is_wrong_with_them_and_where() {
    check(&table_cases());
}

#[test]
fn settings_say_what_is_wrong_with_them_and_where() {
    check(&book_cases());
}

#[test]
fn pages_say_what_is_wrong_with_them_and_where() {
    check(&page_cases());
}

#[test]
fn courses_say_what_is_wrong_with_them_and_where() {
    check(&course_cases());
}

/// The code of all constructors, one file after the other.
fn words_of_findings() -> String {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/finding");
    let files = fs::read_dir(folder).expect("src/finding can be read");
    let text = |it: std::io::Result<fs::DirEntry>| fs::read_to_string(it.expect("a file").path()).expect("a text");
    files.map(text).collect()
}

/// The constructors in `src/finding/` with the codes that they give.
fn constructors() -> Vec<(String, String)> {
    let text = words_of_findings();
    let mut constructors = Vec::new();
    for chunk in text.split("pub fn ").skip(1) {
        let makes = ["Finding::error(", "Finding::warning(", "Finding::note("];
        let Some(after) = makes.iter().find_map(|it| chunk.split_once(it)).map(|(_, after)| after) else { continue };
        let name = chunk.split(['(', '<']).next().unwrap_or_default();
        let code = after.split('"').nth(1).unwrap_or_default();
        constructors.push((name.to_owned(), code.to_owned()));
    }
    constructors
}

#[test]
fn every_constructor_of_a_finding_has_a_case_of_its_name_that_promises_its_code() {
    let constructors = constructors();
    let text = words_of_findings();
    let n_made = ["error", "warning", "note"].map(|it| text.matches(&format!("Finding::{it}(")).count());
    // Those that are no constructor of a code: `warning` and `note` themselves are made from `error`.
    assert_eq!(constructors.len(), n_made.iter().sum::<usize>() - 2, "a constructor was not seen: {constructors:?}");
    let cases: Vec<Case> =
        [recipe_cases(), table_cases(), book_cases(), page_cases(), course_cases()].into_iter().flatten().collect();
    let mut missing = Vec::new();
    // What only a student can set wrong, on the page, has its test in `tests/own.rs`.
    for (name, code) in constructors.iter().filter(|(name, _)| name != "size_does_not_follow") {
        let wanted = format!("[{code}]");
        let has_case = cases.iter().filter(|it| it.name == *name).any(|case| {
            case.files.iter().any(|file| promises(file).iter().any(|it| it.severity_and_code.ends_with(&wanted)))
        });
        if !has_case {
            missing.push(format!("{name} [{code}]"));
        }
    }
    assert!(missing.is_empty(), "no case in tests/cases for:\n{}", missing.join("\n"));
}

#[test]
fn every_promised_code_is_a_code_of_a_finding() {
    let codes: BTreeSet<String> = constructors().into_iter().map(|(_, code)| code).collect();
    for case in [recipe_cases(), table_cases(), book_cases(), page_cases(), course_cases()].into_iter().flatten() {
        for promise in case.files.iter().flat_map(|it| promises(it)) {
            let code = promise.severity_and_code.split(['[', ']']).nth(1).unwrap_or_default();
            assert!(codes.contains(code), "{}: no finding has the code {code}", case.name);
        }
    }
}
