//! The instructor's chapter on the rules, made from the heads of their files.
//!
//! To write the chapter anew after a rule was added or reworded: `KETTLEBOOK_WRITE=1 cargo test --test reference`.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

use kettlebook::rules::{MAY_BE_MEANT, NEVER_MEANT};

const CHAPTER: &str = "course/src/instructor/rules.md";

/// The sections that the head of every rule has, in this order, with what the chapter calls them.
const SECTIONS: [(&str, &str); 4] = [
    ("What it finds", ""),
    ("Why it matters", "**Why it matters.** "),
    ("Example", "**Example:** "),
    ("Source", "**Source:** "),
];

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn read(path: &Path) -> String {
    fs::read_to_string(path).unwrap_or_else(|error| panic!("{}: {error}", path.display())).replace("\r\n", "\n")
}

fn rust_files(folder: &str) -> Vec<PathBuf> {
    let entries = fs::read_dir(root().join(folder)).expect("the folder can be read");
    // A rule of several files is a folder.
    let file_of = |path: PathBuf| if path.is_dir() { path.join("mod.rs") } else { path };
    let mut files: Vec<PathBuf> = entries.map(|it| file_of(it.expect("an entry").path())).collect();
    files.retain(|it| it.extension().is_some_and(|it| it == "rs"));
    files.sort();
    files
}

/// A finding as its constructor has it.
struct Constructor {
    severity: String,
    code: String,
    /// The first line of its documentation.
    words: String,
}

/// The findings by the names of their constructors.
fn constructors() -> BTreeMap<String, Constructor> {
    let mut found = BTreeMap::new();
    // mod.rs holds what all findings share, and no constructor.
    for path in rust_files("src/finding").into_iter().filter(|it| !it.ends_with("mod.rs")) {
        let text = read(&path);
        let mut name = String::new();
        let mut severity = None;
        let (mut words, mut in_words) = (String::new(), false);
        for line in text.lines() {
            let line = line.trim();
            let it = line.strip_prefix("/// ");
            if let (Some(it), false) = (it, in_words) {
                it.clone_into(&mut words);
            }
            in_words = it.is_some();
            if let Some(rest) = line.strip_prefix("pub fn ") {
                name = rest.split('(').next().unwrap_or_default().to_owned();
                severity = None;
            }
            for it in ["error", "warning", "note"] {
                if line.contains(&format!("Finding::{it}(")) {
                    severity = Some(it);
                }
            }
            // The code stands after the severity, on its line or on the next.
            let code = line.split('"').nth(1).filter(|it| it.contains('-') && !it.contains(' '));
            if let (Some(severity), Some(code)) = (severity, code) {
                let (severity, code) = (severity.to_owned(), code.to_owned());
                found.entry(name.clone()).or_insert(Constructor { severity, code, words: words.clone() });
            }
        }
    }
    found
}

/// The head of a file by its sections, each in one paragraph; `None` for a file that is no rule.
fn sections(text: &str) -> Option<BTreeMap<String, String>> {
    let mut sections: BTreeMap<String, String> = BTreeMap::new();
    let mut heading = None;
    for line in text.lines().map_while(|it| it.strip_prefix("//!")) {
        let line = line.trim();
        if let Some(it) = line.strip_prefix("# ") {
            heading = Some(it.to_owned());
        } else if let Some(heading) = &heading {
            let section = sections.entry(heading.clone()).or_default();
            if line.is_empty() && !section.is_empty() {
                section.push_str("\n\n");
            } else if !line.is_empty() {
                let joined = if section.is_empty() || section.ends_with('\n') { "" } else { " " };
                let _ = write!(section, "{joined}{line}");
            }
        }
    }
    (!sections.is_empty()).then_some(sections)
}

