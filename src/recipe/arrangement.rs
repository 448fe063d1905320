//! How a batch is divided, what is set into it, and how it is cut.
//!
//! Layer 2.

use std::sync::Arc;

use crate::finding::Finding;
use crate::source::Place;
use crate::tables::Mould;
use crate::units::{Length, Volume};

/// Ready pieces of soap that are set into the batter.
#[derive(Clone, Debug)]
pub struct Embed {
    /// What pages call them.
    pub name: Arc<str>,
    /// How much room all of them take.
    pub volume: Volume,
    /// Where they stand.
    pub place: Place,
}

/// The most of a mould that embeds take, percent: with more, there is no batter between them.
const MOST_EMBEDS_PERCENT: f64 = 60.0;

/// Refuses embeds that leave a mould too little room for batter.
///
/// # Errors
///
/// When they take more than 60 % of it.
pub(super) fn embeds_fit(embeds: &[Embed], mould: &Mould) -> Result<(), Box<Finding>> {
    let Some(first) = embeds.first() else { return Ok(()) };
    let volume: f64 = embeds.iter().map(|it| it.volume.to_millilitres()).sum();
    let percent = volume / mould.volume().to_millilitres() * 100.0;
    if percent <= MOST_EMBEDS_PERCENT {
        return Ok(());
    }
    let finding = Finding::embeds_over_mould(first.place.clone(), percent, MOST_EMBEDS_PERCENT, &mould.name);
    Err(Box::new(finding))
}

/// How the soap of a mould is cut into bars.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cutting {
    /// How much of the mould's length a bar takes.
    pub along: Length,
    /// How much of its width, where it is cut in that direction too.
    pub across: Option<Length>,
    /// How wide the wire or the blade is: so much each cut turns into shavings.
    pub kerf: Length,
    /// How much is trimmed off every end.
    pub ends: Length,
}

/// How portions of one batter come together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Swirl {
    /// Poured back into the pot, drawn through once or twice, and poured as one.
    InThePot,
    /// One in the mould, the others dropped into it from a height.
    Drop,
    /// Poured in turn, and drawn through with a bent wire.
    Hanger,
    /// Poured in lines on top, and drawn through with a skewer.
    Feather,
}

impl Swirl {
    /// All of them with what recipes call them.
    pub const ALL: [(&'static str, Swirl); 4] = [
        ("in-the-pot", Swirl::InThePot),
        ("drop", Swirl::Drop),
        ("hanger", Swirl::Hanger),
        ("feather", Swirl::Feather),
    ];
}

/// How a batch is divided into layers or portions.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Divide {
    /// Fats and lye, each layer blended on its own.
    #[default]
    FatsAndLye,
    /// The batter, blended once, into layers.
    Batter,
    /// The batter, blended once, into portions that do not lie on each other.
    Swirl(Swirl),
}

impl Divide {
    /// Whether all is blended once and then divided.
    #[must_use]
    pub fn is_of_batter(self) -> bool {
        match self {
            Divide::FatsAndLye => false,
            Divide::Batter | Divide::Swirl(_) => true,
        }
    }

    /// How the portions come together, where they are no layers.
    #[must_use]
    pub fn swirl(self) -> Option<Swirl> {
        match self {
            Divide::FatsAndLye | Divide::Batter => None,
            Divide::Swirl(swirl) => Some(swirl),
        }
    }

    /// What its parts are called.
    #[must_use]
    pub fn part_name(self) -> &'static str {
        part_name(self.swirl().is_some())
    }
}

/// What the parts of a batch are called: portions where they are swirled, else layers.
pub(super) fn part_name(are_swirled: bool) -> &'static str {
    if are_swirled { "portion" } else { "layer" }
}

/// How thick a blended batter is, the thinnest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Trace {
    /// No streak of oil is left; it still runs like milk.
    Emulsion,
    /// What drips from a spoon leaves a mark for a moment.
    Light,
    /// What drips from a spoon lies on top.
    Medium,
    /// It holds a peak.
    Thick,
}

impl Trace {
    /// The traces with the names that recipes give them, the thinnest first.
    pub const ALL: [(&'static str, Trace); 4] =
        [("emulsion", Trace::Emulsion), ("light", Trace::Light), ("medium", Trace::Medium), ("thick", Trace::Thick)];

    /// What recipes call it.
    #[must_use]
    pub fn name(self) -> &'static str {
        let own = Trace::ALL.iter().find(|(_, it)| *it == self);
        own.map_or("", |(name, _)| name)
    }

    /// How many steps of trace lie between an emulsion and this: light trace is the first.
    #[must_use]
    pub fn steps(self) -> u8 {
        match self {
            Trace::Emulsion => 0,
            Trace::Light => 1,
            Trace::Medium => 2,
            Trace::Thick => 3,
        }
    }

    /// How many steps of trace are missing from here to another; none where that is no thicker.
    #[must_use]
    pub fn steps_to(self, other: Trace) -> u8 {
        other.steps().saturating_sub(self.steps())
    }
}

/// What is made ready first.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum First {
    /// The lye solution, which cools while the fats melt.
    #[default]
    Lye,
    /// The fats, where the lye solution is not to be left waiting.
    Fats,
}
