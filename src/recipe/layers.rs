//! The layers of a recipe: how large each is, and how it gets into the mould.
//!
//! Layer 2. Part of the check in `validate.rs`.

use std::sync::Arc;

use super::validate::Check;
use super::{BatchSize, Divide, First, Layer, LayerSize, Pouring, RawLayer, RawRecipe, Swirl, Trace};
use crate::finding::Finding;
use crate::show::Units;
use crate::source::{Located, Place};
use crate::tables::GoesInto;
use crate::units::Length;

/// How far thicknesses may miss the fill height together: what rounding each to a tenth of a millimetre can do.
const THICKNESS_TOLERANCE_MILLIMETRES: f64 = 0.5;

/// The thinnest layer that anybody pours, and more than any mould holds.
const THICKNESS_MILLIMETRES: (f64, f64) = (0.5, 1000.0);

/// What the layers of stated thickness leave of the fill height for the layer that takes the rest; nothing where none
/// does. `None` when they do not fill the mould, or leave too little.
fn rest_of(sum_millimetres: f64, fill_millimetres: f64, has_rest: bool) -> Option<Length> {
    let missing = fill_millimetres - sum_millimetres;
    if has_rest {
        return (missing >= THICKNESS_MILLIMETRES.0).then(|| Length::millimetres(missing));
    }
    (missing.abs() <= THICKNESS_TOLERANCE_MILLIMETRES).then(Length::default)
}

