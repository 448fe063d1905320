//! The arithmetic of the lye, step by step.
//!
//! Layer 6.

use serde::Serialize;

use super::super::printer::Printer;
use crate::batch::{AcidAmount, Input, Weighed};
use crate::ledger::{Figure, Key, Kind, Part};
use crate::recipe::WaterRule;
use crate::show::{self, NO_BREAK, capitalised, listed, percent_fixed, percent_to, short};
use crate::tables::AlkaliKind;
use crate::units::{Mass, ScaleUnit};

/// One step of the arithmetic.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct Step {
    pub(crate) title: String,
    pub(crate) lines: Vec<String>,
    pub(crate) why: String,
    /// Whether the table of fats belongs to this step.
    pub(crate) has_fats: bool,
}

/// A fat in the table of the arithmetic.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct WorkedFat {
    pub(crate) name: String,
    pub(crate) mass: String,
    pub(crate) sap_value: String,
    pub(crate) koh: String,
}

/// The worked arithmetic.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct WorkedView {
    pub(crate) title: String,
    pub(crate) fats: Vec<WorkedFat>,
    pub(crate) steps: Vec<Step>,
    pub(crate) sources: Vec<String>,
}

/// The arithmetic of the lye, step by step, in the course's main unit.
pub(crate) fn worked_view(print: Printer<'_>) -> WorkedView {
    let batch = &print.ledger.batch;
    let exact = |kind: Kind| print.exact(&Key::one(kind));
    let fats = batch.fats.iter().map(|fat| {
        let key = |kind: Kind| Key::each(kind, fat.id.clone());
        WorkedFat {
            name: capitalised(&fat.name),
            mass: print.exact(&key(Kind::Fat)),
            sap_value: print.words(&key(Kind::SapValue)),
            koh: print.exact(&key(Kind::Koh)),
        }
    });
    let mut steps = vec![
        Step {
            has_fats: true,
            ..step(
                "What each fat takes up",
                vec!["mass of the fat × saponification value ÷ 1000 = potassium hydroxide (KOH)".into()],
                "A saponification value is the milligrams of KOH that one gram of the fat takes up.",
            )
        },
        step(
            "What all of them take up",
            vec![format!("the last column added up: {}", exact(Kind::KohForFats))],
            "That much KOH would leave neither fat nor alkali over.",
        ),
        step(
            "Leave the superfat",
            vec![format!(
                "{} × (100 − {}) ÷ 100 = {}",
                exact(Kind::KohForFats),
                print.one(Kind::Superfat, short(batch.superfat_percent, 2)),
                exact(Kind::KohAfterSuperfat)
            )],
            "Less alkali than the fats can take: the fat left over is the margin for an error.",
        ),
    ];
    if !batch.acids.is_empty() {
        steps.push(acid_step(print));
    }
    steps.extend(alkali_steps(print));
    steps.push(water_step(print));
    steps.extend(stock_step(print));
    steps.extend(print.ledger.shown().map(|it| scale_step(print, it)));
    steps.push(certainty_step(print));
    WorkedView { title: print.ledger.recipe.title.clone(), fats: fats.collect(), steps, sources: tables_cited(print) }
}

fn step(title: impl Into<String>, lines: Vec<String>, why: impl Into<String>) -> Step {
    Step { title: title.into(), lines, why: why.into(), has_fats: false }
}

