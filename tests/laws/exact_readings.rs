//! What a scale shows of a batch, and how sure the superfat is, a second time in exact fractions.
//!
//! Each reading is held against the exact amount first; what follows from readings (layers, superfats, worst cases, the
//! coarsest scale) is then reckoned from them in fractions. The course's tables have certificates of suppliers, and there
//! may be a finer scale for small amounts.

use std::cell::RefCell;

use kettlebook::batch::{self, Scale, ScaleUnit, Weighed, coarsest_scale, superfat_uncertainty};
use kettlebook::recipe::Recipe;
use num_bigint::BigInt;
use num_rational::BigRational;
use num_traits::{One as _, ToPrimitive as _, Zero as _};
use proptest::prelude::*;
use proptest::test_runner::{TestCaseResult, TestRunner, contextualize_config};

use super::certificates::{Certificate, certificates, recipe_of, with_certificates};
use super::exact::{Between, Data, Exact, ExactExtra, calculate, exact, whole};
use super::plan::{Alkali, FAT_IDS, Plan, Size, cases, plans};

/// Scales as typed: the unit, a division, and how many steps of a finer scale make one.
fn scales() -> impl Strategy<Value = (ScaleUnit, &'static str, u32)> {
    let grams = prop::sample::select(vec!["0.01", "0.1", "0.2", "0.3", "0.5", "1", "2", "5", "10", "50"]);
    let ounces = prop::sample::select(vec!["0.005", "0.01", "0.05", "0.1", "0.25", "0.5", "1"]);
    let division = prop_oneof![
        2 => grams.prop_map(|it| (ScaleUnit::Grams, it)),
        1 => ounces.prop_map(|it| (ScaleUnit::Ounces, it)),
    ];
    let steps = prop_oneof![Just(1_u32), prop::sample::select(vec![2_u32, 4, 5, 10, 20, 50, 100])];
    (division, steps).prop_map(|((unit, division), steps)| (unit, division, steps))
}

/// A scale in fractions.
#[derive(Clone)]
struct ExactScale {
    unit_grams: BigRational,
    division: BigRational,
    steps: u64,
}

impl ExactScale {
    fn grams(&self, reading: u64) -> BigRational {
        whole(reading) * &self.division * &self.unit_grams / whole(self.steps)
    }

    fn half_division(&self) -> BigRational {
        self.grams(self.steps) / whole(2)
    }

    /// Whether a mass reads so: whole divisions, rounded down once `up` was added. The library takes a millionth of a
    /// division below the next for binary dust.
    fn reads(&self, found: u64, grams: &BigRational, up: &BigRational) -> bool {
        let divisions = grams / (&self.division * &self.unit_grams) + up;
        let (least, most) = (divisions.floor(), (&divisions + hair()).floor());
        found.is_multiple_of(self.steps) && [least, most].contains(&whole(found / self.steps))
    }

    fn reads_nearest(&self, found: u64, grams: &BigRational) -> bool {
        self.reads(found, grams, &half())
    }

    /// What goes in at trace is weighed on the finer scale, up to a hundred grams.
    fn reads_extra(&self, found: u64, it: &ExactExtra) -> bool {
        let finer = ExactScale { division: &self.division / whole(self.steps), steps: 1, ..self.clone() };
        let most = whole(100);
        let is_close = (&it.grams - &most) * whole(1_000_000_000) <= most && it.grams >= most;
        let is_small = it.goes_into == "trace" && it.grams <= most;
        let (fine, coarse) = (finer.reads_nearest(found, &it.grams), self.reads_nearest(found, &it.grams));
        if is_close {
            fine || coarse
        } else if is_small {
            fine
        } else {
            coarse
        }
    }

    /// The largest remainder method in whole units of so many steps. Of remainders that are equal in fractions any may be
    /// first, unless the weights are equal too.
    fn shares_out(&self, total: u64, weights: &[BigRational], steps: u64, found: &[u64]) -> bool {
        let sum: BigRational = weights.iter().sum();
        let share = |idx: usize| whole(total / steps) * &weights[idx] / &sum;
        let fits = |idx: usize| {
            let base = share(idx).floor();
            let part = whole(found[idx]) / whole(steps);
            part == base || part == base + BigRational::one()
        };
        let got_more = |idx: usize| whole(found[idx] / steps) > share(idx).floor();
        let in_order = |a: usize, b: usize| {
            let [of_a, of_b] = [a, b].map(|it| share(it).fract());
            !got_more(a) || got_more(b) || (of_a >= of_b - hair() - hair() && (weights[a] != weights[b] || a < b))
        };
        found.len() == weights.len()
            && found.iter().sum::<u64>() == if found.is_empty() { 0 } else { total / steps * steps }
            && (0..found.len()).all(|a| fits(a) && (0..found.len()).all(|b| in_order(a, b)))
    }

