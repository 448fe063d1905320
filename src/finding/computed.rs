//! Words about what the computed batch says.
//!
//! Layer 0.

use super::{Finding, Severity, Step, length_words, mass_words};
use crate::show::{NO_BREAK, TemperatureScale, Units, as_typed, fixed, length, temperature, the};
use crate::source::Place;
use crate::units::Length;

impl Finding {
    /// More alkali than the fats can take.
    pub fn superfat_below_zero(place: Place, superfat_percent: f64, usual: (f64, f64)) -> Finding {
        Finding::error(
            "superfat-below-zero",
            place,
            format!("superfat is {} %: there is more alkali than the fats can take", as_typed(superfat_percent)),
        )
        .label("below zero")
        .help(format!(
            "such a bar burns skin; common practice for a bar is {} to {} %",
            as_typed(usual.0),
            as_typed(usual.1)
        ))
    }

    /// A superfat that students could not choose again once they had chosen another.
    pub fn superfat_outside_its_range(place: Place, superfat_percent: f64, (low, high): (f64, f64)) -> Finding {
        let [superfat, low, high] = [superfat_percent, low, high].map(as_typed);
        let message =
            format!("students may choose a superfat of {low} to {high} %, and the recipe's own is {superfat} %");
        Finding::error("superfat-outside-its-range", place, message)
            .label("does not hold the recipe's own superfat")
            .help(format!("widen the range so that {superfat} lies in it"))
    }

    /// More alkali than the fats can take, by rounding alone.
    pub fn printed_superfat_below_zero(place: Place, superfat_percent: f64) -> Finding {
        Finding::error(
            "superfat-below-zero",
            place,
            format!(
                "weighed as printed, the superfat would be {} %: the batch is too small for the scale",
                fixed(superfat_percent, 1)
            ),
        )
        .label("below zero once the amounts are rounded")
        .help("make a larger batch, or state the finer scale you use in book.toml")
    }

    /// A superfat nobody means.
    pub fn superfat_unusual(place: Place, superfat_percent: f64, highest_percent: f64) -> Finding {
        Finding::warning(
            "superfat-unusual",
            place,
            format!("superfat is {} %, above the {} % of limits.toml", as_typed(superfat_percent), as_typed(highest_percent)),
        )
        .label("that much fat stays unsaponified")
        .help("keep it if you mean it; the bar may stay soft and turn rancid early")
        .caution(
            Step::Cure,
            "A lot of fat stays unsaponified in this soap: it may stay soft and turn rancid early. Keep it cool and dark, and \
             use it first.",
        )
    }

    /// Fats that may turn out to take less alkali than there is.
    pub fn superfat_worst_case_below_zero(place: Place, worst_percent: f64, what: &str) -> Finding {
        Finding::warning(
            "superfat-worst-case-below-zero",
            place,
            format!("with everything at its worst, the superfat could be {} %", fixed(worst_percent, 1)),
        )
        .label("too little margin")
        .help(format!("raise the superfat, or narrow down what matters most: {what}"))
        .caution(
            Step::Lye,
            "The margin of fat in this recipe is small: if every fat and every reading errs the wrong way, some alkali \
             is left over. Weigh to the last division, have the amounts read back to you, and let nobody use the soap \
             before your instructor has judged it.",
        )
    }

    /// More liquid than there is water to replace.
    pub fn liquids_over_water(place: Place, liquid_grams: f64, water_grams: f64, units: Units) -> Finding {
        Finding::error(
            "liquids-over-water",
            place,
            format!(
                "the liquids contain {} of water, and the recipe has only {}",
                mass_words(liquid_grams, units),
                mass_words(water_grams, units)
            ),
        )
        .label("more water than the recipe has")
        .help("lower the rate of the liquid, or give the lye solution more water")
    }

