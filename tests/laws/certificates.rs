//! Suppliers' certificates in a course's table of fats, drawn at random.

use std::fmt::Write as _;

use kettlebook::finding::Severity;
use kettlebook::recipe::{Defaults, RawRecipe, Recipe, validate};
use kettlebook::source::SourceFile;
use kettlebook::tables::{FatKind, Tables};
use num_traits::ToPrimitive as _;
use proptest::prelude::*;

use super::exact::{Between, Data, exact, whole};
use super::plan::{FAT_IDS, Plan, decimal, tables};

/// What a course's table says of a fat. Each number is so many thousandths of the way through the published range.
#[derive(Clone, Copy, Debug)]
pub(super) enum Certificate {
    /// One figure: the published range stays.
    Use(u32),
    /// One figure so many thousandths of the range below it, which widens it.
    Below(u32),
    /// One figure, and hundredths of an mg to either side.
    PlusMinus(u32, u32),
    /// A range of its own, of which the middle is used.
    Range(u32, u32),
    /// The same with a figure.
    RangeUse(u32, u32, u32),
    /// One figure for a fat that the built-in table lacks.
    Own(u32),
}

pub(super) fn certificates() -> impl Strategy<Value = Vec<Option<Certificate>>> {
    let at = || 0_u32..=1000;
    let certificate = prop_oneof![
        at().prop_map(Certificate::Use),
        at().prop_map(Certificate::Below),
        (at(), 0_u32..=1000).prop_map(|(used, off)| Certificate::PlusMinus(used, off)),
        (at(), at()).prop_map(|(a, b)| Certificate::Range(a.min(b), a.max(b))),
        (at(), at(), at()).prop_map(|(a, b, c)| {
            let (low, high) = (a.min(b).min(c), a.max(b).max(c));
            Certificate::RangeUse(low, a + b + c - low - high, high)
        }),
        at().prop_map(Certificate::Own),
    ];
    prop::collection::vec(prop::option::of(certificate), 8)
}

/// The table with the certificates of a plan's fats, and the recipe as it names them. Their values go into `data`.
pub(super) fn with_certificates(
    plan: &Plan,
    certificates: &[Option<Certificate>],
    data: &mut Data,
) -> (Tables, String) {
    let (mut table, mut text) = (String::new(), plan.text());
    for ((fat_idx, _), certificate) in plan.fats.iter().zip(certificates) {
        let id = &FAT_IDS[*fat_idx];
        let is_usual = tables().fats[id.as_str()].kind == FatKind::Triglyceride;
        let Some(certificate) = certificate else { continue };
        let Between { low, high, .. } = data.sap[id].clone();
        // So many thousandths through the range, to two decimals: as typed and as it is.
        let at = |thousandths: u32| {
            let hundredths = (&low + (&high - &low) * whole(u64::from(thousandths)) / whole(1000)) * whole(100);
            let typed = decimal(hundredths.to_integer().to_u64().expect("a small number"), 2);
            (exact(&typed), typed)
        };
        let (value, typed) = match *certificate {
            Certificate::Use(used) => {
                let (used, typed) = at(used);
                (Between { low, used, high }, format!("use = {typed}"))
            }
            Certificate::Below(by) => {
                let (inside, _) = at(by);
                // As far below the range as it is inside, but for what would be taken for a figure of NaOH.
                let used = (&low - (inside - &low)).max(&low * whole(98) / whole(100));
                let typed = decimal((&used * whole(100)).to_integer().to_u64().expect("above zero"), 2);
                (Between { low: used.clone(), used, high }, format!("use = {typed}"))
            }
            Certificate::PlusMinus(used, off) => {
                let ((used, typed), off) = (at(used), decimal(off, 2));
                (Between::around(used, &exact(&off)), format!("use = {typed}, plus-minus = {off}"))
            }
            Certificate::Range(from, to) => {
                let ((low, from), (high, to)) = (at(from), at(to));
                (Between { used: (&low + &high) / whole(2), low, high }, format!("low = {from}, high = {to}"))
            }
            Certificate::RangeUse(from, used, to) => {
                let ((low, from), (used, typed), (high, to)) = (at(from), at(used), at(to));
                (Between { low, used, high }, format!("low = {from}, use = {typed}, high = {to}"))
            }
            // Of a wax or a fatty acid with nothing else known, other figures would be told.
            Certificate::Own(_) if !is_usual => continue,
            Certificate::Own(used) => {
                let (used, typed) = at(used);
                let off = &used * &data.sap_tolerance / whole(100);
                (Between::around(used, &off), format!("use = {typed}"))
            }
        };
        data.sap.insert(id.clone(), value);
        let mut row = id.clone();
        if matches!(certificate, Certificate::Own(_)) {
            row = format!("own-{id}");
            text = text.replace(&format!("\n{id} = "), &format!("\n{row} = "));
        }
        let _ = writeln!(table, "[{row}]");
        if row != *id {
            let _ = writeln!(table, "name = \"{row}\"\nkind = \"triglyceride\"");
        }
        let _ = writeln!(table, "saponification-value = {{ {typed}, source = \"a certificate\" }}");
    }
    let (tables, mut findings) = Tables::load(&[SourceFile::new("tables/fats.toml", table.clone())]);
    findings.retain(|it| it.severity == Severity::Error);
    assert!(findings.is_empty(), "{table}\n{findings:#?}");
    (tables, text)
}

pub(super) fn recipe_of(text: String, tables: &Tables) -> Recipe {
    let (raw, mut findings) = RawRecipe::read("planned", &SourceFile::new("recipes/planned.toml", text));
    let (recipe, more) = validate(&raw, tables, &Defaults::default());
    findings.extend(more);
    findings.retain(|it| it.severity == Severity::Error);
    assert!(findings.is_empty(), "{findings:#?}");
    recipe.expect("nothing is wrong with it")
}
