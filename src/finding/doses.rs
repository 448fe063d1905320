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
            .label("contains most of it")
            .help("lower the rate of the scents that contain it, or use an oil with less of it")
    }

    /// A scent that a sum over all scents has to leave out.
    pub fn components_not_stated(place: Place, name: &str) -> Finding {
        let message = format!("no components are stated for {name}, and the course limits some");
        Finding::warning("components-not-stated", place, message).label("left out of the sum").help(
            "read its supplier's document, and add  components = { ..., source = \"...\" }  to its row in \
             tables/additives.toml; give only the source if the document names none",
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
                    "This recipe has more {name} than is usual. The batter may thicken at once, and the soap may \
                     sting, stain or sweat: let nobody use it before your instructor has judged it."
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
        let message = format!("{salt} of {name} is to go into {water} of water, which dissolves only {most}");
        Finding::warning("salt-undissolved", place, message)
            .label("does not all dissolve")
            .help("lower the rate, give the lye more water, or stir it in at trace with  goes-into = \"trace\"")
            .caution(
                Step::Lye,
                format!(
                    "Not all of {} dissolves in this water: keep what settles at the bottom out of the batter.",
                    the(name)
                ),
            )
    }

    /// Salt that the water takes, and the lye solution does not.
    pub fn salt_comes_out(place: Place, name: &str, [grams, most]: [f64; 2], units: Units) -> Finding {
        let [salt, most] = [grams, most].map(|it| mass_words(it, units));
        let message = format!(
            "of {salt} of {name}, no more than {most} stays dissolved once the lye is in the water, even while \
                     it is hot"
        );
        Finding::warning("salt-undissolved", place, message)
            .label("comes out of solution")
            .help("lower the rate, or stir it in at trace with  goes-into = \"trace\"; if you mean it, say so with [[acknowledged]]")
            .caution(
                Step::Lye,
                format!(
                    "Some of {} comes out of this lye solution as white grains, and nobody can tell them from \
                     undissolved lye. Stir until no more dissolves, then pour through a sieve: treat what stays in it \
                     as lye.",
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
                    "{} in this recipe sets the moment the lye solution goes in. It looks like trace but is not: keep \
                     blending until no lumps and no puddles are left.",
                    capitalised(&the(name))
                ),
            )
    }

    /// Bars thicker than the loaf is long.
    pub fn cut_over_mould(place: Place, (bar, soap): (f64, f64), mould: &str, measure: &str, units: Units) -> Finding {
        let mould = the(mould);
        let (bar, soap) = (length_words(bar, units), length_words(soap, units));
        let message = if measure.starts_with("long") {
            format!("the bars are cut {bar} thick, but {mould} is {soap} {measure}")
        } else {
            format!("the bars need {bar} across, but {mould} is {soap} {measure}")
        };
        Finding::error("cut-over-mould", place, message)
            .label("larger than the soap")
            .help("look for a slip in `cut`, or in the mould's row of the table")
    }

    /// More of what additives are dispersed in than a soap takes well.
    pub fn dispersed_in_much(place: Place, is_oil: bool, (percent, most): (f64, f64), step: Step) -> Finding {
        let liquid = if is_oil { "the oil" } else { "the liquid" };
        let (percent, most) = (fixed(percent, 1), as_typed(most));
        let message = format!(
            "{liquid} for dispersing is {percent} % of the fats here; more than {most} % is a lot (limits.toml)"
        );
        let caution = if is_oil {
            "There is a lot of oil with the colours here. It stays in the soap as fat: expect a soft bar, and cure it \
             longer."
        } else {
            "There is a lot of liquid with the colours here. It thins the batter, and the bar shrinks more as it dries."
        };
        Finding::warning("dispersed-in-much", place, message)
            .label("a lot of it")
            .help("use fewer `times` its mass, or less of what is dispersed")
            .caution(step, caution.to_owned())
    }

    /// Slices or blocks where bars are cut.
    pub fn cut_unusual(place: Place, thickness: f64, (low, high): (f64, f64), units: Units) -> Finding {
        let [cut, low, high] = [thickness, low, high].map(|it| length_words(it, units));
        let message = format!("the bars are cut {cut} thick; {low} to {high} is usual (limits.toml)");
        Finding::warning("cut-unusual", place, message)
            .label("not the thickness of a bar")
            .help("check the figure and its unit")
    }

    /// Bars of a loaf that nobody knows.
    pub fn cut_without_mould(place: Place) -> Finding {
        let message = "bars are to be cut, but the recipe names no mould to cut them from".into();
        Finding::warning("cut-without-mould", place, message)
            .label("cut from what?")
            .help("add  mould = \"...\"  or  into = \"...\", or remove `cut`")
    }

    /// Two recipes that students cannot tell apart.
    pub fn same_title(place: Place, title: &str, other: &str) -> Finding {
        Finding::warning("same-title", place, format!("the recipe `{other}` has the title `{title}` too"))
            .label("the second one")
            .help("give each its own title, so that nobody mistakes one card for the other")
    }
}

fn above_usual(name: &str, (percent, most): (f64, f64), source: &str) -> String {
    format!("{name} is {} % of the fats; up to {} % is usual ({source})", fixed(percent, 1), as_typed(most))
}
