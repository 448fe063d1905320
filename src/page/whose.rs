//! Whose recipe a block or a value is about: the one place that decides.
//!
//! Layer 6. What names a recipe is about that one. What names none is about the page's, if it has cards of one recipe;
//! on a page with cards of several, whatever differs between them has to name its recipe, since the nearest card need not
//! be the one that is meant, and a wrong figure burns somebody.

use super::block::{Item, find};
use super::glossary::Entry;
use super::options::View;
use super::read::{Part, PartItem};
use super::render::Renderer;
use super::values::{Evaluated, Values, evaluate, literal};
use crate::finding::{Finding, nearest};
use crate::ledger::{Key, Kind, Ledger, parts_of, speaks_of_lye};
use crate::source::{Located, Place, SourceFile};

/// First parts of names that are no figures' and no recipe's.
const OTHER_FIRST_PARTS: [&str; 4] = ["layers", "grams", "ounces", "title"];

impl<'a> Renderer<'a> {
    /// The recipe that a block is about; `None`, with a finding, where there is none or more than one.
    pub(super) fn recipe(&mut self, named: Option<&Located<String>>, place: &Place) -> Option<&'a Ledger> {
        if let Some(name) = named {
            return self.known(name);
        }
        match &self.page_recipes.clone()[..] {
            [] => self.findings.push(Finding::no_recipe_on_page(place.clone())),
            [only] => return self.known(only),
            several => {
                let names: Vec<&str> = several.iter().map(|it| it.value.as_str()).collect();
                self.findings.push(Finding::ambiguous_block(place.clone(), &names));
            }
        }
        None
    }

    /// The recipe of a name; a name that no recipe has is told once, at the first block that has it.
    pub(super) fn known(&mut self, name: &Located<String>) -> Option<&'a Ledger> {
        let recipes = self.shelf.recipes;
        let Some(recipe) = recipes.get(&name.value) else {
            let near = nearest(&name.value, recipes.keys().map(String::as_str));
            let finding = Finding::unknown_recipe(name.place.clone(), &name.value, near);
            if !self.findings.contains(&finding) {
                self.findings.push(finding);
            }
            return None;
        };
        self.recipes.insert(name.value.clone());
        recipe.as_ref()
    }

    /// The recipe that an expression names before a figure's name, and the name: `hillside.lye`.
    ///
    /// # Errors
    ///
    /// A finding where a figure's name follows what is no recipe's.
    fn named_in<'e>(&self, expression: &'e Located<String>) -> Result<Option<(&'a str, &'e str)>, Box<Finding>> {
        let Some(parts) = parts_of(&expression.value) else { return Ok(None) };
        let Some((first, rest)) = parts.split_first().filter(|(_, rest)| !rest.is_empty()) else { return Ok(None) };
        let begins_a_name = |kind: &Kind| kind.name().split('.').next() == Some(first);
        if OTHER_FIRST_PARTS.contains(&first.as_str()) || Kind::ALL.iter().any(begins_a_name) {
            return Ok(None);
        }
        let recipes = self.shelf.recipes;
        if let Some((id, _)) = recipes.get_key_value(first) {
            let rest = expression.value[first.len()..].trim_start_matches('.');
            return Ok(Some((id, rest)));
        }
        let rest: Vec<&str> = rest.iter().map(String::as_str).collect();
        match Key::from_parts(&rest) {
            Some(_) => {
                let near = nearest(first, recipes.keys().map(String::as_str));
                Err(Box::new(Finding::unknown_recipe(expression.place.clone(), first, near)))
            }
            None => Ok(None),
        }
    }

    /// Whether an expression names its recipe.
    pub(super) fn names_a_recipe(&self, expression: &Located<String>) -> bool {
        !matches!(self.named_in(expression), Ok(None))
    }

    /// What a value gives, marked as what it is of; `of_page` are the recipes that it may be of if it names none.
    ///
    /// # Errors
    ///
    /// A finding where there is no such value, or another one in each of the recipes; `None` where one of them cannot be
    /// computed, which is told elsewhere.
    pub(super) fn evaluated(
        &mut self,
        value: &Located<String>,
        of_page: &[&'a str],
    ) -> Result<Option<String>, Box<Finding>> {
        let named = self.named_in(value)?;
        let expression = named.map_or(value.value.as_str(), |(_, rest)| rest);
        let ids = named.map_or_else(|| of_page.to_vec(), |(id, _)| vec![id]);
        let mut tried: Vec<(&Ledger, Result<Evaluated<'a>, Box<Finding>>)> = Vec::new();
        for id in ids {
            let Some(Some(ledger)) = self.shelf.recipes.get(id) else {
                return self.check_name(id, expression, &value.place).map(|()| None);
            };
            self.recipes.insert(id.to_owned());
            let values = self.values.entry(id.to_owned()).or_insert_with(|| Values::new(ledger, self.shelf.units));
            tried.push((ledger, values.evaluate(expression, &value.place)));
        }
        let text_of = |it: &(&Ledger, Result<Evaluated<'_>, _>)| it.1.as_ref().ok().map(|it| it.text.clone());
        let texts: Vec<Option<String>> = tried.iter().map(text_of).collect();
        if texts.iter().any(Option::is_some) && texts.iter().any(|it| *it != texts[0]) {
            let values: Vec<_> = tried.iter().map(|(ledger, _)| ledger.recipe.id.as_str()).zip(texts).collect();
            return Err(Box::new(Finding::ambiguous_value(value.place.clone(), expression, &values)));
        }
        let Some((ledger, it)) = tried.into_iter().next() else { return Ok(None) };
        let it = it?;
        Ok(Some(self.notes.mark(ledger, it.figure.map(|(figure, _)| &figure.key), expression, &it.text)))
    }

    /// Tells a misspelt value of a recipe that cannot be computed for errors of its own.
    fn check_name(&self, id: &str, expression: &str, place: &Place) -> Result<(), Box<Finding>> {
        let Some(names) = self.shelf.names.get(id) else { return Ok(()) };
        match evaluate(expression, place, names) {
            Err(finding) if finding.code == "unknown-value" => Err(finding),
            _ => Ok(()),
        }
    }

    /// The recipes whose lye the page shows, each once, in the order of the page.
    pub(super) fn lye_of(&self, part: &Part) -> Vec<&'a Ledger> {
        let mut shown: Vec<&'a Ledger> = Vec::new();
        let mut show = |ids: Vec<&str>| {
            for ledger in ids.iter().filter_map(|it| self.shelf.recipes.get(*it)?.as_ref()) {
                if shown.iter().all(|it| it.recipe.id != ledger.recipe.id) {
                    shown.push(ledger);
                }
            }
        };
        let of_page: Vec<&str> = self.page_recipes.iter().map(|it| it.value.as_str()).collect();
        for item in &part.items {
            match item {
                PartItem::Block(_, options) if matches!(options.view, View::Glossary) => {
                    let entries = self.shelf.glossary.entries();
                    entries.iter().for_each(|it| self.lye_of_entry(it, &mut show));
                }
                // Of a name that no view has nothing is shown.
                PartItem::Block(_, options) if matches!(options.view, View::Unknown) => {}
                PartItem::Block(_, options) if options.view.shows_lye() => {
                    let named = options.recipe.as_ref().map(|it| vec![it.value.as_str()]);
                    show(named.unwrap_or_else(|| of_page.clone()));
                }
                PartItem::Block(..) => {}
                PartItem::Value(value) => self.lye_of_value(&value.expression, &of_page, &mut show),
                PartItem::Included(_, part) => {
                    show(self.lye_of(part).into_iter().map(|it| it.recipe.id.as_str()).collect());
                }
            }
        }
        shown
    }

    fn lye_of_value<'e>(&self, value: &Located<String>, of_page: &[&'e str], show: &mut dyn FnMut(Vec<&'e str>))
    where
        'a: 'e,
    {
        if literal(&value.value).is_some() || !speaks_of_lye(&value.value) {
            return;
        }
        match self.named_in(value) {
            Ok(Some((id, _))) => show(vec![id]),
            _ => show(of_page.to_vec()),
        }
    }

    fn lye_of_entry<'e>(&self, entry: &'e Entry, show: &mut dyn FnMut(Vec<&'e str>))
    where
        'a: 'e,
    {
        let of_page: Vec<&str> = entry.recipes.iter().map(String::as_str).collect();
        for meaning in &entry.meanings {
            for item in find(&SourceFile::new("", meaning.as_str())).0 {
                if let Item::Value(value) = item {
                    self.lye_of_value(&value.expression, &of_page, show);
                }
            }
        }
    }
}
