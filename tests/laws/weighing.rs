//! Amounts as a scale shows them: what adds up, which way is rounded, and the superfat that comes of it.

use kettlebook::batch::{Scale, ScaleUnit, Weighed};
use kettlebook::course::{Settings, compute_recipe};
use kettlebook::recipe::{Changes, RawRecipe};
use kettlebook::source::SourceFile;
use kettlebook::units::{Mass, apportion};
use proptest::prelude::*;

use super::plan::{Plan, cases, compute, plans, tables};
use crate::equal;

/// Scales from 0.1 g to 10 g and from 0.005 oz to 0.5 oz: what is sold, and steps that have no short binary fraction.
const SCALES: [(ScaleUnit, f64); 13] = [
    (ScaleUnit::Grams, 0.1),
    (ScaleUnit::Grams, 0.2),
    (ScaleUnit::Grams, 0.5),
    (ScaleUnit::Grams, 1.0),
    (ScaleUnit::Grams, 2.0),
    (ScaleUnit::Grams, 5.0),
    (ScaleUnit::Grams, 10.0),
    (ScaleUnit::Ounces, 0.005),
    (ScaleUnit::Ounces, 0.01),
    (ScaleUnit::Ounces, 0.05),
    (ScaleUnit::Ounces, 0.1),
    (ScaleUnit::Ounces, 0.25),
    (ScaleUnit::Ounces, 0.5),
];

/// What the library takes for a hair of binary dust, in divisions of the scale (`batch/weighing.rs`).
const HAIR: f64 = 1e-6;

fn scales() -> impl Iterator<Item = Scale> {
    SCALES.into_iter().map(|(unit, division)| Scale::new(unit, division))
}

