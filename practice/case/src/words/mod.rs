//! The closed lists of words a case is written in.

mod mouth;
mod occasion;
mod order;
mod tooth;
mod wish;

pub use mouth::{AgeBand, Allergen, DryField, Grinding, Guidance, Opposing, Risk, VerticalDimension, Visible};
pub use occasion::{Moment, Room, SpaceSource, Temporary, Turn, WhyReplaced};
pub use order::{Alloy, Cement, Contacts, Finish, Lustre, MarginDesign, PonticForm, ReplyAnswer, Texture, Treated};
pub use tooth::{Apical, Bone, Cracks, FerruleStep, Filled, Fixing, Margin, Pulp, Substrate};
pub use wish::{Against, Matter};
