//! Killed in mid-question: every acknowledged answer is there.

use crate::bench::Bench;
use crate::stock::WHOLE;

#[test]
fn every_acknowledged_answer_survives_a_kill_at_each_question() {
    let bench = Bench::stocked();
    for answered in 0..WHOLE.len() {
        let mut running = bench.call(&["bench", "test-box", "--yard", "fixed-yard", "--plain"]).start();
        for line in &WHOLE[..answered] {
            running.waits_for("> ");
            running.types(line);
        }
        // The next question is the acknowledgement of the answer before it.
        running.waits_for("> ");
        running.kill();
        let session = format!("test-box-{}", answered + 1);
        let left = [&WHOLE[answered..], &["difference"]].concat();
        bench
            .feed(&["resume", &session], &left)
            .exits(0)
            .shows(&[&format!("has {answered} answer"), "Net                                        3.52\n"]);
    }
    bench.run(&["doctor"]).exits(0);
}

#[test]
fn a_torn_last_entry_is_moved_aside_and_said() {
    let bench = Bench::stocked();
    bench.work(&["6 kg", "do"]).exits(5);
    let name = "home/sessions/2026-11-02-test-box-1.toml";
    let journal = bench.read(name);
    bench.write(name, &journal[..journal.len() - 10]);
    bench.feed(&["resume"], &["pause"]).exits(5).shows(&[
        "has 2 answers.",
        "An entry that was never finished was moved to\n  home/sessions/2026-11-02-test-box-1.toml.torn-1.\n",
        "Weigh: lid",
    ]);
    assert!(bench.has("home/sessions/2026-11-02-test-box-1.toml.torn-1"));
}

#[test]
fn one_writer_at_a_time() {
    let bench = Bench::stocked();
    let mut running = bench.call(&["bench", "test-box", "--yard", "fixed-yard", "--plain"]).start();
    running.waits_for("> ");
    let ended = bench.run(&["resume"]).exits(1).prints("");
    assert!(
        ended.err.starts_with("error: home/sessions/2026-11-02-test-box-1.lock is in use by process "),
        "{}",
        ended.err
    );
    // Looking needs no lock, and a second session has its own.
    bench.run(&["tally"]).exits(0);
    bench.work(&["pause"]).exits(5).shows(&["Session 2026-11-02-test-box-2\n"]);
    running.types("6 kg");
    running.waits_for("Take off the lid?");
    running.kill();
    bench.feed(&["resume", "test-box-1"], &["pause"]).exits(5).shows(&["has 1 answer."]);
}

#[cfg(unix)]
#[test]
fn asked_to_end_by_the_system() {
    use std::os::unix::process::ExitStatusExt;
    let bench = Bench::stocked();
    for (signal, code) in [("-TERM", 143), ("-HUP", 129)] {
        let mut command = bench.call(&["bench", "test-box", "--plain"]).command();
        let mut child =
            command.stdin(std::process::Stdio::piped()).stdout(std::process::Stdio::piped()).spawn().unwrap();
        let mut byte = [0; 1];
        // The program has begun to write: it is past setting up.
        std::io::Read::read_exact(child.stdout.as_mut().unwrap(), &mut byte).unwrap();
        let killed = std::process::Command::new("kill").args([signal, &child.id().to_string()]).status().unwrap();
        assert!(killed.success());
        // Waiting closes an input that the child still holds, and the end of input is another way to end.
        let input = child.stdin.take();
        let status = child.wait().unwrap();
        drop(input);
        assert_eq!((status.code(), status.signal()), (Some(code), None));
    }
}