    /// A solution that cannot exist.
    pub fn solution_too_strong(
        place: Place,
        alkali: &str,
        percent: f64,
        strongest_percent: f64,
        scale: TemperatureScale,
    ) -> Finding {
        Finding::error(
            "solution-too-strong",
            place,
            format!(
                "the lye solution would be {} % lye, but it can hold no more than {} % {alkali} at {}",
                fixed(percent, 1),
                as_typed(strongest_percent),
                temperature(20.0, scale).replace(NO_BREAK, " ")
            ),
        )
        .label("too little water")
        .help("use more water, or check which of the three water conventions you mean")
    }

    /// A solution weaker or stronger than the trade uses.
    pub fn solution_unusual(place: Place, percent: f64, low: f64, high: f64) -> Finding {
        let for_students = if percent > high {
            "This lye solution is stronger than usual: it heats faster and burns worse. Use ice-cold water, and add \
             the lye in small amounts."
        } else {
            "This lye solution is weaker than usual: the batter takes longer to thicken, and the soap stays soft for \
             longer."
        };
        Finding::warning(
            "solution-unusual",
            place,
            format!(
                "the lye solution is {} % lye; common practice is {} to {} % (limits.toml)",
                fixed(percent, 1),
                as_typed(low),
                as_typed(high)
            ),
        )
        .label("outside common practice")
        .help("check which of the three water conventions you mean")
        .caution(Step::Lye, for_students)
    }

    /// A purity that the container states and the recipe does not.
    pub fn purity_not_stated(place: Place, alkali: &str) -> Finding {
        Finding::note("purity-not-stated", place, format!("{alkali} is taken as pure, because no purity is stated"))
            .label("taken as pure")
            .help(
                "read the container and add  purity = { ... }  to the recipe or to the defaults in book.toml; taking \
                 it as pure errs towards more superfat",
            )
    }

    /// A purity that such an alkali is not sold with.
    pub fn purity_unusual(
        place: Place,
        alkali: &str,
        (percent, usual): (f64, (f64, f64)),
        superfat: f64,
        is_default: bool,
    ) -> Finding {
        let middle = as_typed(f64::midpoint(usual.0, usual.1));
        let (percent, low, high) = (as_typed(percent), as_typed(usual.0), as_typed(usual.1));
        let message = format!("the purity of {alkali} is {percent} %; it is sold at {low} to {high} % (limits.toml)");
        Finding::warning("purity-unusual", place, message)
            .label(if is_default { "from the defaults in book.toml" } else { "as stated" })
            .help(format!(
                "read the container again: at {middle} % the superfat would be {} %",
                fixed(superfat, 1)
            ))
            .caution(Step::Lye, format!(
                "The purity of the {alkali} in this recipe is unusual. Read the label of your container, and use the recipe only \
                 if it says {percent} %."
            ))
    }

    /// Two purities, each of which is usual for the other alkali.
    pub fn purities_exchanged(place: Place, [naoh, koh]: [f64; 2], superfat: f64, is_default: bool) -> Finding {
        let (naoh, koh) = (as_typed(naoh), as_typed(koh));
        let message = format!("the purity of NaOH is {naoh} % and that of KOH {koh} %; each is usual for the other");
        Finding::warning("purity-unusual", place, message)
            .label(if is_default { "swapped in the defaults in book.toml?" } else { "swapped?" })
            .help(format!(
                "read both containers again: with the usual purities the superfat would be {} %",
                fixed(superfat, 1)
            ))
            .caution(
                Step::Lye,
                format!(
                    "The purities in this recipe are unusual. Read the labels of both containers, and use the recipe only if \
                     they say {naoh} % for NaOH and {koh} % for KOH."
                ),
            )
    }

    /// A mould filled with a lye of unknown density.
    pub fn density_beyond_range(place: Place, percent: f64) -> Finding {
        Finding::error(
            "density-beyond-range",
            place,
            format!(
                "the density of a lye solution of {} % is not known, so the batch cannot be sized to fill the mould",
                fixed(percent, 1)
            ),
        )
        .label("the batch would be a guess")
        .help("use more water, or write  batch = \"...\"  instead of the mould")
    }