    /// A printed amount as a coarser scale shows it; of two as near the lower, or the higher.
    fn rereads(&self, coarser: &BigRational, reading: u64, is_higher: bool) -> u64 {
        let divisions = whole(reading) * &self.division / whole(self.steps) / coarser;
        let read = if is_higher { (divisions + half()).floor() } else { (divisions - half()).ceil() };
        read.max(whole(0)).to_integer().to_u64().expect("a reading")
    }
}

fn half() -> BigRational {
    BigRational::new(1.into(), 2.into())
}

fn hair() -> BigRational {
    exact("0.0000011")
}

/// What the superfat follows from: what is printed, on a scale.
struct Readings {
    scale: ExactScale,
    fats: Vec<u64>,
    alkalis: Vec<u64>,
    acids: Vec<u64>,
    /// Everything that is weighed into the lye, and into the pot of the fats.
    solution: u64,
    all_fats: u64,
    /// Fats and lye of each layer that is blended on its own.
    layers: Vec<[u64; 2]>,
}

/// What is known of it: saponification values, moles of alkali in a gram, moles that a gram of acid takes up.
struct Known {
    sap: Vec<Between>,
    koh: BigRational,
    alkalis: Vec<Between>,
    acids: Vec<BigRational>,
}

/// Which ends of the ranges.
#[derive(Clone, Copy, PartialEq)]
enum End {
    Printed,
    Worst,
    Best,
}

impl Readings {
    fn of(weighed: &Weighed, scale: &ExactScale) -> Readings {
        let own = |it: &&batch::WeighedLayer| it.batter.is_none();
        Readings {
            scale: scale.clone(),
            fats: weighed.fats.clone(),
            alkalis: weighed.alkalis.clone(),
            acids: weighed.acids.clone(),
            solution: [&weighed.alkalis, &weighed.acids, &weighed.liquids].into_iter().flatten().sum::<u64>()
                + weighed.water
                + weighed.extras_in_lye,
            all_fats: weighed.fats.iter().sum::<u64>() + weighed.extras_in_fats,
            layers: weighed.layers.iter().filter(own).map(|it| [it.fats, it.solution]).collect(),
        }
    }

    /// The printed amounts weighed on another scale, each as near as it can and in doubt the unlucky way.
    fn on_coarser(weighed: &Weighed, scale: &ExactScale, division: &BigRational) -> Readings {
        let all = |readings: &[u64], is_higher| -> Vec<u64> {
            readings.iter().map(|it| scale.rereads(division, *it, is_higher)).collect()
        };
        let (fats, alkalis) = (all(&weighed.fats, false), all(&weighed.alkalis, true));
        let in_lye = [&weighed.acids[..], &weighed.liquids, &[weighed.water, weighed.extras_in_lye]].concat();
        let solution = alkalis.iter().chain(&all(&in_lye, false)).sum();
        let all_fats = fats.iter().chain(&all(&[weighed.extras_in_fats], false)).sum();
        let printed = Readings::of(weighed, scale).layers;
        let layer = |[fats, lye]: [u64; 2]| [scale.rereads(division, fats, false), scale.rereads(division, lye, true)];
        Readings {
            scale: ExactScale { division: division.clone(), steps: 1, ..scale.clone() },
            acids: all(&weighed.acids, false),
            layers: printed.into_iter().map(layer).collect(),
            fats,
            alkalis,
            solution,
            all_fats,
        }
    }

    /// The superfat in percent; `None` where there are no fats.
    fn superfat(&self, known: &Known, end: End) -> Option<BigRational> {
        let off = self.scale.half_division();
        // `lucky`: whether more of it means more superfat.
        let weighed = |reading: u64, lucky: bool| match end {
            End::Printed => self.scale.grams(reading),
            _ if (end == End::Best) == lucky => self.scale.grams(reading) + &off,
            _ => (self.scale.grams(reading) - &off).max(whole(0)),
        };
        let at = |it: &Between, lucky: bool| match end {
            End::Printed => it.used.clone(),
            _ if (end == End::Best) == lucky => it.high.clone(),
            _ => it.low.clone(),
        };
        let fats = self.fats.iter().zip(&known.sap);
        let wanted: BigRational =
            fats.map(|(reading, sap)| weighed(*reading, true) * at(sap, true) / whole(1000) / &known.koh).sum();
        let alkalis = self.alkalis.iter().zip(&known.alkalis);
        let present: BigRational = alkalis.map(|(reading, moles)| weighed(*reading, false) * at(moles, false)).sum();
        let acids = self.acids.iter().zip(&known.acids);
        let taken: BigRational = acids.map(|(reading, moles)| weighed(*reading, true) * moles).sum();
        (wanted > whole(0)).then(|| (whole(1) - (present - taken) / wanted) * whole(100))
    }

