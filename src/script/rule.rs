//! A yard's rule for mixed lots, as its script states it.

use std::rc::Rc;

use rhai::{Dynamic, Engine, ImmutableString, Scope};

use super::catch::settle;
use super::compiled::Script;
use super::desk::HostState;
use super::values::seen;
use crate::market::{MixVerdict, MixedLot, MixedRule};
use crate::naming::one_line;

/// A yard's rule for mixed lots, written in its script. The script runs afresh for every lot: what a rule remembers of
/// one lot must not affect the next.
pub(super) struct ScriptedRule {
    pub engine: Rc<Engine>,
    pub desk: Rc<HostState>,
    pub script: Script,
}

impl MixedRule for ScriptedRule {
    fn judge(&self, lot: &MixedLot) -> Result<MixVerdict, String> {
        self.desk.clear();
        self.desk.allowance.begin();
        self.desk.library.stand_in(&self.script.then);
        let call = || {
            self.engine.eval_ast_with_scope::<Dynamic>(&mut Scope::new(), &self.script.declares).map(drop)?;
            let rule = self.desk.mixed.take().ok_or("the rule is gone")?;
            let verdict = rule.call::<Dynamic>(&self.engine, &self.script.declares, (Rc::new(lot.clone()),))?;
            let settled = verdict.read_lock::<MixVerdict>().map(|verdict| verdict.clone());
            Ok(settled.ok_or_else(|| {
                verdict.read_lock::<ImmutableString>().map(|grade| grade.clone()).ok_or_else(|| seen(&verdict))
            }))
        };
        let verdict = settle(&self.desk, &self.script, call).map_err(|error| error.to_string());
        self.desk.clear();
        let grade = match verdict? {
            Ok(verdict) => return Ok(verdict),
            Err(Ok(grade)) => grade,
            Err(Err(seen)) => {
                let wanted = "it must give a grade, lot.less(…) or lot.refuse(…)";
                return Err(format!("{}: the rule for mixed lots gave {seen}; {wanted}", self.script.file));
            }
        };
        match self.desk.catalogue.grades().get(&grade) {
            Some(_) => Ok(MixVerdict::AsGrade(grade.to_string())),
            None => {
                let grade = one_line(&grade, 80);
                Err(format!("{}: the rule for mixed lots gave `{grade}`, which is no grade", self.script.file))
            }
        }
    }
}
