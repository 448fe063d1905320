//! What is known about fats, alkalis, moulds and limits, with the source of every value.
//!
//! Layer 1. The defaults are the TOML files in this folder, embedded; a course's files of the same names are laid over
//! them row by row and key by key (`load.rs`). Each table has a file of its own here, with what a row says and how it is
//! read; how a value is read, with its source, is in `value.rs`. To add a fat or correct a value, change `fats.toml`; to
//! move a limit, `limits.toml`.

mod acids;
mod additives;
mod alkalis;
mod blends;
mod fats;
mod limits;
mod load;
mod moulds;
mod plausible;
mod prediction;
mod value;

pub use acids::{AcidGroup, FattyAcid};
pub use additives::{AcidSalt, Additive, AdditiveKind, Effect, GoesInto, Scent};
pub use alkalis::{Alkali, AlkaliKind, HeatByDilution, Rows, Solubility, SolutionModel};
pub use blends::{BlendPart, Component, ScentFacts, vanillin_percent_of};
pub use fats::{Fat, FatKind, FatState, FattyAcids};
pub use limits::{LEAST_TIME_KEYS, LayerWait, Limits, TIME_KEYS};
pub use load::table_names;
pub use moulds::{Mould, MouldShape, own_mould};
pub use prediction::{FattyAcidShare, acids_of, mean_molar_mass, named_percent, sap_value_from_acids, sap_value_of};
pub use value::{PublishedRange, Source};

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use crate::finding::{Finding, nearest};
use crate::source::SourceFile;
use crate::units::Density;

/// All tables of a course. Rows are shared: a recipe that takes one holds the table's own.
#[derive(Clone, Debug)]
pub struct Tables {
    /// Fats by id.
    pub fats: BTreeMap<String, Arc<Fat>>,
    /// The fatty acids that fats may name, by the number of carbon atoms.
    pub acids: Vec<Arc<FattyAcid>>,
    /// Additives by id.
    pub additives: BTreeMap<String, Arc<Additive>>,
    /// Substances in scents that are limited, by id.
    pub components: BTreeMap<String, Component>,
    /// Moulds by id.
    pub moulds: BTreeMap<String, Mould>,
    /// Sodium hydroxide.
    pub naoh: Alkali,
    /// Potassium hydroxide.
    pub koh: Alkali,
    /// Limits and fallbacks.
    pub limits: Limits,
    /// Rows in which something was refused, by the name of the file and the id: what they would say is not known.
    pub(crate) refused: BTreeSet<(&'static str, String)>,
}

impl Tables {
    /// The embedded tables with a course's own laid over them.
    ///
    /// `course_files` are the files of the course's folder `tables`; a file of another name than the embedded ones is
    /// a finding. Rows with errors may be left out; [`Tables::is_refused`] knows them.
    ///
    /// # Panics
    ///
    /// If an embedded table is broken, which a test of this module rules out.
    #[must_use]
    pub fn load(course_files: &[Arc<SourceFile>]) -> (Tables, Vec<Finding>) {
        load::load(course_files)
    }

    /// The embedded tables alone.
    #[must_use]
    pub fn embedded() -> Tables {
        Tables::load(&[]).0
    }

    /// Whether a row of `file` was refused: told already, and no reason to say that there is none.
    #[must_use]
    pub fn is_refused(&self, file: &str, id: &str) -> bool {
        self.refused.iter().any(|(table, it)| *table == file && it == id)
    }

    /// The fat that a name which no row has may be meant for: by what pages call it, by a word such as oil too many, or by
    /// its spelling.
    #[must_use]
    pub fn fat_meant_by(&self, typed: &str) -> Option<&str> {
        let plain = typed.to_lowercase();
        let named = self.fats.values().find(|it| it.name.to_lowercase() == plain).map(|it| &*it.id);
        let like = || self.fats.keys().map(String::as_str).find(|it| load::is_like(typed, it));
        named.or_else(like).or_else(|| nearest(typed, self.fats.keys().map(String::as_str)))
    }