    /// More of an additive than the trade takes.
    pub fn rate_above_highest(place: Place, name: &str, percent: f64, highest: f64, source: &str) -> Finding {
        Finding::error(
            "rate-above-highest",
            place,
            format!("{name} is {} % of the fats; the maximum is {} % ({source})", fixed(percent, 1), fixed(highest, 1)),
        )
        .label("above the maximum")
        .help("lower the rate; two thirds of the maximum is a safe start")
    }

    /// More of an additive in the bar than its supplier allows.
    pub fn over_limit(place: Place, name: &str, percent: f64, limit: f64) -> Finding {
        Finding::error(
            "over-limit",
            place,
            format!("{name} would be {} % of the cured bar; its limit is {} %", fixed(percent, 2), as_typed(limit)),
        )
        .label("over the supplier's limit")
        .help("lower the rate; the limit is what the supplier's document states for soap that is rinsed off")
    }

    /// A scent whose limit nobody stated.
    pub fn limit_not_stated(place: Place, name: &str) -> Finding {
        Finding::note("limit-not-stated", place, format!("no limit is stated for {name}"))
            .label("how much is allowed?")
            .help(
                "read the supplier's document for soap that is rinsed off, and add  limit = ...  (percent of the bar), or \
                 `supplier-limit-percent` to its row in tables/additives.toml",
            )
    }

    /// Something that browns in a layer that should not.
    pub fn browns_a_white_layer(place: Place, name: &str, layer: &str, step: Step) -> Finding {
        Finding::warning("browns-a-white-layer", place, format!("{name} turns brown, and `{layer}` is to stay white"))
            .label("browns with time")
            .help("leave it out of `[[layers]]` or `[[portions]]` that stay white, or remove `stays-white`")
            .caution(step, format!("White only at first: {name} turns it brown within weeks."))
    }

    /// Several things that quicken the batter.
    pub fn quickeners_together(place: Place, names: &str) -> Finding {
        Finding::warning("quickeners-together", place, format!("{names} each speed up trace, and are used together"))
            .label("one of them")
            .help("leave one out, or teach this with cool fats and everything laid out beforehand")
            .caution(
                Step::Trace,
                format!("{names} each speed up trace. Have the mould ready, blend in short bursts, and pour at once."),
            )
    }

    /// A layer that may turn out to have more alkali than its fats can take, by its own readings.
    pub fn layer_superfat_worst_case_below_zero(
        place: Place,
        layer: &str,
        layer_idx: usize,
        worst_percent: f64,
    ) -> Finding {
        Finding::warning(
            "layer-superfat-worst-case-below-zero",
            place,
            format!(
                "with everything at its worst, the superfat of the layer `{layer}` could be {} %",
                fixed(worst_percent, 1)
            ),
        )
        .label("too little margin for the scale")
        .help(
            "make the layer thicker, raise the superfat, state the finer scale you use in book.toml, or blend once with  \
             divide = \"batter\"",
        )
        .caution(
            Step::Layer(layer_idx),
            "This layer is small for the scale: half a division too much lye, or too little fat, uses up its margin. Weigh its \
             two parts to the last division, and let nobody use the soap before your instructor has judged it.",
        )
    }

    /// A layer without room for batter.
    pub fn additives_over_layer(place: Place, layer: &str) -> Finding {
        Finding::error(
            "additives-over-layer",
            place,
            format!("the additives of the layer `{layer}` alone would be thicker than the layer"),
        )
        .label("no room for batter")
        .help("make the layer thicker, or use less of its additives")
    }

    /// Sugar, milk or honey, which heat.
    pub fn heats_in_the_mould(place: Place, names: &str) -> Finding {
        Finding::warning(
            "heats-in-the-mould",
            place,
            format!(
                "with {names}, the lye solution or the soap in the mould \
                                                               heats up"
            ),
        )
        .label("adds sugar or heat")
        .help(
            "plan for a cool start and an uncovered mould, and say so with [[acknowledged]]; or leave one of \
                   them out",
        )
        .caution(
            Step::Mould,
            format!(
                "With {names} this soap heats up in the mould, where it may crack, rise or run over. Do not wrap \
                     it, stand it on a tray, and check it during the first hours."
            ),
        )
    }