/// The chapter as the rules say it.
fn chapter() -> String {
    let constructors = constructors();
    let mut text = "<!-- Made from the heads of src/rules/*.rs; see tests/reference.rs. Changes made here are lost. -->\n\n\
        # What Kettlebook looks for\n\n\
        Besides slips of the pen in a file, Kettlebook looks at what a recipe or a page comes to. These are its rules. An\n\
        **error** stops the build. A **warning** lets you look again; where it concerns your students, they see it in words\n\
        of their own beside the step. A **note** is good to know. How a warning that you mean is acknowledged stands in\n\
        [Recipe files](recipes.md); limits stand in the table `limits.toml`.\n"
        .to_owned();
    let mut rules: Vec<(String, String)> = Vec::new();
    for path in rust_files("src/rules") {
        let source = read(&path);
        let Some(sections) = sections(&source) else { continue };
        let mut codes: Vec<&Constructor> = Vec::new();
        for used in source.split("Finding::").skip(1) {
            let name = used.split(|it: char| !(it.is_alphanumeric() || it == '_')).next().unwrap_or_default();
            if let Some(code) = constructors.get(name).filter(|it| codes.iter().all(|other| other.code != it.code)) {
                codes.push(code);
            }
        }
        assert!(!codes.is_empty(), "{}: a rule that finds nothing", path.display());
        assert_eq!(codes.len(), 1, "{}: one rule, one code", path.display());
        let mut rule = format!("\n## `{}`\n\n*{}*\n", codes[0].code, codes[0].severity);
        for (heading, words) in SECTIONS {
            let section = sections.get(heading).unwrap_or_else(|| panic!("{}: no `# {heading}`", path.display()));
            let _ = write!(rule, "\n{words}{}\n", section.trim());
        }
        rules.push((codes[0].code.clone(), rule));
    }
    rules.sort();
    for (_, rule) in &rules {
        text.push_str(rule);
    }
    text.push_str(
        "\n## Slips\n\nWhat cannot be read, is not there, or contradicts itself is told where it stands:\n\n\
         | Code | How bad | What it is |\n| --- | --- | --- |\n",
    );
    let slips = constructors.iter().filter(|(_, it)| rules.iter().all(|(code, _)| *code != it.code));
    let mut slips: Vec<_> = slips
        .map(|(name, it)| {
            let line = format!("| `{}` | {} | {} |\n", it.code, it.severity, it.words.trim_end_matches('.'));
            (&it.code, name.replace('_', "-") != it.code, line)
        })
        .collect();
    slips.sort();
    // Several constructors may tell of the same thing; the table tells of it once, in the words of the one named so.
    slips.dedup_by_key(|it| it.0);
    let slips: Vec<String> = slips.into_iter().map(|it| it.2).collect();
    text.push_str(&slips.concat());
    text
}

#[test]
fn the_chapter_on_the_rules_says_what_the_rules_say() {
    let wanted = chapter();
    let path = root().join(CHAPTER);
    if std::env::var_os("KETTLEBOOK_WRITE").is_some() {
        fs::write(&path, &wanted).expect("the chapter can be written");
    }
    assert!(
        read(&path) == wanted,
        "{CHAPTER} is stale: write it anew with  KETTLEBOOK_WRITE=1 cargo test --test reference"
    );
}

#[test]
fn every_rule_is_in_the_chapter_with_a_code_of_its_own() {
    let (chapter, constructors) = (chapter(), constructors());
    assert!(constructors.len() > 60, "{} constructors", constructors.len());
    let found = &constructors["superfat_below_zero"];
    assert_eq!((found.severity.as_str(), found.code.as_str()), ("error", "superfat-below-zero"));
    assert_eq!(found.words, "More alkali than the fats can take.");
    let headings: Vec<&str> = chapter.lines().filter(|it| it.starts_with("## ")).collect();
    let mut once = headings.clone();
    once.dedup();
    assert!(headings == once && headings.len() >= 17, "{headings:#?}");
}

#[test]
fn every_rule_about_recipes_says_whether_its_finding_may_be_meant() {
    let constructors = constructors();
    let (mut may_be, mut never) = (Vec::new(), Vec::new());
    for path in rust_files("src/rules") {
        let source = read(&path);
        if !source.contains("fn check(ledger: &Ledger, ") || sections(&source).is_none() {
            continue;
        }
        let uses = |name: &str| source.contains(&format!("Finding::{name}("));
        for (_, it) in constructors.iter().filter(|(name, _)| uses(name)) {
            if it.severity == "error" { never.push(it.code.as_str()) } else { may_be.push(it.code.as_str()) }
        }
    }
    for codes in [&mut may_be, &mut never] {
        codes.sort_unstable();
        codes.dedup();
    }
    assert_eq!(may_be, MAY_BE_MEANT);
    assert_eq!(never, NEVER_MEANT);
}
