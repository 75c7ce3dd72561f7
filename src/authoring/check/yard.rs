//! Checks a yard: its declarations, and its rule for mixed lots on sample lots.

use std::collections::BTreeSet;
use std::rc::Rc;

use super::subject::Subject;
use super::{Checked, Placed, Watch};
use crate::review::yard::{judge_samples, review, unreached as unreached_grades};
use crate::script::{Host, Script};
use crate::world::World;

/// Checks a yard and adds what was found.
pub(super) fn check(world: &World, script: &Script, watch: &Watch, checked: &mut Checked) {
    let host = world.host();
    let (yard, places) = match host.survey(script) {
        Ok(surveyed) => surveyed,
        Err(errors) => {
            checked.findings.extend(errors.into_iter().map(Placed::from));
            return;
        }
    };
    let place = |finding| Placed { file: script.file().clone(), source: script.source().clone(), finding };
    checked.findings.extend(review(&yard, &places, world.clock.today()).into_iter().map(place));
    if yard.mixed_rule().is_some() {
        let spent = || {
            watch.count();
            watch.spent(host)
        };
        let lots = judge_samples(&yard, host.catalogue().grades(), &places, &spent);
        checked.findings.extend(lots.findings.into_iter().map(place));
        checked.lots = Some(lots.judged);
        checked.lots_left = lots.left;
    }
}

/// Prices of a yard that none of these grades reaches.
pub(super) fn unreached(host: &Host, subject: &Subject, grades: &BTreeSet<String>) -> Option<Placed> {
    let script = host.open(&subject.file, &subject.text).ok()?;
    let (yard, places) = host.survey(&script).ok()?;
    let finding = unreached_grades(&yard, host.catalogue().grades(), grades, &places)?;
    Some(Placed { file: Rc::clone(script.file()), source: Rc::clone(script.source()), finding })
}
