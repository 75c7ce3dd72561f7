//! The stock and the quotes end inside an entry, as a power cut leaves them: told wherever they are read, written on only
//! after somebody at a terminal has said yes.

use crate::bench::Bench;

const LOGS: [&str; 2] = ["home/quotes.toml", "home/stock.toml"];

/// A session, quotes and finds, and both logs without their last bytes.
fn torn() -> Bench {
    let bench = Bench::stocked();
    bench.work(&["6 kg", "pause"]).exits(5);
    for price in ["3", "4"] {
        bench.run(&["quote", "brass", price, "--yard", "fixed-yard"]).exits(0);
        bench.run(&["stock", "add", "brass", "1.2 kg"]).exits(0);
    }
    for log in LOGS {
        let text = bench.read(log);
        bench.write(log, &text[..text.len() - 9]);
    }
    bench
}

#[test]
fn a_log_that_ends_inside_an_entry_is_told_wherever_it_is_read() {
    let bench = torn();
    let [quotes, stock] = LOGS.map(|log| format!("warning: {log}: line "));
    let both = [&*quotes, &*stock];
    for (arguments, told) in [
        (&["stock"][..], &both[..]),
        (&["stock", "--format", "json"], &both),
        (&["stock", "--format", "csv"], &both),
        (&["stock", "log"], &both[1..]),
        (&["load", "--yard", "fixed-yard"], &both),
        (&["quote"], &both[..1]),
        (&["prices", "brass"], &both[..1]),
        (&["tally", "--yard", "fixed-yard"], &both[..1]),
        (&["replay", "--all", "--yard", "fixed-yard"], &both[..1]),
        (&["plan", "test-box", "--yard", "fixed-yard"], &both[..1]),
        (&["report"], &both[..1]),
    ] {
        let ended = bench.call(arguments).env("COLUMNS", "1000").run();
        for words in told {
            assert_eq!(ended.err.matches(words).count(), 1, "{arguments:?}: {}", ended.err);
        }
        assert!(ended.err.contains("an entry that was never finished is left out"), "{arguments:?}: {}", ended.err);
        assert!(!ended.out.contains("never finished"), "{arguments:?}: {}", ended.out);
    }
    // In the shell each command tells it again.
    let ended = bench.call(&[]).env("COLUMNS", "1000").lines(&["quote", "recipes", "quote"]).run();
    assert_eq!(ended.err.matches(&quotes).count(), 2, "{}", ended.err);
}

#[test]
fn without_a_terminal_nothing_is_written_behind_a_torn_entry() {
    let bench = torn();
    let before = LOGS.map(|log| bench.read(log));
    bench.write("prices.csv", "name,price\nbrass,5\n");
    bench.write("ticket.toml", "line-1 = { name = \"brass\", weight = \"1 kg\", price = \"3\" }\nquotes = \"yes\"\n");
    for (arguments, log) in [
        (&["quote", "brass", "5", "--yard", "fixed-yard"][..], 0),
        (&["quote", "--csv", "prices.csv", "--yard", "fixed-yard"], 0),
        (&["quote", "--index", "copper-cash", "9 CAD/kg"], 0),
        (&["stock", "add", "brass", "1 kg"], 1),
        (&["stock", "move", "brass", "--to", "shelf"], 1),
        (&["stock", "undo"], 1),
        (&["stock", "redo"], 1),
        (&["load", "--yard", "fixed-yard", "--pack"], 1),
        (&["settle", "--answers", "ticket.toml", "--yard", "fixed-yard"], 1),
    ] {
        let ended = bench.call(arguments).env("COLUMNS", "1000").lines(&["yes", "yes"]).run().exits(1);
        let said = format!("error: {}, line ", LOGS[log]);
        assert!(ended.err.contains(&said) && ended.err.contains("say yes to put that piece aside"), "{}", ended.err);
        assert_eq!(LOGS.map(|log| bench.read(log)), before, "{arguments:?}");
    }
    let ended = bench.feed(&["resume", "--plain"], &["quote brass 5", "pause"]);
    assert!(ended.err.contains("the log ends inside an entry"), "{}", ended.err);
    assert_eq!(LOGS.map(|log| bench.read(log)), before);
    // What the message says to do by hand helps.
    let end = |text: &String| text.rfind("\n[[").unwrap();
    bench.write(LOGS[1], &before[1][..end(&before[1])]);
    bench.run(&["stock", "add", "brass", "1 kg"]).exits(0);
}
