//! The rows of moulds.toml, as typed and as trusted.
//!
//! Layer 1.

use super::raw::read_source;
use super::{Mould, MouldShape};
use crate::finding::Finding;
use crate::reader::Reader;
use crate::source::Place;
use crate::units::Length;

/// A row of moulds.toml.
#[derive(Clone, Default)]
pub(super) struct RawMould {
    pub(super) place: Option<Place>,
    /// Something typed in it was refused: what is missing then may be that.
    is_faulty: bool,
    name: Option<String>,
    length: Option<Length>,
    width: Option<Length>,
    diameter: Option<Length>,
    fill_height: Option<Length>,
    cavities: Option<f64>,
}

impl RawMould {
    pub(super) fn over(self, base: RawMould) -> RawMould {
        RawMould {
            place: self.place.or(base.place),
            is_faulty: self.is_faulty || base.is_faulty,
            name: self.name.or(base.name),
            length: self.length.or(base.length),
            width: self.width.or(base.width),
            diameter: self.diameter.or(base.diameter),
            fill_height: self.fill_height.or(base.fill_height),
            cavities: self.cavities.or(base.cavities),
        }
    }
}

pub(super) fn read_mould(row: &mut Reader<'_>, id: &str) -> RawMould {
    let place = row.place();
    let mut length = |key: &'static str| {
        let length = row.length(key)?;
        let (low, high) = (1.0, 10_000.0);
        if (low..=high).contains(&length.value.to_millimetres()) {
            return Some(length.value);
        }
        row.findings.push(Finding::out_of_range(length.place, key, length.value.to_millimetres(), low, high));
        None
    };
    let mut raw = RawMould {
        length: length("inside-length"),
        width: length("inside-width"),
        diameter: length("inside-diameter"),
        fill_height: length("fill-height"),
        ..RawMould::default()
    };
    raw.name = row.words("name").map(|it| it.value);
    raw.cavities = row.number_between("cavities", 1.0, 1000.0).and_then(|it| {
        if it.value.fract() == 0.0 {
            return Some(it.value);
        }
        row.findings.push(Finding::wrong_type(it.place, "cavities", "a whole number", "a fraction"));
        None
    });
    if read_source(row, "source").is_none() {
        row.findings.push(Finding::value_without_source(place, id, "the inside dimensions"));
    }
    raw.is_faulty = row.is_faulty();
    raw
}

pub(super) fn trust_mould(id: String, raw: RawMould, findings: &mut Vec<Finding>) -> Option<Mould> {
    let place = raw.place?;
    let shape = match (raw.length, raw.width, raw.diameter) {
        (Some(length), Some(width), None) => Some(MouldShape::Box { length, width }),
        (None, None, Some(diameter)) => Some(MouldShape::Cylinder { diameter }),
        _ => None,
    };
    let (Some(shape), Some(fill_height)) = (shape, raw.fill_height) else {
        if !raw.is_faulty {
            findings.push(Finding::mould_shape_unclear(place, &id));
        }
        return None;
    };
    let name = raw.name.unwrap_or_else(|| id.clone());
    // Checked to be a whole number from 1 to 1000 when it was read.
    let cavities = raw.cavities.unwrap_or(1.0) as u32;
    Some(Mould { id, name, shape, fill_height, cavities })
}
