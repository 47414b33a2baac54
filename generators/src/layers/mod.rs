//! The simulation, layer by layer: each takes what the layers before it caused.

pub mod bite;
pub mod plan;
pub mod population;
pub mod response;
pub mod start;
pub mod wear;
