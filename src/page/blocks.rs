//! Turns the blocks of a page into what replaces them.
//!
//! Layer 6. What a block says is in `view/`, how it looks in the templates. Where something is wrong with a block that is
//! told, and nothing replaces it.

use std::collections::BTreeSet;

use super::Form;
use super::block::{Item, find};
use super::cautions::cautions;
use super::glossary::Entry;
use super::options::{BlockOptions, Only, View};
use super::paper::link_to_sheet;
use super::plain::without_directives;
use super::practice::Exercise;
use super::printer::Printer;
use super::render::Renderer;
use super::template::one_line;
use super::values::literal;
use super::view::{
    AnswersView, LayersFigure, RebatchOptions, compare_view, fats_view, gather_view, glossary_view, layers_view,
    name_of_lye, part_named, practice_view, profile_view, rebatch_view, recipe_view, safety_view, shreds_of,
    stock_view, timeline_view, weighed_view, worked_view, yield_view,
};
use crate::batch::WeighedPart;
use crate::finding::{Finding, nearest};
use crate::ledger::Ledger;
use crate::source::{Located, Place, SourceFile};
use crate::units::Mass;

impl<'a> Renderer<'a> {
    /// Tells the ticks of one card, or of one list of steps, from those of another.
    fn next_card(&mut self) -> String {
        self.n_cards += 1;
        format!("{}#{}", self.page.lesson.id, self.n_cards)
    }

    /// What replaces a block.
    pub(super) fn block(&mut self, options: &BlockOptions, place: &Place) -> Option<String> {
        match &options.view {
            View::Unknown => None,
            View::Fats(only) => self.fats(only.as_ref(), place),
            View::Glossary => self.glossary(place),
            View::Opener(makes) => self.opener(options, *makes, place),
            View::Programme => self.programme(place),
            View::Recipe => self.of_recipe(options, place, |it, print| {
                let key = it.next_card();
                let mut view = recipe_view(key, print);
                view.own = it.shelf.has_controls.then(|| print.ledger.recipe.id.clone());
                view.sheet = link_to_sheet(&it.page.id(), &print.ledger.recipe.id);
                it.template("recipe", &view, place)
            }),
            View::Worked => {
                self.of_recipe(options, place, |it, print| it.template("worked", &worked_view(print), place))
            }
            View::Layers => self.of_recipe(options, place, |it, print| {
                let key = it.next_card();
                let Some(mut view) = layers_view(key, print) else {
                    return it.refuse(Finding::no_layers(place.clone(), &print.ledger.recipe.id));
                };
                view.figure = match &view.figure_data {
                    LayersFigure::Bed(figure) => it.figure("cross-section.svg", figure, place),
                    LayersFigure::Jugs(figure) => it.figure("portions.svg", figure, place),
                };
                it.template("layers", &view, place)
            }),
            View::Timeline => self.of_recipe(options, place, |it, print| {
                let key = it.next_card();
                let mut view = timeline_view(key, print);
                view.figure = it.figure("timeline.svg", &view.figure_data, place);
                it.template("timeline", &view, place)
            }),
            View::Gather(pairs) => {
                let view = |it: &mut Self, print| it.template("gather", &gather_view(print, *pairs), place);
                self.of_recipe(options, place, view)
            }
            View::Safety => self.own_safety(options, place),
            View::Profile => self.of_recipe(options, place, |it, print| {
                let mut view = profile_view(print);
                if !view.figure_data.bars.is_empty() {
                    view.figure = it.figure("profile.svg", &view.figure_data, place);
                }
                it.template("profile", &view, place)
            }),
            View::Yield => self.of_recipe(options, place, |it, print| it.template("yield", &yield_view(print), place)),
            View::Compare => self.of_recipe(options, place, |it, print| it.compare(print, place)),
            View::Weighed(weighed) => self.of_recipe(options, place, |it, print| it.weighed(weighed, print, place)),
            View::Stock(wanted) => self.of_recipe(options, place, |it, print| match stock_view(print, (*wanted)?) {
                Some(view) => {
                    let most = print.tables.limits.largest_stock_jug;
                    if view.whole > most {
                        let (grams, units) = ([view.whole, most].map(Mass::to_grams), print.ledger.scales.units);
                        it.findings.push(Finding::stock_too_much_at_once(place.clone(), grams, units));
                    }
                    it.template("stock", &view, place)
                }
                None => it.refuse(Finding::no_stock(place.clone(), &print.ledger.recipe.id)),
            }),
            View::Rebatch(wanted, weighed) => {
                self.of_recipe(options, place, |it, print| it.rebatch(wanted.as_ref()?, weighed, print, place))
            }
            View::Dilution(diluted) => self.of_recipe(options, place, |it, print| it.diluted(diluted, print, place)),
            View::Titration(None) => None,
            View::Titration(Some(titrated)) => {
                self.of_recipe(options, place, |it, print| it.titrated(titrated, print, place))
            }
            View::Practice(exercise) => {
                let drawn = self.of_recipe(options, place, |it, print| it.practice(exercise, print, place));
                if drawn.is_none() {
                    self.check_names_of_exercise(exercise, options);
                }
                drawn
            }
        }
    }

