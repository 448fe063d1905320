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
    /// Any other, of which is known how much it holds, filled to its fill height.
    Other {
        /// What it holds.
        holds: Volume,
    },
}

impl MouldShape {
    /// Its width, or its diameter; `None` where neither is known.
    #[must_use]
    pub fn across(self) -> Option<Length> {
        match self {
            MouldShape::Box { width, .. } => Some(width),
            MouldShape::Cylinder { diameter } => Some(diameter),
            MouldShape::Other { .. } => None,
        }
    }

    /// Its length, where it has one.
    #[must_use]
    pub fn length(self) -> Option<Length> {
        match self {
            MouldShape::Box { length, .. } => Some(length),
            MouldShape::Cylinder { .. } | MouldShape::Other { .. } => None,
        }
    }
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
    /// `length * width * height * cavities`, or `pi / 4 * diameter^2 * height * cavities`, in mL (1 mL = 1000 mm³); or what each
    /// holds, `holds * cavities`.
    ///
    /// # Example
    ///
    /// 250 mm by 80 mm, filled 60 mm deep, holds 1200 mL.
    #[must_use]
    pub fn volume(&self) -> Volume {
        let area_square_millimetres = match self.shape {
            MouldShape::Box { length, width } => length.to_millimetres() * width.to_millimetres(),
            MouldShape::Cylinder { diameter } => std::f64::consts::FRAC_PI_4 * diameter.to_millimetres().powi(2),
            MouldShape::Other { holds } => {
                return Volume::millilitres(holds.to_millilitres() * f64::from(self.cavities));
            }
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
    let holds = row.last(read_held);
    let cavities = row.last(|file| read_count(file, "cavities", 1.0, 1000.0));
    row.last(|file| require_source(file, id, "the inside dimensions"));
    let shape = shape_of([length, width, diameter], holds);
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

/// Length, width and diameter, and what it holds: what of them makes a shape.
fn shape_of(lengths: [Option<Length>; 3], holds: Option<Volume>) -> Option<MouldShape> {
    match (lengths, holds) {
        ([Some(length), Some(width), None], None) => Some(MouldShape::Box { length, width }),
        ([None, None, Some(diameter)], None) => Some(MouldShape::Cylinder { diameter }),
        ([None, None, None], Some(holds)) => Some(MouldShape::Other { holds }),
        _ => None,
    }
}

/// A mould that no table has, by the keys that a row of a table has.
///
/// - `name`: what pages call it.
#[must_use]
pub fn own_mould(reader: &mut Reader<'_>, name: &str) -> Option<Mould> {
    let keys: [&'static str; 3] = ["inside-length", "inside-width", "inside-diameter"];
    let holds = read_held(reader);
    let lengths = keys.map(|key| read_length(reader, key));
    let fill_height = read_length(reader, "fill-height");
    let cavities = read_count(reader, "cavities", 1.0, 1000.0);
    let fill_height = reader.require("fill-height", fill_height, "60 mm");
    let is_faulty = reader.is_faulty();
    let shape = shape_of(lengths, holds);
    if shape.is_none() && !is_faulty {
        let place = reader.place();
        reader.findings.push(Finding::mould_shape_unclear(place, name));
    }
    let (shape, fill_height) = (shape?, fill_height?);
    let cavities = cavities.unwrap_or(1);
    (!is_faulty).then(|| Mould { id: String::new(), name: name.to_owned(), shape, fill_height, cavities })
}

/// How much a mould may hold, millilitres.
const HELD_MILLILITRES: [f64; 2] = [1.0, 1_000_000.0];

fn read_held(row: &mut Reader<'_>) -> Option<Volume> {
    let held = row.quantity("holds", Volume::FORMS, Volume::parse)?;
    let [low, high] = HELD_MILLILITRES.map(Volume::millilitres);
    if (low..=high).contains(&held.value) {
        return Some(held.value);
    }
    row.findings.push(Finding::volume_out_of_range(held.place, "holds", held.value, (low, high)));
    None
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