    /// The superfat of a layer, that of the batch being `of_batch`: its lye has its part of the alkali, its fats their part of
    /// what takes it up. Both may be off by `off` steps the unlucky way.
    fn layer(&self, [fats, lye]: [u64; 2], of_batch: &BigRational, off: &BigRational) -> BigRational {
        let lye_part = (whole(lye) + off) / whole(self.solution);
        let fat_part = (whole(fats) - off) / whole(self.all_fats);
        whole(100) - (whole(100) - of_batch) * lye_part / fat_part
    }

    fn half_steps(&self) -> BigRational {
        whole(self.scale.steps) / whole(2)
    }

    /// The least superfat that there may be anywhere; `None` where something that has to be there reads nothing.
    fn worst(&self, known: &Known) -> Option<BigRational> {
        let of_batch = self.superfat(known, End::Worst).filter(|_| self.fats.iter().sum::<u64>() > 0)?;
        if !self.layers.is_empty() && (self.solution == 0 || self.layers.iter().any(|[fats, _]| *fats == 0)) {
            return None;
        }
        let of_layers = self.layers.iter().map(|it| self.layer(*it, &of_batch, &self.half_steps()));
        Some(of_layers.fold(of_batch.clone(), BigRational::min))
    }
}

/// Whether a percentage is the exact one; the library stops at minus a million.
fn agrees(found: f64, wanted: &BigRational) -> bool {
    let wanted = wanted.to_f64().expect("a finite number").max(-1e6);
    (found - wanted).abs() <= 1e-9 * wanted.abs().max(1.0)
}

/// Every reading against the exact amounts.
fn check_readings(weighed: &Weighed, wanted: &Exact, scale: &ExactScale, alkali: Alkali) -> TestCaseResult {
    let nearest = |found: &[u64], wanted: &[BigRational]| {
        found.len() == wanted.len() && found.iter().zip(wanted).all(|(it, grams)| scale.reads_nearest(*it, grams))
    };
    prop_assert!(scale.reads_nearest(weighed.total_fats, &wanted.total_fats));
    prop_assert!(scale.shares_out(weighed.total_fats, &wanted.fats, scale.steps, &weighed.fats), "{:?}", weighed.fats);
    let used: Vec<_> = match alkali {
        Alkali::Soda => vec![&wanted.alkalis[0]],
        Alkali::Potash => vec![&wanted.alkalis[1]],
        Alkali::Both(_) => wanted.alkalis.iter().collect(),
    };
    prop_assert_eq!(weighed.alkalis.len(), used.len());
    for (found, grams) in weighed.alkalis.iter().zip(used) {
        prop_assert!(scale.reads(*found, grams, &BigRational::zero()), "{found} for {:?}", grams.to_f64());
    }
    prop_assert!(scale.reads_nearest(weighed.water, &wanted.plain_water));
    prop_assert!(nearest(&weighed.liquids, &wanted.liquids));
    prop_assert!(nearest(&weighed.acids, &wanted.acids.iter().map(|it| it.0.clone()).collect::<Vec<_>>()));
    prop_assert!(nearest(&weighed.late_fats, &wanted.late_fats));
    let extras = |found: &[u64], wanted: &[ExactExtra]| {
        found.len() == wanted.len() && found.iter().zip(wanted).all(|(found, it)| scale.reads_extra(*found, it))
    };
    prop_assert!(extras(&weighed.extras, &wanted.extras), "{:?}", weighed.extras);
    let extras_in = |place: &str| -> u64 {
        weighed.extras.iter().zip(&wanted.extras).filter(|(_, it)| it.goes_into == place).map(|it| it.0).sum()
    };
    prop_assert_eq!((weighed.extras_in_lye, weighed.extras_in_fats), (extras_in("water"), extras_in("fats")));
    check_layers(weighed, wanted, scale)?;
    for (found, it) in weighed.layers.iter().zip(&wanted.layers) {
        prop_assert!(extras(&found.extras, &it.extras), "{:?}", found.extras);
    }
    Ok(())
}

