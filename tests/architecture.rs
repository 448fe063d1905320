//! Layers, invariants and the map in DEVELOPERS.md: most are absences, which nobody sees by reading code.

mod architecture {
    mod licences;
}

use std::fs;
use std::path::{Path, PathBuf};

/// The modules of the library, bottom first. A module may name its own layer and lower ones.
const LAYERS: [&[&str]; 8] = [
    &["units", "show", "source", "prose", "finding", "reader"],
    &["tables"],
    &["recipe"],
    &["batch"],
    &["ledger"],
    &["rules"],
    &["page"],
    &["course", "report", "sheet"],
];

/// The highest layer that may not touch the world outside.
const HIGHEST_PURE_LAYER: usize = 6;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).to_owned()
}

/// A Rust file with its path below the repository and what is code in it.
struct RustFile {
    path: String,
    code: Vec<CodeLine>,
}

/// A line without comments and without what stands in quotes.
struct CodeLine {
    number: usize,
    text: String,
}

/// The Rust files below a folder of the repository, sorted.
fn rust_files(folder: &str) -> Vec<RustFile> {
    let mut paths = Vec::new();
    collect(&root().join(folder), &mut paths);
    paths.sort();
    assert!(!paths.is_empty(), "no Rust files in {folder}");
    let read = |path: PathBuf| {
        let text = fs::read_to_string(&path).expect("the file can be read");
        let shown = path.strip_prefix(root()).expect("below the root").to_string_lossy().replace('\\', "/");
        RustFile { path: shown, code: code_of(&text) }
    };
    paths.into_iter().map(read).collect()
}

fn collect(folder: &Path, paths: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).unwrap_or_else(|it| panic!("{}: {it}", folder.display())) {
        let path = entry.expect("the entry can be read").path();
        if path.is_dir() {
            collect(&path, paths);
        } else if path.extension().is_some_and(|it| it == "rs") {
            paths.push(path);
        }
    }
}

/// The code of a file: no comments, no texts, no raw texts, so that a word in them is no name.
fn code_of(text: &str) -> Vec<CodeLine> {
    let mut code = vec![CodeLine { number: 1, text: String::new() }];
    let mut rest = text;
    let add = |piece: &str, is_code: bool, code: &mut Vec<CodeLine>| {
        for it in piece.chars() {
            let number = code.len();
            match it {
                '\n' => code.push(CodeLine { number: number + 1, text: String::new() }),
                it if is_code => code[number - 1].text.push(it),
                _ => {}
            }
        }
    };
    while let Some(first) = rest.chars().next() {
        let raw_hashes = rest.strip_prefix('r').map(|it| it.chars().take_while(|it| *it == '#').count());
        let length = if rest.starts_with("//") {
            rest.find('\n').unwrap_or(rest.len())
        } else if rest.starts_with("/*") {
            rest.find("*/").map_or(rest.len(), |it| it + 2)
        } else if let Some(hashes) = raw_hashes.filter(|it| rest[1 + it..].starts_with('"')) {
            let end = format!("\"{}", "#".repeat(hashes));
            rest[2 + hashes..].find(&end).map_or(rest.len(), |it| 2 + hashes + it + end.len())
        } else if first == '"' {
            let mut escaped = false;
            let end = rest[1..].find(|it: char| {
                let is_end = it == '"' && !escaped;
                escaped = it == '\\' && !escaped;
                is_end
            });
            end.map_or(rest.len(), |it| it + 2)
        } else if rest.starts_with("'\"'") || rest.starts_with("'\\\"'") {
            // A quotation mark as a character opens no text.
            rest[1..].find('\'').map_or(rest.len(), |it| it + 2)
        } else {
            add(&rest[..first.len_utf8()], true, &mut code);
            rest = &rest[first.len_utf8()..];
            continue;
        };
        add(&rest[..length], false, &mut code);
        rest = &rest[length..];
    }
    code
}

/// The module of the library that a file belongs to, such as `batch`; `lib` for the front door.
fn module_of(path: &str) -> &str {
    let below = path.strip_prefix("src/").expect("a file of the library");
    below.split('/').next().unwrap_or_default().trim_end_matches(".rs")
}

