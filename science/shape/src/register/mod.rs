//! Laying one surface over another: roughly by picked places or by shape, then finely.

mod fine;
mod freedom;
mod rough;

pub use fine::{Aligned, Fit, align};
pub use freedom::Freedom;
pub use rough::{by_places, by_shape};
