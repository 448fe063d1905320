//! Words about how much of an additive there is, and about bars and moulds.
//!
//! Layer 0.

use super::{Finding, Step, length_words, mass_words};
use crate::show::{Units, as_typed, capitalised, fixed, the};
use crate::source::Place;

impl Finding {
    /// More of a component than is allowed, in all scents together.
    pub fn component_over_limit(place: Place, name: &str, from: &str, percents: (f64, f64), source: &str) -> Finding {
        let (percent, limit) = (fixed(percents.0, 3), as_typed(percents.1));
        let message =
            format!("{name}, from {from}, would be {percent} % of the cured bar; its limit is {limit} % ({source})");
        Finding::error("component-over-limit", place, message)
            .label("brings most of it")
            .help("lower the rate of the scents that bring it, or take an oil with less of it")
    }

    /// A scent that a sum over all scents has to leave out.
    pub fn components_not_stated(place: Place, name: &str) -> Finding {
        let message = format!("nothing is stated of what is in {name}, and the course limits some components");
        Finding::warning("components-not-stated", place, message).label("left out of the sum").help(
            "read its supplier's document, and add  components = { ..., source = \"...\" }  to its row in \
                 tables/additives.toml; empty but for the source if it names none",
        )
    }

    /// More of an additive than is usual, where nobody states a most.
    pub fn rate_above_usual(place: Place, name: &str, percents: (f64, f64), source: &str, step: Step) -> Finding {
        Finding::warning("rate-above-usual", place, above_usual(name, percents, source))
            .label("more than is usual")
            .help("lower the rate; if your supplier allows it, say so with [[acknowledged]]")
            .caution(
                step,
                format!(
                    "There is more {name} in here than is usual. The batter may thicken at once, and the soap may sting, stain or \
                     sweat: let nobody use it before your instructor has judged it."
                ),
            )
    }

    /// More of an acid than is usual.
    pub fn acid_above_usual(place: Place, name: &str, percents: (f64, f64), source: &str) -> Finding {
        Finding::warning("rate-above-usual", place, above_usual(&format!("pure {name}"), percents, source))
            .label("more than is usual")
            .help("lower the rate: the acid only takes up alkali, and its salt makes the bar soft")
    }

    /// More of a solvent in the lye than is usual.
    pub fn solvent_above_usual(place: Place, name: &str, percents: (f64, f64), source: &str) -> Finding {
        Finding::warning("rate-above-usual", place, above_usual(name, percents, source))
            .label("more than is usual")
            .help("lower the rate; it is a share of the fats")
            .caution(
                Step::Lye,
                format!(
                    "There is more {name} in this lye solution than is usual. It holds the heat, and the paste stays sticky and \
                     soft: a larger vessel, a thermometer in it, and nobody leaves it alone."
                ),
            )
    }

    /// More salt than the water takes.
    pub fn salt_undissolved(place: Place, name: &str, [grams, water, most]: [f64; 3], units: Units) -> Finding {
        let [salt, water, most] = [grams, water, most].map(|it| mass_words(it, units));
        let message = format!("{salt} of {name} go into {water} of water, which dissolve {most}");
        Finding::warning("salt-undissolved", place, message)
            .label("does not dissolve")
            .help("lower the rate, give the lye more water, or stir it in at trace with  goes-into = \"trace\"")
            .caution(
                Step::Lye,
                format!(
                    "Not all of {} dissolves in this water: keep what lies at the bottom out of the batter.",
                    the(name)
                ),
            )
    }

    /// Salt that the water takes, and the lye solution does not.
    pub fn salt_comes_out(place: Place, name: &str, [grams, most]: [f64; 2], units: Units) -> Finding {
        let [salt, most] = [grams, most].map(|it| mass_words(it, units));
        let message =
            format!("of {salt} of {name} no more than {most} stay dissolved once the lye is in the water, even hot");
        Finding::warning("salt-undissolved", place, message)
            .label("comes out again")
            .help("lower the rate, or stir it in at trace with  goes-into = \"trace\"; if you mean it, say so with [[acknowledged]]")
            .caution(
                Step::Lye,
                format!(
                    "A part of {} comes out of this lye solution as white grains, and nobody can tell them from lye that has not \
                     dissolved. Stir until no more goes into solution, then pour through a sieve: what stays on it is treated as lye.",
                    the(name)
                ),
            )
    }

