//! Drawings: data in, strings out; the templates of the same names draw them.
//!
//! Layer 6.

mod cross_section;
mod emblem;
mod portions;
mod profile;
mod soap;
mod timeline;

pub(crate) use cross_section::{CrossSection, cross_section};
pub(crate) use emblem::{Emblem, emblem};
pub(crate) use portions::{PortionsFigure, portions_figure};
pub(crate) use profile::{ProfileFigure, Share, profile_figure};
pub(crate) use timeline::{TimelineFigure, timeline_figure};

/// One decimal, so that the same input gives the same bytes everywhere.
fn decimal(value: f64) -> String {
    format!("{value:.1}")
}