/// The alkali that acids take up before the fats get any.
fn acid_step(print: Printer<'_>) -> Step {
    let ledger = print.ledger;
    let koh = short(print.tables.koh.molar_mass.to_grams_per_mole(), 3);
    let exact = |kind: Kind| print.exact(&Key::one(kind));
    let acids = ledger.batch.acids.iter().zip(&ledger.recipe.acids);
    let mut lines: Vec<String> = acids
        .map(|(acid, share)| {
            let key = |kind: Kind| Key::each(kind, acid.id.clone());
            let strength = share.strength.to_percent();
            let strength = if strength < 100.0 {
                format!(" × {} ÷ 100", print.mark(&key(Kind::Strength), short(strength, 2)))
            } else {
                String::new()
            };
            // Only an acid that takes up more than one alkali needs to say how many.
            let hydrogens = share.acidic_hydrogens;
            let hydrogens = if hydrogens > 1.0 { format!(" × {}", short(hydrogens, 0)) } else { String::new() };
            format!(
                "{}: {}{strength}{hydrogens} × {koh} ÷ {} = {} of KOH",
                acid.name,
                print.exact(&key(Kind::Additive)),
                short(share.molar_mass.to_grams_per_mole(), 3),
                print.exact(&key(Kind::KohForAcid))
            )
        })
        .collect();
    lines.push(format!("{} + {} = {}", exact(Kind::KohAfterSuperfat), exact(Kind::KohForAcids), exact(Kind::KohInAll)));
    for (acid, share) in ledger.batch.acids.iter().zip(&ledger.recipe.acids) {
        lines.extend(share.salt.as_ref().map(|it| salt_line(acid, &it.name, print)));
    }
    step("Add what the acid takes up", lines, "An acid uses up alkali before the fat gets any, so its part is added.")
}

/// What an acid becomes with the lye that is added for it.
fn salt_line(acid: &AcidAmount, salt: &str, print: Printer<'_>) -> String {
    let key = |kind: Kind| Key::each(kind, acid.id.clone());
    let metals = print.ledger.batch.alkalis.iter().map(|it| match it.kind {
        AlkaliKind::NaOH => "sodium",
        AlkaliKind::KOH => "potassium",
    });
    let salt = format!("{} {salt}", listed(metals));
    let sold = if acid.salt_as_sold.is_some() {
        format!("; as it is sold, with its water, {}", print.exact(&key(Kind::SaltAsSold)))
    } else {
        String::new()
    };
    let of_fats = print.mark(
        &key(Kind::SaltOfFats),
        percent_to((acid.salt.unwrap_or_default() / print.ledger.batch.total_fats) * 100.0, 2),
    );
    format!("{} becomes {} of {salt}, {of_fats} of the fats{sold}", acid.name, print.exact(&key(Kind::SaltFrom)))
}

/// How far the superfat may be off, in words.
fn certainty_step(print: Printer<'_>) -> Step {
    let mut lines = Vec::new();
    for weighed in print.ledger.shown() {
        let it = print.ledger.certainty(weighed.scale.unit);
        lines.push(format!(
            "on a scale with steps of {}: printed {}, likely between {} and {}, at the very worst {}",
            division(print, weighed),
            print.one(Kind::SuperfatAsWeighed, percent_to(it.superfat_percent, 2)),
            print.one(Kind::SuperfatLikelyFrom, percent_fixed(it.likely_percent.0)),
            print.one(Kind::SuperfatLikelyTo, percent_fixed(it.likely_percent.1)),
            print.one(Kind::SuperfatWorst, percent_fixed(it.worst_percent))
        ));
    }
    for share in print.ledger.recipe.alkalis.iter().filter(|it| it.purity_is_stated) {
        let (low, high) = share.purity_range;
        let formula = share.kind.formula();
        lines.push(format!(
            "the {formula} is taken to be {} to {} pure",
            print.each(Kind::PurityFrom, formula, short(low.to_percent(), 2)),
            print.each(Kind::PurityTo, formula, percent_to(high.to_percent(), 2))
        ));
    }
    if print.ledger.batch.stock.is_some() {
        let strength =
            |kind: Kind| print.figure(&Key::one(kind)).and_then(|it| it.amount.percent(print.units().main()));
        let [low, high] =
            [Kind::StockConcentrationFrom, Kind::StockConcentrationTo].map(|it| (it, strength(it).unwrap_or_default()));
        lines.push(format!(
            "the stock is taken to be {} to {} lye",
            print.one(low.0, short(low.1, 2)),
            print.one(high.0, percent_to(high.1, 2))
        ));
    }
    let ranked = &print.ledger.certainty(print.units().main()).contributions;
    let most: Vec<String> = ranked
        .iter()
        .take(3)
        .filter(|it| it.share_percent >= 1.0)
        .map(|it| {
            let points = print.mark(&print.ledger.input_key(it.input), short(it.half_width_percent, 2));
            format!("{} (±{NO_BREAK}{points} points)", input_words(it.input, print))
        })
        .collect();
    if !most.is_empty() {
        lines.push(format!("what matters most: {}", most.join(", ")));
    }
    step(
        "How sure the superfat is",
        lines,
        "A fat's saponification value is a range, and so is the alkali's purity; every reading may be off by half a \
         division. The superfat has to be large enough to cover all of this.",
    )
}

