//! Words about recipes.
//!
//! Layer 0.

use super::{Finding, length_words};
use crate::show::{Units, as_typed, fixed, the};
use crate::source::Place;

impl Finding {
    /// A batch that is to be as large as what does not follow from its size.
    pub fn size_does_not_follow(place: Place, name: &str) -> Finding {
        let message = format!("`{name}` is no amount of this recipe that grows with the batch");
        Finding::error("size-does-not-follow", place, message)
            .label("of this no size follows")
            .help("name something that is weighed as a share of the fats, such as a fat or the lye")
    }

    /// A fat that the table lacks.
    pub fn unknown_fat(place: Place, name: &str, near: Option<&str>) -> Finding {
        Finding::error("unknown-fat", place, format!("no fat named `{name}` in the table of fats"))
            .label("not in the table")
            .nearest(near, "add a row for it to tables/fats.toml of the course, with its source")
    }

    /// An additive that the table lacks.
    pub fn unknown_additive(place: Place, name: &str, near: Option<&str>) -> Finding {
        Finding::error("unknown-additive", place, format!("no additive named `{name}` in the table of additives"))
            .label("not in the table")
            .nearest(near, "add a row for it to tables/additives.toml of the course, with its source")
    }

    /// A spoon of something whose bulk density nobody stated.
    pub fn no_bulk_density(place: Place, name: &str) -> Finding {
        Finding::error("no-bulk-density", place, format!("a spoon of `{name}` has no known mass"))
            .label("a measure by volume")
            .help(
                "give its rate as a share of the fats (\"1 %\") or as a mass, or add `bulk-density` to its row in \
                   tables/additives.toml",
            )
    }

    /// Layers whose sizes cannot be compared.
    pub fn two_layer_sizes(place: Place) -> Finding {
        Finding::error("two-layer-sizes", place, "the layers give their size in two ways".into())
            .label("not the same way as before")
            .help("give every layer of a recipe a `share`, or every one a `thickness`")
    }

    /// Portions that are swirled in a recipe of layers, or with a key about layers.
    pub fn layers_and_portions(place: Place, other: &str) -> Finding {
        let message = format!("`{other}` is about layers, but this recipe has [[portions]], which are swirled");
        Finding::error("layers-and-portions", place, message).label("layers or portions?").help(
            "use [[layers]] for soap that is poured in layers, and [[portions]] with `swirl` for a batter that is \
             swirled",
        )
    }

    /// A swirl with nothing to swirl.
    pub fn swirl_of_one(place: Place) -> Finding {
        Finding::error("swirl-of-one", place, "a swirl needs at least two portions of the batter".into())
            .label("swirled with what?")
            .help("add [[portions]], each with a `name` and a `share`, or remove `swirl`")
    }

    /// A liquid that nothing is dispersed in.
    pub fn unknown_dispersing_liquid(place: Place, name: &str, near: Option<&str>) -> Finding {
        let message = format!("`{name}` is neither water, glycerol nor a fat in the table");
        Finding::error("unknown-dispersing-liquid", place, message)
            .label("nothing to disperse a powder in")
            .nearest(near, "name a fat of the recipe, \"water\" or \"glycerol\"")
    }

    /// A liquid to disperse something in that goes into the water of the lye.
    pub fn dispersed_for_the_lye(place: Place, name: &str) -> Finding {
        let message = format!("`{name}` goes into the water for the lye, so it needs nothing to be dispersed in");
        Finding::error("dispersed-for-the-lye", place, message)
            .label("dispersed when?")
            .help("remove `in`, or write  goes-into = \"trace\"  if it is stirred into the batter")
    }

    /// Embeds whose room nobody can reckon.
    pub fn embed_size(place: Place) -> Finding {
        let message = "an embed gives its size in one way: its `volume`, or its `mass` and its `density`".into();
        Finding::error("embed-size", place, message).label("how large?").help(
            "write  volume = \"30 ml\"  or  mass = \"33 g\"  and  density = 1.1,  for one of them, with  count = 4",
        )
    }

