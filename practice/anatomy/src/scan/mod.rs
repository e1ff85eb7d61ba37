//! Surfaces from scanners: is it in millimetres, whole, the tooth it claims to be; laid into the tooth's frame; what it does not show is filled
//! by the form, and said so.
//!
//! | file | idea |
//! | --- | --- |
//! | `unit` | size of a file in mm, inches, metres |
//! | `rim` | open rims of a surface: where it ends, and holes in it |
//! | `fit` | cut to the tooth, laid on its form, checked against other teeth |
//! | `filled` | the scan as a solid, the form where it does not reach |

mod filled;
mod fit;
mod rim;
mod unit;

pub use filled::FilledScan;
pub use fit::{FittedScan, ScanFault, fit_scan, in_the_same_frame, place_preparation};
pub use rim::Rims;
pub use unit::{Unit, unit_of};
