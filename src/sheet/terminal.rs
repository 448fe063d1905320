//! One recipe's sheet as plain text, for a terminal.
//!
//! Layer 7. The same words and amounts as the pages, from the same views.

use std::fmt::Write as _;

use crate::batch::WeighedPart;
use crate::ledger::Ledger;
use crate::page::{
    DilutionView, LayersView, Notes, Printer, RecipeView, Row, WorkedView, dilution_view, layers_view, name_of_lye,
    part_named, recipe_view, weighed_view, without_marks, word, worked_view,
};
use crate::show::visible;
use crate::tables::Tables;
use crate::units::{Mass, ScaleUnit};

/// Columns of a line on an ordinary terminal.
const WIDTH: usize = 78;

/// What was really weighed in place of what the card says, by the names that a recipe has.
///
/// # Errors
///
/// Words where the recipe does not have such a name, or it stands there twice.
pub fn weighed_sheet(
    ledger: &Ledger,
    tables: &Tables,
    weighed: &[(String, Mass)],
    unit: Option<ScaleUnit>,
) -> Result<String, String> {
    let notes = Notes::default();
    let print = Printer { ledger, tables, notes: &notes };
    let mut found: Vec<(WeighedPart, Mass)> = Vec::new();
    for (name, mass) in weighed {
        let part = part_named(ledger, name).map_err(|near| {
            let near = near.unwrap_or_else(|| name_of_lye(ledger).to_owned());
            let near = format!("; did you mean `{near}`?");
            format!("the recipe has nothing named `{name}` to weigh{near}")
        })?;
        if found.iter().any(|(it, _)| *it == part) {
            return Err(format!("`{name}` is given twice"));
        }
        found.push((part, *mass));
    }
    let view = weighed_view(print, &found, unit);
    let mut text = format!("{}: {}\n\n", word("weighed", "kind"), view.title);
    for row in &view.rows {
        let (card, weighed) = (without_marks(&row.card), without_marks(&row.weighed));
        let _ = writeln!(text, "  {:<32} {card:>20}  {weighed:>20}", row.name);
    }
    text.push('\n');
    let in_time = word("weighed", if view.is_cooked { "while_cooking" } else { "in_time" }).to_owned();
    let in_time = (!view.remedies.is_empty()).then_some(&in_time);
    for words in [&view.superfat, &view.verdict].into_iter().chain(in_time).chain(&view.remedies) {
        text.push_str(&wrapped(&without_marks(words), "  "));
        text.push('\n');
    }
    if !view.too_late.is_empty() {
        text.push_str(&wrapped(&format!("{} {}", word("weighed", "care"), without_marks(&view.too_late)), "  "));
        text.push('\n');
    }
    Ok(visible(&text).replace('\u{a0}', " "))
}

/// The weighing-out card and the arithmetic of a recipe.
#[must_use]
pub fn sheet(ledger: &Ledger, tables: &Tables) -> String {
    let notes = Notes::default();
    let print = Printer { ledger, tables, notes: &notes };
    let mut text = card(&recipe_view(String::new(), print));
    if let Some(view) = layers_view(String::new(), print) {
        text.push_str(&layers(&view));
    }
    if ledger.dilution.is_some() {
        text.push_str(&dilution(&dilution_view(print, None, None)));
    }
    text.push_str(&arithmetic(&worked_view(print)));
    visible(&text).replace('\u{a0}', " ")
}

fn amount_of(row: &Row) -> String {
    let main = without_marks(&row.amount.main);
    match row.amount.other.as_deref().map(without_marks) {
        Some(other) => format!("{main:>10}  {other:>10}"),
        None => format!("{main:>10}"),
    }
}

fn line_of(row: &Row) -> String {
    let name = match &row.hint {
        Some(hint) => format!("{} ({})", row.name, without_marks(hint)),
        None => row.name.clone(),
    };
    // What is too long for its column has a line of its own.
    let name = if name.chars().count() > 50 { format!("{name}\n  {:<50}", "") } else { name };
    format!("  {name:<50} {}\n", amount_of(row))
}