    /// Embeds that take up no room.
    pub fn embed_of_nothing(place: Place) -> Finding {
        Finding::error("embed-size", place, "an embed of this size takes up no room".into())
            .label("nothing")
            .help("write the size of one of them, such as  volume = \"30 ml\"; what is not counted runs over the mould")
    }

    /// Embeds in a recipe without a mould.
    pub fn embeds_without_mould(place: Place) -> Finding {
        let message = "embeds take up room in a mould, but the recipe names none".into();
        Finding::error("embeds-without-mould", place, message)
            .label("set into what?")
            .help("add  mould = \"...\"  or  into = \"...\", or remove [[embeds]]")
    }

    /// Embeds among layers of a thickness.
    pub fn embeds_with_thickness(place: Place) -> Finding {
        let message = "embeds cannot be combined with layers by thickness: nobody can say which layer they lie \
                       in"
        .into();
        Finding::error("embeds-with-thickness", place, message)
            .label("in which layer?")
            .help("give the layers a `share` each, or remove [[embeds]]")
    }

    /// Embeds that leave no room for the batter.
    pub fn embeds_over_mould(place: Place, percent: f64, most: f64, mould: &str) -> Finding {
        let (percent, most) = (fixed(percent, 0), as_typed(most));
        let message =
            format!("embeds fill {percent} % of {}; more than {most} % leaves no batter between them", the(mould));
        Finding::error("embeds-over-mould", place, message)
            .label("too much of the mould")
            .help("look for a slip in `count` or in the size of one of them")
    }

    /// A thickness where no mould gives a height.
    pub fn thickness_without_mould(place: Place) -> Finding {
        Finding::error("thickness-without-mould", place, "a thickness needs a recipe that fills a mould".into())
            .label("how high is the soap?")
            .help("write  mould = \"...\"  instead of the mass, or give the layers a `share`")
    }

    /// Two layers that both take what is left.
    pub fn two_rests(place: Place) -> Finding {
        Finding::error("two-rests", place, "two layers take the rest of the mould".into())
            .label("the second one")
            .help("give this layer a thickness such as \"15 mm\"")
    }

    /// Layers that together are higher or lower than the mould is filled.
    pub fn thicknesses_do_not_fill(place: Place, sum: f64, fill: f64, has_rest: bool, units: Units) -> Finding {
        let (sum, fill) = (length_words(sum, units), length_words(fill, units));
        let message = if has_rest {
            format!("the other layers are {sum} high, and the mould is filled to {fill}: nothing is left for this one")
        } else {
            format!("the layers are {sum} high together, but the mould is filled to {fill}")
        };
        Finding::error("thicknesses-do-not-fill", place, message)
            .label("the last of them")
            .help("let one layer have  thickness = \"rest\"  and the others leave room for it")
    }

    /// An acid or a liquid in one layer.
    pub fn changes_the_lye(place: Place, name: &str) -> Finding {
        Finding::error(
            "changes-the-lye",
            place,
            format!("`{name}` changes the lye solution, which is made for the whole batch"),
        )
        .label("in one layer only")
        .help("move it to the [[additives]] of the recipe")
    }

    /// An acid whose strength only the bottle can tell.
    pub fn strength_not_stated(place: Place, name: &str) -> Finding {
        Finding::error("strength-not-stated", place, format!("the strength of `{name}` is not stated"))
            .label("how strong?")
            .help("read the bottle and add  strength = 5  (percent of pure acid by mass)")
    }

    /// A strength where there is no acid.
    pub fn strength_of_liquid(place: Place, name: &str) -> Finding {
        Finding::error("strength-of-liquid", place, format!("`{name}` is not an acid and has no strength"))
            .label("not an acid")
            .help("remove this key")
    }

