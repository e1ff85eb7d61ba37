//! The parts of a case, one small struct an idea. `None` always means: not asked or not answered.

mod abutment;
mod decision;
mod implant;
mod laboratory;
mod mouth;
mod order;
mod reading;
mod restoration;
mod space;
mod wish;

pub use abutment::{Abutment, Ferrule, ScanPlace, SoundNeighbour};
pub use decision::{Chosen, Override};
pub use implant::Implant;
pub use laboratory::{Laboratory, Makes, Tab};
pub use mouth::{Age, Mouth};
pub use order::{LaboratoryReply, Order};
pub use reading::Reading;
pub use restoration::{Old, Restoration, Wanted};
pub use space::Space;
pub use wish::{Trades, Weights, Wish, WishedColour};
