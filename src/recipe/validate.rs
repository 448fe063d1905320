//! From a recipe as typed and the tables to a recipe that can be computed, with everything that is wrong on the way.
//!
//! Layer 2. Gives a [`Recipe`] only when nothing stands in the way of computing it; then the findings of
//! `rules/` look at what was computed.

use super::arrangement::embeds_fit;
use super::{AlkaliShare, BatchSize, Defaults, Embed, FatShare, Places, RawRecipe, Recipe, Stock, WaterRule};
use crate::finding::{Finding, Severity, nearest};
use crate::reader::{Entry, Node, NodeValue, Reader};
use crate::show::Units;
use crate::source::Place;
use crate::tables::{AlkaliKind, Mould, Tables};
use crate::units::{Mass, Percent, Volume};

/// The smallest and largest mass that is computed, in grams: a milligram and a tonne.
pub const MASS_LIMITS_GRAMS: (f64, f64) = (0.001, 1_000_000.0);

/// How far percentages may be off 100: what three decimals typed for each of many fats can miss.
pub(super) const SUM_TOLERANCE_PERCENT: f64 = 0.005;

/// Checks a recipe against the tables and the course's defaults.
///
/// All findings are returned together. `None` is returned exactly when one of them is an error, when `raw.refused` names a
/// value without which nothing can be computed, or when a row that the recipe names was refused in its table.
#[must_use]
pub fn validate(raw: &RawRecipe, tables: &Tables, defaults: &Defaults) -> (Option<Recipe>, Vec<Finding>) {
    let mut check = Check { tables, findings: Vec::new(), units: defaults.units, is_incomplete: false };
    let fats = check.fats(raw);
    let size = check.size(raw, fats.as_ref());
    let superfat = raw.superfat_percent.as_ref().map(|it| it.value).or(defaults.superfat_percent);
    if superfat.is_none() && !raw.refused.contains(&"superfat") {
        check.findings.push(Finding::missing_key(raw.place.clone(), "superfat", "superfat = 5"));
    }
    if let (Some(superfat), Some(range)) = (superfat, &raw.superfat_range)
        && !(range.value.0..=range.value.1).contains(&superfat)
    {
        check.findings.push(Finding::superfat_outside_its_range(range.place.clone(), superfat, range.value));
    }
    let alkalis = check.alkalis(raw, defaults);
    let water = check.water(raw, defaults);
    let stock = check.stock(raw, alkalis.as_deref());
    let into = check.mould_poured_into(raw);
    let divide = check.divide(raw);
    let (trace, first) = (check.trace(raw.trace.as_ref()), check.first(raw.first.as_ref()));
    let batter = trace.filter(|_| divide.is_of_batter());
    let layers = check.layers(raw, size.as_ref(), divide, batter);
    let additives = check.additives(raw);
    let late_fats = check.late_fats(raw);
    let infusions = check.infusions(raw);
    let embeds = check.embeds(raw, size.as_ref(), into.as_ref());
    check.nothing_after_with_layers(raw);
    let place = |place: Option<&Place>| place.unwrap_or(&raw.place).clone();
    let places = Places {
        recipe: raw.place.clone(),
        superfat: place(raw.superfat_percent.as_ref().map(|it| &it.place)),
        water: place(raw.water.as_ref().map(|it| &it.place)),
        alkali: place(raw.alkali.as_ref().map(|it| &it.place)),
        stock: place(raw.stock.as_ref().map(|it| &it.place)),
        purity: AlkaliKind::ALL
            .into_iter()
            .filter_map(|kind| {
                let entry = raw.purity.iter().find(|it| it.key.value == kind.formula())?;
                Some((kind, entry.node.place.clone()))
            })
            .collect(),
        size: place(
            raw.batch
                .as_ref()
                .map(|it| &it.place)
                .or(raw.mould.as_ref().map(|it| &it.place))
                .or(raw.fats.first().map(|it| &it.key.place)),
        ),
        cut: place(raw.cut.as_ref().map(|it| &it.place)),
        into: place(raw.into.as_ref().or(raw.mould.as_ref()).map(|it| &it.place)),
        fats: raw.fats.iter().map(|it| it.node.place.clone()).collect(),
        acids: additives.acid_places,
        liquids: additives.liquid_places,
        late_fats: raw.late_fats.iter().map(|it| it.node.place.clone()).collect(),
        times: raw.times.iter().map(|(key, it)| (*key, it.place.clone())).collect(),
        divide: place(raw.divide.as_ref().or(raw.swirl.as_ref()).map(|it| &it.place)),
        trace: place(raw.trace.as_ref().map(|it| &it.place)),
    };
    let (findings, is_incomplete) = (check.findings, check.is_incomplete);
    let failed = findings.iter().any(|it| it.severity == Severity::Error);
    let recipe = match (fats, size, superfat, alkalis, water, layers, &raw.title) {
        (Some(fats), Some(size), Some(superfat_percent), Some(alkalis), Some(water), Some(layers), Some(title))
            if !failed && !is_incomplete =>
        {
            Some(Recipe {
                id: raw.id.clone(),
                title: title.value.clone(),
                fats: fats.shares,
                size,
                superfat_percent,
                superfat_range: raw.superfat_range.as_ref().map(|it| it.value),
                alkalis,
                water,
                stock,
                acids: additives.acids,
                liquids: additives.liquids,
                extras: additives.extras,
                infusions,
                late_fats,
                pot: raw.pot.clone(),
                dilute: raw.dilute.clone(),
                cut: raw.cut.as_ref().map(|it| it.value),
                into,
                embeds,
                layers,
                divide,
                trace,
                first,
                times: raw.times.iter().map(|(key, it)| (*key, it.value)).collect(),
                when_poured: raw.when_poured,
                based_on: raw.based_on.as_ref().map(|it| it.value.clone()),
                units: defaults.units,
                places,
            })
        }
        _ => None,
    };
    (recipe, findings)
}

