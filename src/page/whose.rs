//! Whose recipe a block or a value is about: the one place that decides.
//!
//! Layer 6. What names a recipe is about that one. What names none is about the page's, if it has cards of one recipe;
//! on a page with cards of several, whatever differs between them has to name its recipe, since the nearest card need not
//! be the one that is meant, and a wrong figure burns somebody.

use super::block::{Item, find};
use super::expression::Expression;
use super::glossary::Entry;
use super::options::View;
use super::read::{Part, PartItem};
use super::render::Renderer;
use super::values::{Evaluated, Found, Values, evaluate, literal, read, unknown_name};
use crate::finding::{Finding, nearest};
use crate::ledger::{Key, Kind, Ledger, RECIPES, name_at_start, speaks_of_lye};
use crate::source::{Located, Place, SourceFile};

/// First parts of names that are no figures' and no recipe's.
const OTHER_FIRST_PARTS: [&str; 5] = ["layers", "portions", "grams", "ounces", "title"];

/// The recipe that a name begins with, and the rest of the name: as typed and in parts.
type OfRecipe<'a, 'e> = Result<Option<(&'a str, (&'e str, &'e [String]))>, Box<Finding>>;

/// Whether names that begin with it are of figures, and never of a recipe that is called so.
fn begins_a_figure(first: &str) -> bool {
    let begins_a_name = |kind: &Kind| kind.name().split('.').next() == Some(first);
    OTHER_FIRST_PARTS.contains(&first) || Kind::ALL.iter().any(begins_a_name)
}

/// An expression in which every name of `names` is of a recipe, in a form that can be read.
fn of_recipe(expression: &str, names: &[&str], id: &str) -> String {
    let is_plain = name_at_start(id).is_some_and(|(parts, _)| parts == [id]) && !begins_a_figure(id) && id != RECIPES;
    let recipe = if is_plain { id.to_owned() } else { format!("{RECIPES}[\"{id}\"]") };
    let (mut named, mut at) = (String::new(), 0);
    while at < expression.len() {
        let rest = &expression[at..];
        let length = match name_at_start(rest) {
            Some((_, length)) => {
                if names.contains(&&rest[..length]) {
                    named.extend([&recipe, "."]);
                }
                length
            }
            None => rest.chars().next().map_or(1, char::len_utf8),
        };
        named.push_str(&rest[..length]);
        at += length;
    }
    named
}

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
        let Some(recipe) = self.shelf.recipe(&name.value) else {
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

    /// The recipe that a name begins with, and the rest of the name: `hillside.lye`.
    ///
    /// # Errors
    ///
    /// A finding where a figure's name follows what is no recipe's.
    fn named_in<'e>(&self, name: (&'e str, &'e [String]), place: &Place) -> OfRecipe<'a, 'e> {
        let (typed, parts) = name;
        if let [first, id, rest @ ..] = parts
            && first == RECIPES
            && !rest.is_empty()
        {
            let recipes = self.shelf.recipes;
            let Some((id, _)) = recipes.get_key_value(id) else {
                let near = nearest(id, recipes.keys().map(String::as_str));
                return Err(Box::new(Finding::unknown_recipe(place.clone(), id, near)));
            };
            let in_brackets = typed[RECIPES.len()..].starts_with('[');
            let marks = if in_brackets { "[\"\"]" } else { "." };
            return Ok(Some((id, (typed[RECIPES.len() + marks.len() + id.len()..].trim_start_matches('.'), rest))));
        }
        let Some((first, rest)) = parts.split_first().filter(|(_, rest)| !rest.is_empty()) else { return Ok(None) };
        if begins_a_figure(first) {
            return Ok(None);
        }
        let recipes = self.shelf.recipes;
        if let Some((id, _)) = recipes.get_key_value(first) {
            return Ok(Some((id, (typed[first.len()..].trim_start_matches('.'), rest))));
        }
        let rest: Vec<&str> = rest.iter().map(String::as_str).collect();
        match Key::from_parts(&rest) {
            Some(_) => {
                let near = nearest(first, recipes.keys().map(String::as_str));
                Err(Box::new(Finding::unknown_recipe(place.clone(), first, near)))
            }
            None => Ok(None),
        }
    }

    /// Whether each value in an expression names its recipe.
    pub(super) fn names_its_recipes(&self, expression: &Located<String>) -> bool {
        let names_its = |name: &(&str, &[String])| !matches!(self.named_in(*name, &expression.place), Ok(None));
        Expression::read(&expression.value).is_ok_and(|it| it.names().iter().all(names_its))
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
        let place = &value.place;
        let expression = read(&value.value, place)?;
        if expression.names().is_empty() {
            return self.without_names(&expression, place).map(Some);
        }
        let mut named: Vec<&'a str> = Vec::new();
        let mut is_of_page = false;
        for name in expression.names() {
            match self.named_in(name, place)? {
                Some((id, _)) => named.push(id),
                None => is_of_page = true,
            }
        }
        let candidates = match (is_of_page, &named[..]) {
            (true, _) => of_page.to_vec(),
            (false, [first, ..]) => vec![*first],
            (false, []) => Vec::new(),
        };
        for id in candidates.iter().chain(&named) {
            let Some(Some(ledger)) = self.shelf.recipe(id) else {
                return self.check_names(&expression, value, of_page).map(|()| None);
            };
            self.recipes.insert((*id).to_owned());
            self.values.entry((*id).to_owned()).or_insert_with(|| Values::new(ledger, ledger.scales.units));
        }
        let this = &*self;
        let mut tried: Vec<(&'a Ledger, Result<Evaluated<'a>, Box<Finding>>)> = Vec::new();
        for id in candidates {
            let Some(Some(ledger)) = this.shelf.recipe(id) else { continue };
            let find = |typed: &str, parts: &[String]| {
                let (id, (typed, parts)) = this.named_in((typed, parts), place)?.unwrap_or((id, (typed, parts)));
                this.values[id].find(typed, parts, place)
            };
            tried.push((ledger, evaluate(&expression, place, &ledger.scales, ledger.scales.units, &find)));
        }
        let text_of = |it: &(&Ledger, Result<Evaluated<'_>, _>)| it.1.as_ref().ok().map(|it| it.text.clone());
        let texts: Vec<Option<String>> = tried.iter().map(text_of).collect();
        if texts.iter().any(Option::is_some) && texts.iter().any(|it| *it != texts[0]) {
            let ids: Vec<&str> = tried.iter().map(|(ledger, _)| ledger.recipe.id.as_str()).collect();
            let names: Vec<(&str, &[String])> = expression.names();
            let is_of_page = |it: &&(&str, &[String])| matches!(this.named_in(**it, place), Ok(None));
            let names: Vec<&str> = names.iter().filter(is_of_page).map(|(typed, _)| *typed).collect();
            let named: Vec<String> = ids.iter().map(|id| of_recipe(&value.value, &names, id)).collect();
            let values: Vec<_> = ids.into_iter().zip(texts).collect();
            return Err(Box::new(Finding::ambiguous_value(place.clone(), &value.value, &values, &named)));
        }
        let Some((ledger, it)) = tried.into_iter().next() else { return Ok(None) };
        let it = it?;
        let own_name = match &expression {
            Expression::Name(typed, parts) => {
                self.named_in((typed, parts), place)?.map_or(&**typed, |(_, (rest, _))| rest)
            }
            _ => &value.value,
        };
        Ok(Some(self.notes.mark(ledger, it.key, own_name, &it.text)))
    }

    /// What an expression of numbers alone gives, on the scales of the course.
    fn without_names(&self, expression: &Expression, place: &Place) -> Result<String, Box<Finding>> {
        let Some(ledger) = self.shelf.recipes.values().flatten().next() else {
            return Err(Box::new(Finding::no_recipe_on_page(place.clone())));
        };
        let find = |_: &str, _: &[String]| Ok(Found::Text(String::new()));
        evaluate(expression, place, &ledger.scales, ledger.scales.units, &find).map(|it| it.text)
    }

    /// Tells a misspelt value of recipes that cannot be computed for errors of their own.
    fn check_names(
        &self,
        expression: &Expression,
        value: &Located<String>,
        of_page: &[&'a str],
    ) -> Result<(), Box<Finding>> {
        for name in expression.names() {
            let (ids, (typed, parts)) = match self.named_in(name, &value.place)? {
                Some((id, rest)) => (vec![id], rest),
                None => (of_page.to_vec(), name),
            };
            for names in ids.iter().filter_map(|it| self.shelf.names.get(*it)) {
                if let Some(finding) = unknown_name(typed, parts, &value.place, names) {
                    return Err(finding);
                }
            }
        }
        Ok(())
    }

    /// The recipes whose lye the page shows, each once, in the order of the page.
    pub(super) fn lye_of(&self, part: &Part) -> Vec<&'a Ledger> {
        let mut shown: Vec<&'a Ledger> = Vec::new();
        let mut show = |ids: Vec<&str>| {
            for ledger in ids.iter().filter_map(|it| self.shelf.cautioned(it)) {
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
                    let ids = named.unwrap_or_else(|| of_page.clone());
                    if matches!(options.view, View::Compare) {
                        let variants = ids.iter().filter_map(|it| self.shelf.cautioned(it));
                        show(variants.filter_map(|it| it.recipe.based_on.as_deref()).collect());
                    }
                    show(ids);
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
        let Ok(expression) = Expression::read(&value.value) else { return show(of_page.to_vec()) };
        for name in expression.names() {
            match self.named_in(name, &value.place) {
                Ok(Some((id, _))) => show(vec![id]),
                _ => show(of_page.to_vec()),
            }
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
