//! What a block shows, and what its body says about it.
//!
//! Layer 6.

use super::measured::{Diluted, Titrated};
use super::practice::Exercise;
use super::read::value_speaks_of_lye;
use super::view::{RebatchOptions, StockOptions};
use crate::finding::{Finding, nearest, without_echoes_of_a_line};
use crate::reader::{Entry, NodeValue, Reader, parse};
use crate::recipe::MASS_LIMITS_GRAMS;
use crate::source::{Extract, Located};
use crate::units::{Mass, Percent};

/// What a block shows.
pub(super) enum View {
    Recipe,
    Worked,
    Layers,
    Timeline,
    /// For so many pairs.
    Gather(u32),
    Safety,
    Profile,
    Yield,
    Compare,
    Practice(Box<Exercise>),
    /// Which evening it is, and what is made.
    Opener(Makes),
    /// The evenings of the course.
    Programme,
    /// What was really weighed, by the names that the author gives it.
    Weighed(Vec<(Located<String>, Mass)>),
    /// A jug of lye solution made beforehand.
    Stock(Option<StockOptions>),
    /// Shreds melted down again, and what was really weighed for the soap.
    Rebatch(Option<Box<RebatchOptions>>, Vec<(Located<String>, Mass)>),
    /// A paste made into a liquid, with what was measured of it.
    Dilution(Box<Diluted>),
    /// Free alkali by titration; `None` where something is missing.
    Titration(Option<Box<Titrated>>),
    /// All fats, or fewer of them.
    Fats(Option<Only>),
    Glossary,
    /// A name that no view has, which was told.
    Unknown,
}

/// Makes a view from what its body says; the last argument tells whether the body could be read.
type Make = fn(&mut Reader<'_>, bool) -> View;

/// The names that a block may have.
const VIEWS: [(&str, Make); 19] = [
    ("recipe", |_, _| View::Recipe),
    ("worked", |_, _| View::Worked),
    ("layers", |_, _| View::Layers),
    ("timeline", |_, _| View::Timeline),
    ("gather", |body, _| View::Gather(read_pairs(body))),
    ("safety", |_, _| View::Safety),
    ("profile", |_, _| View::Profile),
    ("yield", |_, _| View::Yield),
    ("fats", |body, _| View::Fats(read_only(body))),
    ("compare", |_, _| View::Compare),
    ("practice", |body, was_read| View::Practice(Box::new(Exercise::read(body, was_read)))),
    ("weighed", |body, was_read| View::Weighed(read_weighed(body, was_read))),
    ("stock", |body, was_read| View::Stock(read_stock(body, was_read))),
    ("rebatch", |body, was_read| {
        let options = read_rebatch(body, was_read).map(Box::new);
        let weighed = body.table("weighed").unwrap_or_default();
        View::Rebatch(options, read_masses(body, weighed))
    }),
    ("dilution", |body, _| View::Dilution(Box::new(Diluted::read(body)))),
    ("titration", |body, was_read| View::Titration(Titrated::read(body, was_read).map(Box::new))),
    ("glossary", |_, _| View::Glossary),
    ("opener", |body, _| View::Opener(read_makes(body))),
    ("programme", |_, _| View::Programme),
];

impl View {
    /// Whether it shows amounts of lye, so that cautions belong to its page. Most views always do or never; an exercise
    /// does when one of its values is of lye.
    pub(super) fn shows_lye(&self) -> bool {
        match self {
            View::Recipe | View::Worked | View::Layers | View::Timeline | View::Compare => true,
            View::Gather(_) | View::Weighed(_) | View::Stock(_) => true,
            // The paste is caustic until it was tested; and a titration begins with lye.
            View::Dilution(_) | View::Titration(_) => true,
            // Whatever it was to be, most views do.
            View::Unknown => true,
            View::Practice(exercise) => exercise.expressions().any(|it| value_speaks_of_lye(&it.value)),
            // The glossary does where a value in it does, which is seen when it is put together.
            View::Safety | View::Profile | View::Yield | View::Fats(_) | View::Glossary => false,
            View::Opener(_) | View::Programme => false,
            // Where lye may be left over in the shreds.
            View::Rebatch(_, weighed) => !weighed.is_empty(),
        }
    }

    /// Whether it is about one recipe.
    fn is_of_a_recipe(&self) -> bool {
        !matches!(self, View::Fats(_) | View::Glossary | View::Programme)
    }
}

/// Whether anything is made in a lesson.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Makes {
    /// What its card says; nothing where there is no card.
    Something,
    /// The card is there to be read.
    Nothing,
}

/// A block as read.
pub(super) struct BlockOptions {
    /// What it shows.
    pub(super) view: View,
    /// `use`: the recipe.
    pub(super) recipe: Option<Located<String>>,
}

/// Which fats the view `fats` shows.
#[derive(Clone, Debug)]
pub(super) enum Only {
    /// Those of the course's recipes.
    Used,
    /// These, in this order.
    Named(Vec<Located<String>>),
}

impl BlockOptions {
    /// Reads the name of a block and its body. Which keys there are depends on the view.
    pub(super) fn read(name: &Located<String>, body: &Extract) -> (BlockOptions, Vec<Finding>) {
        let (root, mut findings) = parse(body);
        let was_read = findings.is_empty();
        let mut reader = Reader::new(&root, "the block");
        let view = match VIEWS.iter().find(|(it, _)| *it == name.value) {
            Some((_, make)) => make(&mut reader, was_read),
            None => {
                let names = VIEWS.map(|(it, _)| it);
                let near = nearest(&name.value, names);
                findings.push(Finding::unknown_view(name.place.clone(), &name.value, near, &names));
                View::Unknown
            }
        };
        let recipe = if view.is_of_a_recipe() { reader.name("use") } else { None };
        findings.extend(reader.finish());
        // A page holds many small TOML texts, of which this is one.
        let findings = without_echoes_of_a_line(findings);
        (BlockOptions { view, recipe }, findings)
    }
}