    /// The density of a fat: the middle of its published range, where there is one.
    #[must_use]
    pub fn density_of(&self, fat: &Fat) -> Option<Density> {
        let middle = fat.relative_density.as_ref().and_then(PublishedRange::middle)?;
        Some(Density::grams_per_millilitre(middle * self.limits.water_density.to_grams_per_millilitre()))
    }

    /// The row of an alkali.
    #[must_use]
    pub fn alkali(&self, kind: AlkaliKind) -> &Alkali {
        match kind {
            AlkaliKind::NaOH => &self.naoh,
            AlkaliKind::KOH => &self.koh,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_embedded_tables_have_no_findings() {
        let (tables, findings) = Tables::load(&[]);
        assert!(findings.is_empty(), "{findings:#?}");
        assert!(tables.fats.len() >= 30, "{} fats", tables.fats.len());
    }

    #[test]
    fn a_course_changes_one_key_and_keeps_the_rest() {
        let file = SourceFile::new(
            "tables/fats.toml",
            "[olive]\nsaponification-value = { use = 189.5, source = \"certificate\" }\n",
        );
        let (tables, findings) = Tables::load(&[file]);
        assert!(findings.is_empty(), "{findings:#?}");
        let olive = &tables.fats["olive"];
        assert_eq!(olive.sap_used.to_mg_koh_per_g(), 189.5);
        assert_eq!(olive.sap_low.to_mg_koh_per_g(), 185.0);
        assert_eq!(olive.sap_used_source, Some(Source::Words("certificate".into())));
        assert!(olive.sap_range_source.to_string().contains("British Pharmaceutical Codex"));
    }

    #[test]
    fn a_single_figure_is_not_exact_and_a_certificate_says_how_sure_it_is() {
        let rows = "[whale]\nname = \"whale\"\nsaponification-value = { use = 190, source = \"a book\" }\n\
                    [olive]\nsaponification-value = { use = 190, plus-minus = 1, source = \"a certificate\" }\n";
        let fats = tables_with("fats.toml", rows).fats;
        let range = |id: &str| (fats[id].sap_low.to_mg_koh_per_g(), fats[id].sap_high.to_mg_koh_per_g());
        // Three percent of 190 are 5.7.
        assert!((range("whale").0 - 184.3).abs() < 1e-9 && (range("whale").1 - 195.7).abs() < 1e-9);
        assert_eq!((fats["whale"].sap_published, range("olive")), (None, (189.0, 191.0)));
    }

    /// The tables with one file of the course, in which there is nothing wrong.
    #[track_caller]
    fn tables_with(name: &str, text: &str) -> Tables {
        let (tables, findings) = Tables::load(&[SourceFile::new(format!("tables/{name}"), text)]);
        assert!(findings.is_empty(), "{findings:#?}");
        tables
    }

    #[test]
    fn a_number_has_the_source_of_its_own_file() {
        let row = "[olive]\niodine-value = { high = 90, source = \"certificate\" }\ninci = \"Oleum\"\ninci-source = \"label\"\n";
        let olive = &tables_with("fats.toml", row).fats["olive"];
        let iodine_value = olive.iodine_value.as_ref().expect("it has one");
        assert_eq!((iodine_value.low, iodine_value.high), (Some(75.0), Some(90.0)));
        // Of the low end, which the file does not state.
        assert!(iodine_value.source.to_string().contains("CXS 33"));
        assert_eq!(olive.inci_source, Some(Source::Words("label".into())));
        let limits = "[usual-superfat-percent]\nhigh = 7\n";
        let (tables, findings) = Tables::load(&[SourceFile::new("tables/limits.toml", limits)]);
        assert_eq!(findings.iter().map(|it| it.code).collect::<Vec<_>>(), ["value-without-source"]);
        assert_eq!(tables.limits.usual_superfat_percent, (3.0, 7.0));
    }

    #[test]
    fn ends_are_laid_over_one_another_and_what_is_one_value_is_replaced() {
        let density =
            &tables_with("fats.toml", "[olive]\ndensity = { low = 0.912, source = \"ours\" }\n").fats["olive"];
        let range = density.relative_density.as_ref().expect("it has one");
        assert_eq!((range.low, range.high), (Some(0.912), Some(0.916)));
        assert_eq!(density.density_basis.as_deref(), Some("20 C / water 20 C"));
        let acids = "[olive]\nfatty-acids = { C18-1 = [95, 97], source = \"ours\" }\n";
        let acids = tables_with("fats.toml", acids).fats["olive"].fatty_acids.clone().expect("it has some");
        assert_eq!(acids.shares, [("C18-1".to_owned(), 95.0, 97.0)]);
        assert_eq!(acids.basis, "");
        let solubility = "[NaOH]\nsolubility = { rows = [[20, 50]], source = \"ours\" }\n";
        let solubility = tables_with("alkalis.toml", solubility).naoh.solubility;
        assert_eq!(solubility.rows.pairs, [(20.0, 50.0)]);
        assert!(solubility.other_crystals_from_celsius.is_empty());
    }

    #[test]
    fn a_density_by_the_spoon_given_as_a_range_takes_the_place_of_a_single_value() {
        let clay = "[french-green-clay]\nbulk-density = { low = 0.4, high = 0.5, source = \"weighed\" }\n";
        let clay = &tables_with("additives.toml", clay).additives["french-green-clay"];
        assert_eq!(clay.bulk_density, Some(Density::grams_per_millilitre(0.45)));
    }

    #[test]
    fn a_model_of_which_a_part_is_refused_leaves_the_embedded_one() {
        let model = "[NaOH]\ndensity-model = { c0 = 1, source = \"ours\" }\n";
        let (tables, findings) = Tables::load(&[SourceFile::new("tables/alkalis.toml", model)]);
        assert_eq!(findings.len(), 7, "{findings:#?}");
        assert_eq!(tables.naoh.density_model, Tables::embedded().naoh.density_model);
    }

    #[test]
    fn findings_come_file_by_file_and_from_top_to_bottom() {
        let moulds = SourceFile::new("tables/moulds.toml", "[z]\nsource = \"ours\"\n[a]\nsource = \"ours\"\n");
        let fats = SourceFile::new("tables/fats.toml", "[olive]\nnote = 1\nname = 2\nkind = 3\n");
        let (_, findings) = Tables::load(&[moulds, fats]);
        let places: Vec<_> = findings.iter().map(|it| (it.place.file.path(), it.place.line_and_column().0)).collect();
        let (moulds, fats) = ("tables/moulds.toml", "tables/fats.toml");
        assert_eq!(places, [(moulds, 1), (moulds, 3), (fats, 2), (fats, 3), (fats, 4)]);
    }

    #[test]
    fn a_value_without_a_source_is_refused() {
        let file = SourceFile::new(
            "tables/fats.toml",
            "[olive]\nsaponification-value = { use = 189.5 }\n[new-fat]\nname = \"new\"\nsaponification-value = { low = 181, high = 192 }\n",
        );
        let (_, findings) = Tables::load(&[file]);
        let codes: Vec<_> = findings.iter().map(|it| it.code).collect();
        assert_eq!(codes, ["value-without-source", "value-without-source"], "{findings:#?}");
    }

    #[test]
    fn the_middle_of_the_range_is_used_unless_the_row_says_otherwise() {
        let tables = Tables::embedded();
        let coconut = &tables.fats["coconut"];
        // CXS 210-1999, Table 2: 248 to 265.
        assert_eq!(coconut.sap_used.to_mg_koh_per_g(), 256.5);
        assert_eq!(coconut.sap_used_source, None);
    }
}
