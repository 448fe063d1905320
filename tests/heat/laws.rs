//! What holds for every lye: the ends of the model, ice, boiling, and laws over amounts of any size.

use kettlebook::batch::{
    heat_of_solution_joules_per_gram, hottest_lye, lye_heat_capacity, strongest_solution_percent_at,
};
use kettlebook::tables::AlkaliKind;
use kettlebook::units::Mass;
use proptest::prelude::*;

use crate::{TABLES, lye, near};

#[test]
fn beyond_the_range_the_heat_capacity_says_so_and_stays_a_number() {
    let tables = &*TABLES;
    for (naoh, koh, celsius) in [
        (0.51, 0.0, 25.0),
        (0.0, 0.47, 25.0),
        (0.25, 0.25, 25.0),
        (0.3, 0.0, 3.0),
        (0.3, 0.0, 101.0),
        (f64::MAX, f64::MAX, f64::MAX),
        (1.0, 1.0, 0.0),
    ] {
        let (found, in_range) = lye_heat_capacity(naoh, koh, celsius, tables);
        assert!(!in_range && (2.0..4.3).contains(&found), "{naoh} {koh} {celsius}: {found} {in_range}");
    }
}

#[test]
fn koh_is_bounded_by_its_heat_in_endless_water() {
    // 33 g of KOH in 67 g of water from 25 C: 33 * 57610 / 56.10565 J warm 100 g of 2.890 J/(g K) (thermo 0.6.1).
    let bound = lye(33.0, 1.0, 0.0, 25.0);
    near(bound.celsius, 25.0 + 33.0 * 57610.0 / 56.10565 / (100.0 * 2.890), 0.1, "33 % KOH");
    assert!(bound.may_boil && bound.in_range);
}

#[test]
fn ice_melts_and_is_warmed_before_anything_gets_hot() {
    // 50 g of ice and 50 g of water at 80 C: 50 * 80 * 4.19 J are about what melts 50 g.
    let grams = Mass::grams;
    let bath = hottest_lye(Mass::ZERO, Mass::ZERO, grams(100.0), 0.5, 80.0, &TABLES);
    near(bath.celsius, (80.0 - 333.4 / 4.185) / 2.0, 0.1, "half ice, half hot water");
    // More ice than the water can melt.
    assert_eq!(hottest_lye(Mass::ZERO, Mass::ZERO, grams(100.0), 0.9, 80.0, &TABLES).celsius, 0.0);
    // Each gram of ice instead of water at 20 C takes 333.4 + 20 * 4.19 J out of 100 g of 3.51 J/(g K).
    let cooler = lye(33.0, 0.0, 0.0, 20.0).celsius - lye(33.0, 0.0, 10.0 / 67.0, 20.0).celsius;
    near(cooler, 10.0 * (333.4 + 20.0 * 4.19) / (100.0 * 3.514), 0.05, "10 g of ice");
}

#[test]
fn lye_that_stays_below_100_degrees_cannot_boil() {
    for (percent, start, may_boil) in [(20.0, 20.0, false), (25.0, 20.0, false), (33.0, 20.0, true), (20.0, 45.0, true)]
    {
        let bound = lye(percent, 0.0, 0.0, start);
        assert_eq!((bound.may_boil, bound.celsius >= 100.0), (may_boil, may_boil), "{percent} % from {start} C");
    }
}

#[test]
fn what_the_tables_do_not_cover_says_so() {
    let tables = &*TABLES;
    let at = |naoh, koh, water, ice, start| {
        hottest_lye(Mass::grams(naoh), Mass::grams(koh), Mass::grams(water), ice, start, tables)
    };
    assert!(at(50.0, 0.0, 50.0, 0.0, 20.0).in_range && at(0.0, 46.0, 54.0, 1.0, 100.0).in_range);
    // Only proportions matter, however large the numbers.
    let vast = at(33e200, 0.0, 67e200, 0.25, 20.0);
    near(vast.celsius, at(33.0, 0.0, 67.0, 0.25, 20.0).celsius, 1e-9, "a vast batch");
    for out in [
        at(51.0, 0.0, 49.0, 0.0, 20.0),
        at(0.0, 47.0, 53.0, 0.0, 20.0),
        at(33.0, 0.0, 67.0, 0.0, 100.5),
        at(33.0, 0.0, 67.0, 1.5, 20.0),
        at(33.0, 0.0, 0.0, 0.0, 20.0),
        at(0.0, 0.0, 0.0, 0.0, 20.0),
    ] {
        assert!(!out.in_range && out.celsius.is_finite(), "{out:?}");
    }
}

