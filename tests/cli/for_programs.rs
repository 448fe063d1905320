//! What other programs read of a check: exit codes, marks for GitHub, SARIF.

use std::fs;
use std::path::Path;

use serde_json::Value;

use crate::{PLAIN, demo_course, edit, kettlebook, repository, small_course, stderr, stdout, write};

/// A page that shows the recipe, with its cautions.
const PAGE: &str = "```kettle safety\n```\n\n```kettle recipe\nuse = \"plain\"\n```\n";

/// Common practice for a bar is less, which is a warning.
fn fatty() -> String {
    PLAIN.replace("superfat = 5", "superfat = 30")
}

fn code(course: &Path, arguments: &[&str]) -> Option<i32> {
    kettlebook(course, arguments).status.code()
}

#[test]
fn what_is_denied_has_an_exit_code_of_its_own() {
    let (_folder, course) = small_course(PAGE, PLAIN);
    assert_eq!(code(&course, &["check", "--deny", "notes"]), Some(0), "nothing is wrong");
    write(&course, "recipes/spare.toml", &PLAIN.replace("Plain", "Spare"));
    let codes = |it: &Path| {
        [&["check"][..], &["check", "--deny", "warnings"], &["check", "--deny", "notes"]].map(|asked| code(it, asked))
    };
    assert_eq!(codes(&course), [Some(0), Some(0), Some(2)], "a recipe that nobody uses is a note");
    write(&course, "recipes/plain.toml", &fatty());
    assert_eq!(codes(&course), [Some(0), Some(2), Some(2)], "and much superfat a warning");
    fs::remove_file(course.join("recipes/spare.toml")).expect("it was there");
    let meant = "\n[[acknowledged]]\nfinding = \"superfat-unusual\"\nbecause = \"a bar for the laundry\"\n";
    write(&course, "recipes/plain.toml", &(fatty() + meant));
    assert_eq!(
        codes(&course),
        [Some(0); 3],
        "what is meant is not denied: {}",
        stderr(&kettlebook(&course, &["check"]))
    );
    write(&course, "recipes/plain.toml", &PLAIN.replace("superfat = 5", "superfat = -5"));
    assert_eq!(codes(&course), [Some(1); 3], "an error comes first");
    assert_eq!(code(&course, &["check", "nowhere", "--deny", "notes"]), Some(1));
}

#[test]
fn a_job_on_github_is_shown_the_places() {
    let (_folder, course) = small_course(PAGE, &fatty());
    write(&course, "recipes/100 %, really.toml", "title = \"Off\"\n");
    let output = kettlebook(&course, &["check", "--format", "github"]);
    assert_eq!(stderr(&output), "");
    let text = stdout(&output);
    let warning = text.lines().find(|it| it.starts_with("::warning ")).expect("a warning");
    assert!(warning.starts_with("::warning file=course/recipes/plain.toml,line=3,col=12,endLine=3,endColumn=14,title=superfat-unusual::superfat is "), "{warning}");
    // What would end a property or begin another is written as the documentation asks.
    assert!(text.contains("::error file=course/recipes/100 %25%2C really.toml,line=1,"), "{text}");
    assert!(!text.contains("30 %;") && text.contains("30 %25"), "{text}");
    // All of a build's own words go elsewhere.
    write(&course, "recipes/plain.toml", PLAIN);
    fs::remove_file(course.join("recipes/100 %, really.toml")).expect("it was there");
    let output = kettlebook(&course, &["build", "--format", "github"]);
    assert_eq!((output.status.code(), stdout(&output)), (Some(0), String::new()));
    assert!(stderr(&output).contains("The course is ready"));
}

/// Source of the schema: OASIS, "Static Analysis Results Format (SARIF) Version 2.1.0 JSON Schema", read in the package
/// serde-sarif 0.8.0.
#[test]
fn sarif_keeps_to_its_schema_and_says_what_the_json_says() {
    let schema = fs::read_to_string(repository().join("tests/outside/sarif-schema-2.1.0.json")).expect("the schema");
    // A bracket too many in the pattern of languages keeps it from being one; a language is nothing that we state.
    let (slip, mended) = ("|^[a-zA-Z]{2}-[a-zA-Z]{2}]?$", "|^[a-zA-Z]{2}-[a-zA-Z]{2}$");
    assert_eq!(schema.matches(slip).count(), 2);
    let schema: Value = serde_json::from_str(&schema.replace(slip, mended)).expect("JSON");
    let validator = jsonschema::validator_for(&schema).expect("a schema");
    let (_folder, course) = demo_course();
    edit(&course, "recipes/quay-plain.toml", "superfat = 5\n", "superfat = 30 # \u{1d11e} \u{00e9}\n");
    edit(&course, "recipes/deck-soap.toml", "superfat = 3", "superfat = -3");
    let asked = |format: &str| -> Value {
        let output = kettlebook(&course, &["check", "--format", format]);
        assert_eq!(output.status.code(), Some(1));
        serde_json::from_slice(&output.stdout).expect("JSON")
    };
    let (sarif, json) = (asked("sarif"), asked("json"));
    assert_eq!(validator.iter_errors(&sarif).map(|it| it.to_string()).collect::<Vec<_>>(), [""; 0]);
    assert!(
        !validator.is_valid(&serde_json::json!({ "version": "2.1.0", "runs": [{}] })),
        "the schema asks for something"
    );
    let run = &sarif["runs"][0];
    let results = run["results"].as_array().expect("results");
    let findings = json["findings"].as_array().expect("findings");
    assert!(results.len() == findings.len() && results.len() > 5, "{}", results.len());
    for (result, finding) in results.iter().zip(findings) {
        let place = &result["locations"][0]["physicalLocation"];
        let told = [
            &result["ruleId"],
            &place["artifactLocation"]["uri"],
            &place["region"]["startLine"],
            &place["region"]["startColumn"],
        ];
        assert_eq!(told, ["code", "path", "line", "column"].map(|it| &finding[it]));
        let (level, is_meant) = match finding["severity"].as_str() {
            Some("acknowledged") => ("note", true),
            Some(other) => (other, false),
            None => panic!("{finding}"),
        };
        assert_eq!(
            (&result["level"], result["suppressions"] == serde_json::json!([{ "kind": "inSource" }])),
            (&Value::from(level), is_meant)
        );
        assert!(
            result["message"]["text"]
                .as_str()
                .is_some_and(|it| it.starts_with(finding["message"].as_str().unwrap_or("-")))
        );
        assert!(
            run["tool"]["driver"]["rules"]
                .as_array()
                .is_some_and(|it| it.iter().any(|rule| rule["id"] == finding["code"]))
        );
    }
    assert!(findings.iter().any(|it| it["severity"] == "acknowledged"), "the demo course means some");
    // Characters, not bytes or halves of them, as the run says.
    assert_eq!(run["columnKind"], "unicodeCodePoints");
}
