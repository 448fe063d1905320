//! A paste made into a liquid of a stated strength.
//!
//! Layer 3. *Soap* is what fats and alkali have become, without water, glycerol and the fat that was left: those stay in
//! the liquid and count as what dilutes it.
//!
//! Symbols: M, molar mass (g/mol); n, amount of substance (mol).

use super::pot::after_cooking;
use super::{Batch, glycerol_from};
use crate::recipe::Recipe;
use crate::tables::{FatKind, Tables};
use crate::units::{Mass, Percent, Volume};

/// The soap of a batch without any water.
///
/// `saponified fats + pure alkali taken up by them - glycerol - n(free acids) * M(water)`: the mass of what reacts is the mass
/// of what comes of it, and of that glycerol and water are no soap. Free fatty acids take their alkali first. What acids
/// such as citric acid take up is a salt and no soap. Of a wax the fatty alcohol counts in, since the table has no molar mass
/// of it; salts that the alkali was sold with do not.
///
/// # Example
///
/// 885.43 g of triolein (one mole) and 168.32 g of KOH (three moles), no superfat: 1053.75 g less 92.09 g of glycerol are
/// 961.66 g; potassium oleate has 320.55 g/mol, three moles of it 961.65 g.
///
/// # Source
///
/// Stoichiometry of saponification.
#[must_use]
pub fn anhydrous_soap(recipe: &Recipe, batch: &Batch, tables: &Tables) -> Mass {
    let of_kind = |is_wanted: &dyn Fn(FatKind) -> bool| {
        let fats = recipe.fats.iter().zip(&batch.fats).filter(|(share, _)| is_wanted(share.fat.kind));
        fats.fold((Mass::ZERO, Mass::ZERO), |(mass, koh), (_, it)| (mass + it.mass, koh + it.koh))
    };
    let less_of = |a: Mass, b: Mass| if a < b { a } else { b };
    let part_of = |taken: Mass, all: Mass| if all > Mass::ZERO { taken / all } else { 0.0 };
    let moles = |koh: Mass| koh.to_grams() / tables.koh.molar_mass.to_grams_per_mole();
    let (acids_mass, acids_koh) = of_kind(&|it| it == FatKind::FattyAcid);
    let (esters_mass, esters_koh) = of_kind(&|it| it != FatKind::FattyAcid);
    let (_, triglycerides_koh) = of_kind(&|it| it == FatKind::Triglyceride);
    let taken_up = less_of(batch.koh_after_superfat, batch.koh);
    let by_acids = less_of(acids_koh, taken_up);
    let of_esters = part_of(taken_up - by_acids, esters_koh);
    let saponified = acids_mass * part_of(by_acids, acids_koh) + esters_mass * of_esters;
    let for_all = batch.koh_after_superfat + batch.koh_for_acids;
    let pure: Mass = batch.alkalis.iter().map(|it| it.pure).sum();
    let alkali = pure * part_of(taken_up, for_all);
    let water = Mass::grams(moles(by_acids) * tables.limits.water_molar_mass.to_grams_per_mole());
    saponified + alkali - glycerol_from(moles(triglycerides_koh * of_esters), tables) - water
}

/// A paste made into a liquid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dilution {
    /// Soap without any water.
    pub soap: Mass,
    /// The paste that it is in.
    pub paste: Mass,
    /// The finished liquid.
    pub liquid: Mass,
    /// Preservative in it.
    pub preservative: Mass,
    /// Water to add; nothing where the paste itself is weaker than the liquid is to be.
    pub water: Mass,
    /// Whether the paste is weaker than the liquid is to be.
    pub is_too_weak: bool,
    /// The volume of the liquid, where its density is stated.
    pub volume: Option<Volume>,
}

impl Dilution {
    /// Soap without any water, percent of the paste.
    #[must_use]
    pub fn soap_in_paste_percent(&self) -> f64 {
        self.soap / self.paste * 100.0
    }

    /// Grams of water for each gram of paste, for whoever dilutes a part of it.
    #[must_use]
    pub fn water_per_paste(&self) -> f64 {
        self.water / self.paste
    }
}