proptest! {
    #![proptest_config(cases(400))]

    /// The alkali falls with (1 - superfat), exactly and as printed, on every scale.
    #[test]
    fn more_superfat_never_means_more_alkali(plan in plans(), more in 1_u32..20_000) {
        let fatter = Plan { superfat: (plan.superfat + more).min(99_000), ..plan.clone() };
        let (lean, fat) = (compute(&plan), compute(&fatter));
        for (a, b) in lean.alkalis.iter().zip(&fat.alkalis) {
            prop_assert!(b.mass <= a.mass, "{:?} to {:?}", a.mass, b.mass);
        }
        if fatter.superfat > plan.superfat {
            prop_assert!(fat.koh_after_superfat < lean.koh_after_superfat);
        }
        for scale in scales() {
            let (a, b) = (Weighed::read(&lean, scale).alkalis, Weighed::read(&fat, scale).alkalis);
            prop_assert!(a.iter().zip(&b).all(|(a, b)| b <= a), "{a:?} to {b:?} on {scale:?}");
        }
    }

    /// What the page prints adds up on every scale, and lies as near to the exact amount as its rounding says.
    #[test]
    fn printed_parts_add_up_to_printed_totals_on_every_scale(plan in plans()) {
        let batch = compute(&plan);
        for scale in scales() {
            let weighed = Weighed::read(&batch, scale);
            let exact = |mass: Mass| mass.to_grams() / (scale.unit.grams() * scale.division);
            // Readings up to 10^7 divisions, whose binary fractions are good to 10^-9 of one.
            let (low, high) = (-0.5 - HAIR - 1e-8, 0.5 + HAIR + 1e-8);
            let nearest = |reading: u64, mass: Mass| (low..=high).contains(&(reading as f64 - exact(mass)));
            prop_assert_eq!(weighed.fats.iter().sum::<u64>(), weighed.total_fats);
            prop_assert!(nearest(weighed.total_fats, batch.total_fats));
            prop_assert!(nearest(weighed.water, batch.plain_water));
            for (reading, it) in weighed.fats.iter().zip(&batch.fats) {
                // Half a division of the total, shared out, and one of its own.
                let off = *reading as f64 - exact(it.mass);
                prop_assert!(off.abs() < 1.5 + HAIR, "{reading} for {}", exact(it.mass));
            }
            for (reading, it) in weighed.alkalis.iter().zip(&batch.alkalis) {
                let off = *reading as f64 - exact(it.mass);
                prop_assert!(off > -1.0 && off <= HAIR + 1e-8, "{reading} for {}", exact(it.mass));
            }
            for (reading, it) in weighed.acids.iter().zip(&batch.acids) {
                prop_assert!(nearest(*reading, it.mass));
            }
            for (reading, it) in weighed.liquids.iter().zip(&batch.liquids) {
                prop_assert!(nearest(*reading, it.mass));
            }
            for (reading, it) in weighed.late_fats.iter().zip(&batch.late_fats) {
                prop_assert!(nearest(*reading, it.mass));
            }
            let in_lye = [&weighed.alkalis, &weighed.acids, &weighed.liquids];
            let salt = weighed.extras.iter().zip(&batch.extras).filter(|(_, it)| *it.id == *"salt");
            let salt: u64 = salt.map(|(reading, _)| reading).sum();
            let turmeric = weighed.extras.iter().zip(&batch.extras).filter(|(_, it)| *it.id == *"turmeric");
            let turmeric: u64 = turmeric.map(|(reading, _)| reading).sum();
            prop_assert_eq!((weighed.extras_in_lye, weighed.extras_in_fats), (salt, turmeric));
            let solution = in_lye.into_iter().flatten().sum::<u64>() + weighed.water + salt;
            prop_assert_eq!(weighed.solution(), solution);
            let late: u64 = weighed.late_fats.iter().sum();
            for (reading, it) in weighed.extras.iter().zip(&batch.extras) {
                prop_assert!(nearest(*reading, it.mass));
            }
            let mut extras: u64 = weighed.extras.iter().sum();
            for (layer, exact) in weighed.layers.iter().zip(&batch.layers) {
                for (reading, it) in layer.extras.iter().zip(&exact.extras) {
                    prop_assert!(nearest(*reading, it.mass));
                    extras += reading;
                }
            }
            let poured = weighed.total_fats + solution + late + extras - salt;
            prop_assert_eq!(weighed.poured(), poured);
            if !batch.layers.is_empty() {
                prop_assert_eq!(weighed.layers.iter().map(|it| it.fats).sum::<u64>(), weighed.total_fats + turmeric);
                // Rounded down layer by layer, so that less than a division of each is left.
                let left = solution - weighed.layers.iter().map(|it| it.solution).sum::<u64>();
                prop_assert!(weighed.total_fats == 0 || left < weighed.layers.len() as u64, "{left} left");
                let left = if plan.divides_batter { 0 } else { left };
                prop_assert_eq!(weighed.solution_left(), left);
                // Additive by additive, but for what is in the lye or in the fats.
                for (idx, (reading, it)) in weighed.extras.iter().zip(&batch.extras).enumerate() {
                    let shared = weighed.layers.iter().map(|it| it.shared_extras[idx]).sum::<u64>();
                    prop_assert_eq!(shared, if ["salt", "turmeric"].contains(&&*it.id) { 0 } else { *reading });
                }
                let shared = weighed.layers.iter().flat_map(|it| &it.shared_extras).sum::<u64>() + turmeric;
                let batter: u64 = weighed.layers.iter().filter_map(|it| it.batter).sum();
                prop_assert_eq!(batter, if plan.divides_batter { weighed.total_fats + solution + shared } else { 0 });
                prop_assert_eq!(weighed.layers.iter().map(|it| it.poured()).sum::<u64>() + left, weighed.poured());
            }
        }
    }

    /// What a layer gets by the scale, weighed back: its lye against its fats, as the whole batch has them.
    #[test]
    fn the_superfat_of_a_layer_follows_from_its_printed_amounts(plan in plans()) {
        let batch = compute(&plan);
        for scale in scales() {
            let weighed = Weighed::read(&batch, scale);
            // Pure KOH that the printed alkali stands for, less what the acids take; and what the printed fats can take.
            let fats_take: f64 = weighed.fats.iter().zip(&batch.fats)
                .map(|(reading, it)| *reading as f64 * it.sap_value.to_mg_koh_per_g() / 1000.0).sum();
            let present = fats_take * (1.0 - weighed.superfat_percent / 100.0);
            for (idx, layer) in weighed.layers.iter().enumerate() {
                let Some(percent) = weighed.layer_superfat_percent(idx) else {
                    let reads_nothing = layer.fats == 0 || weighed.total_fats == 0 || weighed.solution() == 0;
                    prop_assert!(layer.batter.is_some() || reads_nothing);
                    continue;
                };
                let has = present * layer.solution as f64 / weighed.solution() as f64;
                let takes = fats_take * layer.fats as f64 / (weighed.total_fats + weighed.extras_in_fats) as f64;
                let wanted = (1.0 - has / takes) * 100.0;
                prop_assert!((percent - wanted).abs() <= 1e-9 * wanted.abs().max(1.0), "{percent} for {wanted}");
                // Rounding never gives a layer more lye than its fats are due; where its readings may be off, it may get more.
                let hair = 1e-9 * percent.abs().max(1.0);
                prop_assert!(weighed.superfat_percent > 100.0 || percent >= weighed.superfat_percent - hair, "{percent} below {}", weighed.superfat_percent);
                let worst = weighed.layer_worst_percent(idx, weighed.superfat_percent).expect("as the superfat");
                let (lye, fats) = (layer.solution as f64 + 0.5, layer.fats as f64 - 0.5);
                let has = present * lye / weighed.solution() as f64;
                let takes = fats_take * fats / (weighed.total_fats + weighed.extras_in_fats) as f64;
                let wanted = (1.0 - has / takes) * 100.0;
                prop_assert!((worst - wanted).abs() <= 1e-9 * wanted.abs().max(1.0), "{worst} for {wanted}");
            }
        }
    }

    /// Which superfat the printed amounts can have.
    ///
    /// Let N be the KOH for the exact fats, N' for the printed ones, s the superfat. Without acids the exact alkali does
    /// the work of (1 - s) N of KOH; a printed one is at most a hair of a division more than its exact mass, so with n
    /// divisions of it at most (1 + HAIR / n) times as much. Hence
    ///
    /// `printed superfat >= 1 - (1 - s) (1 + HAIR / n) N / N'`
    ///
    /// and where no fat was rounded down, N <= N', it is at least s, but for that hair. Acids are rounded to the nearest
    /// and take up alkali, so with them the law is about what they leave.
    #[test]
    fn printed_superfat_falls_below_nominal_only_by_fats_rounded_down(plan in plans()) {
        let batch = compute(&Plan { acids: Vec::new(), ..plan });
        let nominal = batch.superfat_percent / 100.0;
        for scale in scales() {
            let weighed = Weighed::read(&batch, scale);
            if weighed.total_fats == 0 || weighed.alkalis.contains(&0) {
                continue;
            }
            let printed_koh: f64 = weighed
                .fats
                .iter()
                .zip(&batch.fats)
                .map(|(reading, it)| scale.mass(*reading).to_grams() * it.sap_value.to_mg_koh_per_g() / 1000.0)
                .sum();
            let n = *weighed.alkalis.iter().min().expect("a recipe has an alkali") as f64;
            let printed = weighed.superfat_percent / 100.0;
            let least = 1.0 - (1.0 - nominal) * (1.0 + HAIR / n) * batch.koh.to_grams() / printed_koh;
            prop_assert!(printed >= least - 1e-9, "{printed} is below {least} on {scale:?}");
            let rounded_down =
                weighed.fats.iter().zip(&batch.fats).any(|(reading, it)| scale.mass(*reading) < it.mass);
            if !rounded_down {
                prop_assert!(printed >= nominal - HAIR - 1e-9, "{printed} is below {nominal} on {scale:?}");
            }
        }
    }

    /// The superfat of the printed amounts is what they say: a student with this scale can check it.
    #[test]
    fn printed_superfat_follows_from_the_printed_amounts(plan in plans()) {
        let batch = compute(&plan);
        for scale in scales() {
            let weighed = Weighed::read(&batch, scale);
            let grams = |reading: &u64| *reading as f64 * scale.division * scale.unit.grams();
            let needed: f64 = weighed
                .fats
                .iter()
                .zip(&batch.fats)
                .map(|(reading, it)| grams(reading) * it.sap_value.to_mg_koh_per_g() / 1000.0)
                .sum();
            let present: f64 = weighed
                .alkalis
                .iter()
                .zip(&batch.alkalis)
                .map(|(reading, it)| grams(reading) * it.purity.to_percent() / 100.0 / it.grams_per_gram_koh)
                .sum();
            let taken: f64 =
                weighed.acids.iter().zip(&batch.acids).map(|(reading, it)| grams(reading) * it.koh_per_gram).sum();
            let superfat = if needed > 0.0 { 100.0 * (1.0 - (present - taken) / needed) } else { batch.superfat_percent };
            prop_assert!((weighed.superfat_percent - superfat).abs() <= 1e-9 * superfat.abs().max(100.0));
        }
    }

    /// A scale that is given what it shows shows it again, and both are so many divisions.
    #[test]
    fn a_reading_weighed_again_reads_the_same(reading in prop_oneof![0_u64..100, 0_u64..10_000_000]) {
        for scale in scales() {
            let mass = scale.mass(reading);
            prop_assert_eq!(scale.nearest(mass), reading);
            prop_assert_eq!(scale.below(mass), reading);
            let grams = match scale.unit {
                ScaleUnit::Grams => 1.0,
                ScaleUnit::Ounces => 28.349_523_125,
            };
            prop_assert!(equal(mass.to_grams(), reading as f64 * scale.division * grams, 0.0));
            prop_assert!(equal(scale.value(reading), reading as f64 * scale.division, 0.0));
            // Printed with its decimals, no two readings look alike.
            let printed = |reading: u64| format!("{:.*}", scale.decimals(), scale.value(reading));
            prop_assert_ne!(printed(reading), printed(reading + 1));
            prop_assert!(equal(printed(reading).parse().expect("a number"), scale.value(reading), 0.0));
        }
    }

    /// The largest remainder method: a whole shared out, each part less than a division off its share, the larger share
    /// never the smaller part, and equal shares at most one division apart.
    #[test]
    fn a_reading_is_shared_out_fairly(
        total in prop_oneof![0_u64..50, 0_u64..1_000_000, 0_u64..10_000_000_000],
        weights in prop::collection::vec(prop_oneof![Just(1.0), 0.001..1.0_f64, 1.0..1e6_f64, Just(0.0)], 1..9),
    ) {
        prop_assume!(weights.iter().sum::<f64>() > 0.0);
        let parts = apportion(total, &weights);
        prop_assert_eq!(parts.iter().sum::<u64>(), total);
        let sum: f64 = weights.iter().sum();
        let share = |idx: usize| total as f64 * weights[idx] / sum;
        for a in 0..parts.len() {
            prop_assert!((parts[a] as f64 - share(a)).abs() < 1.0 + HAIR, "{} for {}", parts[a], share(a));
            if weights[a] == 0.0 {
                prop_assert_eq!(parts[a], 0);
            }
            for b in 0..parts.len() {
                // What is left over after whole divisions goes to the largest remainders.
                let remainder = |idx: usize| share(idx) - (share(idx) + HAIR).floor();
                let got_more = |idx: usize| parts[idx] as f64 > (share(idx) + HAIR).floor();
                if got_more(a) && !got_more(b) {
                    prop_assert!(remainder(a) >= remainder(b) - 2.0 * HAIR, "{} before {}", share(a), share(b));
                }
                if weights[a] == weights[b] {
                    prop_assert!(parts[a].abs_diff(parts[b]) <= 1);
                    prop_assert!(a > b || parts[a] >= parts[b], "the first of equals comes first");
                }
                if share(a) > share(b) + 2.0 * HAIR {
                    prop_assert!(parts[a] >= parts[b], "{} and {} for {} and {}", parts[a], parts[b], share(a), share(b));
                }
            }
        }
    }
}

