//! How sure the superfat is.
//!
//! Layer 3. A natural fat's saponification value is a range, an alkali's purity too, and a scale shows steps. Each is
//! taken as a rectangular distribution between its ends (JCGM 100:2008, 4.3.7): nothing is known but the ends.

use super::{Batch, Weighed};
use crate::recipe::Recipe;
use crate::tables::AlkaliKind;
use crate::units::Scale;

/// What may be off.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Input {
    /// The saponification value of a fat of the batch.
    SaponificationValue(usize),
    /// The purity of an alkali of the batch.
    Purity(AlkaliKind),
    /// The reading of a fat.
    FatReading(usize),
    /// The reading of an alkali, or of the stock that it is in.
    AlkaliReading(AlkaliKind),
    /// The strength of the stock that an alkali is in.
    StockStrength(AlkaliKind),
    /// The reading of an acid.
    AcidReading(usize),
}

/// How much one input matters.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Contribution {
    /// Which input.
    pub input: Input,
    /// How far the superfat moves, percentage points, when the input goes to the end of its range.
    pub half_width_percent: f64,
    /// Its part of the variance, percent; all parts add up to 100.
    pub share_percent: f64,
}

/// The superfat of the printed amounts and how far it may be off.
#[derive(Clone, Debug, PartialEq)]
pub struct SuperfatUncertainty {
    /// The superfat of the amounts as printed, percent.
    pub superfat_percent: f64,
    /// Standard uncertainty, percentage points.
    pub standard_percent: f64,
    /// Likely interval, percent: two standard uncertainties to either side, within what is possible at all.
    pub likely_percent: (f64, f64),
    /// Everything at its worst at once, percent.
    pub worst_percent: f64,
    /// Everything at its best at once, percent.
    pub best_percent: f64,
    /// What matters, most first.
    pub contributions: Vec<Contribution>,
}

/// The superfat of a batch as weighed on one scale, with its worst case and its likely interval.
///
/// `s = 1 - K / N`, with `N = sum of m_i * SV_i / 1000` over the fats and `K = sum of a_j * p_j / r_j - acids`, r the
/// mass of the alkali that does the work of one gram of KOH. Each input x with half width w moves s by `|ds/dx| * w` and
/// has the standard uncertainty `w / sqrt(3)`; they are taken as uncorrelated, so variances add. The derivatives:
/// `ds/dSV_i = K m_i / (1000 N^2)`, `ds/dm_i = K SV_i / (1000 N^2)`, `ds/dp_j = -a_j / (r_j N)`,
/// `ds/da_j = -p_j / (r_j N)`, `ds/dacid = koh_per_gram / N`.
///
/// - Half widths: of a saponification value half its published range, of a purity half its range, of a reading half a
///   division.
/// - Of a stock, `a = b c` with b the reading of the stock and c its strength: `ds/dc = -b p / (r N)`, with half its range, and
///   `ds/db = -c p / (r N)`.
/// - The worst case puts every input at its unlucky end at once (all fats at the low end, alkali at its purest, every
///   reading off by half a division), without linearising; the best case the other way.
/// - The likely interval has a coverage factor of 2 (about 95 % for many inputs of like size). One dominant rectangular
///   input cannot reach that far, so the interval is cut at the worst and best case.
///
/// # Example
///
/// 1000 g of one fat with SV 184 to 196, used 190, on an endless fine scale, pure NaOH, 5 % superfat: the worst case is
/// 1 - 180.5 / 184 = 1.90 %, and `u = 0.95 / 190 * 6 / sqrt(3)` = 1.73 percentage points.
///
/// # Source
///
/// JCGM 100:2008 (GUM), 4.3.7 and 5.1.2; from memory.
#[must_use]
pub fn superfat_uncertainty(recipe: &Recipe, batch: &Batch, weighed: &Weighed) -> SuperfatUncertainty {
    let scale = weighed.scale;
    let half_division = scale.mass(scale.one_division()).to_grams() / 2.0;
    let inputs = Inputs::of(recipe, batch, weighed, half_division);
    let everything = inputs.koh_for_everything(End::Nominal);
    if everything <= 0.0 {
        // Fats that the scale shows as nothing: a finding of its own, and no number to give.
        return SuperfatUncertainty {
            superfat_percent: weighed.superfat_percent,
            standard_percent: 0.0,
            likely_percent: (weighed.superfat_percent, weighed.superfat_percent),
            worst_percent: weighed.superfat_percent,
            best_percent: weighed.superfat_percent,
            contributions: Vec::new(),
        };
    }
    let present = inputs.koh_present(End::Nominal);
    let mut contributions = inputs.contributions(present, everything);
    let variance: f64 = contributions.iter().map(|it| it.half_width_percent.powi(2) / 3.0).sum();
    for it in &mut contributions {
        it.share_percent = if variance > 0.0 { it.half_width_percent.powi(2) / 3.0 / variance * 100.0 } else { 0.0 };
    }
    contributions.sort_by(|a, b| b.half_width_percent.total_cmp(&a.half_width_percent));
    let superfat = |end: End| {
        let everything = inputs.koh_for_everything(end).max(f64::MIN_POSITIVE);
        ((1.0 - inputs.koh_present(end) / everything) * 100.0).max(-1e6)
    };
    let (nominal, worst, best) = (superfat(End::Nominal), superfat(End::Worst), superfat(End::Best));
    let standard = variance.sqrt();
    SuperfatUncertainty {
        superfat_percent: nominal,
        standard_percent: standard,
        likely_percent: ((nominal - 2.0 * standard).max(worst), (nominal + 2.0 * standard).min(best)),
        worst_percent: worst,
        best_percent: best,
        contributions,
    }
}

