//! A paste made into a liquid: what is weighed, and what takes up a free alkali before.
//!
//! Layer 6. The recipe's own dilution is figures of the ledger. Of a paste that somebody weighed the numbers are of no ledger, so
//! they are marked without a key.

use serde::Serialize;

use super::super::printer::{Printer, Shown, caution};
use super::{Fact, Row};
use crate::batch::Dilution;
use crate::ledger::{Key, Kind};
use crate::show::{self, NO_BREAK, capitalised};
use crate::units::{Mass, Percent, Scale};

/// A paste made into a liquid.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct DilutionView {
    pub(crate) title: String,
    /// What is weighed, and what it makes.
    pub(crate) rows: Vec<Row>,
    pub(crate) facts: Vec<Fact>,
    /// How a free alkali is taken up first; empty where there is none.
    pub(crate) neutralising: Vec<String>,
    pub(crate) cautions: Vec<String>,
}

/// How a mass is read off a scale.
type Read = fn(Scale, Mass) -> u64;

/// An acid for a free alkali.
pub(crate) struct AcidDose {
    /// What pages call it.
    pub(crate) name: String,
    /// Free alkali as KOH, percent of the paste.
    pub(crate) free_koh_percent: f64,
    /// All of the acid, as weighed out.
    pub(crate) mass: Mass,
    /// Pure acid in what is weighed; `None` for a free fatty acid, which is melted and not dissolved.
    pub(crate) strength: Option<Percent>,
}

impl AcidDose {
    /// All that goes in, dissolved to a solution of `percent`.
    pub(crate) fn solution(&self, percent: Percent) -> Mass {
        self.mass + self.water(percent).unwrap_or_default()
    }

    /// Water for a solution of `percent`; none where the acid is a weaker one already.
    fn water(&self, percent: Percent) -> Option<Mass> {
        let pure = self.mass * self.strength?.to_fraction();
        let solution = pure / percent.to_fraction();
        (solution > self.mass).then(|| solution - self.mass)
    }
}

/// A paste made into a liquid.
///
/// - `weighed`: of a paste whose mass was found with a scale; `None` for the recipe's own.
/// - `acid`: what takes up the alkali that a titration found in it.
pub(crate) fn dilution_view(print: Printer<'_>, weighed: Option<Dilution>, acid: Option<&AcidDose>) -> DilutionView {
    let ledger = print.ledger;
    let scales = ledger.scales;
    let nearest: Read = Scale::nearest;
    let never_more: Read = |scale, mass| scale.for_small(mass).below(mass);
    let solution = print.tables.limits.neutralising_acid;
    let acid_water = acid.and_then(|it| it.water(solution)).unwrap_or_default();
    let with_acid = acid.map_or(Mass::ZERO, |it| it.mass) + acid_water;
    let is_own = weighed.is_none() && acid.is_none();
    let it = weighed.or(ledger.dilution);
    let readings = |parts: &[(Mass, Read)]| {
        let mut texts = print.units().scales().iter().map(|unit| {
            let scale = scales.of(*unit);
            let reading = parts.iter().map(|(mass, read)| read(scale, *mass)).sum();
            let exact = parts.iter().map(|(mass, _)| *mass).sum();
            print.notes.mark(ledger, None, "dilution", &show::weighed(scale, reading, exact))
        });
        Shown { main: texts.next().unwrap_or_default(), other: texts.next() }
    };
    let row = |name: &str, hint: &str, kind: Kind, parts: &[(Mass, Read)]| Row {
        name: name.to_owned(),
        hint: (!hint.is_empty()).then(|| hint.to_owned()),
        amount: if is_own { print.amount(&Key::one(kind)) } else { readings(parts) },
    };
    let mut rows = Vec::new();
    if let Some(it) = &it {
        let (water, hint) = (it.water - with_acid, "distilled, boiled and still hot; the paste goes into it");
        let mut parts: Vec<(Mass, Read)> = vec![(it.paste, nearest)];
        rows.push(row(
            "Paste",
            if weighed.is_some() { "as weighed" } else { "all of it" },
            Kind::DilutionPaste,
            &parts,
        ));
        if let Some(acid) = acid {
            parts.extend([(acid.mass, never_more), (acid_water, nearest)]);
            rows.push(row("Acid with its water", "as below", Kind::DilutionWater, &parts[1..]));
        }
        parts.push((water, nearest));
        rows.push(row("Water", hint, Kind::DilutionWater, &[(water, nearest)]));
        if let Some(percent) = ledger.recipe.dilute.as_ref().and_then(|it| it.preservative) {
            parts.push((it.preservative, never_more));
            let percent = print.one(Kind::DilutionPreservativePercent, show::percent_to(percent.to_percent(), 2));
            let hint = format!("{percent} of the liquid, added when its supplier's document says");
            rows.push(row("Preservative", &hint, Kind::DilutionPreservative, &[(it.preservative, never_more)]));
        }
        rows.push(row("Liquid soap", "", Kind::DilutionLiquid, &parts));
    }
    let percent = |kind: Kind| print.words_of(kind);
    let mut facts = vec![Fact::new("Soap in it, without any water", percent(Kind::DilutionSoapPercent))];
    if let (Some(it), false) = (weighed, is_own) {
        let mark = |text: String| print.notes.mark(ledger, None, "dilution", &text);
        facts.push(Fact::new("Soap in the paste", mark(show::percent(it.soap_in_paste_percent()))));
        facts.push(Fact::new("Water for one part of paste", mark(show::number(it.water_per_paste())) + " parts"));
    } else {
        facts.push(Fact::new("Soap in the paste", percent(Kind::DilutionSoapInPaste)));
        facts.push(Fact::new("Water for one part of paste", percent(Kind::DilutionWaterPerPaste) + " parts"));
    }
    if is_own && print.figure(&Key::one(Kind::DilutionVolume)).is_some() {
        facts.push(Fact::new("Volume, from the density as measured", percent(Kind::DilutionVolume)));
    }
    DilutionView {
        title: ledger.recipe.title.clone(),
        rows,
        facts,
        neutralising: acid.map(|it| neutralising(print, it, acid_water, never_more)).unwrap_or_default(),
        cautions: cautions(acid),
    }
}

