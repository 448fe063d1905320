//! Keys of the whole recipe that stand below a heading, and so in its table.
//!
//! Layer 2. They are read as if they stood above it, so that nothing else is told of the slip: neither that they are
//! missing, nor that there is no such fat.

use super::variant::entries;
use crate::finding::Finding;
use crate::reader::{Entry, Node, NodeValue};
use crate::tables::TIME_KEYS;

/// The keys that stand above all headings.
const OF_RECIPE: [&str; 14] = [
    "based-on", "title", "mould", "batch", "into", "superfat", "alkali", "purity", "water", "cut", "divide", "swirl",
    "trace", "first",
];

/// Moves keys of the recipe out of the tables below it, with a finding for each heading that had some.
pub(super) fn move_up(root: &mut Node) -> Vec<Finding> {
    let stated: Vec<String> = entries(root).iter().map(|it| it.key.value.clone()).collect();
    let NodeValue::Table(all) = &mut root.value else { return Vec::new() };
    let (mut moved, mut findings) = (Vec::new(), Vec::new());
    for Entry { key, node } in all.iter_mut() {
        let heading = if matches!(node.value, NodeValue::List(_)) {
            format!("[[{}]]", key.value)
        } else {
            format!("[{}]", key.value)
        };
        let mut taken = Vec::new();
        // The time in the mould and that of dividing have keys of their own, and a layer has a trace of its own.
        let is_own = |it: &str| match key.value.as_str() {
            "times" => TIME_KEYS.contains(&it),
            "layers" => it == "trace",
            _ => false,
        };
        take_out(node, &|it| OF_RECIPE.contains(&it) && !is_own(it), &mut taken);
        taken.sort_by_key(|it| it.key.place.span.start);
        if let Some(first) = taken.first() {
            let names: Vec<&str> = taken.iter().map(|it| it.key.value.as_str()).collect();
            findings.push(Finding::key_below_heading(first.key.place.clone(), &names, &heading));
        }
        moved.append(&mut taken);
    }
    // The first of a name counts; any other is told as misplaced, too.
    for it in moved {
        if !stated.contains(&it.key.value) && !all.iter().any(|other| other.key.value == it.key.value) {
            all.push(it);
        }
    }
    findings
}

fn take_out(node: &mut Node, is_wanted: &dyn Fn(&str) -> bool, taken: &mut Vec<Entry>) {
    match &mut node.value {
        NodeValue::Table(members) => {
            let (out, stay): (Vec<Entry>, Vec<Entry>) = members.drain(..).partition(|it| is_wanted(&it.key.value));
            taken.extend(out);
            *members = stay;
            members.iter_mut().for_each(|it| take_out(&mut it.node, is_wanted, taken));
        }
        NodeValue::List(items) => items.iter_mut().for_each(|it| take_out(it, is_wanted, taken)),
        NodeValue::Text(_) | NodeValue::Number(_) | NodeValue::Truth(_) | NodeValue::Other(_) => {}
    }
}
