//! The rows of moulds.toml.
//!
//! Layer 1.

use super::value::{Row, read_count, require_source};
use crate::finding::Finding;
use crate::reader::Reader;
use crate::units::{Length, Volume};

/// The inside of a mould, seen from above.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum MouldShape {
    /// A box.
    Box {
        /// Inside length.
        length: Length,
        /// Inside width.
        width: Length,
    },
    /// A cylinder.
    Cylinder {
        /// Inside diameter.
        diameter: Length,
    },
}

/// A mould.
#[derive(Clone, Debug, PartialEq)]
pub struct Mould {
    /// What recipes call it.
    pub id: String,
    /// What pages call it.
    pub name: String,
    /// Its inside, seen from above.
    pub shape: MouldShape,
    /// How deep the soap is to stand.
    pub fill_height: Length,
    /// How many such moulds are filled from one batch.
    pub cavities: u32,
}

impl Mould {
    /// The volume of soap that fills the mould to its fill height.
    ///
    /// `length * width * height * cavities`, or `pi / 4 * diameter^2 * height * cavities`, in mL (1 mL = 1000 mm³).
    ///
    /// # Example
    ///
    /// 250 mm by 80 mm, filled 60 mm deep, holds 1200 mL.
    #[must_use]
    pub fn volume(&self) -> Volume {
        let area_square_millimetres = match self.shape {
            MouldShape::Box { length, width } => length.to_millimetres() * width.to_millimetres(),
            MouldShape::Cylinder { diameter } => std::f64::consts::FRAC_PI_4 * diameter.to_millimetres().powi(2),
        };
        let cubic_millimetres = area_square_millimetres * self.fill_height.to_millimetres() * f64::from(self.cavities);
        Volume::millilitres(cubic_millimetres / 1000.0)
    }
}

pub(super) fn read_mould(row: &mut Row<'_>) -> Option<Mould> {
    let id = row.id;
    let [length, width, diameter, fill_height] = ["inside-length", "inside-width", "inside-diameter", "fill-height"]
        .map(|key| row.last(|file| read_length(file, key)));
    let name = row.words("name");
    let cavities = row.last(|file| read_count(file, "cavities", 1.0, 1000.0));
    row.last(|file| require_source(file, id, "the inside dimensions"));
    let shape = match (length, width, diameter) {
        (Some(length), Some(width), None) => Some(MouldShape::Box { length, width }),
        (None, None, Some(diameter)) => Some(MouldShape::Cylinder { diameter }),
        _ => None,
    };
    if shape.is_some() && fill_height.is_none() {
        row.tell_missing("fill-height", "fill-height = \"60 mm\"");
    }
    let (Some(shape), Some(fill_height)) = (shape, fill_height) else {
        if !row.is_faulty() {
            row.tell(Finding::mould_shape_unclear(row.place.clone(), id));
        }
        return None;
    };
    let name = name.unwrap_or_else(|| id.to_owned());
    Some(Mould { id: id.to_owned(), name, shape, fill_height, cavities: cavities.unwrap_or(1) })
}

fn read_length(row: &mut Reader<'_>, key: &'static str) -> Option<Length> {
    let length = row.length(key)?;
    let (low, high, millimetres) = (1.0, 10_000.0, length.value.to_millimetres());
    if (low..=high).contains(&millimetres) {
        return Some(length.value);
    }
    row.findings.push(Finding::length_out_of_range(length.place, key, millimetres, (low, high)));
    None
}
