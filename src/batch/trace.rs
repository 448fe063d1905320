//! How far the batter is blended, how it thickens by itself, and how long a layer takes until it carries the next.
//!
//! Layer 3. All of it is common practice, with no source: what the spoon shows at the bench decides.

use super::Batch;
use super::timeline::is_cooked;
use crate::recipe::{Divide, Extra, Pouring, Recipe, Swirl, Trace};
use crate::tables::{Effect, GoesInto, LayerWait, Tables};
use crate::units::TimeSpan;

/// Whether one batter is blended and then divided among the layers.
#[must_use]
pub fn divides_batter(recipe: &Recipe) -> bool {
    !recipe.layers.is_empty() && recipe.divide.is_of_batter()
}

/// The trace to stop at, of the whole batch or of a layer. As the recipe says; where it is silent, by what has to be carried:
///
/// - all of it, or the last layer: light. Nothing comes on it, and it still levels by itself.
/// - a layer with another above it: medium. On an emulsion the next layer sinks, and thick batter neither pours level nor
///   lets go of its air; a heavy layer is therefore let down over a spatula, and not given a thicker bed.
/// - a layer that is laid on with a spoon: thick, since it need not run.
/// - a batter that is divided: an emulsion, so that it still pours when the last part of it has its turn.
/// - portions that are swirled: light, so that they lie in each other and do not mix; with a hanger an emulsion.
///
/// A layer of a divided batter is never thinner than the batter was.
///
/// # Source
///
/// Common practice.
#[must_use]
pub fn stop_at(recipe: &Recipe, layer_idx: Option<usize>) -> Trace {
    let divides_batter = divides_batter(recipe);
    let Some(layer_idx) = layer_idx else {
        let usual = match recipe.divide {
            // A wire draws fine lines through a thin batter alone.
            Divide::Batter | Divide::Swirl(Swirl::Hanger) if divides_batter => Trace::Emulsion,
            Divide::FatsAndLye | Divide::Batter | Divide::Swirl(_) => Trace::Light,
        };
        return recipe.trace.unwrap_or(usual);
    };
    if recipe.divide.swirl().is_some() {
        return stop_at(recipe, None);
    }
    let layer = &recipe.layers[layer_idx];
    let usual = match layer.pouring {
        Pouring::Spoon => Trace::Thick,
        Pouring::Pour if layer_idx + 1 < recipe.layers.len() => Trace::Medium,
        Pouring::Pour => Trace::Light,
    };
    if divides_batter {
        return layer.trace.unwrap_or(usual).max(stop_at(recipe, None));
    }
    layer.trace.or(recipe.trace).unwrap_or(usual)
}

/// Whether something is stirred into the whole batch, or into a layer, at trace.
#[must_use]
pub fn stirs_in(recipe: &Recipe, layer_idx: Option<usize>) -> bool {
    let at_trace = |it: &Extra| it.additive.goes_into == GoesInto::Trace;
    let of_batch = recipe.extras.iter().any(at_trace);
    layer_idx.map_or(of_batch, |layer_idx| {
        of_batch && !divides_batter(recipe) || recipe.layers[layer_idx].extras.iter().any(at_trace)
    })
}

/// Where the blender stops first: light trace at most where something is stirred in, which goes into a thick batter in
/// streaks and thickens it by itself.
#[must_use]
pub fn first_stop(recipe: &Recipe, layer_idx: Option<usize>) -> Trace {
    let stop = stop_at(recipe, layer_idx);
    if stirs_in(recipe, layer_idx) { stop.min(Trace::Light) } else { stop }
}

/// Whether a powder is wetted before it goes into the batter.
#[must_use]
pub fn is_wetted(extra: &Extra) -> bool {
    !extra.is_dispersed
        && extra.additive.goes_into == GoesInto::Trace
        && extra.additive.effects.contains(&Effect::Dusty)
}