/// A paste made into the liquid that its recipe states; `None` where it states none.
///
/// - liquid: `soap / c`, with c the soap in the finished liquid
/// - preservative: its share of the liquid
/// - water to add: `liquid - paste - preservative`
///
/// `paste` is what the pot holds when somebody weighed it; `None` is what went in less the steam. Whatever it has lost
/// besides was water too, so that it takes that much more now and the liquid stays the same.
///
/// # Example
///
/// 961.65 g of soap in 1360 g of paste, diluted to 25 % with 1 % of preservative: 3846.6 g of liquid, 38.5 g of
/// preservative, and 3846.6 - 1360 - 38.5 = 2448.1 g of water.
///
/// # Source
///
/// Definition of a mass fraction; conservation of mass.
#[must_use]
pub fn dilution(recipe: &Recipe, batch: &Batch, tables: &Tables, paste: Option<Mass>) -> Option<Dilution> {
    let dilute = recipe.dilute.as_ref()?;
    let paste = paste.unwrap_or_else(|| after_cooking(recipe, batch));
    let soap = anhydrous_soap(recipe, batch, tables);
    let liquid = soap / dilute.soap.to_fraction();
    let preservative = dilute.preservative.map_or(Mass::ZERO, |it| liquid * it.to_fraction());
    let is_too_weak = liquid < paste + preservative;
    Some(Dilution {
        soap,
        paste,
        liquid,
        preservative,
        water: if is_too_weak { Mass::ZERO } else { liquid - paste - preservative },
        is_too_weak,
        volume: dilute.density.map(|it| Volume::millilitres(liquid.to_grams() / it.to_grams_per_millilitre())),
    })
}