    /// A free acid in a soap that is not cooked.
    pub fn sets_at_once(place: Place, name: &str) -> Finding {
        Finding::warning("sets-at-once", place, format!("{name} takes up lye at once, and the soap is not cooked"))
            .label("a free acid")
            .help("leave it out, or cook the soap and give  cook  under [times]")
            .caution(
                Step::Trace,
                format!(
                    "{} in this recipe sets the moment the lye comes in. It looks like trace and is none: blend on until \
                     no lump and no puddle is left.",
                    capitalised(&the(name))
                ),
            )
    }

    /// Bars thicker than the loaf is long.
    pub fn cut_over_mould(place: Place, (bar, soap): (f64, f64), mould: &str, measure: &str, units: Units) -> Finding {
        let mould = the(mould);
        let (bar, soap) = (length_words(bar, units), length_words(soap, units));
        let message = if measure.starts_with("long") {
            format!("the bars are cut {bar} thick, and {mould} is {soap} {measure}")
        } else {
            format!("the bars take {bar} across, and {mould} is {soap} {measure}")
        };
        Finding::error("cut-over-mould", place, message)
            .label("longer than the soap")
            .help("look for a slip in `cut` or in the row of the mould")
    }

    /// More of what additives are dispersed in than a soap takes well.
    pub fn dispersed_in_much(place: Place, is_oil: bool, (percent, most): (f64, f64), step: Step) -> Finding {
        let liquid = if is_oil { "the oil" } else { "what is no oil" };
        let (percent, most) = (fixed(percent, 1), as_typed(most));
        let message = format!(
            "{liquid} for dispersing is {percent} % of the fats here; more than {most} % is much (limits.toml)"
        );
        let caution = if is_oil {
            "There is much oil with the colours here. It stays in the soap as fat: expect a soft bar, and cure it longer."
        } else {
            "There is much liquid with the colours here. It thins the batter, and the bar shrinks more as it dries."
        };
        Finding::warning("dispersed-in-much", place, message)
            .label("much of it")
            .help("take fewer `times` its mass, or less of what is dispersed")
            .caution(step, caution.to_owned())
    }

    /// Slices or blocks where bars are cut.
    pub fn cut_unusual(place: Place, thickness: f64, (low, high): (f64, f64), units: Units) -> Finding {
        let [cut, low, high] = [thickness, low, high].map(|it| length_words(it, units));
        let message = format!("the bars are cut {cut} thick; usual is {low} to {high} (limits.toml)");
        Finding::warning("cut-unusual", place, message)
            .label("no thickness of a bar")
            .help("look for a slip in the figure and in its unit")
    }

    /// Bars of a loaf that nobody knows.
    pub fn cut_without_mould(place: Place) -> Finding {
        let message = "bars are to be cut, and the recipe names no mould to cut them from".into();
        Finding::warning("cut-without-mould", place, message)
            .label("cut from what?")
            .help("add  mould = \"...\"  or  into = \"...\", or take `cut` away")
    }

    /// Two recipes that students cannot tell apart.
    pub fn same_title(place: Place, title: &str, other: &str) -> Finding {
        Finding::warning("same-title", place, format!("the recipe `{other}` has the title `{title}` too"))
            .label("the second one")
            .help("give each its own title, so that nobody takes one card for the other")
    }
}

fn above_usual(name: &str, (percent, most): (f64, f64), source: &str) -> String {
    format!("{name} is {} % of the fats; usual is up to {} % ({source})", fixed(percent, 1), as_typed(most))
}
