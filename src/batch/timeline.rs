//! When each step of a batch happens.
//!
//! Layer 3. Times come from the recipe, or else from `limits.toml`. At the bench the longest time of a step is planned with.

use crate::recipe::{Divide, Extra, Recipe};
use crate::tables::{AlkaliKind, Effect, GoesInto, LayerWait, TIME_KEYS, Tables};
use crate::units::TimeSpan;

/// Something done at the bench.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Action {
    /// Laying out, lining the mould, dressing.
    LayOut,
    /// Mixing the lye.
    MixLye,
    /// Letting it cool.
    LyeCools,
    /// Melting and weighing the fats, while the lye cools.
    MeltFats,
    /// Bringing lye and fats together and blending them, all or for a layer.
    Blend(Option<usize>),
    /// Stirring in what goes in at trace, of the batch or of a layer.
    StirIn(Option<usize>),
    /// Pouring all of it, or a layer.
    Pour(Option<usize>),
    /// Waiting until a layer is firm but still tacky.
    Wait(usize),
    /// Misting a layer with rubbing alcohol.
    Spritz(usize),
    /// Cooking the batter.
    Cook,
    /// Stirring in the fats that come after saponification.
    StirInFats,
    /// Covering, cleaning and washing up.
    WashUp,
}

/// A step at the bench.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BenchStep {
    /// What is done.
    pub action: Action,
    /// When it begins, counted from the first step.
    pub start: TimeSpan,
    /// How long it takes.
    pub length: TimeSpan,
    /// Whether it has to begin when the step before it ends, because the batter or the layer below sets meanwhile.
    pub must_not_wait: bool,
    /// Whether its length is common practice and not the recipe's.
    pub is_usual: bool,
}

/// A step of days or weeks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LongStep {
    /// Shortest.
    pub shortest: TimeSpan,
    /// Longest.
    pub longest: TimeSpan,
    /// Whether it is common practice and not the recipe's.
    pub is_usual: bool,
}

/// A batch in time.
#[derive(Clone, Debug, PartialEq)]
pub struct Timeline {
    /// The steps at the bench, in order of their beginnings.
    pub bench: Vec<BenchStep>,
    /// How long the bench is needed.
    pub bench_length: TimeSpan,
    /// In the mould; `None` for a paste, which goes into no mould unless its recipe says so.
    pub mould: Option<LongStep>,
    /// The cure, counted from the unmoulding.
    pub cure: Option<LongStep>,
}

/// How long a layer takes until it is firm but still tacky, and whether that is common practice and not the recipe's.
///
/// A layer that holds something that thickens the batter sets sooner.
///
/// # Source
///
/// Common practice: `layer-wait-minutes` and `thick-layer-wait-minutes` in `limits.toml`.
#[must_use]
pub fn wait_after(recipe: &Recipe, layer_idx: usize, tables: &Tables) -> (TimeSpan, LayerWait, bool) {
    let layer = &recipe.layers[layer_idx];
    let thickens = |it: &Extra| it.additive.effects.contains(&Effect::Thickens);
    let is_thick = layer.extras.iter().chain(&recipe.extras).any(thickens);
    let limits = if is_thick { tables.limits.thick_layer_wait } else { tables.limits.layer_wait };
    (layer.wait.unwrap_or(limits.usual), limits, layer.wait.is_none())
}

