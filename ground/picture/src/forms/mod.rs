//! The forms: functions from plain data to a scene. Each carries the caller's title (a sentence that states the finding), an
//! alternative text made from the data, and the data as a table.
//!
//! Layout stands on a grid of 6.5 by 16 px, the cells of the terminal, so that page and terminal show the same picture.

mod bars;
mod change;
mod cumulative;
mod curves;
mod forest;
mod funnel;
mod icon_array;
mod interval_table;
mod map;
mod quantile_dots;
mod rows;
mod stack;
mod survival_fan;
mod swatches;

pub use bars::{Bar, Bars, bars};
pub use change::{BeforeAfter, Change, arrow_before_after};
pub use cumulative::{Cumulative, CumulativeStep, cumulative};
pub use curves::{CurveLine, CurvePoint, Curves, curves, curves_at_risk, curves_at_risk_of_all};
pub use forest::{Forest, ForestRow, Summary, forest};
pub use funnel::{Funnel, FunnelPoint, funnel, funnel_of_named};
pub use icon_array::{IconArray, IconGroup, icon_array};
pub use interval_table::{IntervalCell, IntervalColumn, IntervalRow, IntervalTable, interval_cell, interval_table};
pub use map::{Map, MapCell, MapPart, map};
pub use quantile_dots::{QuantileDots, quantile_dots};
pub use rows::Threshold;
pub use stack::{StackLayer, StackSection, stack_section};
pub use survival_fan::{FanYear, SurvivalFan, survival_fan};
pub use swatches::{Swatches, swatches};
