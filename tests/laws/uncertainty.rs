//! How sure the superfat is: laws of the interval, and the formula a second time by plain differences.

use kettlebook::batch::{Input, Scale, ScaleUnit, SuperfatUncertainty, Weighed, coarsest_scale, superfat_uncertainty};
use kettlebook::recipe::Recipe;
use kettlebook::tables::AlkaliKind;
use proptest::prelude::*;

use super::plan::{Plan, Purity, Size, cases, plans, recipe, tables};

/// Everything that may be off, as numbers: a value, and how far it reaches to either side.
#[derive(Clone)]
struct Inputs {
    /// Grams and saponification value of each fat.
    fats: Vec<[(f64, f64); 2]>,
    /// Grams and purity of each alkali, and M / M(KOH).
    alkalis: Vec<([(f64, f64); 2], f64)>,
    /// Grams of each acid, and the KOH that one takes up.
    acids: Vec<((f64, f64), f64)>,
}

impl Inputs {
    fn of(recipe: &Recipe, weighed: &Weighed) -> Inputs {
        let half = weighed.scale.division * weighed.scale.unit.grams() / 2.0;
        let grams = |reading: &u64| *reading as f64 * weighed.scale.division * weighed.scale.unit.grams();
        let molar_mass = |kind| tables().alkali(kind).molar_mass.to_grams_per_mole();
        let koh = molar_mass(AlkaliKind::KOH);
        let fat = |(reading, share): (&u64, &kettlebook::recipe::FatShare)| {
            let (low, high) = (share.fat.sap_low.to_mg_koh_per_g(), share.fat.sap_high.to_mg_koh_per_g());
            [(grams(reading), half), (share.fat.sap_used.to_mg_koh_per_g(), (high - low) / 2.0)]
        };
        let alkali = |(reading, share): (&u64, &kettlebook::recipe::AlkaliShare)| {
            let (low, high) = (share.purity_range.0.to_percent(), share.purity_range.1.to_percent());
            ([(grams(reading), half), (share.purity.to_percent(), (high - low) / 2.0)], molar_mass(share.kind) / koh)
        };
        let acid = |(reading, share): (&u64, &kettlebook::recipe::AcidShare)| {
            let per_pure_gram = share.acidic_hydrogens * koh / share.molar_mass.to_grams_per_mole();
            ((grams(reading), half), per_pure_gram * share.strength.to_percent() / 100.0)
        };
        Inputs {
            fats: weighed.fats.iter().zip(&recipe.fats).map(fat).collect(),
            alkalis: weighed.alkalis.iter().zip(&recipe.alkalis).map(alkali).collect(),
            acids: weighed.acids.iter().zip(&recipe.acids).map(acid).collect(),
        }
    }

    /// Percent of superfat, if each input `n` is off by `off(n)` of its half width.
    fn superfat(&self, off: &dyn Fn(Input) -> f64) -> f64 {
        let at = |(value, half): (f64, f64), input: Input| (value + half * off(input)).max(0.0);
        let kinds = |n: usize| if n == 1 { vec![self.only_kind()] } else { AlkaliKind::ALL.to_vec() };
        let needed: f64 = self
            .fats
            .iter()
            .enumerate()
            .map(|(idx, [grams, sap])| {
                at(*grams, Input::FatReading(idx)) * at(*sap, Input::SaponificationValue(idx)) / 1000.0
            })
            .sum();
        let present: f64 = self
            .alkalis
            .iter()
            .zip(kinds(self.alkalis.len()))
            .map(|(([grams, purity], ratio), kind)| {
                at(*grams, Input::AlkaliReading(kind)) * at(*purity, Input::Purity(kind)) / 100.0 / ratio
            })
            .sum();
        let taken: f64 =
            self.acids.iter().enumerate().map(|(idx, (grams, koh))| at(*grams, Input::AcidReading(idx)) * koh).sum();
        (1.0 - (present - taken) / needed) * 100.0
    }

    /// The alkali of a recipe that has one: its ratio says which.
    fn only_kind(&self) -> AlkaliKind {
        if (self.alkalis[0].1 - 1.0).abs() < 1e-9 { AlkaliKind::KOH } else { AlkaliKind::NaOH }
    }
}

