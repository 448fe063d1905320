//! One recipe alone: `kettlebook batch`.

use crate::{PLAIN, build, copy, demo_course, edit, kettlebook, small_course, stderr, stdout, write};

#[test]
fn one_recipe_is_printed_with_its_amounts_and_its_arithmetic() {
    let (_folder, course) = small_course("", PLAIN);
    let output = kettlebook(&course, &["batch", "plain"]);
    let sheet = stdout(&output);
    assert!(output.status.success(), "{}", stderr(&output));
    // 1000 g * 197.5 / 1000 = 197.5 g KOH; * 0.95 * 39.99712 / 56.10565 = 133.76 g NaOH.
    for line in [
        "  Sodium hydroxide (NaOH) (100 % pure, into the water a little at a time)\n",
        "   Lard: 1000.00 g × 197.5 ÷ 1000 = 197.50 g\n",
        "   187.63 g × 39.997 ÷ 56.106 = 133.76 g of pure NaOH\n",
        "7. How sure the superfat is\n",
    ] {
        assert!(sheet.contains(line), "{line}\nnot in\n{sheet}");
    }
}

#[test]
fn the_json_of_a_recipe_keeps_to_its_schema_and_holds_the_numbers_of_the_page() {
    let (_folder, course) = demo_course();
    let schema = kettlebook(&course, &["batch", "--schema"]);
    let schema: serde_json::Value = serde_json::from_slice(&schema.stdout).expect("JSON");
    let validator = jsonschema::validator_for(&schema).expect("a schema");
    let pages = build(&course);
    let page = String::from_utf8_lossy(&pages["plain-bar.html"]).into_owned();
    for recipe in ["quay-plain", "tideline", "deck-soap", "winter-olive", "reading-card", "two-lye-puck"] {
        let output = kettlebook(&course, &["batch", recipe, "--json"]);
        let batch: serde_json::Value = serde_json::from_slice(&output.stdout).expect("JSON alone");
        if let Some(error) = validator.iter_errors(&batch).next() {
            panic!("{recipe}: {error}");
        }
        assert_eq!((&batch["version"], &batch["recipe"]), (&1.into(), &recipe.into()));
        if recipe == "quay-plain" {
            for amount in batch["amounts"].as_array().expect("amounts") {
                for printed in amount["printed"].as_array().expect("printed") {
                    let text = printed["text"].as_str().expect("text").replace(' ', "\u{a0}");
                    assert!(page.contains(&text), "{text} is not on the page");
                }
            }
        }
    }
    assert!(
        validator.iter_errors(&serde_json::json!({ "version": 1 })).next().is_some(),
        "the schema asks for something"
    );
}

/// Whatever is weighed out, those of the layers included, is what is poured; and so it is layer by layer.
#[test]
fn the_amounts_of_the_json_add_up() {
    let (_folder, course) = demo_course();
    for recipe in ["quay-plain", "tideline", "cliff", "driftwood", "deck-soap"] {
        let output = kettlebook(&course, &["batch", recipe, "--json"]);
        let batch: serde_json::Value = serde_json::from_slice(&output.stdout).expect("JSON alone");
        let list = |it: &serde_json::Value| it.as_array().cloned().unwrap_or_default();
        for (scale_idx, division) in [(0, 1.0), (1, 0.05)] {
            let reading = |it: &serde_json::Value| it["printed"][scale_idx]["value"].as_f64().unwrap_or(0.0);
            let is_total = |it: &serde_json::Value| {
                let part = it["part"].as_str().expect("a part");
                part.starts_with("total-") || part == "solution-left"
            };
            let amounts = list(&batch["amounts"]);
            let all: f64 = amounts.iter().filter(|it| !is_total(it)).map(reading).sum();
            let total = amounts.iter().find(|it| it["part"] == "total-batch").map(reading).expect("a total");
            assert!((all - total).abs() < 1e-6, "{recipe}: {all} of {total}");
            for layer in list(&batch["layers"]) {
                let of_list = |key: &str| list(&layer[key]).iter().map(|it| reading(&it["amount"])).sum::<f64>();
                let parts: f64 = ["batter", "fats", "solution"].iter().map(|it| reading(&layer[*it])).sum();
                let parts = parts + of_list("shared") + of_list("extras");
                let poured = reading(&layer["poured"]);
                assert!((parts - poured).abs() < division * 1e-6, "{recipe}: {parts} of {poured}");
            }
        }
    }
}

#[test]
fn a_recipe_can_be_printed_in_another_size_for_another_scale() {
    let (_folder, course) = small_course("", PLAIN);
    let number = |arguments: &[&str], part: &str| {
        let output = kettlebook(&course, &[&["batch", "plain", "--json"], arguments].concat());
        let batch: serde_json::Value = serde_json::from_slice(&output.stdout).expect("JSON alone");
        let amounts = batch["amounts"].as_array().expect("amounts").clone();
        let amount = amounts.iter().find(|it| it["part"] == part).expect("the part is there").clone();
        (
            amount["exact"]["value"].as_f64().expect("a number"),
            amount["printed"][0]["value"].as_f64().expect("a number"),
        )
    };
    assert_eq!(number(&["--batch", "2 kg"], "total-fats"), (2000.0, 2000.0));
    assert_eq!(number(&["--scale", "5 g"], "alkali").1, 130.0);
    let ounces = ["0.1 oz", "0.1 ounces"].map(|it| number(&["--scale", it], "alkali"));
    assert_eq!(ounces[0], ounces[1]);
    assert_eq!(number(&["--batch", "2 lb 3 oz"], "total-fats").0, number(&["--batch", "35 ounces"], "total-fats").0);
    let at_ten = number(&["--superfat", "10"], "alkali").0;
    assert!((at_ten / number(&[], "alkali").0 - 0.90 / 0.95).abs() < 1e-12);
    // A small slab of 300 mm by 200 mm by 30 mm holds 1800 mL; fats and lye of this recipe have about 0.72 g of fats a mL.
    let slab = number(&["--mould", "slab-small"], "total-fats").0;
    assert!((1200.0..1400.0).contains(&slab), "{slab}");
}

