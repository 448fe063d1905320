//! Words about lye solution made beforehand.
//!
//! Layer 0.

use super::{Finding, mass_words};
use crate::show::{NO_BREAK, TemperatureScale, Units, as_typed, fixed, temperature};
use crate::source::Place;

impl Finding {
    /// Lye solution of two alkalis, made beforehand.
    pub fn stock_of_two_alkalis(place: Place) -> Finding {
        let message = "a stock of lye solution is made of one alkali, and the recipe has two".to_owned();
        Finding::error("stock-of-two-alkalis", place, message)
            .label("which of the two?")
            .help("remove `stock`, in a variant by  stock = \"none\" , and make this lye solution on the day")
    }

    /// A stock that brings more water than the recipe has.
    pub fn stock_too_weak(place: Place, percent: f64, [stock, brings, water]: [f64; 3], units: Units) -> Finding {
        let [stock, brings, water] = [stock, brings, water].map(|it| mass_words(it, units));
        let percent = as_typed(percent);
        let message = format!(
            "{stock} of the {percent} % stock contain {brings} of water, but the recipe has only {water} for \
                     it"
        );
        Finding::error("stock-too-weak", place, message)
            .label("too weak for this recipe")
            .help("make the stock stronger, give the recipe more water, or fewer liquids in place of water")
    }

    /// A stock that does not stay dissolved.
    pub fn stock_too_strong(place: Place, alkali: &str, percent: f64, most: f64, scale: TemperatureScale) -> Finding {
        let room = temperature(20.0, scale).replace(NO_BREAK, " ");
        let (percent, most) = (fixed(percent, 1), as_typed(most));
        let message = format!(
            "the stock would hold {percent} % of pure {alkali}; no more than {most} % stays dissolved at {room}"
        );
        Finding::error("stock-too-strong", place, message)
            .label("crystallises in the jug")
            .help("make it weaker; once lye has settled out, the strength is different at every height of the jug")
    }

    /// What is dissolved before the lye comes in, without water to dissolve it in.
    pub fn stock_leaves_no_water(place: Place, [solids, water]: [f64; 2], units: Units) -> Finding {
        let [solids, water] = [solids, water].map(|it| mass_words(it, units));
        let message = format!(
            "{solids} are to be dissolved before the lye, but besides the stock there is only {water} of \
                     water"
        );
        Finding::error("stock-leaves-no-water", place, message)
            .label("contains nearly all of the water")
            .help("make the stock stronger or give the recipe more water: nothing is dissolved in the stock itself, where acid boils and spits")
    }

    /// More lye solution than is made in one vessel.
    pub fn stock_too_much_at_once(place: Place, grams: [f64; 2], units: Units) -> Finding {
        let [whole, most] = grams.map(|it| mass_words(it, units));
        let message =
            format!("{whole} of lye solution is more than the {most} that are made in one vessel (limits.toml)");
        Finding::warning("stock-too-much-at-once", place, message).label("too heavy, and too hot").help(
            "make it for fewer batches at a time: so much lye cannot be lifted, poured or cooled safely by one person",
        )
    }

    /// A block about the stock of a recipe that has none.
    pub fn no_stock(place: Place, recipe: &str) -> Finding {
        Finding::error("no-stock", place, format!("the recipe `{recipe}` does not use a stock"))
            .label("which stock?")
            .help("add  stock = { lye-concentration = 50 }  to the recipe, or remove the block")
    }
}