    /// The same additive twice in one list.
    pub fn additive_twice(place: Place, name: &str) -> Finding {
        Finding::error("additive-twice", place, format!("`{name}` is named twice")).label("the second time").help(
            "give all of it once; if part of it goes in at another moment, give that part its own row in \
                   tables/additives.toml",
        )
    }

    /// An oil that comes with a blend and is there besides.
    pub fn oil_twice(place: Place, name: &str) -> Finding {
        Finding::error("oil-twice", place, format!("`{name}` is in a blend and is named again, or is in two blends"))
            .label("the second time")
            .help("put all of it into one blend, or remove it from the other")
    }

    /// A limit or vanillin of a blend, which only its oils have.
    pub fn fact_of_blend(place: Place, key: &str, name: &str) -> Finding {
        let message = format!("`{name}` is a blend: each of its oils has a `{key}` of its own");
        Finding::error("fact-of-blend", place, message)
            .label("not for the blend")
            .help("write it into the row of each oil in tables/additives.toml, as `supplier-limit-percent` or `vanillin-percent`")
    }

    /// A plant steeped in a fat that the recipe has not.
    pub fn infusion_of_no_fat(place: Place, name: &str, near: Option<&str>) -> Finding {
        Finding::error("infusion-of-no-fat", place, format!("`{name}` is not one of the fats of this recipe"))
            .label("steeped in what?")
            .nearest(near, "name one of the fats below [fats]; what is strained off is weighed out as that fat")
    }

    /// Two plants for one fat.
    pub fn infused_twice(place: Place, name: &str) -> Finding {
        Finding::error("infused-twice", place, format!("`{name}` is steeped twice"))
            .label("the second time")
            .help("put both plants into one jar, and name both after `plant`")
    }

    /// So little oil that the plant would keep half of it or more.
    pub fn infusion_too_dry(place: Place, plant: &str, parts: f64, most_kept: f64) -> Finding {
        let (parts, most_kept, least) = (as_typed(parts), as_typed(most_kept), as_typed(2.0 * most_kept));
        let message = format!(
            "{parts} parts of oil to one of {plant}, which may keep {most_kept} times its own mass (limits.toml): half of the \
             oil or more would not come out again"
        );
        Finding::error("infusion-too-dry", place, message)
            .label("too little oil")
            .help(format!("use at least {least} parts of oil; 5 to 10 is usual"))
    }

    /// Vanillin in something that is no scent.
    pub fn vanillin_of_no_scent(place: Place, name: &str) -> Finding {
        Finding::error(
            "vanillin-of-no-scent",
            place,
            format!("`{name}` is not a scent, and its row says whether it browns"),
        )
        .label("has no vanillin to state")
        .help("remove this key")
    }

    /// A cooked soap whose layers would each be cooked.
    pub fn cook_with_layers(place: Place) -> Finding {
        Finding::error("cook-with-layers", place, "a soap whose layers are blended one by one is not cooked".into())
            .label("cooked when?")
            .help("remove this key, or blend and cook once with  divide = \"batter\"")
    }

    /// A layer of a divided batter that would have to get thinner again.
    pub fn thinner_than_batter(place: Place, layer: &str, trace: &str) -> Finding {
        let message =
            format!("the batter is thicker than `{trace}` when it is divided, so `{layer}` cannot be that thin");
        Finding::error("thinner-than-batter", place, message)
            .label("batter does not get thinner again")
            .help("blend the batter less before it is divided, or take this line away")
    }

    /// A moment for something whose moment is fixed.
    pub fn goes_into_of_liquid(place: Place, name: &str) -> Finding {
        Finding::error(
            "goes-into-of-liquid",
            place,
            format!("`{name}` is part of the water for the lye, so that is where it goes"),
        )
        .label("cannot be chosen")
        .help("remove this key; for a liquid that is stirred into cooked soap, write  goes-into = \"cooked\"")
    }