/// Fats by largest remainder; lye rounded down to what the printed fats are due; the rest stays in the jug.
fn check_layers(weighed: &Weighed, wanted: &Exact, scale: &ExactScale) -> TestCaseResult {
    let readings = Readings::of(weighed, scale);
    prop_assert_eq!(weighed.layers.len(), wanted.layers.len());
    let shares: Vec<BigRational> = wanted.layers.iter().map(|it| it.share.clone()).collect();
    let column = |of: &dyn Fn(&batch::WeighedLayer) -> u64| weighed.layers.iter().map(of).collect::<Vec<u64>>();
    prop_assert!(scale.shares_out(readings.all_fats, &shares, scale.steps, &column(&|it| it.fats)));
    for it in &weighed.layers {
        let due = BigInt::from(readings.solution) * BigInt::from(it.fats);
        let divisions = due / BigInt::from((readings.all_fats * scale.steps).max(1));
        prop_assert_eq!(BigInt::from(it.solution), divisions * BigInt::from(scale.steps));
    }
    for (idx, (reading, it)) in weighed.extras.iter().zip(&wanted.extras).enumerate() {
        let shared = if it.goes_into == "trace" { *reading } else { 0 };
        prop_assert!(scale.shares_out(shared, &shares, 1, &column(&|it| it.shared_extras[idx])));
    }
    let in_jugs: u64 = readings.layers.iter().map(|it| it[1]).sum();
    let left = if readings.layers.is_empty() { 0 } else { readings.solution - in_jugs };
    prop_assert_eq!(weighed.solution_left(), left);
    if weighed.layers.iter().any(|it| it.batter.is_some()) {
        let batter = readings.all_fats + readings.solution + weighed.extras.iter().sum::<u64>()
            - weighed.extras_in_lye
            - weighed.extras_in_fats;
        prop_assert!(scale.shares_out(batter, &shares, scale.steps, &column(&|it| it.batter.unwrap_or(u64::MAX))));
    }
    Ok(())
}

/// The coarser scales that are made: one, two or five times a power of ten, up to what soap is weighed on.
fn coarser(scale: &ExactScale, unit: ScaleUnit) -> Vec<BigRational> {
    let most = whole(if unit == ScaleUnit::Grams { 100 } else { 4 });
    let steps = (-4..=2).flat_map(|power| [1, 2, 5].map(|it| exact(&format!("{it}e{power}"))));
    steps.filter(|it| *it > scale.division && *it <= most).collect()
}

/// What each case comes to, for the count below.
#[derive(Debug, PartialEq)]
enum Outcome {
    /// A reading is nothing, or a worst case so near zero that binary fractions cannot tell.
    Untold,
    /// Not even the scale itself is safe.
    Unsafe,
    /// The coarsest scale is so many scales up.
    Safe(usize),
}

fn check_certainty(
    (recipe, batch, weighed): (&Recipe, &batch::Batch, &Weighed),
    (known, scale): (&Known, &ExactScale),
    outcome: &mut Outcome,
) -> TestCaseResult {
    let readings = Readings::of(weighed, scale);
    let Some(printed) = readings.superfat(known, End::Printed) else { return Ok(()) };
    prop_assert!(agrees(weighed.superfat_percent, &printed), "{} {:?}", weighed.superfat_percent, printed.to_f64());
    let found = superfat_uncertainty(recipe, batch, weighed);
    prop_assert!(agrees(found.superfat_percent, &printed));
    let [worst, best] = [End::Worst, End::Best].map(|it| readings.superfat(known, it));
    let Some(worst) = worst.filter(|it| *it > whole(0) - whole(1_000_000)) else { return Ok(()) };
    prop_assert!(agrees(found.worst_percent, &worst), "{} {:?}", found.worst_percent, worst.to_f64());
    prop_assert!(agrees(found.best_percent, &best.expect("as the worst")));
    for (layer_idx, layer) in readings.layers.iter().enumerate() {
        let superfat = weighed.layer_superfat_percent(layer_idx);
        let at_worst = weighed.layer_worst_percent(layer_idx, found.worst_percent);
        prop_assert_eq!(superfat.is_some(), layer[0] > 0 && readings.solution > 0);
        let (Some(superfat), Some(at_worst)) = (superfat, at_worst) else { continue };
        prop_assert!(agrees(superfat, &readings.layer(*layer, &printed, &whole(0))), "{superfat}");
        prop_assert!(agrees(at_worst, &readings.layer(*layer, &worst, &readings.half_steps())), "{at_worst}");
    }
    // A recipe of which something reads nothing is refused, so that no scale is named for it.
    let something_reads_nothing =
        readings.fats.iter().chain(&readings.alkalis).chain(readings.layers.iter().flatten()).any(|it| *it == 0);
    let mut worsts = vec![readings.worst(known)];
    let divisions = coarser(scale, weighed.scale.unit);
    worsts.extend(divisions.iter().map(|it| Readings::on_coarser(weighed, scale, it).worst(known)));
    let is_close = |it: &BigRational| it.to_f64().is_some_and(|it| it.abs() < 1e-9);
    if something_reads_nothing || worsts.iter().flatten().any(is_close) {
        return Ok(());
    }
    let n_safe = worsts.iter().take_while(|it| it.as_ref().is_some_and(|it| *it >= whole(0))).count();
    let wanted =
        n_safe.checked_sub(1).map(|it| [std::slice::from_ref(&scale.division), &divisions[..]].concat()[it].clone());
    let coarsest = coarsest_scale(recipe, batch, weighed);
    let found = coarsest.map(|it| exact(&it.division.to_string()));
    prop_assert_eq!(&found, &wanted, "{:?}", worsts.iter().map(|it| it.as_ref()?.to_f64()).collect::<Vec<_>>());
    *outcome = n_safe.checked_sub(1).map_or(Outcome::Unsafe, Outcome::Safe);
    Ok(())
}

