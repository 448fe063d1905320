//! What somebody measured of a soap that was made: how heavy its paste is, and how much acid a sample took.
//!
//! Layer 6. The bodies of the blocks `dilution` and `titration`. Both are about one evening, and so no keys of a recipe.

use crate::finding::Finding;
use crate::reader::Reader;
use crate::recipe::MASS_LIMITS_GRAMS;
use crate::source::{Located, Place};
use crate::tables::AlkaliKind;
use crate::units::{Mass, Volume};

/// What the block `dilution` says of a paste.
pub(super) struct Diluted {
    /// `paste-mass`: all of it, as weighed.
    pub(super) paste: Option<Located<Mass>>,
    /// What to take up with an acid.
    pub(super) neutralise: Option<Neutralise>,
}

/// Free alkali, and the acid that is to take it up.
pub(super) struct Neutralise {
    /// `free-alkali`: as KOH, percent of the paste.
    pub(super) free_koh_percent: Located<f64>,
    /// `neutralise-with`: the id of an acid or of a free fatty acid.
    pub(super) acid: Located<String>,
    /// `strength`: pure acid in what is weighed, percent.
    pub(super) strength_percent: Option<Located<f64>>,
}

impl Diluted {
    pub(super) fn read(body: &mut Reader<'_>) -> Diluted {
        let paste = body.mass("paste-mass");
        let free = body.number_between("free-alkali", 0.001, 100.0);
        let acid = body.name("neutralise-with");
        let strength_percent = body.number_between("strength", 0.1, 100.0);
        let was_refused = body.refused().iter().any(|it| matches!(*it, "free-alkali" | "neutralise-with"));
        if let (None, None, Some(strength), false) = (&free, &acid, &strength_percent, was_refused) {
            let example = "free-alkali = 0.2  and  neutralise-with = \"citric-acid\"";
            body.findings.push(Finding::neutralise_what(strength.place.clone(), "free-alkali", example));
        }
        let neutralise = match (free, acid) {
            (Some(free_koh_percent), Some(acid)) => Some(Neutralise { free_koh_percent, acid, strength_percent }),
            (Some(free), None) if !was_refused => {
                let example = "neutralise-with = \"citric-acid\"";
                body.findings.push(Finding::neutralise_what(free.place, "neutralise-with", example));
                None
            }
            (None, Some(acid)) if !was_refused => {
                let example = "free-alkali = 0.2, the percentage that the titration gave";
                body.findings.push(Finding::neutralise_what(acid.place, "free-alkali", example));
                None
            }
            _ => None,
        };
        Diluted { paste, neutralise }
    }
}

/// What a sample was taken from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Sample {
    /// A finished bar.
    Bar,
    /// A paste.
    Paste,
    /// The dry alkali of a container.
    Lye,
    /// A solution of it.
    Solution,
}

impl Sample {
    const ALL: [(&'static str, Sample); 4] =
        [("bar", Sample::Bar), ("paste", Sample::Paste), ("lye", Sample::Lye), ("lye-solution", Sample::Solution)];
}

/// What the block `titration` says.
pub(super) struct Titrated {
    /// `of`
    pub(super) of: Sample,
    /// `alkali`: as which the result is told.
    pub(super) alkali: Option<AlkaliKind>,
    /// `sample`
    pub(super) sample: Located<Mass>,
    /// `acid-volume`
    pub(super) acid: Located<Volume>,
    /// `acid-strength`, mol/L
    pub(super) moles_per_litre: f64,
    /// `hydrogens`: of the acid.
    pub(super) acidic_hydrogens: f64,
}

impl Titrated {
    /// The body; `None` where something is missing or wrong, which was told.
    pub(super) fn read(body: &mut Reader<'_>, was_read: bool) -> Option<Titrated> {
        const VOLUME: &str = "a volume with its unit, such as \"4.2 ml\"";
        let of = choice(body, "of", &Sample::ALL);
        let alkali = choice(body, "alkali", &AlkaliKind::ALL.map(|it| (it.formula(), it)));
        let sample = body.quantity("sample", Mass::FORMS, Mass::parse);
        let acid = body.quantity("acid-volume", VOLUME, Volume::parse);
        let moles_per_litre = body.number_between("acid-strength", 0.001, 20.0);
        let hydrogens = body.number_between("hydrogens", 1.0, 3.0);
        if let Some(typed) = hydrogens.as_ref().filter(|it| it.value.fract() != 0.0) {
            let (wanted, found) = ("a whole number", "a number with a fraction");
            body.findings.push(Finding::wrong_type(typed.place.clone(), "hydrogens", wanted, found));
        }
        if !was_read {
            return None;
        }
        let of = body.require("of", of, "of = \"bar\"");
        let sample = body.require("sample", sample, "sample = \"10 g\"");
        let acid = body.require("acid-volume", acid, "acid-volume = \"1.3 ml\"");
        let moles_per_litre = body.require("acid-strength", moles_per_litre, "acid-strength = 0.1");
        // It is two for sulfuric acid: whoever leaves it out would have half of the alkali.
        let hydrogens = body.require("hydrogens", hydrogens, "hydrogens = 1");
        let sample = sample.filter(|it| {
            let is_one = it.value.to_grams() >= MASS_LIMITS_GRAMS.0 && it.value.to_grams() <= MASS_LIMITS_GRAMS.1;
            if !is_one {
                let place = it.place.clone();
                body.findings.push(Finding::mass_out_of_range(place, "sample", it.value.to_grams()));
            }
            is_one
        });
        Some(Titrated {
            of: of?,
            alkali,
            sample: sample?,
            acid: acid?,
            moles_per_litre: moles_per_litre?.value,
            acidic_hydrogens: hydrogens?.value,
        })
    }

    /// Where to point at when the numbers do not fit each other.
    pub(super) fn place(&self) -> Place {
        self.acid.place.clone()
    }
}

fn choice<T: Copy>(body: &mut Reader<'_>, key: &'static str, known: &[(&'static str, T)]) -> Option<T> {
    let typed = body.text(key)?;
    let found = known.iter().find(|(name, _)| *name == typed.value).map(|(_, it)| *it);
    if found.is_none() {
        let names: Vec<&str> = known.iter().map(|(name, _)| *name).collect();
        body.findings.push(Finding::unknown_choice(typed.place, key, &typed.value, &names));
    }
    found
}
