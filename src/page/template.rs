//! The Tera templates: built in from `theme/templates/`, replaced by a course's own of the same name.
//!
//! Layer 6. A template gets ready strings and calls nothing. HTML comes out as one line that starts with a comment, which
//! is the one form that survives lists, quotes and tables around it.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, LazyLock};

use serde::Serialize;
use tera::{Context, Kwargs, State, Tera, Value};

use super::plain::{address, plain_html, plain_markdown};
use super::printer::cautions_in;
use super::values::first_line;
use crate::finding::{Finding, nearest};
use crate::reader::{Entry, Node, NodeValue, parse};
use crate::source::{Extract, Place, SourceFile};

/// The built-in templates, as `(name, text)`.
const BUILT_IN: [(&str, &str); 52] = [
    ("opener.html", include_str!("../../theme/templates/opener.html")),
    ("opener.md", include_str!("../../theme/templates/opener.md")),
    ("emblem.svg", include_str!("../../theme/templates/emblem.svg")),
    ("programme.html", include_str!("../../theme/templates/programme.html")),
    ("programme.md", include_str!("../../theme/templates/programme.md")),
    ("recipe.html", include_str!("../../theme/templates/recipe.html")),
    ("own.html", include_str!("../../theme/templates/own.html")),
    ("own-line.html", include_str!("../../theme/templates/own-line.html")),
    ("own-refused.html", include_str!("../../theme/templates/own-refused.html")),
    ("own-told.html", include_str!("../../theme/templates/own-told.html")),
    ("worked.html", include_str!("../../theme/templates/worked.html")),
    ("layers.html", include_str!("../../theme/templates/layers.html")),
    ("yield.html", include_str!("../../theme/templates/yield.html")),
    ("gather.html", include_str!("../../theme/templates/gather.html")),
    ("gather.md", include_str!("../../theme/templates/gather.md")),
    ("timeline.html", include_str!("../../theme/templates/timeline.html")),
    ("timeline.svg", include_str!("../../theme/templates/timeline.svg")),
    ("timeline.md", include_str!("../../theme/templates/timeline.md")),
    ("safety.html", include_str!("../../theme/templates/safety.html")),
    ("profile.html", include_str!("../../theme/templates/profile.html")),
    ("fats.html", include_str!("../../theme/templates/fats.html")),
    ("compare.html", include_str!("../../theme/templates/compare.html")),
    ("glossary.html", include_str!("../../theme/templates/glossary.html")),
    ("cross-section.svg", include_str!("../../theme/templates/cross-section.svg")),
    ("portions.svg", include_str!("../../theme/templates/portions.svg")),
    ("profile.svg", include_str!("../../theme/templates/profile.svg")),
    ("sheet.html", include_str!("../../theme/templates/sheet.html")),
    ("dilution.html", include_str!("../../theme/templates/dilution.html")),
    ("dilution.md", include_str!("../../theme/templates/dilution.md")),
    ("titration.html", include_str!("../../theme/templates/titration.html")),
    ("titration.md", include_str!("../../theme/templates/titration.md")),
    ("weighed.html", include_str!("../../theme/templates/weighed.html")),
    ("weighed.md", include_str!("../../theme/templates/weighed.md")),
    ("recipe.md", include_str!("../../theme/templates/recipe.md")),
    ("worked.md", include_str!("../../theme/templates/worked.md")),
    ("layers.md", include_str!("../../theme/templates/layers.md")),
    ("yield.md", include_str!("../../theme/templates/yield.md")),
    ("safety.md", include_str!("../../theme/templates/safety.md")),
    ("profile.md", include_str!("../../theme/templates/profile.md")),
    ("fats.md", include_str!("../../theme/templates/fats.md")),
    ("practice.html", include_str!("../../theme/templates/practice.html")),
    ("practice.md", include_str!("../../theme/templates/practice.md")),
    ("practice-choices.html", include_str!("../../theme/templates/practice-choices.html")),
    ("practice-choices.md", include_str!("../../theme/templates/practice-choices.md")),
    ("practice-answers.html", include_str!("../../theme/templates/practice-answers.html")),
    ("practice-answers.md", include_str!("../../theme/templates/practice-answers.md")),
    ("stock.html", include_str!("../../theme/templates/stock.html")),
    ("stock.md", include_str!("../../theme/templates/stock.md")),
    ("rebatch.html", include_str!("../../theme/templates/rebatch.html")),
    ("rebatch.md", include_str!("../../theme/templates/rebatch.md")),
    ("compare.md", include_str!("../../theme/templates/compare.md")),
    ("glossary.md", include_str!("../../theme/templates/glossary.md")),
];

/// The words that are the same whatever the recipe is, by template and name.
const WORDS: &str = include_str!("../../theme/templates/words.toml");

/// The names that a course's templates may have.
pub const TEMPLATE_NAMES: [&str; BUILT_IN.len()] = {
    let mut names = [""; BUILT_IN.len()];
    let mut template_idx = 0;
    while template_idx < names.len() {
        names[template_idx] = BUILT_IN[template_idx].0;
        template_idx += 1;
    }
    names
};