/// Whether any powder is wetted, of the batch or of a layer.
#[must_use]
pub fn wets_powders(recipe: &Recipe) -> bool {
    let of_layers = recipe.layers.iter().flat_map(|it| &it.extras);
    recipe.extras.iter().chain(of_layers).any(is_wetted)
}

/// Whether an additive is dispersed in a liquid of its own before it goes into the batter.
#[must_use]
pub fn is_dispersed_beforehand(extra: &Extra) -> bool {
    extra.is_dispersed && extra.additive.goes_into == GoesInto::Trace
}

/// How long a batter can still be poured after it was blended to its trace: of the time from an emulsion, each of three
/// steps of trace takes a third.
///
/// # Example
///
/// With the rows as they are: from an emulsion 45 minutes, from light trace 30, from medium trace 15, from thick trace none.
///
/// # Source
///
/// Common practice: `batter-fluid-minutes`, and `quick-batter-fluid-minutes` where something in the whole batch brings trace
/// on sooner, in `limits.toml`.
#[must_use]
pub fn batter_fluid(recipe: &Recipe, tables: &Tables) -> TimeSpan {
    let steps_left = stop_at(recipe, None).steps_to(Trace::Thick);
    TimeSpan::minutes(fluid_from_emulsion(recipe, tables).to_minutes() * f64::from(steps_left) / 3.0)
}

fn fluid_from_emulsion(recipe: &Recipe, tables: &Tables) -> TimeSpan {
    let quickens = recipe.extras.iter().any(|it| it.additive.effects.contains(&Effect::Quickens));
    if quickens { tables.limits.quick_batter_fluid } else { tables.limits.batter_fluid }
}

/// What a divided batter has come to by itself, so long after it was blended.
///
/// # Example
///
/// An emulsion that can be poured for 45 minutes is at light trace after 15 and at medium trace after 30.
#[must_use]
pub(super) fn trace_after(recipe: &Recipe, waited: TimeSpan, tables: &Tables) -> Trace {
    let step_minutes = fluid_from_emulsion(recipe, tables).to_minutes() / 3.0;
    let steps = f64::from(stop_at(recipe, None).steps()) + waited.to_minutes() / step_minutes;
    let thickest = Trace::ALL.iter().rev().find(|(_, it)| f64::from(it.steps()) <= steps);
    thickest.map_or(Trace::Emulsion, |(_, it)| *it)
}

/// How much a layer holds of what thickens the batter, percent of its fats.
#[must_use]
pub(super) fn thickening_percent(recipe: &Recipe, batch: &Batch, layer_idx: usize) -> f64 {
    let of_layer = recipe.layers[layer_idx].extras.iter().zip(&batch.layers[layer_idx].extras);
    let extras = of_layer.chain(recipe.extras.iter().zip(&batch.extras));
    let thickening = extras.filter(|(it, _)| it.additive.effects.contains(&Effect::Thickens));
    thickening.map(|(_, it)| it.of_fats_percent).sum()
}

/// Whether a layer holds so much clay or other powder that it sets within minutes, however far it was blended.
#[must_use]
pub fn sets_by_its_powder(recipe: &Recipe, batch: &Batch, layer_idx: usize, tables: &Tables) -> bool {
    thickening_percent(recipe, batch, layer_idx) >= tables.limits.layer_thickening_percent.1
}

/// How many steps of trace a layer is blended on by after its first stop, or after its batter was divided; none where it
/// has thickened so far by itself.
#[must_use]
pub(super) fn steps_on(recipe: &Recipe, batch: &Batch, layer_idx: usize, waited: TimeSpan, tables: &Tables) -> u8 {
    if is_cooked(recipe) || sets_by_its_powder(recipe, batch, layer_idx, tables) {
        return 0;
    }
    let from =
        if divides_batter(recipe) { trace_after(recipe, waited, tables) } else { first_stop(recipe, Some(layer_idx)) };
    from.steps_to(stop_at(recipe, Some(layer_idx)))
}

