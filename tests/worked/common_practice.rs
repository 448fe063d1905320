//! Against common practice, which has no source.

use std::collections::BTreeMap;

use serde::Deserialize;

use crate::{assert_near, batch, data, tables_with};

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
struct CommonPractice {
    mould_rule: MouldRule,
}

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
struct MouldRule {
    ounces_of_fats_per_cubic_inch: f64,
    tolerance_percent: f64,
    lye_concentrations: Vec<f64>,
    superfats: Vec<f64>,
    moulds: Vec<[f64; 3]>,
    mixture: Vec<Mixture>,
}

#[derive(Deserialize)]
struct Mixture {
    name: String,
    fats: BTreeMap<String, f64>,
}

#[test]
fn the_batch_for_a_mould_is_near_the_rule_of_thumb() {
    let CommonPractice { mould_rule: rule } = data("tests/worked/common_practice.toml");
    let mut n_compared = 0;
    for mould @ [length, width, height] in &rule.moulds {
        let table = format!(
            "[tried]\ninside-length = \"{length} in\"\ninside-width = \"{width} in\"\nfill-height = \"{height} in\"\n\
             source = \"common practice\"\n"
        );
        let tables = tables_with(&[("moulds.toml", &table)]);
        let wanted = rule.ounces_of_fats_per_cubic_inch * mould.iter().product::<f64>();
        for mixture in &rule.mixture {
            let fats: String = mixture.fats.iter().map(|(id, percent)| format!("{id} = {percent}\n")).collect();
            for (concentration, superfat) in
                rule.lye_concentrations.iter().flat_map(|it| rule.superfats.iter().map(move |superfat| (it, superfat)))
            {
                let recipe = format!(
                    "mould = \"tried\"\nsuperfat = {superfat}\nwater = {{ lye-concentration = {concentration} }}\n\
                     [fats]\n{fats}"
                );
                let found = batch(&recipe, &tables).total_fats.to_ounces();
                let what = format!("{} in {length} x {width} x {height} in, lye {concentration} %", mixture.name);
                assert_near(&what, found, wanted, wanted * rule.tolerance_percent / 100.0);
                n_compared += 1;
            }
        }
    }
    assert_eq!(n_compared, 2 * 5 * 6 * 3);
}