fn check(
    plan: &Plan,
    certificates: &[Option<Certificate>],
    (unit, division, steps): (ScaleUnit, &str, u32),
    outcome: &mut Outcome,
) -> TestCaseResult {
    std::thread_local! { static DATA: Data = Data::read(); }
    let mut data = DATA.with(Data::clone);
    let (tables, text) = with_certificates(plan, certificates, &mut data);
    let recipe = recipe_of(text, &tables);
    let batch = batch::compute(&recipe, &tables);
    let scale = Scale { steps, ..Scale::new(unit, division.parse().expect("a number")) };
    let weighed = Weighed::read(&batch, scale);
    let wanted = calculate(plan, &data);
    let unit_grams = exact(if unit == ScaleUnit::Grams { "1" } else { "28.349523125" });
    let scale = ExactScale { unit_grams, division: exact(division), steps: u64::from(steps) };
    check_readings(&weighed, &wanted, &scale, plan.alkali)?;
    let per_gram = |purity: Between, molar_mass: &BigRational| Between {
        low: purity.low / molar_mass,
        used: purity.used / molar_mass,
        high: purity.high / molar_mass,
    };
    let naoh = per_gram(data.purity(plan.purity.0), &data.naoh);
    let koh = per_gram(data.purity(plan.purity.1), &data.koh);
    let known = Known {
        sap: plan.fats.iter().map(|(fat_idx, _)| data.sap[&FAT_IDS[*fat_idx]].clone()).collect(),
        koh: data.koh.clone(),
        alkalis: match plan.alkali {
            Alkali::Soda => vec![naoh],
            Alkali::Potash => vec![koh],
            Alkali::Both(_) => vec![naoh, koh],
        },
        acids: wanted.acids.iter().map(|it| it.1.clone()).collect(),
    };
    check_certainty((&recipe, &batch, &weighed), (&known, &scale), outcome)
}

/// A plan that can be weighed: 20 g to 3 kg, no trace of a fat, no thin layer. Of others the scale often shows nothing.
fn weighable(plan: Plan) -> Plan {
    let Size::Batch(milligrams) = plan.size else { return plan };
    let mut fats: Vec<_> = plan.fats.iter().filter(|it| it.1 >= 5_000).copied().collect();
    fats[0].1 += 100_000 - fats.iter().map(|it| it.1).sum::<u32>();
    let size = Size::Batch(20_000 + milligrams % 3_000_000);
    Plan { fats, size, layers: plan.layers.iter().map(|it| 300_000 + it).collect(), ..plan }
}

#[test]
fn what_a_scale_shows_agrees_with_exact_fractions() {
    let mut runner = TestRunner::new(contextualize_config(cases(400)));
    // How many cases told how much: a law that nothing tries would hold.
    let counts = RefCell::new([0_u32; 4]);
    let plans = prop_oneof![1 => plans(), 3 => plans().prop_map(weighable)];
    let tried = runner.run(&(plans, certificates(), scales()), |(plan, certificates, scale)| {
        let mut outcome = Outcome::Untold;
        check(&plan, &certificates, scale, &mut outcome)?;
        let kind = match outcome {
            Outcome::Untold => 0,
            Outcome::Unsafe => 1,
            Outcome::Safe(0) => 2,
            Outcome::Safe(_) => 3,
        };
        counts.borrow_mut()[kind] += 1;
        Ok(())
    });
    tried.unwrap_or_else(|it| panic!("{it}"));
    let counts = counts.into_inner();
    let all: u32 = counts.iter().sum();
    assert!(counts.iter().all(|it| *it * 1000 > all), "untold, unsafe, itself, coarser: {counts:?}");
}