/// How long a layer takes until it is firm but still tacky, and whether that is common practice and not the recipe's.
///
/// The more a layer holds of what thickens the batter, the sooner it sets; the thinner it was poured, the later.
///
/// # Example
///
/// With the rows as they are, a plain layer and one with 1 % of clay, poured at medium trace, wait 15 minutes, and 60 at
/// most; one with 4.7 % waits 2, and 3 at most; one with 2.85 %, half way between, 8 and 31. Poured as an emulsion, two steps
/// thinner, the plain one waits 35 minutes, and 90 at most.
///
/// # Source
///
/// Common practice: `layer-wait-minutes`, `thick-layer-wait-minutes`, `trace-wait-minutes` and `layer-thickening-percent` in
/// `limits.toml`.
#[must_use]
pub fn wait_after(recipe: &Recipe, batch: &Batch, layer_idx: usize, tables: &Tables) -> (TimeSpan, LayerWait, bool) {
    let layer = &recipe.layers[layer_idx];
    let percent = thickening_percent(recipe, batch, layer_idx);
    let thick = tables.limits.thick_layer_wait;
    let plain = plain_wait(stop_at(recipe, Some(layer_idx)), tables);
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

/// How long a layer waits that holds nothing that thickens it.
fn plain_wait(trace: Trace, tables: &Tables) -> LayerWait {
    let limits = &tables.limits;
    let steps = f64::from(Trace::Medium.steps()) - f64::from(trace.steps());
    let wait = |medium: TimeSpan, each: TimeSpan, least: TimeSpan| {
        TimeSpan::minutes((medium.to_minutes() + steps * each.to_minutes()).max(least.to_minutes()))
    };
    let (medium, each, least) = (limits.layer_wait, limits.trace_wait, limits.thick_layer_wait);
    LayerWait {
        usual: wait(medium.usual, each.usual, least.usual),
        longest: wait(medium.longest, each.longest, least.longest),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::batch::compute;
    use crate::recipe::{Defaults, RawRecipe, validate};
    use crate::source::SourceFile;

    fn recipe(keys: &str, lines: &str) -> Recipe {
        let text = format!(
            "title = \"Traced\"\nbatch = \"1 kg\"\nsuperfat = 5\nalkali = \"NaOH\"\nwater = {{ lye-concentration = 33 }}\n\
             {keys}[fats]\nolive = 100\n{lines}"
        );
        let (raw, mut findings) = RawRecipe::read("traced", &SourceFile::new("recipes/traced.toml", text));
        let (recipe, more) = validate(&raw, &Tables::embedded(), &Defaults::default());
        findings.extend(more);
        recipe.unwrap_or_else(|| panic!("{findings:#?}"))
    }

    fn stops(recipe: &Recipe) -> Vec<Trace> {
        let layers = (0..recipe.layers.len()).map(Some);
        [None].into_iter().chain(layers).map(|it| stop_at(recipe, it)).collect()
    }

    use Trace::{Emulsion, Light, Medium, Thick};

    const LAYERS: &str = "[[layers]]\nname = \"a\"\nshare = 1\n[[layers]]\nname = \"b\"\nshare = 1\nhow = \"spoon\"\n\
                          [[layers]]\nname = \"c\"\nshare = 1\n";

    #[test]
    fn a_trace_follows_from_what_has_to_be_carried_unless_the_recipe_states_it() {
        assert_eq!(stops(&recipe("", "")), [Light]);
        assert_eq!(stops(&recipe("trace = \"emulsion\"\n", "")), [Emulsion]);
        assert_eq!(stops(&recipe("", LAYERS))[1..], [Medium, Thick, Light]);
        // One for the recipe is that of every layer that has none of its own.
        let stated = LAYERS.replace("name = \"b\"\n", "name = \"b\"\ntrace = \"light\"\n");
        assert_eq!(stops(&recipe("trace = \"thick\"\n", &stated))[1..], [Thick, Light, Thick]);
        // A divided batter stays fluid, and no part of it gets thinner than it was.
        let batter = "divide = \"batter\"\n";
        assert_eq!(stops(&recipe(batter, LAYERS)), [Emulsion, Medium, Thick, Light]);
        assert_eq!(stops(&recipe(&format!("{batter}trace = \"medium\"\n"), LAYERS)), [Medium, Medium, Thick, Medium]);
    }

    #[test]
    fn what_goes_in_at_trace_goes_in_at_light_trace_at_most() {
        let clay =
            LAYERS.replacen("share = 1\n", "share = 1\nadditives = [{ item = \"kaolin\", rate = \"1 %\" }]\n", 1);
        let first = |recipe: &Recipe| [0, 1, 2].map(|it| first_stop(recipe, Some(it)));
        assert_eq!(first(&recipe("", &clay)), [Light, Thick, Light]);
        assert_eq!(first(&recipe("trace = \"emulsion\"\n", &clay)), [Emulsion; 3]);
        // What goes into all of it goes into each layer, unless the batter is divided with it.
        let all = format!("[[additives]]\nitem = \"cocoa-powder\"\nrate = \"1 %\"\n{LAYERS}");
        assert_eq!(first(&recipe("", &all)), [Light; 3]);
        let divided = recipe("divide = \"batter\"\ntrace = \"medium\"\n", &all);
        assert_eq!((first_stop(&divided, None), first(&divided)), (Light, [Medium, Thick, Medium]));
    }

    #[test]
    fn a_batter_thickens_by_a_step_of_trace_in_each_third_of_its_time() {
        let tables = Tables::embedded();
        let after = |keys: &str, lines: &str| {
            let recipe = recipe(&format!("divide = \"batter\"\n{keys}"), &format!("{lines}{LAYERS}"));
            let traces =
                [0.0, 14.9, 15.0, 30.0, 45.0, 300.0].map(|it| trace_after(&recipe, TimeSpan::minutes(it), &tables));
            (batter_fluid(&recipe, &tables).to_minutes(), traces)
        };
        // By hand from 45 minutes: 15 for each step.
        assert_eq!(after("", ""), (45.0, [Emulsion, Emulsion, Light, Medium, Thick, Thick]));
        assert_eq!(after("trace = \"light\"\n", ""), (30.0, [Light, Light, Medium, Thick, Thick, Thick]));
        assert_eq!(after("trace = \"thick\"\n", "").0, 0.0);
        // By hand from 10 minutes with clove oil in it: 3 1/3 for each step.
        let clove = "[[additives]]\nitem = \"clove-leaf-oil\"\nrate = \"0.1 %\"\n";
        assert_eq!(after("", clove), (10.0, [Emulsion, Thick, Thick, Thick, Thick, Thick]));
    }

    #[test]
    fn a_layer_poured_thinner_waits_longer_and_much_clay_sets_at_any_trace() {
        let tables = Tables::embedded();
        let wait = |trace: &str, clay: &str| {
            let layer =
                format!("share = 1\ntrace = \"{trace}\"\nadditives = [{{ item = \"kaolin\", rate = \"{clay}\" }}]\n");
            let recipe = recipe("", &LAYERS.replacen("share = 1\n", &layer, 1));
            let (time, limits, _) = wait_after(&recipe, &compute(&recipe, &tables), 0, &tables);
            (time.to_minutes(), limits.longest.to_minutes())
        };
        // By hand: 15 and 60 minutes from medium trace, 10 and 15 for each step.
        assert_eq!(wait("medium", "1 %"), (15.0, 60.0));
        assert_eq!(wait("emulsion", "1 %"), (35.0, 90.0));
        assert_eq!(wait("light", "1 %"), (25.0, 75.0));
        assert_eq!(wait("thick", "1 %"), (5.0, 45.0));
        assert_eq!(wait("emulsion", "5 %"), (2.0, 3.0));
        // Half way between 1 and 4.7 %: 18.5 and 46.5 minutes, counted in whole ones.
        assert_eq!(wait("emulsion", "2.85 %"), (18.0, 46.0));
    }
}