/// Whether more of an input means less superfat.
fn lowers(input: Input) -> bool {
    matches!(input, Input::AlkaliReading(_) | Input::Purity(_))
}

/// A batch of 10 g or more on a scale of so many grams, so that nothing is read as nothing.
fn certainty(plan: &Plan, division: f64) -> Option<(Inputs, SuperfatUncertainty, f64)> {
    let Size::Batch(milligrams) = plan.size else { return None };
    let plan = Plan { size: Size::Batch(1_000_000 + milligrams), ..plan.clone() };
    let recipe = recipe(&plan.text());
    let batch = kettlebook::batch::compute(&recipe, tables());
    let weighed = Weighed::read(&batch, Scale::new(ScaleUnit::Grams, division));
    let nothing = weighed.fats.contains(&0) || weighed.alkalis.contains(&0) || weighed.acids.contains(&0);
    let printed = weighed.superfat_percent;
    (!nothing).then(|| (Inputs::of(&recipe, &weighed), superfat_uncertainty(&recipe, &batch, &weighed), printed))
}

proptest! {
    #![proptest_config(cases(400))]

    /// In order, and centred on the superfat of the printed amounts.
    #[test]
    fn the_interval_holds_the_printed_superfat(plan in plans(), division in prop_oneof![Just(0.1), Just(1.0)]) {
        let Some((_, it, printed)) = certainty(&plan, division) else { return Ok(()) };
        prop_assert!((it.superfat_percent - printed).abs() <= 1e-9 * printed.abs().max(1.0));
        let (low, high) = it.likely_percent;
        prop_assert!(it.worst_percent <= low && low <= printed + 1e-9, "{it:?}");
        prop_assert!(printed - 1e-9 <= high && high <= it.best_percent, "{it:?}");
        prop_assert!((low - (printed - 2.0 * it.standard_percent).max(it.worst_percent)).abs() < 1e-9);
        prop_assert!((high - (printed + 2.0 * it.standard_percent).min(it.best_percent)).abs() < 1e-9);
        let all: f64 = it.contributions.iter().map(|it| it.share_percent).sum();
        prop_assert!((all - 100.0).abs() < 1e-9);
        prop_assert!(it.contributions.is_sorted_by(|a, b| a.half_width_percent >= b.half_width_percent));
    }

    /// All inputs at their unlucky ends give the worst case, at their lucky ends the best; nothing between leaves them.
    #[test]
    fn no_draw_within_the_ranges_leaves_the_worst_and_the_best_case(
        plan in plans(),
        draws in prop::collection::vec(prop::collection::vec(-1.0..=1.0_f64, 40), 8),
    ) {
        let Some((inputs, it, _)) = certainty(&plan, 1.0) else { return Ok(()) };
        let worst = inputs.superfat(&|input| if lowers(input) { 1.0 } else { -1.0 });
        let best = inputs.superfat(&|input| if lowers(input) { -1.0 } else { 1.0 });
        // A single purity is reckoned a little to both sides and capped at 100 %, so its range may be lopsided: then
        // half the range to either side is too much at one end and too little at the other.
        let is_capped = |it: Option<Purity>| matches!(it, Some(Purity::One(it)) if it > 9_900);
        let lopsided = is_capped(plan.purity.0) || is_capped(plan.purity.1);
        if !lopsided {
            prop_assert!((it.worst_percent - worst).abs() <= 1e-9 * worst.abs().max(1.0), "{} {worst}", it.worst_percent);
            prop_assert!((it.best_percent - best).abs() <= 1e-9 * best.abs().max(1.0), "{} {best}", it.best_percent);
            for draw in draws {
                let drawn = inputs.superfat(&|input| match input {
                    Input::FatReading(idx) => draw[idx],
                    Input::SaponificationValue(idx) => draw[10 + idx],
                    Input::AcidReading(idx) => draw[20 + idx],
                    Input::AlkaliReading(kind) => draw[30 + usize::from(kind == AlkaliKind::KOH)],
                    // These recipes take their lye from no stock: see `laws/stock.rs`.
                    Input::StockStrength(_) => 0.0,
                    Input::Purity(kind) => draw[32 + usize::from(kind == AlkaliKind::KOH)],
                });
                prop_assert!(it.worst_percent <= drawn + 1e-9 && drawn <= it.best_percent + 1e-9);
            }
        }
    }

    /// What an input contributes is how far the superfat moves with it, by a difference small enough to be a slope; and
    /// the standard uncertainty adds the rectangular variances of all of them (JCGM 100:2008, 4.3.7 and 5.1.2).
    #[test]
    fn contributions_are_the_slopes_of_the_superfat(plan in plans()) {
        let Some((inputs, it, _)) = certainty(&plan, 1.0) else { return Ok(()) };
        let step = 1e-4;
        let mut variance = 0.0;
        for contribution in &it.contributions {
            let moved = |by: f64| inputs.superfat(&|input| if input == contribution.input { by } else { 0.0 });
            let slope = (moved(step) - moved(-step)).abs() / (2.0 * step);
            let tolerance = 1e-5 * slope.max(1e-3);
            prop_assert!((contribution.half_width_percent - slope).abs() <= tolerance, "{contribution:?} {slope}");
            variance += slope * slope / 3.0;
        }
        let n_inputs = 2 * inputs.fats.len() + 2 * inputs.alkalis.len() + inputs.acids.len();
        prop_assert_eq!(it.contributions.len(), n_inputs);
        prop_assert!((it.standard_percent - variance.sqrt()).abs() <= 1e-4 * variance.sqrt());
        for contribution in &it.contributions {
            let share = contribution.half_width_percent.powi(2) / 3.0 / variance * 100.0;
            prop_assert!((contribution.share_percent - share).abs() < 0.01);
        }
    }
}