/// The acid that takes up a free alkali that was found in a paste.
///
/// `paste * free * koh_per_gram`, turned over: `paste * free_percent / 100 / koh_per_gram`.
///
/// - `free_koh`: free alkali of the paste as KOH, percent of it.
/// - `koh_per_gram`: grams of KOH that a gram of the acid takes up; above 0.
///
/// # Example
///
/// 1000 g of paste with 0.20 % of free KOH, 2.00 g; anhydrous citric acid takes up 3 * 56.10565 / 192.1238 = 0.87609 g of KOH
/// for each gram: 2.283 g of acid, in a solution of 20 % 11.4 g.
///
/// # Source
///
/// Stoichiometry: an acid with h acidic hydrogens takes up h moles of alkali.
#[must_use]
pub fn acid_for(paste: Mass, free_koh: Percent, koh_per_gram: f64) -> Mass {
    paste * (free_koh.to_fraction() / koh_per_gram)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::batch::compute;
    use crate::recipe::{Defaults, RawRecipe, validate};
    use crate::source::SourceFile;

    fn recipe(lines: &str) -> (Recipe, Tables) {
        let text = format!("title = \"Paste\"\nwater = {{ lye-concentration = 30 }}\n{lines}");
        let tables = Tables::embedded();
        let (raw, mut findings) = RawRecipe::read("paste", &SourceFile::new("recipes/paste.toml", text));
        let (recipe, more) = validate(&raw, &tables, &Defaults::default());
        findings.extend(more);
        (recipe.unwrap_or_else(|| panic!("{findings:#?}")), tables)
    }

    /// By hand, from the definition of a saponification value: S mg of KOH for a gram of a triglyceride are S / 56105.65 mol, a
    /// third as much glycerol of 92.09396 g/mol. So a gram of fat that is saponified whole gives
    /// 1 + S / 1000 * (1 - 92.09396 / (3 * 56.10565)) g of potassium soap: 1.08520 g for olive oil at 188.
    #[test]
    fn soap_of_a_triglyceride_is_fat_and_alkali_less_glycerol() {
        for (superfat, alkali, per_mole_of_koh) in
            [(0.0, "KOH", 1.0), (4.0, "KOH", 1.0), (5.0, "NaOH", 39.99712 / 56.10565)]
        {
            let lines =
                format!("batch = \"1 kg\"\nsuperfat = {superfat}\nalkali = \"{alkali}\"\n[fats]\nolive = 100\n");
            let (recipe, tables) = recipe(&lines);
            let batch = compute(&recipe, &tables);
            let sap = recipe.fats[0].fat.sap_used.to_mg_koh_per_g();
            let saponified = 1000.0 * (1.0 - superfat / 100.0);
            let by_hand = saponified * (1.0 + sap / 1000.0 * (per_mole_of_koh - 92.09396 / (3.0 * 56.10565)));
            let found = anhydrous_soap(&recipe, &batch, &tables).to_grams();
            assert!((found - by_hand).abs() < 0.01, "{superfat} % {alkali}: {found} and {by_hand}");
        }
    }

    /// By hand: commercial stearic acid at its middle, S = 203 mg KOH per g: 1 g of acid, 0.203 g of KOH, less
    /// 0.203 / 56.10565 mol of water, 0.06518 g: 1.13782 g of soap.
    #[test]
    fn soap_of_a_free_acid_is_acid_and_alkali_less_water() {
        let lines = "batch = \"1 kg\"\nsuperfat = 0\nalkali = \"KOH\"\ntimes = { cook = \"1 h\" }\n[fats]\nstearic-acid = 100\n";
        let (recipe, tables) = recipe(lines);
        let found = anhydrous_soap(&recipe, &compute(&recipe, &tables), &tables).to_grams();
        assert!((found - 1137.82).abs() < 0.01, "{found}");
    }

    /// Citric acid takes alkali for itself, which makes no soap; and impurities of the alkali are none either.
    #[test]
    fn what_acids_take_up_and_what_alkali_is_sold_with_is_no_soap() {
        let plain = "batch = \"1 kg\"\nsuperfat = 4\nalkali = \"KOH\"\n[fats]\nolive = 100\n";
        let with_acid = "batch = \"1 kg\"\nsuperfat = 4\nalkali = \"KOH\"\npurity = { KOH = 90 }\n[fats]\nolive = 100\n\
                         [[additives]]\nitem = \"citric-acid\"\nrate = \"2 %\"\n";
        let soap = |lines: &str| {
            let (recipe, tables) = recipe(lines);
            anhydrous_soap(&recipe, &compute(&recipe, &tables), &tables).to_grams()
        };
        assert!((soap(plain) - soap(with_acid)).abs() < 1e-6);
    }

    #[test]
    fn the_liquid_is_what_goes_into_it_and_has_the_soap_that_was_asked_for() {
        for (lost, soap, preservative) in [(0.0, 25.0, 1.0), (12.0, 25.0, 1.0), (40.0, 40.0, 0.5), (0.0, 10.0, 0.0)] {
            let preservative_line =
                if preservative > 0.0 { format!("preservative = {preservative}\n") } else { String::new() };
            let lines = format!(
                "batch = \"1 kg\"\nsuperfat = 3\nalkali = \"KOH\"\npurity = {{ KOH = 90 }}\n[pot]\nwater-lost = {lost}\n\
                 [dilute]\nsoap = {soap}\n{preservative_line}density = 1.03\n[fats]\nolive = 70\ncoconut = 30\n"
            );
            let (recipe, tables) = recipe(&lines);
            let batch = compute(&recipe, &tables);
            let it = dilution(&recipe, &batch, &tables, None).expect("it is diluted");
            let sum = it.paste + it.water + it.preservative;
            assert!((sum.to_grams() - it.liquid.to_grams()).abs() < 1e-9, "{it:?}");
            assert!((it.soap / it.liquid * 100.0 - soap).abs() < 1e-9, "{it:?}");
            assert!((it.preservative / it.liquid * 100.0 - preservative).abs() < 1e-9, "{it:?}");
            let volume = it.volume.expect("its density is stated").to_millilitres();
            assert!((volume * 1.03 - it.liquid.to_grams()).abs() < 1e-9, "{it:?}");
            // A paste that lost more takes that much more water, and makes as much.
            let drier = dilution(&recipe, &batch, &tables, Some(it.paste - Mass::grams(50.0))).expect("it is diluted");
            assert!((drier.water.to_grams() - it.water.to_grams() - 50.0).abs() < 1e-9, "{drier:?}");
            assert_eq!(drier.liquid, it.liquid);
        }
    }

    /// The example of `acid_for`, and the same alkali taken up by 1 mole of lactic acid for each mole.
    #[test]
    fn an_acid_takes_up_the_alkali_of_its_hydrogens() {
        let paste = Mass::grams(1000.0);
        let citric = acid_for(paste, Percent::percent(0.2), 3.0 * 56.10565 / 192.1238);
        assert!((citric.to_grams() - 2.2829).abs() < 0.0005, "{citric:?}");
        let lactic = acid_for(paste, Percent::percent(0.2), 56.10565 / 90.07808);
        assert!((lactic.to_grams() - 2.0 / 56.10565 * 90.07808).abs() < 1e-9, "{lactic:?}");
        assert_eq!(acid_for(paste, Percent::percent(0.0), 1.0), Mass::ZERO);
    }
}