fn input_words(input: Input, print: Printer<'_>) -> String {
    let batch = &print.ledger.batch;
    match input {
        Input::SaponificationValue(fat_idx) => format!("the saponification value of {}", batch.fats[fat_idx].name),
        Input::Purity(kind) => format!("the purity of the {}", kind.formula()),
        Input::FatReading(fat_idx) => format!("the reading of {}", batch.fats[fat_idx].name),
        Input::AlkaliReading(_) if batch.stock.is_some() => "the reading of the stock".into(),
        Input::AlkaliReading(kind) => format!("the reading of the {}", kind.formula()),
        Input::StockStrength(_) => "the strength of the stock".into(),
        Input::AcidReading(acid_idx) => format!("the reading of {}", batch.acids[acid_idx].name),
    }
}

fn division(print: Printer<'_>, weighed: &Weighed) -> String {
    let name = match weighed.scale.unit {
        ScaleUnit::Grams => "grams",
        ScaleUnit::Ounces => "ounces",
    };
    print.words(&Key::each(Kind::ScaleStep, name))
}

fn alkali_steps(print: Printer<'_>) -> Vec<Step> {
    let ledger = print.ledger;
    let molar_mass = |kind| short(print.tables.alkali(kind).molar_mass.to_grams_per_mole(), 3);
    let mut steps = Vec::new();
    for (alkali_idx, (alkali, share)) in ledger.batch.alkalis.iter().zip(&ledger.recipe.alkalis).enumerate() {
        let formula = alkali.kind.formula();
        let key = |kind: Kind| Key::each(kind, formula);
        let (pure, mass) = (print.exact(&key(Kind::PureAlkali)), print.exact(&ledger.alkali_key(alkali_idx)));
        let mut lines = Vec::new();
        if ledger.batch.alkalis.len() > 1 {
            lines.push(format!(
                "{} × {} ÷ 100 = {} of KOH whose work {formula} does",
                print.exact(&Key::one(Kind::KohInAll)),
                print.mark(&key(Kind::AlkaliPercent), short(alkali.mole_fraction * 100.0, 2)),
                print.exact(&key(Kind::KohPart))
            ));
        }
        let why = match alkali.kind {
            AlkaliKind::NaOH => {
                lines.push(format!(
                    "{} × {} ÷ {} = {pure} of pure NaOH",
                    print.exact(&key(Kind::KohPart)),
                    molar_mass(AlkaliKind::NaOH),
                    molar_mass(AlkaliKind::KOH),
                ));
                "Both alkalis do the same work mole for mole, and a mole of NaOH weighs less."
            }
            AlkaliKind::KOH => "The saponification value is already stated as KOH.",
        };
        if share.purity_is_stated {
            let purity = print.mark(&key(Kind::Purity), short(alkali.purity.to_percent(), 2));
            lines.push(format!("{pure} × 100 ÷ {purity} = {mass} from the container"));
        } else {
            lines.push(format!("taken as pure: {mass} from the container"));
        }
        let title = match alkali.kind {
            AlkaliKind::NaOH => "Convert it to NaOH",
            // Of two alkalis it is a part that stays what it is, and else there is nothing to turn.
            AlkaliKind::KOH if ledger.batch.alkalis.len() > 1 => "The part that KOH does",
            AlkaliKind::KOH => "What the container must give",
        };
        steps.push(step(title, lines, why));
    }
    steps
}

