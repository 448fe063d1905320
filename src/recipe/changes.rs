//! What somebody wants otherwise, once, than a recipe and its course say: at the command line, or in an exercise.
//!
//! Layer 2. The limits of what may be wanted are those of recipes and of book.toml.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::{BatchSize, MASS_LIMITS_GRAMS, Purity, Recipe};
use crate::finding::{Finding, nearest};
use crate::reader::{Node, Reader};
use crate::show::Units;
use crate::source::{Located, Place};
use crate::tables::{AlkaliKind, Fat, Tables};
use crate::units::{Mass, Scale};

/// The superfats that are read, percent. Wide open on the low side: how far below zero is worth telling.
pub const SUPERFAT_LIMITS_PERCENT: (f64, f64) = (-100.0, 99.0);

/// What is wanted otherwise.
#[derive(Clone, Debug, Default)]
pub struct Changes {
    /// Another size.
    pub size: Option<BatchSize>,
    /// Another superfat, percent, within [`SUPERFAT_LIMITS_PERCENT`].
    pub superfat_percent: Option<f64>,
    /// Another scale in place of the one of its unit.
    pub scale: Option<Scale>,
    /// A size that follows from what is at hand, or from the bars that are wanted; it counts before `size`.
    pub target: Option<Located<Target>>,
    /// Other units than those of the course.
    pub units: Option<Units>,
    /// The purity of what is in one's own container, with its range.
    pub purity: BTreeMap<AlkaliKind, Purity>,
    /// Another fat in place of the one of this id, or the same one with another saponification value.
    pub fats: BTreeMap<String, Arc<Fat>>,
    /// The ids of the fats for which a value was read from a certificate.
    pub certificates: BTreeSet<Arc<str>>,
}

/// What a batch is to be as large as.
#[derive(Clone, Debug, PartialEq)]
pub enum Target {
    /// As much of what is weighed, by its name as a value, as there is.
    AtHand {
        /// Its name, such as `fats.coconut`.
        name: String,
        /// How much there is.
        mass: Mass,
    },
    /// So many bars of such a mass, fresh from the mould.
    Bars {
        /// How many.
        count: u32,
        /// The mass of one.
        mass: Mass,
    },
}

impl Changes {
    /// The recipe with the changes.
    ///
    /// # Errors
    ///
    /// When the layers do not come to the fill height of another mould, or embeds leave no room in it.
    pub fn applied(&self, mut recipe: Recipe) -> Result<Recipe, Box<Finding>> {
        if let Some(size) = &self.size {
            recipe.resize(size.clone())?;
        }
        recipe.superfat_percent = self.superfat_percent.unwrap_or(recipe.superfat_percent);
        for alkali in &mut recipe.alkalis {
            if let Some(Purity { used, range }) = self.purity.get(&alkali.kind) {
                (alkali.purity, alkali.purity_range) = (*used, range.unwrap_or((*used, *used)));
                alkali.purity_is_stated = true;
            }
        }
        if !self.fats.is_empty() {
            self.exchange_fats(&mut recipe);
        }
        Ok(recipe)
    }

    /// Puts other fats in, each with the share of the one it replaces; shares of the same fat become one.
    fn exchange_fats(&self, recipe: &mut Recipe) {
        let shares = std::mem::take(&mut recipe.fats);
        let places = std::mem::take(&mut recipe.places.fats);
        for (mut share, place) in shares.into_iter().zip(places) {
            if let Some(fat) = self.fats.get(&*share.fat.id) {
                share.fat = Arc::clone(fat);
            }
            match recipe.fats.iter_mut().find(|it| it.fat.id == share.fat.id) {
                Some(same) => same.fraction += share.fraction,
                None => {
                    recipe.fats.push(share);
                    recipe.places.fats.push(place);
                }
            }
        }
    }

    /// Whether there is any change.
    #[must_use]
    pub fn are_none(&self) -> bool {
        let Changes { size, superfat_percent, scale, target, units, purity, fats, certificates: _ } = self;
        let are_same = size.is_none() && superfat_percent.is_none() && scale.is_none() && target.is_none();
        are_same && units.is_none() && purity.is_empty() && fats.is_empty()
    }

    /// The scale that is used in place of one of a course.
    #[must_use]
    pub fn scale(&self, of_course: Scale) -> Scale {
        self.scale.filter(|it| it.unit == of_course.unit).unwrap_or(of_course)
    }
}

/// Changes as typed into a block.
#[derive(Clone, Debug)]
pub struct ChangesRead {
    place: Place,
    batch: Option<Located<Mass>>,
    mould: Option<Located<String>>,
    superfat_percent: Option<f64>,
    /// A change was typed and could not be read.
    is_faulty: bool,
}

impl ChangesRead {
    /// Reads the table of changes under a key; the findings go to the reader.
    #[must_use]
    pub fn read(block: &mut Reader<'_>, key: &'static str) -> Option<ChangesRead> {
        let node: &Node = block.node(key)?;
        let mut reader = Reader::new(node, key);
        let batch = reader.mass("batch");
        let mould = reader.words("mould");
        let (low, high) = SUPERFAT_LIMITS_PERCENT;
        let superfat_percent = reader.number_between("superfat", low, high).map(|it| it.value);
        let mut findings = reader.finish();
        if let (Some(batch), Some(mould)) = (&batch, &mould) {
            let second = if batch.place.span.start > mould.place.span.start { &batch.place } else { &mould.place };
            findings.push(Finding::two_batch_sizes(second.clone(), "`batch`", "`mould`"));
        }
        let is_faulty = !findings.is_empty();
        block.findings.extend(findings);
        Some(ChangesRead { place: node.place.clone(), batch, mould, superfat_percent, is_faulty })
    }

    /// Where the changes stand.
    #[must_use]
    pub fn place(&self) -> &Place {
        &self.place
    }

    /// Where the size stands, if another one is wanted.
    #[must_use]
    pub fn size_place(&self) -> &Place {
        let size = self.mould.as_ref().map(|it| &it.place).or(self.batch.as_ref().map(|it| &it.place));
        size.unwrap_or(&self.place)
    }

    /// The changes, if there is such a mould and the mass can be weighed; `None` with a finding if not.
    #[must_use]
    pub fn check(&self, tables: &Tables, findings: &mut Vec<Finding>) -> Option<Changes> {
        if self.is_faulty {
            return None;
        }
        let mut size = None;
        if let Some(batch) = &self.batch {
            let (low, high) = MASS_LIMITS_GRAMS;
            if !(low..=high).contains(&batch.value.to_grams()) {
                findings.push(Finding::mass_out_of_range(batch.place.clone(), "batch", batch.value.to_grams()));
                return None;
            }
            size = Some(BatchSize::Fats(batch.value));
        }
        if let Some(name) = &self.mould {
            let Some(mould) = tables.moulds.get(&name.value) else {
                let near = nearest(&name.value, tables.moulds.keys().map(String::as_str));
                findings.push(Finding::unknown_mould(name.place.clone(), &name.value, near));
                return None;
            };
            size = Some(BatchSize::Mould(mould.clone()));
        }
        Some(Changes { size, superfat_percent: self.superfat_percent, ..Changes::default() })
    }
}