fn neutralising(print: Printer<'_>, acid: &AcidDose, water: Mass, read: Read) -> Vec<String> {
    let ledger = print.ledger;
    let mark = |text: &str| print.notes.mark(ledger, None, "dilution", text);
    let amount = |mass: Mass, read: Read| {
        let texts = print.units().scales().iter().map(|unit| {
            let scale = ledger.scales.of(*unit);
            mark(&show::weighed(scale, read(scale, mass), mass))
        });
        match &texts.collect::<Vec<_>>()[..] {
            [main, other] => format!("{main} ({other})"),
            texts => texts.concat(),
        }
    };
    let free = mark(&show::percent_to(acid.free_koh_percent, 2));
    let mass = amount(acid.mass, read);
    let name = &acid.name;
    let dissolve = match acid.strength {
        None => format!("Melt it into the hot paste, which is what {name} dissolves in."),
        Some(_) if water == Mass::ZERO => "It is weak enough to go in as it is.".to_owned(),
        Some(_) => format!("Dissolve it in {} of distilled water.", amount(water, Scale::nearest)),
    };
    let (half, all) = (amount(acid.mass * 0.5, read), &mass);
    vec![
        format!("The free alkali, {free} of the paste as KOH, takes up at most {mass} of {name}. {dissolve}"),
        format!(
            "Stir in half of it, which contains {half} of the acid, and cook for another quarter of an hour. Titrate \
             again. Add the other half only if alkali is still found, and never beyond {all} in all."
        ),
        if acid.strength.is_some() {
            "Too much of it splits the soap: the liquid turns milky and fat floats on it.".to_owned()
        } else {
            "Too much of it leaves the liquid milky.".to_owned()
        },
    ]
}

fn cautions(acid: Option<&AcidDose>) -> Vec<String> {
    let mut words = vec![
        "Nobody washes with it before the paste has passed its test for lye: water makes it milder but does not remove \
         lye. The hot paste scalds and sticks, so goggles and gloves stay on."
            .to_owned(),
    ];
    if acid.is_some_and(|it| it.strength.is_some()) {
        words.push(format!(
            "Acid foams up in hot paste. Trickle it in, with the pot no more than half full, and your face \
             away.{NO_BREAK}It is only for the pot: put nothing acidic on skin."
        ));
    } else if let Some(acid) = acid {
        words.push(format!(
            "{} melts only when hot, and the paste rises as it goes in: add a little at a time.",
            capitalised(&acid.name)
        ));
    }
    words.iter().map(|it| caution(it)).collect()
}