/// `makes = "nothing"`, in a lesson whose card is only read.
fn read_makes(reader: &mut Reader<'_>) -> Makes {
    const NOTHING: &str = "nothing";
    let Some(typed) = reader.text("makes") else { return Makes::Something };
    if typed.value != NOTHING {
        reader.findings.push(Finding::unknown_choice(typed.place, "makes", &typed.value, &[NOTHING]));
    }
    Makes::Nothing
}

/// `pairs`: how many pairs work, a whole number; one where it is left out.
fn read_pairs(reader: &mut Reader<'_>) -> u32 {
    let (low, high) = (1.0, 100.0);
    let Some(typed) = reader.number_between("pairs", low, high) else { return 1 };
    if typed.value.fract() != 0.0 {
        reader.findings.push(Finding::wrong_type(typed.place, "pairs", "a whole number", "a number with decimals"));
    }
    typed.value as u32
}

/// `[weighed]`: masses by the names of what was weighed.
fn read_weighed(reader: &mut Reader<'_>, was_read: bool) -> Vec<(Located<String>, Mass)> {
    let entries = reader.table("weighed");
    let entries = if was_read { reader.require("weighed", entries, "weighed = { lye = \"131 g\" }") } else { entries };
    read_masses(reader, entries.unwrap_or_default())
}

/// Masses by the names of what was weighed.
fn read_masses(reader: &mut Reader<'_>, entries: &[Entry]) -> Vec<(Located<String>, Mass)> {
    const WANTED: &str = "a mass with its unit, such as \"131 g\"";
    let mut weighed = Vec::new();
    for Entry { key, node } in entries {
        let read = match &node.value {
            NodeValue::Text(text) => Mass::parse(text)
                .map_err(|error| Finding::not_a_quantity(node.place.clone(), &key.value, WANTED, &error)),
            other => Err(Finding::wrong_type(node.place.clone(), &key.value, WANTED, other.kind())),
        };
        match read {
            Ok(mass) => weighed.push((key.clone(), mass)),
            Err(finding) => reader.findings.push(finding),
        }
    }
    weighed
}

/// `batches = 6`, and if wanted `spare = 10`, percent.
fn read_stock(reader: &mut Reader<'_>, was_read: bool) -> Option<StockOptions> {
    let batches = reader.number_between("batches", 1.0, 1000.0);
    let batches = if was_read { reader.require("batches", batches, "batches = 6") } else { batches };
    let spare = reader.number_between("spare", 0.0, 100.0).map_or(0.0, |it| it.value);
    let batches = batches?;
    if batches.value.fract() != 0.0 {
        let (wanted, found) = ("a whole number", "a number with a fraction");
        reader.findings.push(Finding::wrong_type(batches.place, "batches", wanted, found));
        return None;
    }
    Some(StockOptions { batches: batches.value as u32, spare: Percent::percent(spare) })
}

/// `shreds = "600 g"`, and if wanted `dried = 12`, percent.
fn read_rebatch(reader: &mut Reader<'_>, was_read: bool) -> Option<RebatchOptions> {
    let shreds = reader.mass("shreds");
    let shreds = if was_read { reader.require("shreds", shreds, "shreds = \"600 g\"") } else { shreds };
    let (least, most) = (1.0, 60.0);
    let dried_percent = reader.number_between("dried", 0.0, most);
    // What is typed as a fraction would count as hardly dried at all, and the fat that is reckoned by it be too little.
    if let Some(typed) = dried_percent.as_ref().filter(|it| it.value > 0.0 && it.value < least) {
        let place = typed.place.clone();
        reader.findings.push(Finding::out_of_range(place, "dried", typed.value, least, most));
    }
    let shreds = shreds?;
    let (low, high) = MASS_LIMITS_GRAMS;
    if !(low..=high).contains(&shreds.value.to_grams()) {
        reader.findings.push(Finding::mass_out_of_range(shreds.place, "shreds", shreds.value.to_grams()));
        return None;
    }
    Some(RebatchOptions { shreds, dried_percent })
}

/// `only = "used"`, or a list of fats.
fn read_only(reader: &mut Reader<'_>) -> Option<Only> {
    const USED: &str = "used";
    let node = reader.node("only")?;
    match &node.value {
        NodeValue::Text(text) if text == USED => Some(Only::Used),
        NodeValue::Text(text) => {
            reader.findings.push(Finding::unknown_choice(
                node.place.clone(),
                "only",
                text,
                &[USED, "[\"olive\", \"coconut\"]"],
            ));
            None
        }
        NodeValue::List(items) if items.is_empty() => {
            reader.findings.push(Finding::empty_text(node.place.clone(), "only"));
            None
        }
        NodeValue::List(items) => {
            let mut names = Vec::new();
            for item in items {
                match &item.value {
                    NodeValue::Text(name) => names.push(Located { value: name.clone(), place: item.place.clone() }),
                    other => {
                        let wanted = "the ids of fats in quotes";
                        reader.findings.push(Finding::wrong_type(item.place.clone(), "only", wanted, other.kind()));
                    }
                }
            }
            Some(Only::Named(names))
        }
        other => {
            let wanted = "\"used\" or a list of fats, such as [\"olive\", \"coconut\"]";
            reader.findings.push(Finding::wrong_type(node.place.clone(), "only", wanted, other.kind()));
            None
        }
    }
}
