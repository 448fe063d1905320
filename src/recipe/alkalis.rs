//! The alkalis of a recipe, their shares and how pure they are.
//!
//! Layer 2. Part of the check in `validate.rs`.

use super::validate::{Check, SUM_TOLERANCE_PERCENT};
use super::{AlkaliShare, Defaults, Purity, RawRecipe};
use crate::finding::Finding;
use crate::reader::{Entry, NodeValue, Reader};
use crate::tables::{AlkaliKind, Limits};
use crate::units::Percent;

impl Check<'_> {
    pub(super) fn alkalis(&mut self, raw: &RawRecipe, defaults: &Defaults) -> Option<Vec<AlkaliShare>> {
        let node = raw.alkali.as_ref()?;
        let kind_of = |name: &str| AlkaliKind::ALL.into_iter().find(|it| it.formula() == name);
        let n_findings = self.findings.len();
        let mut shares: Vec<(AlkaliKind, f64)> = Vec::new();
        match &node.value {
            NodeValue::Text(name) => match kind_of(name) {
                Some(kind) => shares.push((kind, 1.0)),
                None => self.findings.push(Finding::unknown_alkali(node.place.clone(), name)),
            },
            NodeValue::Table(entries) => {
                for Entry { key, node } in entries {
                    match (kind_of(&key.value), &node.value) {
                        (None, _) => self.findings.push(Finding::unknown_alkali(key.place.clone(), &key.value)),
                        (Some(kind), NodeValue::Number(percent)) if *percent > 0.0 && *percent <= 100.0 => {
                            shares.push((kind, percent / 100.0));
                        }
                        (Some(_), NodeValue::Number(percent)) => {
                            let place = node.place.clone();
                            self.findings.push(Finding::out_of_range(place, &key.value, *percent, 0.001, 100.0));
                        }
                        (Some(_), other) => {
                            let place = node.place.clone();
                            self.findings.push(Finding::wrong_type(place, &key.value, "a percentage", other.kind()));
                        }
                    }
                }
                let sum: f64 = shares.iter().map(|(_, share)| share * 100.0).sum();
                if self.findings.len() == n_findings && (sum - 100.0).abs() > SUM_TOLERANCE_PERCENT {
                    self.findings.push(Finding::alkalis_do_not_sum(node.place.clone(), sum));
                }
            }
            other => {
                let wanted = "\"NaOH\", \"KOH\" or a table of both";
                self.findings.push(Finding::wrong_type(node.place.clone(), "alkali", wanted, other.kind()));
            }
        }
        let purity = self.purity(raw, &shares);
        if self.findings.len() > n_findings {
            return None;
        }
        shares.sort_by_key(|(kind, _)| *kind);
        let sum: f64 = shares.iter().map(|(_, share)| share).sum();
        let tolerance = self.tables.limits.purity_tolerance_percent;
        let share = |(kind, share): (AlkaliKind, f64)| {
            let stated = purity.iter().find(|(it, _)| *it == kind).map(|(_, purity)| *purity);
            let stated = stated.or_else(|| defaults.purity.get(&kind).copied());
            let pure = Percent::percent(100.0);
            let purity_range = stated.map_or((pure, pure), |it| it.reckoned_with(tolerance));
            AlkaliShare {
                kind,
                mole_fraction: share / sum,
                purity: stated.map_or(pure, |it| it.used),
                purity_range,
                purity_is_stated: stated.is_some(),
            }
        };
        Some(shares.into_iter().map(share).collect())
    }

    fn purity(&mut self, raw: &RawRecipe, shares: &[(AlkaliKind, f64)]) -> Vec<(AlkaliKind, Purity)> {
        let mut purity = Vec::new();
        for entry in &raw.purity {
            let Some(kind) = AlkaliKind::ALL.into_iter().find(|it| it.formula() == entry.key.value) else {
                self.findings.push(Finding::unknown_alkali(entry.key.place.clone(), &entry.key.value));
                continue;
            };
            if !shares.is_empty() && !shares.iter().any(|(it, _)| *it == kind) {
                self.findings.push(Finding::purity_of_absent_alkali(entry.key.place.clone(), kind.formula()));
            }
            purity.extend(read_purity(entry, &self.tables.limits, &mut self.findings).map(|it| (kind, it)));
        }
        purity
    }
}

/// Reads the purity of an alkali: a percentage, or its lowest and highest.
pub(crate) fn read_purity(entry: &Entry, limits: &Limits, findings: &mut Vec<Finding>) -> Option<Purity> {
    let least_percent = limits.least_purity_percent;
    let (name, place) = (format!("purity of {}", entry.key.value), entry.node.place.clone());
    match &entry.node.value {
        NodeValue::Number(percent) if (least_percent..=100.0).contains(percent) => {
            Some(Purity { used: Percent::percent(*percent), range: None })
        }
        NodeValue::Number(percent) => {
            findings.push(Finding::out_of_range(place, &name, *percent, least_percent, 100.0));
            None
        }
        NodeValue::Table(_) => {
            let mut reader = Reader::new(&entry.node, "purity");
            let mut end = |key: &'static str| {
                let end = reader.number_between(key, least_percent, 100.0);
                reader.require(key, end, "purity = { NaOH = { low = 97, high = 99 } }")
            };
            let (low, high) = (end("low"), end("high"));
            findings.extend(reader.finish());
            let (low, high) = (low?.value, high?.value);
            if low > high {
                findings.push(Finding::range_upside_down(place, &entry.key.value, "purity", low, high));
                return None;
            }
            let range = (Percent::percent(low), Percent::percent(high));
            Some(Purity { used: Percent::percent(f64::midpoint(low, high)), range: Some(range) })
        }
        other => {
            findings.push(Finding::wrong_type(place, &name, "a percentage", other.kind()));
            None
        }
    }
}