impl Check<'_> {
    pub(super) fn divide(&mut self, raw: &RawRecipe) -> Divide {
        if let (Some(place), Some(_)) = (&raw.portions, &raw.layers_place) {
            self.findings.push(Finding::layers_and_portions(place.clone(), "[[layers]]"));
        }
        if let Some(swirl) = self.swirl(raw) {
            if let Some(typed) = &raw.divide {
                self.findings.push(Finding::layers_and_portions(typed.place.clone(), "divide"));
            }
            return Divide::Swirl(swirl);
        }
        let Some(typed) = &raw.divide else { return Divide::default() };
        match typed.value.as_str() {
            "fats-and-lye" => Divide::FatsAndLye,
            "batter" => Divide::Batter,
            other => {
                let known = ["fats-and-lye", "batter"];
                self.findings.push(Finding::unknown_choice(typed.place.clone(), "divide", other, &known));
                Divide::default()
            }
        }
    }

    /// How the portions come together, in a recipe that has some.
    fn swirl(&mut self, raw: &RawRecipe) -> Option<Swirl> {
        let names = Swirl::ALL.map(|(name, _)| name);
        match (&raw.swirl, &raw.portions) {
            (None, None) => return None,
            (None, Some(place)) => {
                if !raw.refused.contains(&"swirl") {
                    self.findings.push(Finding::missing_key(place.clone(), "swirl", "swirl = \"in-the-pot\""));
                }
                return None;
            }
            (Some(typed), portions) if portions.is_none() || raw.layers.len() < 2 => {
                self.findings.push(Finding::swirl_of_one(typed.place.clone()));
            }
            (Some(_), _) => {}
        }
        let typed = raw.swirl.as_ref()?;
        let known = Swirl::ALL.into_iter().find(|(name, _)| *name == typed.value);
        if known.is_none() {
            self.findings.push(Finding::unknown_choice(typed.place.clone(), "swirl", &typed.value, &names));
        }
        known.map(|(_, swirl)| swirl)
    }

    /// `trace`, of the recipe or of a layer.
    pub(super) fn trace(&mut self, typed: Option<&Located<String>>) -> Option<Trace> {
        let typed = typed?;
        let trace = Trace::ALL.into_iter().find(|(name, _)| *name == typed.value);
        if trace.is_none() {
            let known = Trace::ALL.map(|(name, _)| name);
            self.findings.push(Finding::unknown_choice(typed.place.clone(), "trace", &typed.value, &known));
        }
        trace.map(|(_, it)| it)
    }

    /// `first`: what is made ready first.
    pub(super) fn first(&mut self, typed: Option<&Located<String>>) -> First {
        match typed.map(|it| (it.value.as_str(), it)) {
            None | Some(("lye", _)) => First::Lye,
            Some(("fats", _)) => First::Fats,
            Some((other, it)) => {
                self.findings.push(Finding::unknown_choice(it.place.clone(), "first", other, &["lye", "fats"]));
                First::default()
            }
        }
    }

    /// - `batter`: of a batter that is divided, the trace that the recipe states.
    pub(super) fn layers(
        &mut self,
        raw: &RawRecipe,
        size: Option<&BatchSize>,
        divide: Divide,
        batter: Option<Trace>,
    ) -> Option<Vec<Layer>> {
        if let (Some(cook), false, Divide::FatsAndLye) = (raw.times.get("cook"), raw.layers.is_empty(), divide) {
            self.findings.push(Finding::cook_with_layers(cook.place.clone()));
        }
        let sizes = self.layer_sizes(raw, size);
        let mut layers: Vec<Layer> = Vec::new();
        let mut keys: Vec<String> = Vec::new();
        for (layer_idx, layer) in raw.layers.iter().enumerate() {
            let Some(name) = &layer.name else { continue };
            let key = layer_key(&name.value);
            if keys.contains(&key) {
                self.findings.push(Finding::layer_named_twice(name.place.clone(), raw.part_name(), &name.value));
            }
            keys.push(key.clone());
            let mut extras = self.layer_extras(&layer.additives, raw.part_name());
            if divide.is_of_batter() {
                // A layer has no fats of its own to stir anything into.
                for extra in &mut extras {
                    Arc::make_mut(&mut extra.additive).goes_into = GoesInto::Trace;
                }
            }
            let pouring = self.pouring(layer);
            let trace = self.trace(layer.trace.as_ref());
            if let (Some(typed), Some(batter)) = (&layer.trace, batter)
                && trace.is_some_and(|it| it < batter)
            {
                let finding = Finding::thinner_than_batter(typed.place.clone(), &name.value, &typed.value);
                self.findings.push(finding);
            }
            let Some(size) = sizes.as_ref().and_then(|it| it.get(layer_idx)).copied() else { continue };
            layers.push(Layer {
                name: name.value.as_str().into(),
                key: key.into(),
                fraction: 0.0,
                size,
                is_rest: layer.thickness.as_ref().is_some_and(|it| it.value.is_none()),
                wait: layer.wait.as_ref().map(|it| it.value),
                pouring,
                trace,
                spritz: layer.spritz,
                trace_place: layer.trace.as_ref().map_or(&name.place, |it| &it.place).clone(),
                wait_place: layer.wait.as_ref().map_or(&name.place, |it| &it.place).clone(),
                size_place: layer
                    .thickness
                    .as_ref()
                    .map(|it| &it.place)
                    .or(layer.share.as_ref().map(|it| &it.place))
                    .unwrap_or(&name.place)
                    .clone(),
                extras,
                stays_white: layer.stays_white,
                colour: layer.colour,
            });
        }
        if layers.len() < raw.layers.len() {
            return None;
        }
        set_fractions(&mut layers);
        Some(layers)
    }

    fn pouring(&mut self, layer: &RawLayer) -> Pouring {
        let Some(how) = &layer.how else { return Pouring::default() };
        match how.value.as_str() {
            "pour" => Pouring::Pour,
            "spoon" => Pouring::Spoon,
            other => {
                self.findings.push(Finding::unknown_choice(how.place.clone(), "how", other, &["pour", "spoon"]));
                Pouring::default()
            }
        }
    }

    /// How large each layer is: all by parts, or all by thickness; `None` when that cannot be said.
    fn layer_sizes(&mut self, raw: &RawRecipe, size: Option<&BatchSize>) -> Option<Vec<LayerSize>> {
        let mut by_thickness = None;
        let mut clear = true;
        for layer in &raw.layers {
            let place = match (&layer.share, &layer.thickness) {
                (Some(_), Some(thickness)) => Some(&thickness.place),
                (Some(share), None) => (*by_thickness.get_or_insert(false)).then_some(&share.place),
                (None, Some(thickness)) => (!*by_thickness.get_or_insert(true)).then_some(&thickness.place),
                (None, None) => {
                    // Told when the layer was read.
                    clear = false;
                    None
                }
            };
            if let Some(place) = place {
                self.findings.push(Finding::two_layer_sizes(place.clone()));
                clear = false;
            }
        }
        if !clear {
            return None;
        }
        if by_thickness == Some(true) {
            return self.thicknesses(&raw.layers, size);
        }
        raw.layers.iter().map(|it| Some(LayerSize::Parts(it.share.as_ref()?.value))).collect()
    }

    /// Thicknesses with the rest of the mould worked out.
    fn thicknesses(&mut self, layers: &[RawLayer], size: Option<&BatchSize>) -> Option<Vec<LayerSize>> {
        let typed: Vec<(&Place, Option<Length>)> =
            layers.iter().filter_map(|it| it.thickness.as_ref()).map(|it| (&it.place, it.value)).collect();
        let mut rests = typed.iter().filter(|(_, thickness)| thickness.is_none());
        let has_rest = rests.next().is_some();
        let second_rest = rests.next();
        if let Some((place, _)) = second_rest {
            self.findings.push(Finding::two_rests((*place).clone()));
        }
        let fill_millimetres = match size? {
            BatchSize::Mould(mould) => mould.fill_height.to_millimetres(),
            BatchSize::Fats(_) => {
                self.findings.push(Finding::thickness_without_mould(typed.first()?.0.clone()));
                return None;
            }
        };
        for (place, thickness) in &typed {
            let (thinnest, thickest) = THICKNESS_MILLIMETRES;
            if let Some(thickness) = thickness
                && !(thinnest..=thickest).contains(&thickness.to_millimetres())
            {
                let typed = thickness.to_millimetres();
                let limits = (thinnest, thickest);
                self.findings.push(Finding::length_out_of_range((*place).clone(), "thickness", typed, limits));
                return None;
            }
        }
        if second_rest.is_some() {
            return None;
        }
        let sum: f64 = typed.iter().filter_map(|(_, it)| *it).map(Length::to_millimetres).sum();
        let Some(rest) = rest_of(sum, fill_millimetres, has_rest) else {
            let place = typed.last()?.0.clone();
            self.findings.push(Finding::thicknesses_do_not_fill(place, sum, fill_millimetres, has_rest, self.units));
            return None;
        };
        Some(typed.into_iter().map(|(_, it)| LayerSize::Thickness(it.unwrap_or(rest))).collect())
    }
}