proptest! {
    #![proptest_config(cases(200))]

    /// The coarsest scale named is safe, and the next one that is made is not.
    #[test]
    fn the_coarsest_scale_is_the_last_that_is_safe(plan in plans(), division in 0.01_f64..3.0) {
        let recipe = recipe(&plan.text());
        let batch = kettlebook::batch::compute(&recipe, tables());
        let scale = Scale::new(ScaleUnit::Grams, division);
        let weighed = Weighed::read(&batch, scale);
        let worst = |weighed: &Weighed| {
            let worst = superfat_uncertainty(&recipe, &batch, weighed).worst_percent;
            let own = (0..weighed.layers.len()).filter(|it| weighed.layers[*it].batter.is_none());
            // What reads nothing has no worst case, and no scale.
            let of_layers = own.map(|it| weighed.layer_worst_percent(it, worst).unwrap_or(f64::NEG_INFINITY));
            let of_batch = if weighed.total_fats > 0 { worst } else { f64::NEG_INFINITY };
            of_layers.fold(of_batch, f64::min)
        };
        match coarsest_scale(&recipe, &batch, &weighed) {
            None => prop_assert!(worst(&weighed) < 0.0),
            Some(coarsest) => {
                let on = |it: Scale| if it == scale { weighed.clone() } else { weighed.on_coarser(it) };
                prop_assert!(worst(&on(coarsest)) >= 0.0);
                if let Some(next) = scale.coarser().find(|it| it.division > coarsest.division) {
                    prop_assert!(worst(&weighed.on_coarser(next)) < 0.0, "{next:?}");
                }
            }
        }
    }
}

/// On a scale of 10 g the lye solution of 70 g of fats at a very high superfat reads nothing, and so has no worst case.
#[test]
fn a_scale_that_shows_nothing_of_the_lye_is_not_the_coarsest() {
    let text = "title = \"Tried\"\nbatch = \"70 g\"\nsuperfat = 85\nalkali = \"NaOH\"\npurity = { NaOH = 99 }\n\
                water = { lye-concentration = 33 }\n[fats]\nolive = 100\n[[layers]]\nname = \"only\"\nshare = 1\n";
    let recipe = recipe(text);
    let batch = kettlebook::batch::compute(&recipe, tables());
    let weighed = Weighed::read(&batch, Scale::new(ScaleUnit::Grams, 0.1));
    let coarsest = coarsest_scale(&recipe, &batch, &weighed).expect("0.1 g is fine enough");
    assert!((coarsest.division - 5.0).abs() < 1e-9, "{coarsest:?}");
}
