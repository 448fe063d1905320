//! What a lesson opens with: which evening it is, what is made, and how long that takes; and the evenings of the course.
//!
//! Layer 6. No amount of lye is among the figures, so that they may stand before the cautions.

use serde::Serialize;

use super::super::figure::{Emblem, emblem};
use super::super::links::link_to;
use super::super::printer::Printer;
use super::super::programme::Evening;
use super::Fact;
use super::recipe::makes;
use super::yields::bars_words;
use crate::ledger::Kind;
use crate::show::capitalised;

/// What is made in a lesson.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct Made {
    pub(crate) title: String,
    /// Of how much, in what.
    pub(crate) makes: String,
    /// How long the bench is needed.
    pub(crate) bench: String,
    pub(crate) facts: Vec<Fact>,
    /// The emblem, already SVG; empty until it is rendered.
    pub(crate) emblem: String,
    /// The emblem as data.
    #[serde(skip)]
    pub(crate) emblem_data: Emblem,
}

/// What a lesson opens with.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct OpenerView {
    /// The part of the book; empty outside of any.
    pub(crate) evening: String,
    pub(crate) made: Option<Made>,
}

/// What is made by a recipe, and how long it takes.
pub(crate) fn made(print: Printer<'_>) -> Made {
    let timeline = &print.ledger.timeline;
    let bench = print.words_of(Kind::BenchTime);
    let mut facts = vec![Fact::new("At the bench", bench.clone())];
    if timeline.mould.is_some() {
        facts.push(Fact::new("In the mould", print.words_of(Kind::MouldTime)));
    }
    let ready = match (&timeline.cure, &timeline.mould) {
        (Some(_), _) => Fact::new("Cure, until it can be used", print.words_of(Kind::CureTime)),
        (None, Some(_)) => Fact::new("Ready", "when it is unmoulded".to_owned()),
        (None, None) => Fact::new("Ready", "when the paste has had its time and passed its test".to_owned()),
    };
    facts.push(ready);
    facts.extend(bars_words(print).map(|it| Fact::new("Bars", it)));
    Made {
        title: print.ledger.recipe.title.clone(),
        makes: capitalised(&makes(print)),
        bench,
        facts,
        emblem: String::new(),
        emblem_data: emblem(print),
    }
}

/// A lesson in the list of all.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct LessonLine {
    pub(crate) title: String,
    /// Where it is, from the page that shows the list.
    pub(crate) page: String,
    pub(crate) made: Option<Made>,
}

/// An evening with its lessons.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct EveningView {
    pub(crate) name: String,
    pub(crate) lessons: Vec<LessonLine>,
}

/// The evenings of the course.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct ProgrammeView {
    pub(crate) evenings: Vec<EveningView>,
}

/// The evenings as a block on the page `page_id`, which is not in the list itself; `made` finds what a recipe makes.
pub(crate) fn programme_view(
    evenings: &[Evening],
    page_id: &str,
    mut made: impl FnMut(&str) -> Option<Made>,
) -> ProgrammeView {
    let evenings = evenings.iter().map(|evening| {
        let lessons = evening.lessons.iter().filter(|it| it.page_id != page_id).map(|it| LessonLine {
            title: it.title.clone(),
            page: link_to(page_id, &it.page_id),
            made: it.recipe.as_deref().and_then(&mut made),
        });
        EveningView { name: evening.name.clone(), lessons: lessons.collect() }
    });
    ProgrammeView { evenings: evenings.filter(|it| !it.lessons.is_empty()).collect() }
}