fn water_step(print: Printer<'_>) -> Step {
    let ledger = print.ledger;
    let batch = &ledger.batch;
    let exact = |kind: Kind| print.exact(&Key::one(kind));
    let (line, why) = match ledger.recipe.water {
        WaterRule::LyeConcentration(it) => {
            let concentration = print.one(Kind::LyeConcentration, short(it.to_percent(), 2));
            (
                format!(
                    "{} × (100 − {concentration}) ÷ {concentration} = {}",
                    exact(Kind::TotalAlkali),
                    exact(Kind::WaterInAll)
                ),
                format!("Of 100 parts of the lye solution, {concentration} are lye and the rest is water."),
            )
        }
        WaterRule::PerLye(ratio) => (
            format!(
                "{} × {} = {}",
                exact(Kind::TotalAlkali),
                print.one(Kind::WaterPerLye, short(ratio, 3)),
                exact(Kind::WaterInAll)
            ),
            "That many parts of water to one part of alkali.".to_owned(),
        ),
        WaterRule::OfFats(it) => (
            format!(
                "{} × {} ÷ 100 = {}",
                exact(Kind::TotalFats),
                print.one(Kind::WaterOfFats, short(it.to_percent(), 2)),
                exact(Kind::WaterInAll)
            ),
            "Water as a percentage of the fats.".to_owned(),
        ),
    };
    let mut lines = vec![line];
    let brings = |name: &str, id: &str| {
        let (whole, water) = (Key::each(Kind::Additive, id), Key::each(Kind::WaterFrom, id));
        format!("{} of {name} contain {} of water", print.exact(&whole), print.exact(&water))
    };
    lines.extend(batch.liquids.iter().map(|it| brings(&it.name, &it.id)));
    lines.extend(batch.acids.iter().filter(|it| it.pure < it.mass).map(|it| brings(&it.name, &it.id)));
    if batch.water_in_others > Mass::ZERO {
        lines.push(format!(
            "{} − {} = {} to weigh out as water",
            exact(Kind::WaterInAll),
            exact(Kind::WaterInOthers),
            exact(Kind::Water)
        ));
    }
    step("The water it goes into", lines, why)
}

/// Lye solution made beforehand, in place of the lye and a part of the water.
fn stock_step(print: Printer<'_>) -> Option<Step> {
    let ledger = print.ledger;
    let stock = ledger.batch.stock.as_ref()?;
    let exact = |kind: Kind| print.exact(&Key::one(kind));
    let strength = print.one(Kind::StockConcentration, short(stock.strength.to_percent(), 2));
    let lye = print.exact(&ledger.alkali_key(0));
    let lines = vec![
        format!("{lye} × 100 ÷ {strength} = {} of the stock", exact(Kind::Stock)),
        format!("{} − {lye} = {} of water in it", exact(Kind::Stock), exact(Kind::WaterInStock)),
        format!(
            "{} − {} = {} of further water",
            exact(Kind::Water),
            exact(Kind::WaterInStock),
            exact(Kind::FurtherWater)
        ),
    ];
    let why = "Of 100 parts of the stock, as many are lye as its label says; the rest is water that need not be \
               weighed again.";
    Some(step("Take it from the stock", lines, why))
}