/// The coarsest scale on which the printed amounts may be weighed without the worst case of the batch, or of a layer with lye
/// of its own, falling below zero: the scale itself, or one of the coarser ones that are made, with no unsafe one before it.
/// A scale that shows all fats, or the fats or the lye solution of a layer, as nothing is none. `None` where not even the scale
/// itself is fine enough.
///
/// # Example
///
/// 100 g of one fat with a single SV of 190 on a scale of 1 g, 5 % superfat, pure NaOH: the card says 12 g of the 13.54 g that
/// would use up everything. On a scale of 2 g the worst case is 1 - 13 / (13.54 * 0.99) = 3.1 %; one of 5 g reads 10 g of lye,
/// at worst 12.5 g, 1 - 12.5 / (13.54 * 0.975) = 5.3 %; one of 10 g at worst 15 g, which is too much. So 5 g will do.
#[must_use]
pub fn coarsest_scale(recipe: &Recipe, batch: &Batch, weighed: &Weighed) -> Option<Scale> {
    let is_safe = |weighed: &Weighed| {
        let worst = superfat_uncertainty(recipe, batch, weighed).worst_percent;
        let mut own_lye = (0..weighed.layers.len()).filter(|it| weighed.layers[*it].batter.is_none());
        // Fats or lye solution that the scale shows as nothing have no worst case, which makes no scale a safe one.
        let layer_is_safe = |it| weighed.layer_worst_percent(it, worst).is_some_and(|it| it >= 0.0);
        weighed.total_fats > 0 && worst >= 0.0 && own_lye.all(layer_is_safe)
    };
    if !is_safe(weighed) {
        return None;
    }
    let safe = weighed.scale.coarser().take_while(|it| is_safe(&weighed.on_coarser(*it)));
    Some(safe.last().unwrap_or(weighed.scale))
}

#[derive(Clone, Copy, PartialEq)]
enum End {
    Nominal,
    /// Where it lowers the superfat.
    Worst,
    /// Where it raises it.
    Best,
}

impl End {
    fn pick(self, nominal: f64, worst: f64, best: f64) -> f64 {
        match self {
            End::Nominal => nominal,
            End::Worst => worst,
            End::Best => best,
        }
    }
}

struct FatInput {
    grams: f64,
    sap_low: f64,
    sap_used: f64,
    sap_high: f64,
}

struct AlkaliInput {
    kind: AlkaliKind,
    /// As weighed: of the alkali, or of the stock that it is in.
    grams: f64,
    /// Lowest, stated and highest share of the alkali in what is weighed; a stock's strength, or else one.
    strength: (f64, f64, f64),
    has_stock: bool,
    purity_low: f64,
    purity: f64,
    purity_high: f64,
    grams_per_gram_koh: f64,
}

struct AcidInput {
    grams: f64,
    koh_per_gram: f64,
}

/// All inputs in grams and fractions.
struct Inputs {
    fats: Vec<FatInput>,
    alkalis: Vec<AlkaliInput>,
    acids: Vec<AcidInput>,
    half_division: f64,
}