fn layer_of(module: &str) -> Option<usize> {
    LAYERS.iter().position(|it| it.contains(&module))
}

/// Fails with every line that `is_wrong` gives a reason for.
#[track_caller]
fn check(files: &[RustFile], is_wrong: &dyn Fn(&RustFile, &CodeLine) -> Option<String>) {
    let mut wrong = Vec::new();
    for file in files {
        for line in &file.code {
            if let Some(why) = is_wrong(file, line) {
                wrong.push(format!("{}:{}: {why}: {}", file.path, line.number, line.text.trim()));
            }
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

/// Whether `text` has `word` as a whole word.
fn has_word(text: &str, word: &str) -> bool {
    let is_name = |it: char| it.is_alphanumeric() || it == '_';
    text.match_indices(word)
        .any(|(at, _)| !text[..at].ends_with(is_name) && !text[at + word.len()..].starts_with(is_name))
}

#[test]
fn every_module_has_a_layer() {
    for file in rust_files("src") {
        let module = module_of(&file.path);
        assert!(module == "lib" || layer_of(module).is_some(), "{}: no layer for `{module}`", file.path);
    }
    for module in LAYERS.iter().copied().flatten() {
        let path = root().join("src").join(module);
        assert!(path.is_dir() || path.with_extension("rs").is_file(), "there is no module `{module}`");
    }
}

#[test]
fn no_layer_names_a_layer_above_it() {
    let files: Vec<RustFile> = rust_files("src").into_iter().filter(|it| module_of(&it.path) != "lib").collect();
    check(&files, &|file, line| {
        let level = layer_of(module_of(&file.path)).expect("every module has a layer");
        LAYERS[level + 1..].iter().copied().flatten().find_map(|above| {
            has_word(&line.text, &format!("crate::{above}")).then(|| format!("reaches up to `{above}`"))
        })
    });
}

#[test]
fn no_path_goes_round_the_check_of_the_layers() {
    let files: Vec<RustFile> = rust_files("src").into_iter().filter(|it| module_of(&it.path) != "lib").collect();
    check(&files, &|file, line| {
        let text = &line.text;
        // `use crate::{...}` and `use crate as ...` would hide which layer is meant.
        if text.contains("crate::{") || text.contains("crate as ") || text.contains("crate::*") {
            return Some("name each module of the crate in a line of its own".into());
        }
        if has_word(text, "kettlebook") || text.contains("extern crate") {
            return Some("the library names itself".into());
        }
        // From `src/a/b/c.rs`, three times `super` is the crate itself. A module inside the file is one deeper.
        let below = file.path.trim_start_matches("src/").trim_end_matches(".rs").trim_end_matches("/mod");
        let is_inside = |it: &&CodeLine| it.number < line.number && it.text.trim_start().starts_with("mod tests {");
        let depth = below.split('/').count() + usize::from(file.code.iter().any(|it| is_inside(&it)));
        let supers = "super::".repeat(depth);
        text.contains(&supers).then(|| "climbs out of its module to the crate".into())
    });
}

#[test]
fn below_the_course_nothing_touches_the_world() {
    let files: Vec<RustFile> = rust_files("src")
        .into_iter()
        .filter(|it| {
            layer_of(module_of(&it.path)).is_some_and(|it| it <= HIGHEST_PURE_LAYER) || it.path == "src/lib.rs"
        })
        .collect();
    assert!(files.len() > 30, "{} files", files.len());
    check(&files, &worldly);
}

/// `report/` only makes texts, and of `course/` only `load.rs` opens files.
#[test]
fn one_file_of_the_library_touches_the_world() {
    let files: Vec<RustFile> = rust_files("src").into_iter().filter(|it| it.path != "src/course/load.rs").collect();
    check(&files, &worldly);
    check(&rust_files("src"), &|_, line| {
        let banned = ["std::env", "std::time", "std::process", "std::net", "std::thread", "SystemTime", "Instant"];
        let printed = ["println!", "print!", "eprintln!", "eprint!", "dbg!"];
        banned.iter().chain(&printed).find(|it| line.text.contains(**it)).map(|it| format!("uses `{it}`"))
    });
}

fn worldly(_: &RustFile, line: &CodeLine) -> Option<String> {
    let banned = [
        "std::fs",
        "std::env",
        "std::time",
        "std::io",
        "std::process",
        "std::net",
        "std::thread",
        "std::{",
        "std::os",
        "SystemTime",
        "Instant",
        "println!",
        "print!",
        "eprintln!",
        "eprint!",
        "dbg!",
        "env!(",
        "include_bytes!",
    ];
    // `include_str!` reads while compiling, and `format!` is no printing.
    banned.iter().find(|it| line.text.contains(**it)).map(|it| format!("uses `{it}`"))
}

#[test]
fn only_the_adapter_knows_mdbook() {
    let names = |text: &str| -> Vec<String> {
        let words = text.split(|it: char| !(it.is_alphanumeric() || it == '_' || it == '-'));
        words.filter(|it| it.starts_with("mdbook_") || it.starts_with("mdbook-")).map(str::to_owned).collect()
    };
    check(&rust_files("src"), &|_, line| {
        names(&line.text).into_iter().find(|it| it != "mdbook_markdown").map(|it| format!("knows `{it}`"))
    });
    // The same for what the library's manifest asks for; the workspace lists what its members share.
    let manifest = fs::read_to_string(root().join("Cargo.toml")).expect("the manifest can be read");
    let dependencies = manifest.split("\n[dependencies]\n").nth(1).expect("the library has dependencies");
    let dependencies = dependencies.split("\n[").next().unwrap_or_default();
    let known = names(dependencies);
    assert_eq!(known, ["mdbook-markdown"]);
    // And the adapter is where it is known: the rule above is about something.
    let adapter = rust_files("preprocessors");
    assert!(adapter.iter().flat_map(|it| &it.code).any(|it| it.text.contains("mdbook_preprocessor")));
}

/// Same input, same bytes: what has no order of its own would print in another one each time.
#[test]
fn nothing_is_kept_without_an_order() {
    for folder in ["src", "preprocessors"] {
        check(&rust_files(folder), &|_, line| {
            ["HashMap", "HashSet", "RandomState"]
                .into_iter()
                .find(|it| line.text.contains(it))
                .map(|it| format!("uses `{it}`"))
        });
    }
}

/// Every path in backticks in DEVELOPERS.md is there.
#[test]
fn the_map_names_what_exists() {
    let text = fs::read_to_string(root().join("DEVELOPERS.md")).expect("DEVELOPERS.md is there");
    let mut n_paths = 0;
    let mut absent = Vec::new();
    for (line_index, line) in text.lines().enumerate() {
        for word in line.split('`').skip(1).step_by(2).filter(|it| looks_like_a_path(it)) {
            n_paths += 1;
            if !root().join(word).exists() {
                absent.push(format!("DEVELOPERS.md:{}: there is no `{word}`", line_index + 1));
            }
        }
    }
    assert!(n_paths >= 20, "only {n_paths} paths found");
    assert!(absent.is_empty(), "\n{}", absent.join("\n"));
}

/// Whether a word in backticks means a file or folder of the repository: it has a slash, or is a file at the top.
fn looks_like_a_path(word: &str) -> bool {
    let is_plain = word.chars().all(|it| it.is_ascii_alphanumeric() || "._-/".contains(it));
    let is_top_file = ["Cargo.toml", "Cargo.lock", "README.md", "DEVELOPERS.md", "rustfmt.toml"].contains(&word);
    // What builds and tests leave behind is there only after a run.
    is_plain && (word.contains('/') && !word.starts_with('/') && !word.starts_with("target/") || is_top_file)
}

#[test]
fn the_scan_sees_code_and_nothing_else() {
    let code = code_of(
        "let a = \"crate::page // \\\" \"; // crate::page\nuse crate::page; /* std::fs\n */ b('\"', r#\"std::fs\"#);\n",
    );
    let lines: Vec<&str> = code.iter().map(|it| it.text.as_str()).collect();
    assert_eq!(lines, ["let a = ; ", "use crate::page; ", " b(, );", ""]);
    assert!(has_word("use crate::page;", "crate::page") && !has_word("use crate::pages;", "crate::page"));
    assert!(looks_like_a_path("src/units.rs") && looks_like_a_path("src/rules/") && !looks_like_a_path("units.rs"));
}