/// A mass from nothing to what floating point holds, with the amounts of a bench among them.
fn any_mass() -> impl Strategy<Value = f64> {
    prop_oneof![Just(0.0), 0.0..2000.0, 0.0..1e-300, 0.0..f64::MAX]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 500, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn whatever_the_amounts_nothing_panics_and_everything_is_a_number(
        masses in [any_mass(), any_mass(), any_mass()],
        ice in prop_oneof![0.0..1.0, 0.0..f64::MAX],
        start in prop_oneof![0.0..100.0, 0.0..f64::MAX],
    ) {
        let tables = &*TABLES;
        let [naoh, koh, water] = masses;
        let (cp, _) = lye_heat_capacity(naoh, koh, start, tables);
        prop_assert!((2.0..4.3).contains(&cp), "{cp}");
        for kind in AlkaliKind::ALL {
            let heat = heat_of_solution_joules_per_gram(kind, water, tables);
            prop_assert!((300.0..1200.0).contains(&heat), "{heat}");
            let strongest = strongest_solution_percent_at(kind, start, tables);
            prop_assert_eq!(strongest.is_some(), start <= 100.0);
        }
        let bound = hottest_lye(Mass::grams(naoh), Mass::grams(koh), Mass::grams(water), ice, start, tables);
        prop_assert!((0.0..1000.0).contains(&bound.celsius), "{bound:?}");
        prop_assert_eq!(bound.may_boil, bound.celsius >= 100.0);
    }

    #[test]
    fn more_ice_is_never_hotter_and_warmer_water_never_cooler(
        percent in 1.0..60.0,
        koh_part in 0.0..=1.0,
        ice in (0.0..=1.0f64, 0.0..=1.0f64),
        start in (0.0..100.0f64, 0.0..100.0f64),
    ) {
        let at = |ice, start| lye(percent, koh_part, ice, start).celsius;
        prop_assert!(at(ice.0.max(ice.1), start.0) <= at(ice.0.min(ice.1), start.0));
        prop_assert!(at(ice.0, start.0.max(start.1)) >= at(ice.0, start.0.min(start.1)));
    }

    #[test]
    fn without_ice_alkali_heats_and_a_bigger_batch_of_the_same_is_no_hotter(
        percent in 1.0..60.0, koh_part in 0.0..=1.0, start in 0.0..100.0, times in 0.001..1000.0,
    ) {
        let tables = &*TABLES;
        let [naoh, koh, water] = [percent * (1.0 - koh_part), percent * koh_part, 100.0 - percent];
        let at = |times: f64| {
            let [naoh, koh, water] = [naoh, koh, water].map(|it| Mass::grams(it * times));
            hottest_lye(naoh, koh, water, 0.0, start, tables).celsius
        };
        prop_assert!(at(1.0) > start);
        prop_assert!((at(1.0) - at(times)).abs() < 1e-9);
    }

    #[test]
    fn stronger_lye_has_less_heat_capacity_and_sets_less_free_for_each_gram(
        percent in (0.1..50.0f64, 0.1..50.0f64), celsius in 4.0..100.0, n in (0.0..20.0f64, 0.0..20.0f64),
    ) {
        let tables = &*TABLES;
        let (weak, strong) = (percent.0.min(percent.1) / 100.0, percent.0.max(percent.1) / 100.0);
        let capacity = |naoh, koh| lye_heat_capacity(naoh, koh, celsius, tables).0;
        prop_assert!(capacity(weak, 0.0) >= capacity(strong, 0.0) && capacity(0.0, weak) >= capacity(0.0, strong));
        let heat = |n| heat_of_solution_joules_per_gram(AlkaliKind::NaOH, n, tables);
        prop_assert!(heat(n.0.min(n.1)) <= heat(n.0.max(n.1)));
    }

    #[test]
    fn warmer_water_never_holds_less(celsius in (0.0..=100.0f64, 0.0..=100.0f64)) {
        let tables = &*TABLES;
        for kind in AlkaliKind::ALL {
            let at = |celsius| strongest_solution_percent_at(kind, celsius, tables).expect("inside the table");
            prop_assert!(at(celsius.0.min(celsius.1)) <= at(celsius.0.max(celsius.1)));
        }
    }
}
