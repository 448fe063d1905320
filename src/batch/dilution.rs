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