/// The templates of a course.
pub struct Templates {
    /// Those of HTML and of figures.
    html: Tera,
    /// Those of Markdown.
    markdown: Tera,
    course_files: Vec<Arc<SourceFile>>,
}

impl Templates {
    /// The built-in templates with a course's own in place of those of the same name.
    ///
    /// A template that cannot be parsed, or whose name nothing uses, is a finding; the built-in one stays.
    ///
    /// # Panics
    ///
    /// If a built-in template cannot be parsed, which every test that renders a page rules out.
    #[must_use]
    pub fn load(course_files: &[Arc<SourceFile>]) -> (Templates, Vec<Finding>) {
        let mut html = Tera::default();
        html.autoescape_on([".html", ".svg"]);
        html.set_escape_fn(|text, out| out.write_all(plain_html(text).as_bytes()));
        let mut markdown = Tera::default();
        markdown.autoescape_on([".md"]);
        markdown.set_escape_fn(|text, out| out.write_all(plain_markdown(text).as_bytes()));
        for tera in [&mut html, &mut markdown] {
            // Templates of a course may still say that a text is to be plain, which all are by now.
            tera.register_filter("address", |text: &str, _: Kwargs, _: &State<'_>| Value::safe_string(&address(text)));
            tera.register_filter("plain", |text: &str, _: Kwargs, _: &State<'_>| Value::from(text));
        }
        let is_markdown = |name: &str| name.ends_with(".md");
        let (of_markdown, of_html): (Vec<_>, Vec<_>) = BUILT_IN.into_iter().partition(|(name, _)| is_markdown(name));
        html.add_raw_templates(of_html).expect("the built-in templates parse");
        markdown.add_raw_templates(of_markdown).expect("the built-in templates parse");
        let mut findings = Vec::new();
        let mut used = Vec::new();
        for file in course_files {
            let name = file.path().rsplit('/').next().unwrap_or_default();
            if !TEMPLATE_NAMES.contains(&name) {
                let near = nearest(name, TEMPLATE_NAMES);
                findings.push(Finding::unknown_template(start_of(file), name, near, &TEMPLATE_NAMES));
                continue;
            }
            let tera = if is_markdown(name) { &mut markdown } else { &mut html };
            if let Err(error) = tera.add_raw_template(name, file.text()) {
                findings.push(refused(Some(file), start_of(file), &error.to_string()));
            } else {
                used.push(Arc::clone(file));
            }
        }
        (Templates { html, markdown, course_files: used }, findings)
    }

    /// Renders a template.
    ///
    /// # Errors
    ///
    /// A finding at the course's template when Tera refuses it; `fallback` is where to point if the template is built in.
    pub fn render(&self, name: &str, view: &impl Serialize, fallback: &Place) -> Result<String, Box<Finding>> {
        // What does not depend on the type is written once: the calculator of a page has to be small.
        self.render_context(name, Context::from_serialize(view), &|| cautions_of(view), fallback)
    }

    fn render_context(
        &self,
        name: &str,
        context: Result<Context, tera::Error>,
        given: &dyn Fn() -> BTreeSet<String>,
        fallback: &Place,
    ) -> Result<String, Box<Finding>> {
        let context = context.map(|mut context| {
            // A figure has nothing but words of its recipe.
            if let Some((template, "html" | "md")) = name.split_once('.') {
                context.insert("words", words_of(template));
            }
            context
        });
        let file = self.course_files.iter().find(|it| it.path().ends_with(&format!("/{name}")));
        let tera = if name.ends_with(".md") { &self.markdown } else { &self.html };
        let drawn = context.and_then(|context| tera.render(name, &context)).map_err(|error| {
            let place = file.map_or_else(|| fallback.clone(), start_of);
            Box::new(refused(file, place, &error.to_string()))
        })?;
        match file {
            Some(file) => no_caution_lost(file, &given(), &drawn).map(|()| drawn),
            None => Ok(drawn),
        }
    }
}

fn cautions_of(view: &impl Serialize) -> BTreeSet<String> {
    cautions_in(&serde_json::to_string(view).unwrap_or_default())
}

/// A course may draw its blocks as it likes, but not without the cautions that they are given.
fn no_caution_lost(file: &Arc<SourceFile>, given: &BTreeSet<String>, drawn: &str) -> Result<(), Box<Finding>> {
    match given.difference(&cautions_in(drawn)).count() {
        0 => Ok(()),
        n_lost => Err(Box::new(Finding::template_loses_cautions(start_of(file), n_lost, given.len()))),
    }
}

/// A word, or several.
#[derive(Serialize)]
#[serde(untagged)]
enum Words {
    One(String),
    Several(Vec<String>),
}

/// The words of a template, by name.
fn words_of(template: &str) -> &'static BTreeMap<String, Words> {
    static OF_ALL: LazyLock<BTreeMap<String, BTreeMap<String, Words>>> = LazyLock::new(read_words);
    static NONE: BTreeMap<String, Words> = BTreeMap::new();
    OF_ALL.get(template).unwrap_or(&NONE)
}

fn read_words() -> BTreeMap<String, BTreeMap<String, Words>> {
    let (root, _) = parse(&Extract::whole(&SourceFile::new("words.toml", WORDS)));
    let text = |node: &Node| if let NodeValue::Text(it) = &node.value { it.clone() } else { String::new() };
    let words = |node: &Node| match &node.value {
        NodeValue::List(items) => Words::Several(items.iter().map(text).collect()),
        _ => Words::One(text(node)),
    };
    let of_template = |it: &Entry| {
        (it.key.value.clone(), entries(&it.node).map(|it| (it.key.value.clone(), words(&it.node))).collect())
    };
    entries(&root).map(of_template).collect()
}

fn entries(node: &Node) -> impl Iterator<Item = &Entry> {
    let entries = if let NodeValue::Table(entries) = &node.value { &entries[..] } else { &[] };
    entries.iter()
}

/// The word of a template that has this name, for where no template is used.
pub(crate) fn word(template: &str, name: &str) -> &'static str {
    match words_of(template).get(name) {
        Some(Words::One(word)) => word,
        _ => "",
    }
}