    /// A layer that is hard when the next comes.
    pub fn layer_on_set_surface(place: Place, layer: &str, wait: f64, longest: f64, step: Step) -> Finding {
        Finding::warning(
            "layer-on-set-surface",
            place,
            format!(
                "after {} minutes `{layer}` has set; the longest wait is {} minutes (limits.toml)",
                as_typed(wait),
                as_typed(longest)
            ),
        )
        .label("the next layer may not bind to it")
        .help("shorten the wait, or teach how the surface is roughened before the next layer")
        .caution(
            step,
            "This layer may have set by the time the next is poured: comb its surface, or the two may come apart when \
             the bar is cut.",
        )
    }

    /// More than the mould holds.
    pub fn batch_over_mould(place: Place, mould: &str, filled: f64, fill_height: f64, units: Units) -> Finding {
        let mould = the(mould);
        Finding::error(
            "batch-over-mould",
            place,
            format!(
                "the batch would be {} deep in {mould}, which is filled to {}",
                length_words(filled, units),
                length_words(fill_height, units)
            ),
        )
        .label("overflows")
        .help("make a smaller batch, name a larger mould, or let the mould set the size with  mould = \"...\"")
    }

    /// Much less than the mould holds.
    pub fn batch_under_mould(place: Place, mould: &str, filled: f64, fill_height: f64, units: Units) -> Finding {
        let mould = the(mould);
        Finding::warning(
            "batch-under-mould",
            place,
            format!(
                "the batch is only {} deep in {mould}, which is filled to {}",
                length_words(filled, units),
                length_words(fill_height, units)
            ),
        )
        .label("does not fill the mould")
        .help("make a larger batch, name a smaller mould, or let the mould set the size with  mould = \"...\"")
        .caution(
            Step::Mould,
            format!(
                "This batch fills the mould only {} deep, and the bars will be no taller.",
                length(Length::millimetres(filled), units)
            ),
        )
    }

    /// An acknowledgement of what nobody may mean.
    pub fn error_acknowledged(place: Place, code: &str) -> Finding {
        Finding::error("error-acknowledged", place, format!("`{code}` is an error, and no reason can excuse it"))
            .label("cannot be acknowledged")
            .help("correct what it is about, and remove this")
    }

    /// An acknowledgement of something that cannot be found.
    pub fn unknown_acknowledged(place: Place, code: &str, near: Option<&str>) -> Finding {
        Finding::error("unknown-acknowledged", place, format!("there is no warning `{code}` to acknowledge"))
            .label("not a code")
            .nearest(near, "the code is in brackets at the start of the warning")
    }

    /// An acknowledgement of something that was not found.
    pub fn needless_acknowledgement(place: Place, code: &str) -> Finding {
        Finding::note("needless-acknowledgement", place, format!("`{code}` is acknowledged but does not occur"))
            .label("nothing to acknowledge")
            .help("remove it, so that it does not hide a later one")
    }

    /// The same finding, meant by the author.
    pub fn acknowledged(self, because: &str) -> Finding {
        let help = format!("because {because}");
        Finding { severity: Severity::Acknowledged, ..self }.help(help)
    }

    /// An amount that the scale cannot show.
    pub fn amount_below_scale(place: Place, what: &str, division: &str) -> Finding {
        Finding::error(
            "amount-below-scale",
            place,
            format!("{} is less than one division of the scale ({division})", the(what)),
        )
        .label("cannot be weighed")
        .help("make a larger batch, or state the finer scale you use in book.toml")
    }

    /// An additive that the scale cannot show, though a spoon can measure it.
    pub fn additive_below_scale(place: Place, name: &str, division: &str) -> Finding {
        let message =
            format!("{} is less than half a division of the scale ({division}): the card gives spoons only", the(name));
        Finding::warning("additive-below-scale", place, message)
            .label("too little to weigh")
            .help("if your students have a finer scale, state it: scale = { grams = 1, small = { grams = 0.1 } } in book.toml")
    }
}
