//! The best load within the time given.

use std::time::{Duration, Instant};

use super::load::{LoadOrder, LoadPlan, Scene};
use super::load_remarks;
use super::stock::Stock;
use crate::market::load::{LoadEffort, solve};
use crate::world::{AppError, World};

impl World {
    /// Plans what to take where. The first yard's currency is home.
    ///
    /// # Errors
    /// A yard, quote or setting that cannot be read; sums out of bounds.
    pub fn plan_load<'s>(&self, stock: &'s Stock, order: &LoadOrder<'_>) -> Result<LoadPlan<'s>, AppError> {
        let scene = Scene::new(self, stock, order)?;
        let problem = scene.problem(order)?;
        let started = Instant::now();
        let limit = Duration::from_secs(order.seconds);
        let stop = || started.elapsed() >= limit;
        let effort = LoadEffort { nodes: u64::MAX, stop: Some(&stop) };
        let solved = solve(&problem, &effort).map_err(|error| AppError::Refused(error.to_string()))?;
        let remarks = load_remarks::remarks(&scene, &problem, &solved, &effort);
        scene.finish(&solved, remarks)
    }
}