/// What a scale shows of everything in the lye but what is dissolved beside it.
fn scale_step(print: Printer<'_>, weighed: &Weighed) -> Step {
    let scale = weighed.scale;
    let ledger = print.ledger;
    let figures = |is_wanted: fn(Part) -> bool| ledger.weighed_out().filter(move |it| is_wanted(it.part));
    let reading = |figure: &Figure| {
        let divisions = figure.amount.reading(scale.unit).unwrap_or_default();
        (divisions, print.mark(&figure.key, show::reading(scale, divisions)))
    };
    let mass = |figure: &Figure| figure.amount.mass().unwrap_or_default();
    let alkalis = ledger.batch.alkalis.iter().enumerate();
    let alkalis = alkalis.filter_map(|(idx, it)| Some((ledger.figure(&ledger.alkali_key(idx))?, it)));
    let mut lines: Vec<String> = alkalis
        .map(|(figure, alkali)| {
            let (divisions, reads) = reading(figure);
            let exact = show::exact_below(mass(figure), scale.unit, scale.value(divisions + scale.one_division()));
            let exact = print.mark(&figure.key, exact);
            format!("{}: {exact}, rounded down, reads {reads}", alkali.kind.formula())
        })
        .collect();
    let water = ledger.figure(&Key::one(Kind::Water)).into_iter();
    let others = figures(|it| matches!(it, Part::Liquid(_) | Part::Acid(_)));
    lines.extend(water.chain(others).map(|figure| {
        let exact = print.mark(&figure.key, show::exact(mass(figure), scale.unit));
        format!(
            "{}: {exact}, rounded to the nearest, reads \
                 {}",
            figure.name.as_deref().unwrap_or("water"),
            reading(figure).1
        )
    }));
    let of_stock = |kind: Kind| ledger.figure(&Key::one(kind)).map(|it| reading(it).1);
    if let (Some(lye), Some(water), Some(stock), Some(further)) = (
        ledger.figure(&ledger.alkali_key(0)).map(|it| reading(it).1),
        of_stock(Kind::Water),
        of_stock(Kind::Stock),
        of_stock(Kind::FurtherWater),
    ) {
        let strength = ledger.batch.stock.map_or(100.0, |it| it.strength.to_percent());
        let strength = print.one(Kind::StockConcentration, short(strength, 2));
        lines.push(format!("stock: {lye} × 100 ÷ {strength}, rounded down, reads {stock}"));
        lines.push(format!("further water: {lye} + {water} − {stock} = {further}"));
    }
    let superfat = print.one(Kind::SuperfatAsWeighed, percent_to(weighed.superfat_percent, 2));
    lines.push(format!("superfat of the amounts as printed: {superfat}"));
    step(
        format!("On a scale with steps of {}", division(print, weighed)),
        lines,
        "Alkali is always rounded down: that may raise the superfat, but never lowers it.",
    )
}

/// Where the saponification values and molar masses of a recipe come from.
fn tables_cited(print: Printer<'_>) -> Vec<String> {
    let recipe = &print.ledger.recipe;
    let mut cited: Vec<String> = recipe
        .fats
        .iter()
        .map(|share| {
            let fat = &share.fat;
            let (low, high) = (fat.sap_low.to_mg_koh_per_g(), fat.sap_high.to_mg_koh_per_g());
            let (low, high) = (short(low, 2), short(high, 2));
            let used = short(fat.sap_used.to_mg_koh_per_g(), 2);
            let name = capitalised(&fat.name);
            match (&fat.sap_used_source, fat.sap_published) {
                (Some(source), None) => format!("{name}: {used} by {source}; taken as {low} to {high}"),
                (Some(source), Some(published)) => {
                    let reckoned = if published == (fat.sap_low, fat.sap_high) {
                        String::new()
                    } else {
                        format!(", taken as {low} to {high}")
                    };
                    let [low, high] = [published.0, published.1].map(|it| short(it.to_mg_koh_per_g(), 2));
                    format!("{name}: {used} by {source}{reckoned}; published {low} to {high}, {}", fat.sap_range_source)
                }
                (None, _) => format!("{name}: {used}, the middle of {low} to {high}, {}", fat.sap_range_source),
            }
        })
        .collect();
    cited.push(format!("Molar masses: {}", print.tables.naoh.molar_mass_source));
    cited
}