    /// A block about one recipe, if that can be computed.
    fn of_recipe(
        &mut self,
        options: &BlockOptions,
        place: &Place,
        draw: impl FnOnce(&mut Self, Printer<'a>) -> Option<String>,
    ) -> Option<String> {
        let Some(ledger) = self.recipe(options.recipe.as_ref(), place) else { return self.own_refused(options, place) };
        let drawn = draw(self, Printer { ledger, tables: self.shelf.tables, notes: self.notes })?;
        let drawn = self.noted(&drawn, Some(&ledger.recipe.id), place);
        Some(self.below_own_line(drawn, &[ledger], place))
    }

    pub(super) fn refuse(&mut self, finding: Finding) -> Option<String> {
        self.findings.push(finding);
        None
    }

    /// A block through its template.
    pub(super) fn template(&mut self, view: &str, data: &impl serde::Serialize, place: &Place) -> Option<String> {
        let templates = self.shelf.templates;
        let drawn = match self.form {
            Form::Html => templates.render(&format!("{view}.html"), data, place).map(|it| one_line(&it)),
            Form::Markdown => templates
                .render(&format!("{view}.md"), data, place)
                .map(|it| format!("<!--kettle-->\n\n{}\n", it.trim())),
        };
        drawn.map(|it| without_directives(&it)).map_err(|finding| self.findings.push(*finding)).ok()
    }

    /// A figure of a block.
    pub(super) fn figure(&mut self, template: &str, data: &impl serde::Serialize, place: &Place) -> String {
        let drawn = self.shelf.templates.render(template, data, place);
        drawn.map_err(|finding| self.findings.push(*finding)).unwrap_or_default()
    }

    /// A variant beside the recipe that it is based on; where the variant could be computed, so could its base.
    fn compare(&mut self, print: Printer<'a>, place: &Place) -> Option<String> {
        let Printer { ledger, tables, .. } = print;
        let base = ledger.recipe.based_on.as_ref().and_then(|it| self.shelf.recipe(it)?.as_ref());
        let Some(base) = base else {
            return self.refuse(Finding::not_a_variant(place.clone(), &ledger.recipe.id));
        };
        let resized = base.for_fats(ledger.batch.total_fats, tables);
        let view = compare_view(Printer { ledger: base, ..print }, Printer { ledger: &resized, ..print }, print);
        self.template("compare", &view, place)
    }

    /// A batch as it was really weighed.
    fn weighed(&mut self, weighed: &[(Located<String>, Mass)], print: Printer<'a>, place: &Place) -> Option<String> {
        let found = self.found(weighed, print)?;
        if found.is_empty() {
            return None;
        }
        self.template("weighed", &weighed_view(print, &found, None), place)
    }

    /// Shreds melted down again.
    fn rebatch(
        &mut self,
        options: &RebatchOptions,
        weighed: &[(Located<String>, Mass)],
        print: Printer<'a>,
        place: &Place,
    ) -> Option<String> {
        let found = self.found(weighed, print)?;
        let it = shreds_of(print, options, &found);
        // Neither is a matter of a scale that is off by a division.
        if let Some(dried) = options.dried_percent.as_ref().filter(|dried| dried.value > it.driest_percent + 1.0) {
            let place = dried.place.clone();
            return self.refuse(Finding::dried_beyond_water(place, dried.value, it.driest_percent));
        }
        if !found.is_empty() && it.poured_of_shreds > it.poured * 1.01 {
            let (place, units) = (options.shreds.place.clone(), print.ledger.scales.units);
            let grams = [it.poured_of_shreds, it.poured].map(Mass::to_grams);
            return self.refuse(Finding::shreds_over_batch(place, grams, units));
        }
        self.template("rebatch", &rebatch_view(print, options, &found), place)
    }

    /// What was weighed, by what the recipe has; `None` where a name was told to be none.
    fn found(&mut self, weighed: &[(Located<String>, Mass)], print: Printer<'a>) -> Option<Vec<(WeighedPart, Mass)>> {
        let mut found = Vec::new();
        for (name, mass) in weighed {
            match part_named(print.ledger, &name.value) {
                Ok(part) if found.iter().any(|(it, _)| *it == part) => {
                    self.findings.push(Finding::weighed_twice(name.place.clone(), &name.value));
                }
                Ok(part) => found.push((part, *mass)),
                Err(near) => {
                    let recipe = &print.ledger.recipe.id;
                    self.findings.push(Finding::unknown_weighed(
                        name.place.clone(),
                        &name.value,
                        recipe,
                        near.as_deref(),
                        name_of_lye(print.ledger),
                    ));
                }
            }
        }
        (found.len() == weighed.len()).then_some(found)
    }

    /// The table of fats: all of them, those of the course's recipes, or those that the block names.
    fn fats(&mut self, only: Option<&Only>, place: &Place) -> Option<String> {
        let tables = self.shelf.tables;
        let mut fats = Vec::new();
        let title = match only {
            None => {
                fats.extend(tables.fats.values());
                "All fats, by name"
            }
            Some(Only::Used) => {
                let used: BTreeSet<&str> = self.shelf.recipes.values().flatten().flat_map(fats_used).collect();
                fats.extend(tables.fats.values().filter(|it| used.contains(&*it.id)));
                "The fats of this course, by name"
            }
            Some(Only::Named(names)) => {
                for name in names {
                    match tables.fats.get(&name.value) {
                        Some(fat) => fats.push(fat),
                        None if tables.is_refused("fats.toml", &name.value) => {}
                        None => self.findings.push(Finding::unknown_fat(
                            name.place.clone(),
                            &name.value,
                            nearest(&name.value, tables.fats.keys().map(String::as_str)),
                        )),
                    }
                }
                "Fats chosen for this page"
            }
        };
        if !matches!(only, Some(Only::Named(_))) {
            fats.sort_by_key(|it| it.name.to_lowercase());
        }
        self.template("fats", &fats_view(title, &fats), place)
    }

    fn practice(&mut self, exercise: &Exercise, print: Printer<'a>, place: &Place) -> Option<String> {
        let (worked_out, findings) = exercise.work_out(print.ledger, self.shelf, print.notes);
        self.findings.extend(findings);
        let number = self.practices.len() + 1;
        let key = format!("{}#{number}", self.page.lesson.id);
        let number = self.numbers_practice.then_some(number);
        let view = practice_view(key, number, print.ledger, worked_out?, self.form);
        let drawn = self.template(view.task.template(), &view, place);
        self.practices.push(view);
        drawn
    }

    /// Tells misspelt values of an exercise whose recipe cannot be computed for errors of its own.
    fn check_names_of_exercise(&mut self, exercise: &Exercise, options: &BlockOptions) {
        let recipe = options.recipe.as_ref().or(self.page_recipes.first().copied());
        let computed = recipe.and_then(|it| self.shelf.recipes.get(&it.value)).is_some_and(Option::is_some);
        if let Some(names) = recipe.and_then(|it| self.shelf.names.get(&it.value)).filter(|_| !computed) {
            self.findings.extend(exercise.unknown_values(names));
        }
    }

    /// On paper and without a browser nothing can be opened: the answers stand at the end of the page, away from the
    /// questions. On a screen the style sheet hides them.
    pub(super) fn answers_at_the_end(&mut self, text: &mut String) {
        if self.practices.is_empty() {
            if self.page.n_practices() > 0 {
                let _ = self.piece_or_none(None);
            }
            return;
        }
        let file = &self.page.lesson.file;
        let end = file.text().len();
        let place = Place { file: file.clone(), span: end..end };
        let answers = AnswersView::new(&self.page.lesson.id, std::mem::take(&mut self.practices));
        if let Some(answers) = self.template("practice-answers", &answers, &place) {
            let answers = self.noted(&answers, None, &place);
            let answers = self.piece(answers);
            *text = format!("{}\n\n{answers}", text.trim_end_matches(['\n', '\r']));
        }
    }

    /// The terms of the course.
    fn glossary(&mut self, place: &Place) -> Option<String> {
        let view = glossary_view(self.shelf.glossary.entries(), &self.page.id(), |entry, it| self.meaning(entry, it));
        let drawn = self.template("glossary", &view, place)?;
        Some(self.noted(&drawn, None, place))
    }

    /// What an entry of the glossary means, with the values of its own page. What cannot be computed is told there, and
    /// blocks and included files stay where they are.
    fn meaning(&mut self, entry: &Entry, meaning: &str) -> String {
        let file = SourceFile::new("", meaning);
        let (items, _) = find(&file);
        let recipes = self.shelf.recipes;
        let known = entry.recipes.iter().filter_map(|it| recipes.get_key_value(it));
        let of_page: Vec<&'a str> = known.map(|(id, _)| id.as_str()).collect();
        let (mut worded, mut from) = (String::with_capacity(meaning.len()), 0);
        for item in items {
            let range = item.range().clone();
            worded.push_str(&meaning[from..range.start]);
            from = range.end;
            let Item::Value(value) = item else { continue };
            if let Some(text) = literal(&value.expression.value) {
                worded.push_str(text);
            } else if let Ok(Some(text)) = self.evaluated(&value.expression, &of_page) {
                worded.push_str(&text);
            }
        }
        worded.push_str(&meaning[from..]);
        worded
    }

    /// The cautions of these recipes.
    fn safety(&mut self, recipes: &[&Ledger], place: &Place) -> Option<String> {
        let mut titles: Vec<&str> = Vec::new();
        for recipe in recipes {
            if !titles.contains(&recipe.recipe.title.as_str()) {
                titles.push(&recipe.recipe.title);
            }
        }
        let view = safety_view(cautions(recipes, self.shelf.tables, self.notes), titles.join(", "));
        self.template("safety", &view, place)
    }

    /// The cautions where the author wants them: of the recipe that the block names, and of everything else on the page that
    /// has lye in it.
    fn own_safety(&mut self, options: &BlockOptions, place: &Place) -> Option<String> {
        let mut recipes = self.lye_shown_for.clone();
        let mut own = None;
        // A page that shows lye in sentences alone has no recipe of its own, and needs none here.
        if options.recipe.is_some() || self.page_recipes.len() == 1 || recipes.is_empty() {
            let named = options.recipe.as_ref().or(self.page_recipes.first().copied());
            let refused = named.filter(|it| self.shelf.own.get(&it.value).is_some_and(|own| own.ledger.is_none()));
            let ledger = match refused {
                Some(it) => self.shelf.cautioned(&it.value)?,
                None => self.recipe(options.recipe.as_ref(), place)?,
            };
            recipes.retain(|it| it.recipe.id != ledger.recipe.id);
            recipes.insert(0, ledger);
            own = Some(ledger.recipe.id.as_str());
        }
        let block = self.safety(&recipes, place)?;
        let block = self.noted(&block, own, place);
        Some(self.below_own_line(block, &recipes, place))
    }

    /// The cautions of a page whose author wrote no `safety` block.
    pub(super) fn automatic_safety(&mut self, offset: usize) -> String {
        let place = Place { file: self.page.lesson.file.clone(), span: offset..offset };
        let recipes = self.lye_shown_for.clone();
        let block = self.safety(&recipes, &place).unwrap_or_default();
        let block = self.noted(&block, None, &place);
        self.below_own_line(block, &recipes, &place)
    }
}

/// The ids of the fats of a recipe, those stirred in later among them.
fn fats_used(ledger: &Ledger) -> impl Iterator<Item = &str> {
    let recipe = &ledger.recipe;
    recipe.fats.iter().map(|it| &it.fat).chain(recipe.late_fats.iter().map(|it| &it.fat)).map(|it| &*it.id)
}