    /// What happens to cooked soap, asked of one that is poured in layers.
    ///
    /// - `part`: what a layer is called in this recipe; the same below.
    pub fn after_with_layers(place: Place, what: &str, part: &str) -> Finding {
        Finding::error(
            "after-with-layers",
            place,
            format!("{what} belongs to soap that is cooked in one pot, but this one has {part}s"),
        )
        .label(format!("of which {part}?"))
        .help(format!("remove it, or remove [[{part}s]]"))
    }

    /// A share of the water for something that is no liquid.
    pub fn acid_of_water(place: Place, name: &str) -> Finding {
        Finding::error("rate-of-water", place, format!("`{name}` does not take the place of water"))
            .label("a share of the water")
            .help(
                "give its rate as a share of the fats (\"1 %\") or as a mass (\"15 g\"); only liquids, and salt that \
                   dissolves in the water, can be a share of the water",
            )
    }

    /// Fats stirred into soap that was poured in layers.
    pub fn late_fats_with_layers(place: Place, part: &str) -> Finding {
        Finding::error(
            "late-fats-with-layers",
            place,
            format!("fats stirred in after saponification cannot be combined with {part}s"),
        )
        .label("stirred into what?")
        .help(format!("only soap that was cooked can take fats afterwards; remove [fats-after] or [[{part}s]]"))
    }

    /// An alkali that is neither NaOH nor KOH.
    pub fn unknown_alkali(place: Place, name: &str) -> Finding {
        Finding::error("unknown-alkali", place, format!("no alkali named `{name}`"))
            .label("not an alkali for soap")
            .help("write \"NaOH\", \"KOH\", or both by moles, as in { NaOH = 60, KOH = 40 }")
    }

    /// A mould that the table lacks.
    pub fn unknown_mould(place: Place, name: &str, near: Option<&str>) -> Finding {
        Finding::error("unknown-mould", place, format!("no mould named `{name}` in the table of moulds"))
            .label("not in the table")
            .nearest(near, "add a row for it to tables/moulds.toml of the course")
    }

    /// A recipe without a fat.
    pub fn no_fats(place: Place) -> Finding {
        Finding::error("no-fats", place, "the recipe has no fats".into())
            .label("nothing to saponify")
            .help("name at least one under [fats], such as  olive = 100")
    }

    /// Percentages and masses in one list.
    pub fn mixed_fat_forms(place: Place) -> Finding {
        Finding::error("mixed-fat-forms", place, "some fats are percentages and some are masses".into())
            .label("not in the same form as the first one")
            .help("write every fat as a percentage (60) or every fat as a mass (\"540 g\")")
    }

    /// Percentages that are not a whole.
    pub fn fats_do_not_sum(place: Place, sum_percent: f64) -> Finding {
        let gap = 100.0 - sum_percent;
        let what = format!("{} {}", as_typed(gap.abs()), if gap > 0.0 { "missing" } else { "too many" });
        Finding::error("fats-do-not-sum", place, format!("the fats add up to {} %, not 100 %", as_typed(sum_percent)))
            .label(what)
            .help("change one of the percentages; nothing is guessed for you")
    }

    /// Shares of one where percentages are wanted.
    pub fn fats_as_fractions(place: Place, sum: f64, percents: &[f64]) -> Finding {
        let percents: Vec<String> = percents.iter().map(|it| as_typed(*it)).collect();
        let message = format!("the fats add up to {} %, not 100 %: they look like fractions", as_typed(sum));
        Finding::error("fats-do-not-sum", place, message)
            .label("the last of them")
            .help(format!("write percent, not fractions: {}", percents.join(", ")))
    }

    /// No batch size.
    pub fn no_batch_size(place: Place) -> Finding {
        Finding::error("no-batch-size", place, "the recipe does not say how much to make".into())
            .label("neither `batch` nor `mould`")
            .help("add  batch = \"900 g\"  (the mass of all fats) or  mould = \"...\"  above [fats]")
    }