/// With no superfat, alkali that reads exactly what the fats take may come out a hair of binary dust above it: that is no
/// alkali too much. 12.5 g of soybean oil (192 mg KOH per g) take 2.4 g of KOH.
#[test]
fn a_hair_below_zero_is_no_superfat_below_zero() {
    let mut settings = Settings::default();
    settings.scale_grams.division = 0.1;
    let mut n_below = 0;
    for k in 80..400 {
        let text = format!(
            "title = \"t\"\nbatch = \"{} g\"\nsuperfat = 0\nalkali = \"KOH\"\npurity = {{ KOH = 100 }}\n\
             water = {{ per-lye = 2 }}\n[fats]\nsoybean = 100\n",
            12.5 * f64::from(k)
        );
        let (raw, _) = RawRecipe::read("t", &SourceFile::new("recipes/t.toml", text));
        let (computed, findings) = compute_recipe(&raw, tables(), &settings, &Changes::default(), None);
        let printed = computed.expect("nothing is wrong with it").grams.superfat_percent;
        assert!(printed.abs() < 1e-9, "{printed} for {k} times 12.5 g");
        n_below += usize::from(printed < 0.0);
        let about_it = findings.iter().map(|it| it.code).filter(|it| it.starts_with("superfat"));
        assert_eq!(about_it.collect::<Vec<_>>(), ["superfat-worst-case-below-zero"], "{k} times 12.5 g");
    }
    assert!(n_below > 0, "no dust was met, so nothing was tried");
}
