//! When each step of a batch happens.
//!
//! Layer 3. Times come from the recipe, or else from `limits.toml`. At the bench the longest time of a step is planned with.

use super::Batch;
use super::trace::{
    divides_batter, first_stop, is_dispersed_beforehand, steps_on, stirs_in, stop_at, wait_after, wets_powders,
};
use crate::recipe::{Divide, First, Recipe, Swirl, Trace};
use crate::tables::{AlkaliKind, GoesInto, TIME_KEYS, Tables};
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
    /// Melting and weighing the fats, while the lye cools or before it is mixed.
    MeltFats,
    /// Dividing among the jugs of the layers: the melted fats, or the blended batter before any of it thickens.
    Divide,
    /// Wetting the powders that go in at trace.
    Slurry,
    /// Bringing lye and fats together and blending them to the first stop, all or for a layer.
    Blend(Option<usize>),
    /// Stirring in what goes in at trace, of the batch or of a layer.
    StirIn(Option<usize>),
    /// Blending on to the trace at which it is poured.
    BlendOn(Option<usize>),
    /// Pouring all of it, or a layer.
    Pour(Option<usize>),
    /// Bringing the portions of a batter together in the mould.
    Swirl(Swirl),
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

/// A batch in time.
///
/// # Example
///
/// Two layers, each blended on its own, all by common practice: laying out 15 minutes, lye 10, cooling 60 (the fats
/// meanwhile), blending to medium trace 7, pouring 3, waiting 15, blending to light trace 5, pouring 3, washing up 30: 148
/// minutes.
///
/// # Source
///
/// The recipe; common practice where it is silent.
#[must_use]
pub fn timeline(recipe: &Recipe, batch: &Batch, tables: &Tables) -> Timeline {
    let mut plan = Plan { recipe, batch, tables, bench: Vec::new(), now: 0.0 };
    plan.step(Action::LayOut, "lay-out", false);
    match recipe.first {
        First::Lye => {
            plan.step(Action::MixLye, "lye", false);
            plan.while_the_lye_cools(|plan| {
                plan.fats();
                plan.slurries();
            });
        }
        First::Fats => {
            plan.fats();
            plan.step(Action::MixLye, "lye", false);
            plan.while_the_lye_cools(Plan::slurries);
        }
    }
    let n_layers = recipe.layers.len();
    let blends_once = n_layers == 0 || divides_batter(recipe);
    let mut blended_at = plan.now;
    if blends_once {
        plan.blend(None, false);
        blended_at = plan.now;
        if stirs_in(recipe, None) {
            plan.step(Action::StirIn(None), "additives", true);
        }
        plan.blend_on(None, first_stop(recipe, None).steps_to(stop_at(recipe, None)));
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
    for layer_idx in 0..n_layers {
        plan.layer(layer_idx, blended_at);
    }
    if let (Some(swirl), true) = (recipe.divide.swirl(), n_layers > 0) {
        plan.step(Action::Swirl(swirl), "pour", true);
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
    batch: &'a Batch,
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

    /// The fats, and for layers that are blended each on its own the dividing of them.
    fn fats(&mut self) {
        self.step(Action::MeltFats, "melt", false);
        if self.recipe.layers.len() > 1 && self.recipe.divide == Divide::FatsAndLye {
            self.step(Action::Divide, "divide", false);
        }
    }

    fn slurries(&mut self) {
        let of_layers = self.recipe.layers.iter().flat_map(|it| &it.extras);
        let is_dispersed = self.recipe.extras.iter().chain(of_layers).any(is_dispersed_beforehand);
        if is_dispersed || wets_powders(self.recipe) {
            self.step(Action::Slurry, "slurry", false);
        }
    }

    /// What is done while the lye cools; whichever takes longer is waited for.
    fn while_the_lye_cools(&mut self, meanwhile: impl FnOnce(&mut Self)) {
        let from = self.now;
        self.step(Action::LyeCools, "lye-cools", false);
        let cooled = self.now;
        self.now = from;
        meanwhile(self);
        self.now = self.now.max(cooled);
    }

    /// From its blending to its wait; `blended_at` is when a batter that is divided was blended.
    fn layer(&mut self, layer_idx: usize, blended_at: f64) {
        let (recipe, tables) = (self.recipe, self.tables);
        let this = Some(layer_idx);
        if !divides_batter(recipe) {
            // The first layer can wait for its blender; a later one has a layer below it that sets.
            self.blend(this, layer_idx > 0);
        }
        if stirs_in(recipe, this) {
            self.step(Action::StirIn(this), "additives", true);
        }
        if recipe.divide.swirl().is_some() {
            // Portions come together when each has its colour.
            return;
        }
        let waited = TimeSpan::minutes(self.now - blended_at);
        self.blend_on(this, steps_on(recipe, self.batch, layer_idx, waited, tables));
        self.step(Action::Pour(this), "pour", true);
        if layer_idx + 1 < recipe.layers.len() {
            let (wait, _, is_usual) = wait_after(recipe, self.batch, layer_idx, tables);
            self.push(Action::Wait(layer_idx), wait, false, is_usual);
        }
        if recipe.layers[layer_idx].spritz {
            self.push(Action::Spritz(layer_idx), TimeSpan::minutes(1.0), true, true);
        }
    }

    /// Blending to the first stop. What the recipe states is the time to wherever it stops; the usual one is to light trace.
    fn blend(&mut self, layer_idx: Option<usize>, must_not_wait: bool) {
        let (time, is_usual) = self.time("blend");
        let steps = Trace::Light.steps_to(first_stop(self.recipe, layer_idx));
        let beyond = if is_usual { self.minutes_of(steps) } else { 0.0 };
        let length = TimeSpan::minutes(time.1.to_minutes() + beyond);
        self.push(Action::Blend(layer_idx), length, must_not_wait, is_usual);
    }

    /// Blending on by so many steps of trace.
    fn blend_on(&mut self, layer_idx: Option<usize>, steps: u8) {
        if steps > 0 {
            self.push(Action::BlendOn(layer_idx), TimeSpan::minutes(self.minutes_of(steps)), true, true);
        }
    }

    fn minutes_of(&self, steps: u8) -> f64 {
        f64::from(steps) * self.tables.limits.trace_blend.1.to_minutes()
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
        Blend, BlendOn, Cook, Divide, LayOut, LyeCools, MeltFats, MixLye, Pour, Slurry, Spritz, StirIn, StirInFats,
        Wait, WashUp,
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
        // A powder is wetted while the lye cools.
        check(COCOA, "", &[(Slurry, false), (Blend(None), false), (StirIn(None), true), (Pour(None), true)]);
        // It goes in at light trace, and then the batter is blended on.
        let on =
            [(Slurry, false), (Blend(None), false), (StirIn(None), true), (BlendOn(None), true), (Pour(None), true)];
        check(COCOA, "trace = \"medium\"\n", &on);
        check("", "trace = \"medium\"\n", &[(Blend(None), false), (Pour(None), true)]);
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
        let layer = |idx: usize| [(Blend(Some(idx)), idx > 0), (StirIn(Some(idx)), true)];
        let steps = [
            &[(Divide, false), (Slurry, false)],
            &layer(0)[..],
            &[(BlendOn(Some(0)), true), (Pour(Some(0)), true), (Wait(0), false)],
            &layer(1)[..],
            &[(Pour(Some(1)), true), (Spritz(1), true)],
        ];
        check(&format!("{COCOA}{LAYERS}"), "", &steps.concat());
        // Blended once, all of it is stirred once, and divided before the first layer is poured and sets.
        let once = [(Slurry, false), (Blend(None), false), (StirIn(None), true), (Divide, true)];
        let first = [(BlendOn(Some(0)), true), (Pour(Some(0)), true), (Wait(0), false)];
        // While the first one set, the second has come to light trace by itself.
        let steps = [&once[..], &first, &[(Pour(Some(1)), true), (Spritz(1), true)]].concat();
        check(&format!("{COCOA}{LAYERS}"), "divide = \"batter\"\n", &steps);
        let hurried = LAYERS.replacen("share = 1\n", "share = 1\nwait = \"1 min\"\n", 1);
        let on = [(BlendOn(Some(1)), true), (Pour(Some(1)), true), (Spritz(1), true)];
        let steps = [&once[..], &first, &on].concat();
        check(&format!("{COCOA}{hurried}"), "divide = \"batter\"\n", &steps);
    }

    #[test]
    fn the_fats_may_be_melted_and_divided_before_the_lye_is_mixed() {
        let first = |lines: &str| actions(lines, "first = \"fats\"\n").into_iter().map(|it| it.0).collect::<Vec<_>>();
        assert_eq!(first(""), [LayOut, MeltFats, MixLye, LyeCools, Blend(None), Pour(None), WashUp]);
        assert_eq!(first(&format!("{COCOA}{LAYERS}"))[..6], [LayOut, MeltFats, Divide, MixLye, LyeCools, Slurry]);
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
        // Fats first, by hand: 15 of laying out, 30 of melting, 10 of mixing, 60 of cooling, 5, 3, 30.
        let text = "title = \"Timed\"\nbatch = \"1 kg\"\nsuperfat = 5\nalkali = \"NaOH\"\nfirst = \"fats\"\n\
                    water = { lye-concentration = 33 }\n[fats]\nolive = 100\n";
        let tables = Tables::embedded();
        let (raw, _) = RawRecipe::read("timed", &SourceFile::new("recipes/timed.toml", text));
        let recipe = validate(&raw, &tables, &Defaults::default()).0.expect("the recipe is right");
        assert_eq!(timeline(&recipe, &compute(&recipe, &tables), &tables).bench_length, TimeSpan::minutes(153.0));
        // By hand: 15 of laying out, 10 of mixing; then 60 of cooling or 80 of melting; 5 of blending, 3 of pouring, 30.
        assert_eq!(starts("{ melt = \"20 min\" }"), (vec![0.0, 15.0, 25.0, 25.0, 85.0, 90.0, 93.0], 123.0));
        assert_eq!(starts("{ melt = \"1 h\", cure = \"1 week\" }").1, 123.0);
        assert_eq!(starts("{ melt = \"80 min\" }"), (vec![0.0, 15.0, 25.0, 25.0, 105.0, 110.0, 113.0], 143.0));
    }
}