#[test]
fn a_variant_is_printed_by_its_name_and_by_its_path_and_tells_what_is_wrong_with_its_base() {
    let (_folder, course) = small_course("", PLAIN);
    write(&course, "recipes/soft.toml", "title = \"Softer\"\nbased-on = \"plain\"\nsuperfat = 10\n");
    // 187.63 g of KOH at 5 % superfat are 177.75 g at 10 %; * 39.99712 / 56.10565 = 126.72 g of NaOH.
    for recipe in ["soft", "course/recipes/soft.toml", "./course/recipes/soft.toml"] {
        let output = kettlebook(&course, &["batch", recipe]);
        assert!(output.status.success(), "{}", stderr(&output));
        assert!(stdout(&output).starts_with("Softer\n"), "{}", stdout(&output));
        assert!(stdout(&output).contains("126 g\n"), "{}", stdout(&output));
    }
    // A file outside the course rests on the course's recipes too.
    write(&course, "../try.toml", "title = \"Tried\"\nbased-on = \"soft\"\nbatch = \"100 g\"\n");
    let output = kettlebook(&course, &["batch", "try.toml", "--batch", "2 kg"]);
    assert!(stdout(&output).contains("253 g\n"), "{}{}", stdout(&output), stderr(&output));

    edit(&course, "recipes/plain.toml", "lard", "lrad");
    let output = kettlebook(&course, &["batch", "soft"]);
    assert_eq!((output.status.code(), stdout(&output).as_str()), (Some(1), ""));
    assert!(stderr(&output).contains("error[unknown-fat]"), "{}", stderr(&output));
    assert_eq!(stderr(&output).matches("error[").count(), 1, "{}", stderr(&output));

    write(&course, "recipes/plain.toml", "title = \"Circle\"\nbased-on = \"soft\"\n");
    for recipe in ["soft", "plain", "try.toml"] {
        let output = kettlebook(&course, &["batch", recipe]);
        assert_eq!((output.status.code(), stdout(&output).as_str()), (Some(1), ""), "{recipe}");
        assert_eq!(stderr(&output).matches("error[circular-base]").count(), 1, "{recipe}: {}", stderr(&output));
    }
}

#[test]
fn what_is_wrong_with_a_recipe_or_an_argument_leaves_standard_output_empty() {
    let (_folder, course) = small_course("", PLAIN);
    for (arguments, words) in [
        (&["plian"][..], "no recipe named `plian` in course/recipes; did you mean `plain`?"),
        (&["plain", "--superfat", "-3"], "error[superfat-below-zero]"),
        (&["plain", "--superfat", "nan"], "it does not start with a number"),
        (&["plain", "--superfat", "150"], "is not a percentage of the fats"),
        (&["plain", "--batch", "9"], "--batch \"9\" cannot be read: its unit is missing"),
        (&["plain", "--batch", "9 t"], "the unit `t` is not known here"),
        (&["plain", "--batch", "900,5 g"], "write 900.5"),
        (&["plain", "--superfat", "5,5"], "write 5.5"),
        (&["plain", "--mould", "slab-smal"], "did you mean `slab-small`?"),
        (&["plain", "--scale", "0 g"], "is not the smallest step of a scale"),
        (&["plain", "--scale", "500 g"], "is not the smallest step of a scale"),
        (&["plain", "--bogus"], "unexpected argument"),
        (&["missing.toml"], "cannot read missing.toml"),
    ] {
        let output = kettlebook(&course, &[&["batch"], arguments].concat());
        assert_eq!((output.status.code(), stdout(&output).as_str()), (Some(1), ""), "{arguments:?}");
        assert!(stderr(&output).contains(words), "{arguments:?}: {}", stderr(&output));
    }
}

/// What is wrong with a course is told wherever the course lies, below a folder named like one of its own too.
#[test]
fn a_faulty_table_stops_the_recipe_of_a_course_below_a_folder_of_recipes() {
    let (folder, course) = small_course("", PLAIN);
    let below = folder.path().join("recipes/course");
    copy(&course, &below);
    write(&below, "tables/moulds.toml", "[loaf]\nname = \"Loaf\"\nlenght = \"250 mm\"\n");
    let output = kettlebook(&course, &["batch", "plain", "--course", "recipes/course"]);
    assert_eq!((output.status.code(), stdout(&output).as_str()), (Some(1), ""), "{}", stderr(&output));
    assert!(stderr(&output).contains("moulds.toml:3:1"), "{}", stderr(&output));
}
