//! When each step of a batch happens.
//!
//! Layer 3. Times come from the recipe, or else from `limits.toml`. At the bench the longest time of a step is planned with.

use super::Batch;
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
    /// Dividing the blended batter among the jugs of its layers, before any of it thickens.
    Divide,
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
    /// Stirring in the fats and whatever else comes after saponification.
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
/// The more a layer holds of what thickens the batter, the sooner it sets.
///
/// # Example
///
/// With the rows as they are, a plain layer and one with 1 % of clay wait 15 minutes, and 60 at most; one with 4.7 % waits
/// 2, and 3 at most; one with 2.85 %, half way between, 8 and 31.
///
/// # Source
///
/// Common practice: `layer-wait-minutes`, `thick-layer-wait-minutes` and `layer-thickening-percent` in `limits.toml`.
#[must_use]
pub fn wait_after(recipe: &Recipe, batch: &Batch, layer_idx: usize, tables: &Tables) -> (TimeSpan, LayerWait, bool) {
    let layer = &recipe.layers[layer_idx];
    let of_layer = layer.extras.iter().zip(&batch.layers[layer_idx].extras);
    let extras = of_layer.chain(recipe.extras.iter().zip(&batch.extras));
    let thickening = extras.filter(|(it, _)| it.additive.effects.contains(&Effect::Thickens));
    let percent: f64 = thickening.map(|(_, it)| it.of_fats_percent).sum();
    let (plain, thick) = (tables.limits.layer_wait, tables.limits.thick_layer_wait);
    let (light, heavy) = tables.limits.layer_thickening_percent;
    let limits = if percent <= light {
        plain
    } else if percent >= heavy {
        thick
    } else {
        let share = (percent - light) / (heavy - light);
        let between = |plain: TimeSpan, thick: TimeSpan| {
            let minutes = plain.to_minutes() + share * (thick.to_minutes() - plain.to_minutes());
            TimeSpan::minutes(minutes.floor())
        };
        LayerWait { usual: between(plain.usual, thick.usual), longest: between(plain.longest, thick.longest) }
    };
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
pub fn timeline(recipe: &Recipe, batch: &Batch, tables: &Tables) -> Timeline {
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
    if !recipe.late_fats.is_empty() || has_late_additives(recipe) {
        plan.step(Action::StirInFats, "additives", true);
    }
    if n_layers == 0 {
        plan.step(Action::Pour(None), "pour", true);
    }
    if n_layers > 0 && blends_once {
        plan.step(Action::Divide, "divide", true);
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
            let (wait, _, is_usual) = wait_after(recipe, batch, layer_idx, tables);
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

/// Whether the soap is cooked: when the recipe says so, loses water in the pot, or stirs in something after saponification.
#[must_use]
pub fn is_cooked(recipe: &Recipe) -> bool {
    let loses_water = recipe.pot.is_some();
    recipe.times.contains_key("cook") || loses_water || !recipe.late_fats.is_empty() || has_late_additives(recipe)
}

fn has_late_additives(recipe: &Recipe) -> bool {
    recipe.extras.iter().any(|it| it.additive.goes_into == GoesInto::Cooked)
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::batch::compute;
    use crate::recipe::{Defaults, RawRecipe, validate};
    use crate::source::SourceFile;

    /// The actions of a recipe of plain fats with these lines after them, and which of them must not wait.
    fn actions(lines: &str, keys: &str) -> Vec<(Action, bool)> {
        let text = format!(
            "title = \"Timed\"\nbatch = \"1 kg\"\nsuperfat = 5\nalkali = \"NaOH\"\nwater = {{ lye-concentration = 33 }}\n\
             {keys}[fats]\nolive = 100\n{lines}"
        );
        let tables = Tables::embedded();
        let (raw, mut findings) = RawRecipe::read("timed", &SourceFile::new("recipes/timed.toml", text));
        let (recipe, more) = validate(&raw, &tables, &Defaults::default());
        findings.extend(more);
        let recipe = recipe.unwrap_or_else(|| panic!("{findings:#?}"));
        let timeline = timeline(&recipe, &compute(&recipe, &tables), &tables);
        timeline.bench.iter().map(|it| (it.action, it.must_not_wait)).collect()
    }

    use Action::{
        Blend, Cook, Divide, LayOut, LyeCools, MeltFats, MixLye, Pour, Spritz, StirIn, StirInFats, Wait, WashUp,
    };

    const BEFORE: [(Action, bool); 4] = [(LayOut, false), (MixLye, false), (LyeCools, false), (MeltFats, false)];
    const COCOA: &str = "[[additives]]\nitem = \"cocoa-powder\"\nrate = \"1 %\"\n";
    const LAYERS: &str = "[[layers]]\nname = \"a\"\nshare = 1\n[[layers]]\nname = \"b\"\nshare = 1\nspritz = true\n";

    #[track_caller]
    fn check(lines: &str, keys: &str, then: &[(Action, bool)]) {
        let wanted: Vec<_> = BEFORE.into_iter().chain(then.iter().copied()).chain([(WashUp, false)]).collect();
        assert_eq!(actions(lines, keys), wanted);
    }

    #[test]
    fn a_batch_without_layers_is_blended_stirred_and_poured() {
        check("", "", &[(Blend(None), false), (Pour(None), true)]);
        check(COCOA, "", &[(Blend(None), false), (StirIn(None), true), (Pour(None), true)]);
        // What goes into the water or the fats is in there when the blending begins.
        let salt =
            "[[additives]]\nitem = \"salt\"\nrate = \"1 %\"\n[[additives]]\nitem = \"turmeric\"\nrate = \"1 %\"\n";
        check(salt, "", &[(Blend(None), false), (Pour(None), true)]);
    }

    #[test]
    fn a_cooked_batch_is_cooked_before_late_fats_and_pouring() {
        check("", "times = { cook = \"2 h\" }\n", &[(Blend(None), false), (Cook, true), (Pour(None), true)]);
        let late = "[fats-after]\nshea = \"3 %\"\n";
        check(late, "", &[(Blend(None), false), (Cook, true), (StirInFats, true), (Pour(None), true)]);
    }

    #[test]
    fn layers_wait_for_each_other_and_each_gets_its_part_of_what_goes_into_all() {
        let layer = |idx: usize| [(Blend(Some(idx)), idx > 0), (StirIn(Some(idx)), true), (Pour(Some(idx)), true)];
        let steps = [&layer(0)[..], &[(Wait(0), false)], &layer(1)[..], &[(Spritz(1), true)]].concat();
        check(&format!("{COCOA}{LAYERS}"), "", &steps);
        // Blended once, all of it is stirred once, and divided before the first layer is poured and sets.
        let once = [(Blend(None), false), (StirIn(None), true), (Divide, true), (Pour(Some(0)), true)];
        let steps = [&once[..], &[(Wait(0), false), (Pour(Some(1)), true), (Spritz(1), true)]].concat();
        check(&format!("{COCOA}{LAYERS}"), "divide = \"batter\"\n", &steps);
    }

    #[test]
    fn a_paste_has_a_mould_and_a_cure_only_if_its_recipe_says_so() {
        let long = |alkali: &str, times: &str| {
            let text = format!(
                "title = \"Timed\"\nbatch = \"1 kg\"\nsuperfat = 5\nalkali = {alkali}\nwater = {{ lye-concentration = 27 }}\n\
                 times = {times}\n[fats]\nolive = 100\n"
            );
            let tables = Tables::embedded();
            let (raw, _) = RawRecipe::read("timed", &SourceFile::new("recipes/timed.toml", text));
            let (recipe, _) = validate(&raw, &tables, &Defaults::default());
            let recipe = recipe.expect("the recipe is right");
            let timeline = timeline(&recipe, &compute(&recipe, &tables), &tables);
            let days = |it: Option<LongStep>| it.map(|it| (it.longest.to_minutes() / 1440.0, it.is_usual));
            (days(timeline.mould), days(timeline.cure))
        };
        let (usual_mould, usual_cure) = (Some((1.0, true)), Some((42.0, true)));
        assert_eq!(long("\"NaOH\"", "{}"), (usual_mould, usual_cure));
        assert_eq!(long("{ NaOH = 10, KOH = 90 }", "{}"), (usual_mould, usual_cure));
        assert_eq!(long("\"KOH\"", "{}"), (None, None));
        assert_eq!(long("\"KOH\"", "{ cure = \"2 weeks\" }"), (None, Some((14.0, false))));
        assert_eq!(long("\"NaOH\"", "{ mould = \"2 days\" }"), (Some((2.0, false)), usual_cure));
    }

    #[test]
    fn the_fats_melt_while_the_lye_cools_and_the_longer_of_the_two_is_waited_for() {
        let starts = |times: &str| {
            let text = format!(
                "title = \"Timed\"\nbatch = \"1 kg\"\nsuperfat = 5\nalkali = \"NaOH\"\nwater = {{ lye-concentration = 33 }}\n\
                 times = {times}\n[fats]\nolive = 100\n"
            );
            let tables = Tables::embedded();
            let (raw, _) = RawRecipe::read("timed", &SourceFile::new("recipes/timed.toml", text));
            let (recipe, _) = validate(&raw, &tables, &Defaults::default());
            let recipe = recipe.expect("the recipe is right");
            let timeline = timeline(&recipe, &compute(&recipe, &tables), &tables);
            let starts: Vec<f64> = timeline.bench.iter().map(|it| it.start.to_minutes()).collect();
            (starts, timeline.bench_length.to_minutes())
        };
        // By hand: 15 of laying out, 10 of mixing; then 60 of cooling or 80 of melting; 5 of blending, 3 of pouring, 30.
        assert_eq!(starts("{ melt = \"20 min\" }"), (vec![0.0, 15.0, 25.0, 25.0, 85.0, 90.0, 93.0], 123.0));
        assert_eq!(starts("{ melt = \"1 h\", cure = \"1 week\" }").1, 123.0);
        assert_eq!(starts("{ melt = \"80 min\" }"), (vec![0.0, 15.0, 25.0, 25.0, 105.0, 110.0, 113.0], 143.0));
    }
}