/// Fats with shares, and their sum where they were given as masses.
struct Fats {
    shares: Vec<FatShare>,
    sum: Option<Mass>,
}

/// A check under way.
pub(super) struct Check<'a> {
    pub(super) tables: &'a Tables,
    pub(super) findings: Vec<Finding>,
    pub(super) units: Units,
    /// Whether something is missing that was told elsewhere, in a table.
    pub(super) is_incomplete: bool,
}

impl Check<'_> {
    fn fats(&mut self, raw: &RawRecipe) -> Option<Fats> {
        if raw.fats.is_empty() {
            if !raw.refused.contains(&"fats") {
                self.findings.push(Finding::no_fats(raw.place.clone()));
            }
            return None;
        }
        let mut amounts = Vec::new();
        let mut first_is_mass = None;
        let mut complete = true;
        for Entry { key, node } in &raw.fats {
            let fat = self.tables.fats.get(&key.value);
            if fat.is_none() && self.tables.is_refused("fats.toml", &key.value) {
                complete = false;
            } else if fat.is_none() {
                let near = self.tables.fat_meant_by(&key.value);
                self.findings.push(Finding::unknown_fat(key.place.clone(), &key.value, near));
            }
            let amount = self.fat_amount(&key.value, node);
            if let Some((is_mass, _)) = amount
                && *first_is_mass.get_or_insert(is_mass) != is_mass
            {
                self.findings.push(Finding::mixed_fat_forms(node.place.clone()));
                complete = false;
            }
            match (fat, amount) {
                (fat, Some((_, amount))) => amounts.push((fat, amount)),
                (_, None) => complete = false,
            }
        }
        if !complete {
            return None;
        }
        let total: f64 = amounts.iter().map(|(_, amount)| amount).sum();
        if first_is_mass == Some(false) && (total - 100.0).abs() > SUM_TOLERANCE_PERCENT {
            let place = raw.fats[raw.fats.len() - 1].node.place.clone();
            self.findings.push(if (0.9..=1.1).contains(&total) {
                let percents: Vec<f64> = amounts.iter().map(|(_, fraction)| fraction * 100.0).collect();
                Finding::fats_as_fractions(place, total, &percents)
            } else {
                Finding::fats_do_not_sum(place, total)
            });
        }
        let shares = amounts
            .into_iter()
            .map(|(fat, amount)| Some(FatShare { fat: fat?.clone(), fraction: amount / total }))
            .collect::<Option<Vec<_>>>()?;
        Some(Fats { shares, sum: (first_is_mass == Some(true)).then(|| Mass::grams(total)) })
    }

    /// Whether a fat's amount is a mass, and the percentage or the grams.
    fn fat_amount(&mut self, name: &str, node: &Node) -> Option<(bool, f64)> {
        match &node.value {
            NodeValue::Number(percent) => {
                if *percent > 0.0 && *percent <= 100.0 {
                    return Some((false, *percent));
                }
                self.findings.push(Finding::out_of_range(node.place.clone(), name, *percent, 0.001, 100.0));
                None
            }
            NodeValue::Text(text) => match Mass::parse(text) {
                Ok(mass) => self.bench_mass(name, &node.place, mass).map(|it| (true, it.to_grams())),
                Err(error) => {
                    let wanted = "a percentage (60) or a mass with its unit (\"540 g\")";
                    self.findings.push(Finding::not_a_quantity(node.place.clone(), name, wanted, &error));
                    None
                }
            },
            other => {
                let wanted = "a percentage or a mass";
                self.findings.push(Finding::wrong_type(node.place.clone(), name, wanted, other.kind()));
                None
            }
        }
    }

    pub(super) fn bench_mass(&mut self, name: &str, place: &Place, mass: Mass) -> Option<Mass> {
        let (low, high) = MASS_LIMITS_GRAMS;
        if (low..=high).contains(&mass.to_grams()) {
            return Some(mass);
        }
        self.findings.push(Finding::mass_out_of_range(place.clone(), name, mass.to_grams()));
        None
    }

    fn size(&mut self, raw: &RawRecipe, fats: Option<&Fats>) -> Option<BatchSize> {
        let sum = fats.and_then(|it| it.sum);
        let mut ways: Vec<(&str, &Place)> = Vec::new();
        if sum.is_some()
            && let Some(first) = raw.fats.first()
        {
            ways.push(("the masses of its fats", &first.node.place));
        }
        ways.extend(raw.batch.as_ref().map(|it| ("`batch`", &it.place)));
        ways.extend(raw.mould.as_ref().map(|it| ("`mould`", &it.place)));
        if let [first, second, ..] = ways[..] {
            self.findings.push(Finding::two_batch_sizes(second.1.clone(), first.0, second.0));
        }
        if let Some(sum) = sum {
            return self.bench_mass("the sum of the fats", &raw.place, sum).map(BatchSize::Fats);
        }
        if let Some(batch) = &raw.batch {
            return self.bench_mass("batch", &batch.place, batch.value).map(BatchSize::Fats);
        }
        if let Some(name) = &raw.mould {
            let mould = self.tables.moulds.get(&name.value);
            if mould.is_none() && !self.tables.is_refused("moulds.toml", &name.value) {
                let near = nearest(&name.value, self.tables.moulds.keys().map(String::as_str));
                self.findings.push(Finding::unknown_mould(name.place.clone(), &name.value, near));
            }
            return mould.cloned().map(BatchSize::Mould);
        }
        let was_typed = ["batch", "mould", "fats"].iter().any(|it| raw.refused.contains(it));
        if fats.is_some() && !was_typed {
            self.findings.push(Finding::no_batch_size(raw.place.clone()));
        }
        None
    }

    /// `[[embeds]]`: in a mould, which they leave room in, and not among layers by thickness, since they may lie in any.
    fn embeds(&mut self, raw: &RawRecipe, size: Option<&BatchSize>, into: Option<&Mould>) -> Vec<Embed> {
        let Some(first) = raw.embeds.first() else { return Vec::new() };
        let mould = match size {
            Some(BatchSize::Mould(mould)) => Some(mould),
            _ => into,
        };
        if raw.layers.iter().any(|it| it.thickness.is_some()) {
            self.findings.push(Finding::embeds_with_thickness(first.place.clone()));
        }
        let embeds = raw.embeds.iter().map(|it| Embed {
            name: it.name.value.as_str().into(),
            volume: Volume::millilitres(it.volume.to_millilitres() * it.count),
            place: it.place.clone(),
        });
        let embeds: Vec<Embed> = embeds.collect();
        match mould {
            Some(mould) => self.findings.extend(embeds_fit(&embeds, mould).err().map(|it| *it)),
            None if size.is_some() => self.findings.push(Finding::embeds_without_mould(first.place.clone())),
            None => {}
        }
        embeds
    }

    /// `into`: the mould that a batch of a given mass is poured into.
    fn mould_poured_into(&mut self, raw: &RawRecipe) -> Option<Mould> {
        let name = raw.into.as_ref()?;
        if raw.mould.is_some() {
            self.findings.push(Finding::two_batch_sizes(name.place.clone(), "`mould`", "`into`"));
        }
        let mould = self.tables.moulds.get(&name.value);
        if mould.is_none() && self.tables.is_refused("moulds.toml", &name.value) {
            self.is_incomplete = true;
        } else if mould.is_none() {
            let near = nearest(&name.value, self.tables.moulds.keys().map(String::as_str));
            self.findings.push(Finding::unknown_mould(name.place.clone(), &name.value, near));
        }
        mould.cloned()
    }

    fn water(&mut self, raw: &RawRecipe, defaults: &Defaults) -> Option<WaterRule> {
        let Some(node) = &raw.water else {
            if defaults.water.is_none() {
                self.findings.push(Finding::no_water(raw.place.clone()));
            }
            return defaults.water;
        };
        water_rule(node, &mut self.findings)
    }

    /// `stock`: the strength of lye solution made beforehand, of one alkali.
    fn stock(&mut self, raw: &RawRecipe, alkalis: Option<&[AlkaliShare]>) -> Option<Stock> {
        let node = raw.stock.as_ref()?;
        let mut reader = Reader::new(node, "stock");
        let strength = reader.number_between("lye-concentration", 1.0, 99.0);
        let is_table = matches!(node.value, NodeValue::Table(_));
        let strength = if is_table {
            reader.require("lye-concentration", strength, "stock = { lye-concentration = 50 }")
        } else {
            strength
        };
        self.findings.extend(reader.finish());
        if alkalis.is_some_and(|it| it.len() > 1) {
            self.findings.push(Finding::stock_of_two_alkalis(node.place.clone()));
        }
        let percent = strength?.value;
        let tolerance = self.tables.limits.stock_tolerance_percent;
        let range = ((percent - tolerance).max(0.0), (percent + tolerance).min(100.0));
        let [low, high] = [range.0, range.1].map(Percent::percent);
        Some(Stock { strength: Percent::percent(percent), strength_range: (low, high) })
    }
}

