//! The closed lists of the trade's words. Each word has the form written in files (`word`), the form printed (`label`), and
//! is found again by `parse`.

mod construct;
mod failure;
mod material;
mod question;
mod tooth;

pub use construct::{Construct, Gap};
pub use failure::{Cause, Consequence, Process};
pub use material::{Build, Grade, Material};
pub use question::Question;
pub use tooth::{Jaw, Region, Side, Surface, Tooth, ToothClass};

/// Declares a closed list of words: an enum with `ALL`, `word`, `label`, `parse`, `Display`, and serde and JSON-schema forms by
/// its word. The case writes its own lists with it.
#[macro_export]
macro_rules! words {
    ($(#[$doc:meta])* $name:ident { $($(#[$vdoc:meta])* $variant:ident = $word:literal, $label:literal;)+ }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize, schemars::JsonSchema)]
        pub enum $name { $($(#[$vdoc])* #[serde(rename = $word)] $variant,)+ }

        impl $name {
            /// Every word of the list, in the order of the trade.
            pub const ALL: &'static [Self] = &[$(Self::$variant,)+];

            /// As written in files.
            pub fn word(self) -> &'static str {
                match self { $(Self::$variant => $word,)+ }
            }

            /// As printed for people.
            pub fn label(self) -> &'static str {
                match self { $(Self::$variant => $label,)+ }
            }

            /// From the form written in files.
            pub fn parse(word: &str) -> Option<Self> {
                match word { $($word => Some(Self::$variant),)+ _ => None }
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(self.label())
            }
        }
    };
}
pub(crate) use words;

/// Parts of a cell as owned words.
pub(crate) fn words_of(row: &table::Row, column: &str) -> Vec<String> {
    row.list(column).into_iter().map(str::to_owned).collect()
}
