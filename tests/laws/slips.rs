//! Courses with slips in them: a value in another's place, a line lost, twice or cut short, numbers out of all reason.

use proptest::prelude::*;

use super::plan::cases;
use super::texts::{LIMITS, PATHS, SEEDS, Texts, run};

/// What an author would hardly type, in place of a value.
const NASTY: [&str; 44] = [
    "0",
    "-0.0",
    "-1",
    "1",
    "0.5",
    "50",
    "99",
    "100",
    "101",
    "1000",
    "1e6",
    "1e300",
    "1e-300",
    "5e-324",
    "1e999",
    "nan",
    "inf",
    "-inf",
    "99999999999999999999",
    "0x7fffffffffffffff",
    "true",
    "\"\"",
    "\" \"",
    "\"x\"",
    "\"nan\"",
    "\"1e300 g\"",
    "\"1 mg\"",
    "\"0.001 g\"",
    "\"1000 kg\"",
    "\"0 g\"",
    "\"1 % of water\"",
    "\"1000 %\"",
    "\"10000 mm\"",
    "\"1 mm\"",
    "[]",
    "{}",
    "[1, 2]",
    "[2, 1]",
    "{ low = 1, high = 2, source = \"s\" }",
    "{ value = 1e-9, source = \"s\" }",
    "1979-05-27",
    "'''a\nb'''",
    "\"\\u0000\\u202e\"",
    "\"ä😀\"",
];

/// A slip in a text: which line, what kind, and with what.
type Slip = (usize, usize, usize, u8);

fn slip(text: &str, (line, at, what, kind): Slip) -> String {
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    if lines.is_empty() {
        return NASTY[what % NASTY.len()].to_owned();
    }
    let (line, n_lines) = (line % lines.len(), lines.len());
    let nasty = NASTY[what % NASTY.len()];
    // Where numbers and texts start in the line: each may be put in another's place.
    let values: Vec<(usize, usize)> = value_ranges(&lines[line]);
    match kind % 8 {
        0..=3 if !values.is_empty() => {
            let (start, end) = values[at % values.len()];
            lines[line].replace_range(start..end, nasty);
        }
        4 => drop(lines.remove(line)),
        5 => {
            let twice = lines[line].clone();
            lines.insert(at % n_lines, twice);
        }
        6 => lines.insert(line, format!("{nasty} = {nasty}")),
        7 => {
            let boundary = (0..=at % (lines[line].len() + 1)).rev().find(|it| lines[line].is_char_boundary(*it));
            lines[line].truncate(boundary.unwrap_or(0));
        }
        _ => lines[line].push_str(nasty),
    }
    lines.join("\n") + "\n"
}

/// The numbers and quoted texts after an equals sign of a line.
fn value_ranges(line: &str) -> Vec<(usize, usize)> {
    let mut ranges = Vec::new();
    for (at, _) in line.match_indices("= ") {
        let start = at + 2;
        let rest = &line[start..];
        let end = match rest.strip_prefix('"') {
            Some(inside) => inside.find('"').map_or(rest.len(), |it| it + 2),
            None => rest.find([',', ' ', '}', ']']).unwrap_or(rest.len()),
        };
        if end > 0 {
            ranges.push((start, start + end));
        }
    }
    ranges
}

/// A course with one to four slips in its texts.
fn courses_with_slips() -> impl Strategy<Value = Texts> {
    let which = (0..PATHS.len(), (any::<usize>(), any::<usize>(), any::<usize>(), any::<u8>()));
    prop::collection::vec(which, 1..5).prop_map(|slips| {
        let mut texts = SEEDS.clone();
        for (idx, how) in slips {
            texts.texts[idx] = slip(&texts.texts[idx], how);
        }
        texts
    })
}

proptest! {
    #![proptest_config(cases(300))]

    #[test]
    fn a_course_with_slips_in_it_is_read_to_the_end(texts in courses_with_slips()) {
        run(&texts);
    }
}

/// Numbers as a table may hold them: usual, none, below none, and as large and small as they come.
fn any_number() -> impl Strategy<Value = f64> {
    prop_oneof![
        -1000.0..1000.0_f64,
        prop::sample::select(vec![0.0, 1.0, -1.0, 0.5, 100.0, 1e6, 1e300, -1e300, 1e-300, 5e-324, f64::MAX]),
    ]
}

proptest! {
    #![proptest_config(cases(300))]

    /// An instructor may lay any numbers over the alkalis and the limits; the calculator still gives numbers.
    #[test]
    fn any_numbers_may_stand_in_the_tables(
        model in prop::collection::vec(any_number(), 8),
        limits in prop::collection::vec(any_number(), 8),
        lengths in prop::collection::vec(prop::sample::select(vec!["1 mm", "10000 mm", "75 mm", "10 m", "393 in"]), 3),
        water in prop::sample::select(vec!["lye-concentration = 1", "lye-concentration = 99", "per-lye = 2", "of-fats = 1000"]),
        superfat in prop::sample::select(vec!["-100", "0", "5", "99"]),
    ) {
        let mut texts = SEEDS.clone();
        let keys = ["c0", "c1", "c2", "c3", "c4", "lowest-celsius", "highest-celsius", "highest-mass-fraction"];
        let model: Vec<String> = keys.iter().zip(&model).map(|(key, it)| format!("{key} = {it:e}")).collect();
        let row = format!("density-model = {{ {}, source = \"s\" }}\n", model.join(", "));
        texts.texts[6] = format!("[NaOH]\n{row}[KOH]\n{row}");
        let names: Vec<&str> = LIMITS.lines().filter_map(|it| it.strip_prefix('[')?.strip_suffix(']')).collect();
        texts.texts[7] = names
            .iter()
            .zip(limits.iter().cycle())
            .filter(|(name, _)| !name.starts_with("usual"))
            .map(|(name, it)| format!("[{name}]\nvalue = {it:e}\nsource = \"s\"\n"))
            .collect();
        texts.texts[5] = format!(
            "[tried]\ninside-length = \"{}\"\ninside-width = \"{}\"\nfill-height = \"{}\"\ncavities = 1000\nsource = \"s\"\n",
            lengths[0], lengths[1], lengths[2]
        );
        for idx in [1, 2] {
            texts.texts[idx] = texts.texts[idx]
                .replace("lye-concentration = 33", water)
                .replace("per-lye = 2", water)
                .replace("superfat = 5", &format!("superfat = {superfat}"));
        }
        run(&texts);
    }
}