/// A batch in time.
///
/// # Example
///
/// Two layers, each blended on its own, all by common practice: laying out 15 minutes, lye 10, cooling 60 (the fats
/// meanwhile), blending 5, pouring 3, waiting 15, blending 5, pouring 3, washing up 30: 146 minutes.
///
/// # Source
///
/// The recipe; common practice where it is silent.
#[must_use]
pub fn timeline(recipe: &Recipe, tables: &Tables) -> Timeline {
    let mut plan = Plan { recipe, tables, bench: Vec::new(), now: 0.0 };
    plan.step(Action::LayOut, "lay-out", false);
    plan.step(Action::MixLye, "lye", false);
    let (fats_from, (melt, melt_is_usual)) = (plan.now, plan.time("melt"));
    let (cools, cools_is_usual) = plan.time("lye-cools");
    // The lye cools while the fats melt; whichever takes longer is waited for.
    plan.push(Action::LyeCools, cools.1, false, cools_is_usual);
    let after_lye = plan.now;
    plan.now = fats_from;
    plan.push(Action::MeltFats, melt.1, false, melt_is_usual);
    plan.now = plan.now.max(after_lye);
    let at_trace = |it: &Extra| it.additive.goes_into == GoesInto::Trace;
    let of_batch = recipe.extras.iter().any(at_trace);
    let n_layers = recipe.layers.len();
    let blends_once = n_layers == 0 || recipe.divide == Divide::Batter;
    if blends_once {
        plan.step(Action::Blend(None), "blend", false);
        if of_batch {
            plan.step(Action::StirIn(None), "additives", true);
        }
    }
    if is_cooked(recipe) {
        plan.step(Action::Cook, "cook", true);
    }
    if !recipe.late_fats.is_empty() {
        plan.step(Action::StirInFats, "additives", true);
    }
    if n_layers == 0 {
        plan.step(Action::Pour(None), "pour", true);
    }
    for (layer_idx, layer) in recipe.layers.iter().enumerate() {
        if !blends_once {
            // The first layer can wait for its blender; a later one has a layer below it that sets.
            plan.step(Action::Blend(Some(layer_idx)), "blend", layer_idx > 0);
        }
        if layer.extras.iter().any(at_trace) || of_batch && !blends_once {
            plan.step(Action::StirIn(Some(layer_idx)), "additives", true);
        }
        plan.step(Action::Pour(Some(layer_idx)), "pour", true);
        if layer_idx + 1 < n_layers {
            let (wait, _, is_usual) = wait_after(recipe, layer_idx, tables);
            plan.push(Action::Wait(layer_idx), wait, false, is_usual);
        }
        if layer.spritz {
            plan.push(Action::Spritz(layer_idx), TimeSpan::minutes(1.0), true, true);
        }
    }
    plan.step(Action::WashUp, "wash-up", false);
    let is_paste = recipe.alkalis.iter().all(|it| it.kind == AlkaliKind::KOH);
    let long = |key: &'static str| {
        let (time, is_usual) = plan.time(key);
        (!is_paste || !is_usual).then_some(LongStep { shortest: time.0, longest: time.1, is_usual })
    };
    let (mould, cure) = (long("mould"), long("cure"));
    Timeline { bench_length: TimeSpan::minutes(plan.now), bench: plan.bench, mould, cure }
}

/// Whether the soap is cooked: when the recipe says so, or stirs in a fat after saponification.
pub(super) fn is_cooked(recipe: &Recipe) -> bool {
    recipe.times.contains_key("cook") || !recipe.late_fats.is_empty()
}

struct Plan<'a> {
    recipe: &'a Recipe,
    tables: &'a Tables,
    bench: Vec<BenchStep>,
    now: f64,
}

impl Plan<'_> {
    /// Shortest and longest time of a step, and whether it is common practice.
    fn time(&self, key: &'static str) -> ((TimeSpan, TimeSpan), bool) {
        let usual = TIME_KEYS.iter().zip(self.tables.limits.times).find(|(it, _)| **it == key);
        let usual = usual.map(|(_, it)| it).unwrap_or_default();
        self.recipe.times.get(key).map_or((usual, true), |it| (*it, false))
    }

    fn step(&mut self, action: Action, key: &'static str, must_not_wait: bool) {
        let (time, is_usual) = self.time(key);
        self.push(action, time.1, must_not_wait, is_usual);
    }

    fn push(&mut self, action: Action, length: TimeSpan, must_not_wait: bool, is_usual: bool) {
        let start = TimeSpan::minutes(self.now);
        self.now += length.to_minutes();
        self.bench.push(BenchStep { action, start, length, must_not_wait, is_usual });
    }
}