/// Reads one of the three water conventions.
pub(crate) fn water_rule(node: &Node, findings: &mut Vec<Finding>) -> Option<WaterRule> {
    let mut reader = Reader::new(node, "water");
    let mut rules = Vec::new();
    for (key, low, high) in [("lye-concentration", 1.0, 99.0), ("per-lye", 0.01, 100.0), ("of-fats", 0.1, 1000.0)] {
        let typed = reader.number_between(key, low, high);
        rules.extend(typed.map(|it| match key {
            "lye-concentration" => (key, it.place, WaterRule::LyeConcentration(Percent::percent(it.value))),
            "per-lye" => (key, it.place, WaterRule::PerLye(it.value)),
            _ => (key, it.place, WaterRule::OfFats(Percent::percent(it.value))),
        }));
    }
    let nothing_refused = reader.refused().is_empty();
    let inner = reader.finish();
    if rules.is_empty() && inner.is_empty() && nothing_refused {
        findings.push(Finding::no_water(node.place.clone()));
    }
    findings.extend(inner);
    if rules.len() > 1 {
        // In the order typed, so that the second one is the one to point at.
        rules.sort_by_key(|(_, place, _)| place.span.start);
        findings.push(Finding::two_water_conventions(rules[1].1.clone(), rules[0].0, rules[1].0));
    }
    rules.into_iter().next().map(|(_, _, rule)| rule)
}
