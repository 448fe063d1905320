//! What a course has, by name, and where it is used.
//!
//! Layer 7. The lists are made from the tables, the ledgers, the glossary and what the pages printed; nothing is listed here
//! by hand.

use std::collections::BTreeSet;

use super::{Course, mark_of_page};
use crate::ledger::{Kind, Ledger, Of, Scope, name_of};
use crate::page::{Page, Printed, Rendered, TEXTS, mould_inside};
use crate::recipe::BatchSize;
use crate::show;
use crate::tables::{Additive, AdditiveKind, Fat, Mould, Scent};

/// What may be listed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Listing {
    /// The fats that recipes may name.
    Fats,
    /// The moulds.
    Moulds,
    /// The additives, acids and liquids among them.
    Additives,
    /// The recipes.
    Recipes,
    /// The words that lessons explain.
    Terms,
    /// The values that sentences may name.
    Values,
}

impl Listing {
    /// All of them.
    pub const ALL: [Listing; 6] =
        [Listing::Fats, Listing::Moulds, Listing::Additives, Listing::Recipes, Listing::Terms, Listing::Values];

    /// What it is called, and what a line of it says.
    #[must_use]
    pub fn name_and_about(self) -> (&'static str, &'static str) {
        match self {
            Listing::Fats => ("fats", "Fats, with the saponification value that is used and its range"),
            Listing::Moulds => ("moulds", "Moulds, with what they measure"),
            Listing::Additives => ("additives", "Additives, acids and liquids among them"),
            Listing::Recipes => ("recipes", "The recipes of the course"),
            Listing::Terms => ("terms", "The words that its lessons explain"),
            Listing::Values => ("values", "The values that sentences may name"),
        }
    }
}

/// A page, and what it uses.
#[derive(Clone, Debug)]
pub struct PageUses {
    /// The page's file, as its author knows it.
    pub path: String,
    /// Its address below the folder of the pages, as mdBook names it.
    pub id: String,
    /// The recipes that it shows.
    pub recipes: BTreeSet<String>,
    /// The figures that it prints, in the order of the page.
    pub printed: Vec<Printed>,
    /// Made from all that it says.
    pub mark: String,
}

/// One line of a list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Listed {
    /// What files call it.
    pub id: String,
    /// What it is.
    pub about: String,
    /// The recipes that use it.
    pub recipes: Vec<String>,
    /// The files of the lessons that use it, in reading order.
    pub lessons: Vec<String>,
}

impl PageUses {
    /// What a rendered page uses.
    #[must_use]
    pub fn of(page: &Page, rendered: &Rendered) -> PageUses {
        PageUses {
            path: page.file().path().to_owned(),
            id: page.id(),
            recipes: rendered.recipes.clone(),
            printed: rendered.printed.clone(),
            mark: mark_of_page(&rendered.text),
        }
    }
}

impl Course {
    /// Everything of a kind that the course has, by the alphabet; values in the order in which they are computed.
    #[must_use]
    pub fn listed(&self, listing: Listing, pages: &[PageUses]) -> Vec<Listed> {
        let units = self.settings.units;
        match listing {
            Listing::Fats => self
                .tables
                .fats
                .values()
                .map(|it| self.used(&it.id, about_fat(it), pages, &|ledger| names(ledger, Of::Fat, &it.id)))
                .collect(),
            Listing::Additives => self
                .tables
                .additives
                .values()
                .map(|it| self.used(&it.id, about_additive(it), pages, &|ledger| names(ledger, Of::Additive, &it.id)))
                .collect(),
            Listing::Moulds => self
                .tables
                .moulds
                .values()
                .map(|it| self.used(&it.id, about_mould(it, units), pages, &|ledger| is_poured_into(ledger, it)))
                .collect(),
            Listing::Recipes => {
                self.recipes.iter().map(|(id, it)| self.listed_recipe(id, it.as_ref(), pages)).collect()
            }
            Listing::Terms => self
                .glossary
                .entries()
                .iter()
                .map(|entry| {
                    let page = pages.iter().find(|it| it.id == entry.page_id);
                    Listed {
                        id: entry.term.clone(),
                        about: entry.lesson.clone(),
                        recipes: Vec::new(),
                        lessons: page.map(|it| it.path.clone()).into_iter().collect(),
                    }
                })
                .collect(),
            Listing::Values => values(pages),
        }
    }

