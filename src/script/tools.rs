//! Bench tools at the host: reads their declarations and runs their work over answers.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;

use super::allowance::Stop;
use super::compiled::Script;
use super::error::ScriptError;
use super::host::Host;
use super::job::Job;
use crate::recipe::API_VERSION;
use crate::tool::{GivenInput, PastSession, Sheet, Till, Tool};

impl Host {
    /// Runs the declarations of a tool.
    ///
    /// # Errors
    /// Every fault found.
    pub fn tool(&self, script: &Script) -> Result<Tool, Vec<ScriptError>> {
        self.clear();
        self.evaluate(script, &script.declares).map_err(|error| vec![*error])?;
        let works = self.desk.tool_work.borrow().is_some();
        let tool = self.desk.tool.take().finish(self.catalogue().grades());
        let tool = tool.map_err(|faults| script.in_script(faults))?;
        if tool.needs_api > API_VERSION {
            let message =
                format!("this tool needs script version {}; this program speaks {API_VERSION}", tool.needs_api);
            return Err(vec![script.error(tool.mark, message, "use a newer Knockdown for it")]);
        }
        if !works {
            return Err(vec![script.error(tool.mark, "this tool works nothing out", "add works_out(|sheet| { … })")]);
        }
        Ok(tool)
    }

    /// Runs a tool's work over answers, one for every input; for a report, over sessions as well.
    ///
    /// # Errors
    /// Errors of the script. An impossible answer is no script error: it is returned in [`Sheet::refused`].
    pub fn work_out(
        &self,
        script: &Script,
        given: BTreeMap<String, GivenInput>,
        till: &Till,
        sessions: Option<Vec<PastSession>>,
    ) -> Result<Sheet, Vec<ScriptError>> {
        self.clear();
        let job = Rc::new(Job { given, till: till.clone(), sessions, sheet: RefCell::default() });
        *self.desk.order.borrow_mut() = Some(job.clone());
        let result = self.evaluate(script, &script.runs);
        self.desk.order.take();
        self.clear();
        let sheet = job.sheet.borrow().clone();
        match result {
            Err(_) if self.desk.allowance.stopped() == Some(Stop::Halted) && sheet.refused.is_some() => Ok(sheet),
            Err(error) => Err(vec![*error]),
            Ok(()) => Ok(sheet),
        }
    }
}
