//! What may be built in: every package that `Cargo.lock` brings on this system has a licence of `.cargo/deny.toml`, and
//! comes from the registry. `cargo deny` checks the same and more, where it is installed.

use std::collections::BTreeMap;
use std::fs;
use std::process::Command;

use serde::Deserialize;
use spdx::{Expression, ParseMode};

use crate::root;

#[derive(Deserialize)]
struct Rules {
    licenses: Licences,
}

#[derive(Deserialize)]
struct Licences {
    allow: Vec<String>,
    exceptions: Vec<Exception>,
}

#[derive(Deserialize)]
struct Exception {
    #[serde(rename = "crate")]
    package: String,
    allow: Vec<String>,
}

/// What `cargo metadata` says, as far as it is asked here.
#[derive(Deserialize)]
struct Metadata {
    packages: Vec<Package>,
}

#[derive(Deserialize)]
struct Package {
    name: String,
    license: Option<String>,
    /// Nothing for a folder of this repository.
    source: Option<String>,
}

fn rules() -> Licences {
    let text = fs::read_to_string(root().join(".cargo/deny.toml")).expect("the rules can be read");
    toml::from_str::<Rules>(&text).expect("the rules are TOML").licenses
}

/// The packages of this system, for nothing else is downloaded by a build, and tests use no network.
fn packages() -> Vec<Package> {
    let run = |command: &mut Command| -> Vec<u8> {
        let output = command.current_dir(root()).output().expect("it runs");
        assert!(output.status.success(), "{command:?}: {}", String::from_utf8_lossy(&output.stderr));
        output.stdout
    };
    let host = run(Command::new("rustc").args(["--print", "host-tuple"]));
    let metadata = run(Command::new(env!("CARGO")).args([
        "metadata",
        "--format-version=1",
        "--locked",
        "--offline",
        "--filter-platform",
        String::from_utf8_lossy(&host).trim(),
    ]));
    serde_json::from_slice::<Metadata>(&metadata).expect("cargo writes JSON").packages
}

/// Whether a package of this licence may be used.
fn is_allowed(licence: &str, allow: &[String]) -> bool {
    // Old packages write a slash for OR.
    let expression = Expression::parse_mode(licence, ParseMode::LAX);
    expression.is_ok_and(|it| it.evaluate(|asked| allow.contains(&asked.to_string())))
}

#[test]
fn every_package_has_a_licence_of_the_list_and_comes_from_the_registry() {
    let Licences { allow, exceptions } = rules();
    let exceptions: BTreeMap<String, Vec<String>> =
        exceptions.into_iter().map(|it| (it.package, [allow.clone(), it.allow].concat())).collect();
    let packages = packages();
    assert!(packages.iter().any(|it| it.name == "kettlebook") && packages.len() > 50, "{} packages", packages.len());
    for Package { name, license, source } in &packages {
        let licence = license.as_deref().unwrap_or_else(|| panic!("{name} states no licence"));
        assert!(is_allowed(licence, exceptions.get(name).unwrap_or(&allow)), "{name} has the licence {licence}");
        assert!(source.as_ref().is_none_or(|it| it.starts_with("registry+")), "{name} comes from {source:?}");
    }
    for name in exceptions.keys() {
        assert!(packages.iter().any(|it| it.name == *name), "an exception for {name}, which is not used");
    }
}

#[test]
fn a_licence_that_is_not_on_the_list_is_refused() {
    let allow = ["MIT", "Apache-2.0 WITH LLVM-exception"].map(str::to_owned);
    for (licence, allowed) in [
        ("MIT", true),
        ("MIT OR GPL-3.0-only", true),
        ("GPL-3.0-only/MIT", true),
        ("(GPL-3.0-only OR MIT) AND MIT", true),
        ("Apache-2.0 WITH LLVM-exception", true),
        ("Apache-2.0", false),
        ("MIT AND GPL-3.0-only", false),
        ("GPL-3.0-only", false),
        ("no licence at all", false),
    ] {
        assert_eq!(is_allowed(licence, &allow), allowed, "{licence}");
    }
}