    /// Two batch sizes.
    pub fn two_batch_sizes(place: Place, first: &str, second: &str) -> Finding {
        Finding::error("two-batch-sizes", place, format!("the recipe gives its size twice, by {first} and by {second}"))
            .label("the second one")
            .help("keep the one you mean")
    }

    /// No water.
    pub fn no_water(place: Place) -> Finding {
        Finding::error("no-water", place, "the recipe does not say how much water the lye goes into".into())
            .label("no `water` here, and no default in book.toml")
            .help("add  water = { lye-concentration = 33 }  or { per-lye = 2.0 }  or { of-fats = 38 }")
    }

    /// Two water conventions.
    pub fn two_water_conventions(place: Place, first: &str, second: &str) -> Finding {
        Finding::error(
            "two-water-conventions",
            place,
            format!("the water is given twice, as `{first}` and as `{second}`"),
        )
        .label("the second one")
        .help("keep one; the pages show the other two, computed")
    }

    /// Shares of two alkalis that are not a whole.
    pub fn alkalis_do_not_sum(place: Place, sum_percent: f64) -> Finding {
        Finding::error(
            "alkalis-do-not-sum",
            place,
            format!("the alkalis add up to {} %, not 100 %", as_typed(sum_percent)),
        )
        .label("percent of the saponification, by moles")
        .help("change one of the two")
    }

    /// A purity of an alkali that the recipe does not use.
    pub fn purity_of_absent_alkali(place: Place, alkali: &str) -> Finding {
        Finding::error(
            "purity-of-absent-alkali",
            place,
            format!("the recipe states a purity of {alkali} but does not use it"),
        )
        .label("not in `alkali`")
        .help("name it under `alkali`, or remove the purity")
    }

    /// The same layer name twice.
    pub fn layer_named_twice(place: Place, part: &str, name: &str) -> Finding {
        Finding::error("layer-named-twice", place, format!("two {part}s have the name `{name}`"))
            .label("the second one")
            .help(format!("give every {part} its own name, so that a page can speak of it"))
    }

    /// A base that is not there.
    pub fn unknown_base(place: Place, name: &str, near: Option<&str>) -> Finding {
        Finding::error("unknown-base", place, format!("no recipe named `{name}` to be based on"))
            .label("no such file in the folder recipes")
            .nearest_recipe(name, near, format!("write the recipe into recipes/{name}.toml, or name one that is there"))
    }

    /// Recipes each of which is based on the next, and the last on the first.
    pub fn circular_base(place: Place, circle: &[&str]) -> Finding {
        let first = circle.first().copied().unwrap_or_default();
        let words = match circle {
            [_] => format!("the recipe `{first}` is based on itself"),
            _ => format!("these recipes are based on each other in a circle: {}, `{first}`", super::choices(circle)),
        };
        Finding::error("circular-base", place, words)
            .label("closes the circle")
            .help("one of them has to stand on its own: state all of it there, and remove its `based-on`")
    }

    /// A variant that would be called what its base is called.
    pub fn variant_without_title(place: Place) -> Finding {
        Finding::error("missing-key", place, "the variant has no `title` of its own".into())
            .label("a title is never taken from here")
            .help(
                "add a line such as  title = \"Plain bar without lard\", so that nobody mistakes one card for the \
                   other",
            )
    }

    /// A variant that is its base under another name.
    pub fn variant_changes_nothing(place: Place) -> Finding {
        Finding::warning("variant-changes-nothing", place, "nothing in this variant differs from its base".into())
            .label("the same recipe under another title")
            .help("state what is to be different, or use the other recipe itself")
    }

    /// The same finding about a variant, where nothing is at fault that the variant typed itself.
    pub fn in_variant(self, based_on: Place, base: &str) -> Finding {
        let label = format!("with the rest of `{base}`: {}", self.label);
        let here = format!("what this file states takes the place of what `{base}` states");
        let help = self.help.as_ref().map_or_else(|| here.clone(), |it| format!("{it}; {here}"));
        Finding { place: based_on, ..self }.label(label).help(help)
    }
}