fn dilution(view: &DilutionView) -> String {
    let mut text = format!("\n{}\n\n", word("dilution", "kind"));
    view.rows.iter().for_each(|row| text.push_str(&line_of(row)));
    text.push('\n');
    for caution in &view.cautions {
        text.push_str(&wrapped(&format!("Take care. {caution}"), "  "));
    }
    text.push('\n');
    for fact in &view.facts {
        let _ = writeln!(text, "  {:<50} {:>10}", without_marks(&fact.label), without_marks(&fact.value));
    }
    text
}

fn card(view: &RecipeView) -> String {
    let mut text = format!("{}\n{}\n", view.title, without_marks(&view.makes));
    for group in &view.groups {
        let _ = write!(text, "\n{}\n", group.heading);
        group.rows.iter().for_each(|row| text.push_str(&line_of(row)));
        if let Some(total) = &group.total {
            let _ = writeln!(text, "  {:<50} {}", total.name, amount_of(total));
        }
    }
    let _ = write!(text, "\n  {:<50} {}\n\n", view.everything.name, amount_of(&view.everything));
    for caution in view.groups.iter().flat_map(|it| &it.cautions).chain(&view.cautions) {
        text.push_str(&wrapped(&format!("Take care. {caution}"), "  "));
        text.push('\n');
    }
    view.bring_together.iter().for_each(|it| text.push_str(&wrapped(it, "  ")));
    text.push('\n');
    for fact in view.lay_out.iter().chain(&view.facts) {
        let _ = writeln!(text, "  {:<50} {:>10}", without_marks(&fact.label), without_marks(&fact.value));
    }
    text
}

fn layers(view: &LayersView) -> String {
    let kind = if view.are_portions { "portions" } else { "kind" };
    let mut text = format!("\n{}\n\n{}", word("layers", kind), wrapped(&view.note, "   "));
    let _ = write!(text, "\n{}\n", view.dividing.name);
    view.dividing.sentences.iter().for_each(|it| text.push_str(&wrapped(it, "   ")));
    for (layer_idx, layer) in view.bench.iter().enumerate() {
        let _ = write!(text, "\n{}. {} ({})\n", layer_idx + 1, layer.name, without_marks(&view.rows[layer_idx].share));
        for sentence in
            layer.sentences.iter().chain(Some(&layer.note).filter(|it| !it.is_empty())).chain(&layer.cautions)
        {
            text.push_str(&wrapped(sentence, "   "));
        }
    }
    if let Some(swirl) = &view.swirl {
        let _ = write!(text, "\n{}\n", swirl.name);
        swirl.sentences.iter().for_each(|it| text.push_str(&wrapped(it, "   ")));
    }
    if !view.times_note.is_empty() {
        let _ = write!(text, "\n{}", wrapped(&view.times_note, "   "));
    }
    text
}

fn arithmetic(view: &WorkedView) -> String {
    let mut text = format!("\n{}\n", word("worked", "kind"));
    for (step_idx, step) in view.steps.iter().enumerate() {
        let _ = write!(text, "\n{}. {}\n", step_idx + 1, without_marks(&step.title));
        for line in &step.lines {
            text.push_str(&wrapped(line, "   "));
        }
        if step.has_fats {
            for fat in &view.fats {
                let line = format!("{}: {} × {} ÷ 1000 = {}", fat.name, fat.mass, fat.sap_value, fat.koh);
                text.push_str(&wrapped(&line, "   "));
            }
        }
    }
    let _ = write!(text, "\n{}\n\n", word("worked", "sources"));
    for source in &view.sources {
        text.push_str(&wrapped(source, "   "));
    }
    text
}

/// A paragraph in lines of the terminal's width, each behind `indent`.
fn wrapped(paragraph: &str, indent: &str) -> String {
    let mut text = String::new();
    let mut column = 0;
    // A number and its unit stay together: the space between them does not break.
    let paragraph = without_marks(paragraph);
    for word in paragraph.split(' ').filter(|it| !it.is_empty()) {
        let length = word.chars().count();
        if column > 0 && column + 1 + length > WIDTH {
            text.push('\n');
            column = 0;
        }
        let before = if column == 0 { indent } else { " " };
        text.push_str(before);
        text.push_str(word);
        column += before.chars().count() + length;
    }
    text.push('\n');
    text
}