/// What Tera says, at the place that it names: it draws a picture of it, which is ours to draw.
///
/// A template that is built in has no place of its own; then `place` is as near as can be.
fn refused(file: Option<&Arc<SourceFile>>, place: Place, drawing: &str) -> Finding {
    let words = first_line(drawing);
    let named = file.and_then(|file| {
        let (_, at) = drawing.lines().find_map(|it| it.trim_start().strip_prefix("--> "))?.split_once(':')?;
        let (line_number, column) = at.trim().split_once(':')?;
        let (line_number, column): (usize, usize) = (line_number.parse().ok()?, column.parse().ok()?);
        let mut lines = file.text().split_inclusive('\n');
        let before: usize = lines.by_ref().take(line_number.checked_sub(1)?).map(str::len).sum();
        let line = lines.next()?.trim_end_matches(['\n', '\r']);
        let offset_of = |column: usize| line.char_indices().nth(column).map_or(line.len(), |(offset, _)| offset);
        let length = drawing.matches('^').count().max(1);
        let span = offset_of(column.checked_sub(1)?)..offset_of(column - 1 + length);
        Some(Extract::whole(file).place(before + span.start..before + span.end))
    });
    Finding::bad_template(named.unwrap_or(place), &words)
}

fn start_of(file: &Arc<SourceFile>) -> Place {
    Extract::whole(file).place(0..1)
}

/// HTML as one line behind a comment.
#[must_use]
pub(super) fn one_line(html: &str) -> String {
    let lines: Vec<&str> = html.lines().map(str::trim).filter(|it| !it.is_empty()).collect();
    format!("<!--kettle-->{}", lines.join(" "))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_table_of_words_is_of_a_template_and_holds_words() {
        let (_, findings) = parse(&Extract::whole(&SourceFile::new("words.toml", WORDS)));
        assert_eq!(findings, []);
        for (template, words) in read_words() {
            assert!(BUILT_IN.iter().any(|(name, _)| name.split('.').next() == Some(&template)), "{template}");
            for (name, words) in words {
                let is_empty = match words {
                    Words::One(word) => word.is_empty(),
                    Words::Several(words) => words.is_empty() || words.contains(&String::new()),
                };
                assert!(!is_empty, "{template}.{name}");
                let uses = format!("words.{name}");
                let is_used =
                    |(file, text): &(&str, &str)| file.split('.').next() == Some(&template) && text.contains(&uses);
                // Some words of the fields for students are chosen where the rest of their view is made.
                let in_code =
                    [include_str!("view/own.rs"), include_str!("own.rs"), include_str!("../course/own_page.rs")];
                let is_chosen =
                    template.starts_with("own") && in_code.iter().any(|it| it.contains(&format!("\"{name}\"")));
                assert!(is_chosen || BUILT_IN.iter().any(is_used), "{template} has no use for {name}");
            }
        }
    }

    #[test]
    fn a_broken_template_is_pointed_at_where_it_is_broken() {
        let file = SourceFile::new("theme/templates/recipe.html", "é{%");
        let (_, findings) = Templates::load(&[file]);
        assert_eq!((findings[0].code, findings[0].place.line_and_column()), ("bad-template", (1, 4)));
        let file = SourceFile::new("theme/templates/recipe.html", "<p>\né {{ title | nofilter }}</p>\n");
        let (_, findings) = Templates::load(&[file]);
        assert_eq!(findings[0].message, "the template cannot be used: Unknown filter `nofilter`");
        let place = &findings[0].place;
        assert_eq!(&place.file.text()[place.span.clone()], "nofilter");
    }
}