impl Inputs {
    fn of(recipe: &Recipe, batch: &Batch, weighed: &Weighed, half_division: f64) -> Inputs {
        let grams = |reading: &u64| weighed.scale.mass(*reading).to_grams();
        let fats = weighed.fats.iter().zip(&recipe.fats).map(|(reading, share)| FatInput {
            grams: grams(reading),
            sap_low: share.fat.sap_low.to_mg_koh_per_g(),
            sap_used: share.fat.sap_used.to_mg_koh_per_g(),
            sap_high: share.fat.sap_high.to_mg_koh_per_g(),
        });
        let stock = recipe.stock.as_ref().zip(weighed.stock);
        let strength = stock.map_or((1.0, 1.0, 1.0), |(it, _)| {
            let (low, high) = it.strength_range;
            (low.to_fraction(), it.strength.to_fraction(), high.to_fraction())
        });
        let alkalis = weighed.alkalis.iter().zip(recipe.alkalis.iter().zip(&batch.alkalis));
        let alkalis = alkalis.map(|(reading, (share, amount))| AlkaliInput {
            kind: share.kind,
            grams: grams(stock.as_ref().map_or(reading, |(_, it)| &it.stock)),
            strength,
            has_stock: stock.is_some(),
            purity_low: share.purity_range.0.to_fraction(),
            purity: share.purity.to_fraction(),
            purity_high: share.purity_range.1.to_fraction(),
            grams_per_gram_koh: amount.grams_per_gram_koh,
        });
        let acids = weighed.acids.iter().zip(&batch.acids);
        let acids = acids.map(|(reading, it)| AcidInput { grams: grams(reading), koh_per_gram: it.koh_per_gram });
        Inputs { fats: fats.collect(), alkalis: alkalis.collect(), acids: acids.collect(), half_division }
    }

    /// N of the formula.
    fn koh_for_everything(&self, end: End) -> f64 {
        let d = self.half_division;
        self.fats
            .iter()
            .map(|it| {
                let grams = end.pick(it.grams, (it.grams - d).max(0.0), it.grams + d);
                grams * end.pick(it.sap_used, it.sap_low, it.sap_high) / 1000.0
            })
            .sum()
    }

    /// K of the formula.
    fn koh_present(&self, end: End) -> f64 {
        let d = self.half_division;
        let alkalis: f64 = self
            .alkalis
            .iter()
            .map(|it| {
                let grams = end.pick(it.grams, it.grams + d, (it.grams - d).max(0.0));
                let (low, stated, high) = it.strength;
                let grams = grams * end.pick(stated, high, low);
                grams * end.pick(it.purity, it.purity_high, it.purity_low) / it.grams_per_gram_koh
            })
            .sum();
        let acids: f64 = self
            .acids
            .iter()
            .map(|it| end.pick(it.grams, (it.grams - d).max(0.0), it.grams + d) * it.koh_per_gram)
            .sum();
        alkalis - acids
    }

    fn contributions(&self, present: f64, everything: f64) -> Vec<Contribution> {
        let d = self.half_division;
        let mut contributions = Vec::new();
        let mut add = |input, half_width: f64| {
            contributions.push(Contribution {
                input,
                half_width_percent: half_width.abs() * 100.0,
                share_percent: 0.0,
            });
        };
        // The formula's K / N^2, with the alkali left after the acids.
        let per_koh = present / everything.powi(2) / 1000.0;
        for (fat_idx, it) in self.fats.iter().enumerate() {
            add(Input::SaponificationValue(fat_idx), per_koh * it.grams * (it.sap_high - it.sap_low) / 2.0);
            add(Input::FatReading(fat_idx), per_koh * it.sap_used * d);
        }
        for it in &self.alkalis {
            let half_range = (it.purity_high - it.purity_low) / 2.0;
            let (low, strength, high) = it.strength;
            let per_koh = 1.0 / (it.grams_per_gram_koh * everything);
            add(Input::Purity(it.kind), it.grams * strength * per_koh * half_range);
            add(Input::AlkaliReading(it.kind), strength * it.purity * per_koh * d);
            if it.has_stock {
                add(Input::StockStrength(it.kind), it.grams * it.purity * per_koh * (high - low) / 2.0);
            }
        }
        for (acid_idx, it) in self.acids.iter().enumerate() {
            add(Input::AcidReading(acid_idx), it.koh_per_gram / everything * d);
        }
        contributions
    }
}