/// The share of each layer, by its parts or by its thickness.
fn set_fractions(layers: &mut [Layer]) {
    let size_of = |size: LayerSize| match size {
        LayerSize::Parts(parts) => parts,
        LayerSize::Thickness(thickness) => thickness.to_millimetres(),
    };
    let total: f64 = layers.iter().map(|it| size_of(it.size)).sum();
    for layer in layers {
        layer.fraction = size_of(layer.size) / total;
    }
}

/// Layers by thickness in a mould of another fill height.
pub(super) fn refill(layers: &mut [Layer], fill_height: Length, units: Units) -> Result<(), Box<Finding>> {
    let is_thick = |it: &Layer| matches!(it.size, LayerSize::Thickness(_));
    let Some(last) = layers.last().filter(|it| is_thick(it)) else { return Ok(()) };
    let typed = layers.iter().filter(|it| !it.is_rest).map(|it| match it.size {
        LayerSize::Thickness(thickness) => thickness.to_millimetres(),
        LayerSize::Parts(_) => 0.0,
    });
    let (sum, fill) = (typed.sum(), fill_height.to_millimetres());
    let taker = layers.iter().find(|it| it.is_rest);
    let Some(rest) = rest_of(sum, fill, taker.is_some()) else {
        let place = taker.unwrap_or(last).size_place.clone();
        return Err(Box::new(Finding::thicknesses_do_not_fill(place, sum, fill, taker.is_some(), units)));
    };
    for layer in layers.iter_mut().filter(|it| it.is_rest) {
        layer.size = LayerSize::Thickness(rest);
    }
    set_fractions(layers);
    Ok(())
}

