//! The practice's own profile: what its laboratory makes, at what fee, and its own colour tabs.

use catalogue::words::{Build, Construct, Material};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// One thing the laboratory makes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Makes {
    /// Material.
    pub material: Material,
    /// Build.
    pub build: Build,
    /// Only this construct; `None`: all.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub construct: Option<Construct>,
    /// Fee a unit, in the practice's currency.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fee: Option<f64>,
    /// Working days.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub days: Option<u8>,
}

/// One of the practice's own colour tabs, measured once.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Tab {
    /// Own name.
    pub name: String,
    /// Lightness L*.
    #[serde(rename = "L")]
    pub l: f64,
    /// a*.
    pub a: f64,
    /// b*.
    pub b: f64,
    /// Standard deviation of repeated readings, as a CIELAB distance.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub spread: Option<f64>,
}

/// Practice and laboratory.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(default)]
pub struct Laboratory {
    /// Currency as printed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub currency: Option<String>,
    /// Own cost of an hour at the chair.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub chair_hour: Option<f64>,
    /// Months within which the laboratory remakes without fee.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub remake_free_months: Option<f64>,
    /// Share of the fee asked for a remake after that, 0 to 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub remake_share: Option<f64>,
    /// What it makes; empty: not asked, everything is taken as possible.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub makes: Vec<Makes>,
    /// Own tabs.
    #[serde(rename = "tab", skip_serializing_if = "Vec::is_empty")]
    pub tabs: Vec<Tab>,
}

impl Laboratory {
    /// What it says of one combination: `None` if it does not make it or the list was not given.
    pub fn entry(&self, material: Material, build: Build, construct: Construct) -> Option<&Makes> {
        let fits = |m: &&Makes| m.material == material && m.build == build;
        let named = self.makes.iter().filter(fits).find(|m| m.construct == Some(construct));
        named.or_else(|| self.makes.iter().filter(fits).find(|m| m.construct.is_none()))
    }

    /// Whether it makes one combination; `None` while the list was not given.
    pub fn can_make(&self, material: Material, build: Build, construct: Construct) -> Option<bool> {
        (!self.makes.is_empty()).then(|| self.entry(material, build, construct).is_some())
    }
}