    /// A row of a table, used by the recipes of which something holds, and so by the lessons that show these.
    fn used(&self, id: &str, about: String, pages: &[PageUses], uses: &dyn Fn(&Ledger) -> bool) -> Listed {
        let recipes: Vec<String> =
            self.recipes.iter().filter(|(_, it)| it.as_ref().is_some_and(uses)).map(|(id, _)| id.clone()).collect();
        let shows = |it: &&PageUses| recipes.iter().any(|recipe| it.recipes.contains(recipe));
        let lessons = pages.iter().filter(shows).map(|it| it.path.clone()).collect();
        Listed { id: id.to_owned(), about, recipes, lessons }
    }

    /// A recipe, used by those that are based on it.
    fn listed_recipe(&self, id: &str, ledger: Option<&Ledger>, pages: &[PageUses]) -> Listed {
        let is_variant = |it: &&String| self.outcomes.get(*it).is_some_and(|it| it.base.as_deref() == Some(id));
        let about = ledger
            .map_or_else(|| "cannot be computed, see `kettlebook check`".to_owned(), |it| it.recipe.title.clone());
        Listed {
            id: id.to_owned(),
            about,
            recipes: self.recipes.keys().filter(is_variant).cloned().collect(),
            lessons: pages.iter().filter(|it| it.recipes.contains(id)).map(|it| it.path.clone()).collect(),
        }
    }
}

/// The texts and the figures that sentences may name.
fn values(pages: &[PageUses]) -> Vec<Listed> {
    let listed = |id: String, about: &str, lessons: Vec<String>| Listed {
        id,
        about: about.to_owned(),
        recipes: Vec::new(),
        lessons,
    };
    let texts = TEXTS.iter().map(|it| listed(name_of(it), "A text", Vec::new()));
    let figures = Kind::ALL.iter().map(|kind| {
        let prints =
            pages.iter().filter(|it| it.printed.iter().any(|it| it.key.as_ref().is_some_and(|it| it.kind == *kind)));
        listed(pattern_of(*kind), kind.meaning(), prints.map(|it| it.path.clone()).collect())
    });
    texts.chain(figures).collect()
}

/// Whether a ledger has a figure of this thing.
fn names(ledger: &Ledger, of: Of, id: &str) -> bool {
    let is_such = |it: Of| it == of || (of == Of::Fat && it == Of::LateFat);
    ledger.figures().iter().any(|it| is_such(it.key.kind.of()) && it.key.of.as_deref() == Some(id))
}

fn is_poured_into(ledger: &Ledger, mould: &Mould) -> bool {
    let recipe = &ledger.recipe;
    matches!(&recipe.size, BatchSize::Mould(it) if it.id == mould.id)
        || recipe.into.as_ref().is_some_and(|it| it.id == mould.id)
}

fn about_fat(fat: &Fat) -> String {
    let [used, low, high] = [fat.sap_used, fat.sap_low, fat.sap_high].map(|it| show::short(it.to_mg_koh_per_g(), 1));
    format!("{}, {used} ({low} to {high}) mg KOH/g", fat.name)
}

fn about_additive(additive: &Additive) -> String {
    let kind = match (&additive.kind, additive.scent) {
        (AdditiveKind::Acid { .. }, _) => "an acid",
        (AdditiveKind::Liquid { .. }, _) => "a liquid",
        (AdditiveKind::Blend(_), _) => "a blend",
        (AdditiveKind::Extra, Some(Scent::Fragrance)) => "a fragrance oil",
        (AdditiveKind::Extra, Some(Scent::EssentialOil)) => "an essential oil",
        (AdditiveKind::Extra, None) => "leaves the lye as it is",
    };
    format!("{}, {kind}", additive.name)
}

fn about_mould(mould: &Mould, units: show::Units) -> String {
    let each = if mould.cavities == 1 { String::new() } else { format!("{} cavities, each ", mould.cavities) };
    format!("{}, {each}{}", mould.name, mould_inside(mould, units))
}

/// The name of a kind of figure, with what stands for the thing it is of.
fn pattern_of(kind: Kind) -> String {
    let of = match kind.of() {
        Of::One => "",
        Of::Fat | Of::LateFat => ".FAT",
        Of::Additive => ".ADDITIVE",
        Of::Alkali => ".ALKALI",
        Of::Component => ".COMPONENT",
        Of::FattyAcid => ".ACID",
        Of::AcidGroup => ".GROUP",
        Of::Scale => ".UNIT",
        Of::Step => ".NUMBER",
    };
    let layer = if kind.scope() == Scope::Layer { "layers.LAYER." } else { "" };
    format!("{layer}{}{of}", kind.name())
}
