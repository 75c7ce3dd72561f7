//! Puts a declared recipe on the bench and runs it, calling its steps' closures inside the same evaluation.

use std::cell::RefCell;
use std::rc::Rc;

use rhai::{Dynamic, EvalAltResult, FnPtr, NativeCallContext, Position};

use super::bench_words::BenchHandle;
use super::desk::{HostState, suggest_grade, suggest_hazard};
use super::job::Job;
use super::refusal::{ScriptResult, refuse};
use super::sheet_words::SheetHandle;
use crate::bench::{Bench, Halted, Work};
use crate::recipe::{Recipe, RecipeFault};

/// Implements `__run()`: puts the declared recipe on the bench and runs it. Nothing is borrowed while a closure runs.
pub(super) fn drive(ctx: &NativeCallContext, desk: &Rc<HostState>) -> ScriptResult<()> {
    if let Some(job) = desk.order.take() {
        return work_out(ctx, desk, job);
    }
    // The engine sometimes turns texts into function calls: a script that reaches this function that way is refused.
    let standing =
        desk.standing.take().ok_or_else(|| refuse(ctx, "only the program runs a recipe", "only declare its steps"))?;
    let recipe = finish(desk).map_err(|faults| {
        *desk.faults.borrow_mut() = faults;
        Box::new(EvalAltResult::ErrorTerminated(Dynamic::UNIT, Position::NONE))
    })?;
    let (hazards, grades) = (desk.catalogue.hazards().clone(), desk.catalogue.grades().clone());
    let bench = Rc::new(Bench::new(recipe, hazards, grades, standing));
    *desk.bench.borrow_mut() = Some(bench.clone());
    let closures = Closures { ctx, desk, failure: RefCell::default() };
    bench.drive(&closures);
    match closures.failure.take() {
        Some(error) => Err(error),
        None => Ok(()),
    }
}

/// The declared recipe, if everything that it names exists.
pub(super) fn finish(desk: &HostState) -> Result<Rc<Recipe>, Vec<RecipeFault>> {
    let recipe = desk.recipe.take().finish()?;
    let mut faults = Vec::new();
    let (grades, hazards) = (desk.catalogue.grades(), desk.catalogue.hazards());
    for (grade, mark) in recipe.grades().filter(|(grade, _)| grades.get(grade).is_none()) {
        let message = format!("there is no grade `{grade}`");
        faults.push(RecipeFault { mark, message, hint: suggest_grade(grades, grade) });
    }
    for (hazard, mark) in recipe.hazards().filter(|(hazard, _)| hazards.get(hazard).is_none()) {
        let message = format!("there is no hazard `{hazard}`");
        faults.push(RecipeFault { mark, message, hint: suggest_hazard(hazards, hazard) });
    }
    if faults.is_empty() { Ok(Rc::new(recipe)) } else { Err(faults) }
}

/// Runs a tool's work at the end of its script, inside the evaluation that created the closure.
fn work_out(ctx: &NativeCallContext, desk: &HostState, job: Rc<Job>) -> ScriptResult<()> {
    let work = desk.tool_work.take();
    let work = work.ok_or_else(|| refuse(ctx, "this tool works nothing out", "add works_out(|sheet| { … })"))?;
    *desk.job.borrow_mut() = Some(job);
    work.call_within_context::<Dynamic>(ctx, (SheetHandle,)).map(drop)
}

/// Calls steps' closures inside the evaluation that created them, so that their captures stay valid.
struct Closures<'a> {
    ctx: &'a NativeCallContext<'a>,
    desk: &'a HostState,
    failure: RefCell<Option<Box<EvalAltResult>>>,
}

impl Closures<'_> {
    /// The engine loses the place when it aborts a closure: use the place of the step's work instead.
    fn placed(&self, mut error: Box<EvalAltResult>) -> Box<EvalAltResult> {
        let bench = self.desk.bench.borrow();
        let work = bench.as_ref().and_then(|bench| bench.current().ok().map(|step| step.place("work")));
        if let Some(mark) = work.filter(|_| self.desk.allowance.stopped().is_some() || error.position().is_none()) {
            self.desk.work_at.set(Some(mark));
            let number = |place: usize| u16::try_from(place).unwrap_or(u16::MAX);
            error.set_position(Position::new(number(mark.line), number(mark.column)));
        }
        error
    }
}

impl Work for Closures<'_> {
    fn perform(&self, work: usize) -> Result<(), Halted> {
        let closure: Option<FnPtr> = self.desk.works.borrow().get(work).cloned();
        let Some(closure) = closure else { return Ok(()) };
        let result = closure.call_within_context::<Dynamic>(self.ctx, (BenchHandle,));
        let result = result.map_err(|error| self.placed(error));
        match result {
            Ok(_) if self.desk.allowance.stopped().is_none() => Ok(()),
            Ok(_) => Err(Halted),
            Err(error) => {
                *self.failure.borrow_mut() = Some(error);
                Err(Halted)
            }
        }
    }
}