/// A layer's name as values in sentences write it: `White clay` is `white-clay`.
pub(crate) fn layer_key(name: &str) -> String {
    let words = name.split(|it: char| !it.is_alphanumeric()).filter(|it| !it.is_empty());
    words.collect::<Vec<_>>().join("-").to_lowercase()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::recipe::{Defaults, RawRecipe, Recipe, validate};
    use crate::source::SourceFile;
    use crate::tables::Tables;
    use crate::units::Mass;

    fn recipe(size: &str, layers: &str) -> Recipe {
        let text = format!(
            "title = \"t\"\n{size}\nsuperfat = 5\nalkali = \"NaOH\"\nwater = {{ lye-concentration = 33 }}\n[fats]\nlard = 100\n{layers}"
        );
        let (raw, _) = RawRecipe::read("t", &SourceFile::new("recipes/t.toml", text));
        validate(&raw, &Tables::embedded(), &Defaults::default()).0.expect("the recipe is right")
    }

    fn sizes(recipe: &Recipe) -> Vec<(LayerSize, f64)> {
        recipe.layers.iter().map(|it| (it.size, (it.fraction * 1e6).round() / 1e6)).collect()
    }

    fn mould(id: &str) -> BatchSize {
        BatchSize::Mould(Tables::embedded().moulds[id].clone())
    }

    const BY_THICKNESS: &str =
        "[[layers]]\nname = \"a\"\nthickness = \"rest\"\n[[layers]]\nname = \"b\"\nthickness = \"24 mm\"\n";

    #[test]
    fn in_another_mould_thicknesses_stay_and_the_rest_is_worked_out_anew() {
        let thick = |it: f64| LayerSize::Thickness(Length::millimetres(it));
        // loaf-1kg is filled 60 mm deep, slab-small 30 mm.
        let mut recipe = recipe("mould = \"loaf-1kg\"", BY_THICKNESS);
        assert_eq!(sizes(&recipe), [(thick(36.0), 0.6), (thick(24.0), 0.4)]);
        recipe.resize(mould("slab-small")).expect("it fits");
        assert_eq!(sizes(&recipe), [(thick(6.0), 0.2), (thick(24.0), 0.8)]);
        // For a mass the proportions stay.
        recipe.resize(BatchSize::Fats(Mass::grams(500.0))).expect("any mass does");
        assert_eq!(sizes(&recipe), [(thick(6.0), 0.2), (thick(24.0), 0.8)]);
        recipe.resize(mould("loaf-1kg")).expect("it fits");
        assert_eq!(sizes(&recipe), [(thick(36.0), 0.6), (thick(24.0), 0.4)]);
    }

    #[test]
    fn layers_that_do_not_fill_another_mould_are_refused_where_they_are_typed() {
        let layers = BY_THICKNESS.replace("24 mm", "30 mm");
        let mut without_room = recipe("mould = \"loaf-1kg\"", &layers);
        let finding = without_room.resize(mould("slab-small")).expect_err("no rest is left");
        assert_eq!((finding.code, finding.place.line_and_column()), ("thicknesses-do-not-fill", (10, 13)));
        let mut without_rest = recipe("mould = \"loaf-1kg\"", &layers.replace("rest", "30 mm"));
        let finding = without_rest.resize(mould("slab-small")).expect_err("twice as high");
        assert_eq!((finding.code, finding.place.line_and_column()), ("thicknesses-do-not-fill", (13, 13)));
        assert!(without_rest.resize(mould("loaf-1kg")).is_ok());
    }

    #[test]
    fn parts_fit_any_mould_and_what_is_made_for_one_is_poured_into_no_other() {
        let parts = "[[layers]]\nname = \"a\"\nshare = 3\n[[layers]]\nname = \"b\"\nshare = 1\n";
        let mut recipe = recipe("batch = \"1 kg\"\ninto = \"loaf-1kg\"", parts);
        assert_eq!(recipe.mould().map(|it| it.id.as_str()), Some("loaf-1kg"));
        recipe.resize(mould("slab-small")).expect("parts fit");
        assert_eq!(sizes(&recipe), [(LayerSize::Parts(3.0), 0.75), (LayerSize::Parts(1.0), 0.25)]);
        assert_eq!((recipe.mould().map(|it| it.id.as_str()), recipe.into.is_none()), (Some("slab-small"), true));
    }
}
