//! Processes that are killed at random moments, as `kill -9` and the out-of-memory killer do it, in a campaign more than a thousand times:
//! while they work, while they recover from an earlier kill, and while they write everything else.

use std::io::{Read, Write};
use std::process::{Child, Stdio};
use std::time::{Duration, Instant};

use knockdown::store::{Home, Id};

use crate::bench::Bench;
use crate::sessions::{acknowledged, kept, lines};

/// A small generator of numbers, so that a failure can be had again with its seed.
struct Chance(u64);

impl Chance {
    fn below(&mut self, limit: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0 % limit.max(1)
    }
}

/// When a process is killed.
enum When {
    /// So long after it was started.
    After(Duration),
    /// So long after it has acknowledged so many lines.
    Acknowledged(usize, Duration),
}

/// Runs a call with lines on its input and kills it; what it had written, and whether the kill met it alive.
fn run_and_kill(bench: &Bench, arguments: &[&str], lines: &[String], when: &When) -> (String, bool) {
    let mut command = bench.call(arguments).command();
    command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::null());
    let mut child = command.spawn().unwrap();
    let text: String = lines.iter().map(|line| format!("{line}\n")).collect();
    let mut stdin = child.stdin.take().unwrap();
    // The program may be gone already, or end without reading all of it.
    let _written_or_not = stdin.write_all(text.as_bytes());
    drop(stdin);
    let mut stdout = child.stdout.take().unwrap();
    let mut output = Vec::new();
    match when {
        When::After(time) => std::thread::sleep(*time),
        When::Acknowledged(count, time) => {
            let mut some = [0; 512];
            while acknowledged(&String::from_utf8_lossy(&output)) < *count {
                match stdout.read(&mut some).unwrap() {
                    0 => break,
                    read => output.extend_from_slice(&some[..read]),
                }
            }
            std::thread::sleep(*time);
        }
    }
    let _alive_or_not = child.kill();
    stdout.read_to_end(&mut output).unwrap();
    (String::from_utf8_lossy(&output).into_owned(), was_killed(&mut child))
}

/// Whether a process was ended from outside.
fn was_killed(child: &mut Child) -> bool {
    let status = child.wait().unwrap();
    if cfg!(unix) { status.code().is_none() } else { !status.success() }
}

/// How long a whole session takes here and now.
fn length_of_a_session() -> Duration {
    let bench = Bench::stocked();
    let begun = Instant::now();
    let lines = lines();
    let lines: Vec<&str> = lines.iter().map(String::as_str).collect();
    bench.work(&lines).exits(0);
    begun.elapsed()
}

/// What the kills met.
#[derive(Debug, Default)]
struct Met {
    kills: usize,
    /// In the middle of a session: something was acknowledged by this process, and not everything.
    midway: usize,
    /// While a journal with a torn tail was taken up.
    recovering: usize,
    /// A line was on the disk but not yet acknowledged.
    ahead: usize,
    sessions: usize,
}

/// Works through sessions, killed all the time, until there were enough kills.
fn work_under_kills(mut chance: Chance, kills: usize) -> Met {
    let bench = Bench::stocked();
    let lines = lines();
    let mut met = Met::default();
    while met.kills < kills {
        met.sessions += 1;
        assert!(met.sessions < kills * 4, "hardly anything was killed: {met:?}");
        let id = format!("2026-11-02-test-box-{}", met.sessions);
        let mut told = 0;
        let length = length_of_a_session();
        let mut is_begun = false;
        for round in 0.. {
            assert!(round < 500, "{id} comes to no end: {met:?}");
            let when = match chance.below(2) {
                0 => When::After(length.mul_f64(1.2 * chance.below(1000) as f64 / 1000.0)),
                // A few at a time, so that a session is killed often before it ends.
                _ => When::Acknowledged(chance.below(12) as usize, Duration::from_micros(chance.below(1500))),
            };
            let call: &[&str] = if is_begun {
                &["resume", &id, "--plain"]
            } else {
                &["bench", "test-box", "--yard", "fixed-yard", "--plain"]
            };
            let planted = if is_begun && chance.below(2) == 0 { plant_torn_tail(&bench, &id) } else { None };
            let (output, killed) = run_and_kill(&bench, call, &lines[told..], &when);
            if !bench.has(&format!("home/sessions/{id}.toml")) {
                assert_eq!((acknowledged(&output), told), (0, 0), "{output}");
                met.kills += usize::from(killed);
                continue;
            }
            is_begun = true;
            let found = kept(&bench, &id, &lines);
            let answered = acknowledged(&output);
            assert!(found >= told + answered, "{id}: {told} + {answered} acknowledged, {found} found:\n{output}");
            if let Some(tail) = &planted {
                assert!(tail_is_kept(&bench, &id, tail), "{id}: a torn tail is gone");
            }
            met.kills += usize::from(killed);
            met.midway += usize::from(killed && answered > 0 && found < lines.len());
            met.recovering += usize::from(killed && planted.is_some());
            met.ahead += usize::from(found > told + answered);
            told = found;
            if found == lines.len() || met.kills >= kills {
                break;
            }
        }
    }
    bench.run(&["doctor"]).shows(&["sound  session 2026-11-02-test-box-1\n"]);
    met
}

/// Puts the beginning of an entry behind the last one, as a power cut leaves it; `None` if one is there from before.
fn plant_torn_tail(bench: &Bench, id: &str) -> Option<String> {
    let name = format!("home/sessions/{id}.toml");
    let journal = bench.read(&name);
    let seq = journal.matches("\n[[entry]]\n").count() + 1;
    let tail = format!("\n[[entry]]\nseq = {seq}\nat = \"2026-11-02T1");
    let is_whole = journal.ends_with("\"\n");
    is_whole.then(|| {
        bench.write(&name, &format!("{journal}{tail}"));
        tail
    })
}

/// Whether a torn tail is still behind the journal, or whole in a side file.
fn tail_is_kept(bench: &Bench, id: &str, tail: &str) -> bool {
    let in_a_side_file = |number: usize| {
        let name = format!("home/sessions/{id}.toml.torn-{number}");
        bench.has(&name) && bench.read(&name) == tail
    };
    bench.read(&format!("home/sessions/{id}.toml")).ends_with(tail) || (1..100).any(in_a_side_file)
}

/// Other things that are written, killed all the time.
fn write_under_kills(mut chance: Chance, wanted_kills: usize) -> usize {
    let bench = Bench::stocked();
    let home = Home::at(bench.path("home"));
    let mut kills = 0;
    let (mut quotes, mut finds, mut floor) = (0, 0, 0);
    let begun = Instant::now();
    bench.run(&["quote"]);
    let length = begun.elapsed();
    let mut tries = 0;
    while kills < wanted_kills {
        tries += 1;
        assert!(tries < wanted_kills * 20, "hardly anything was killed: {kills}");
        let after = When::After(length.mul_f64(0.02 * chance.below(100) as f64));
        let price = format!("{}.00", tries % 90 + 1);
        match chance.below(3) {
            0 => {
                let (output, killed) =
                    run_and_kill(&bench, &["quote", "brass", &price, "--yard", "fixed-yard"], &[], &after);
                kills += usize::from(killed);
                let found = home.quotes().unwrap().map_or(0, |reading| reading.records.len());
                let last = home.quotes().unwrap().and_then(|reading| reading.records.last().cloned());
                assert!((quotes + usize::from(output.contains(" on: "))..=quotes + 1).contains(&found), "{output}");
                assert!(found == quotes || last.is_some_and(|quote| quote.price.contains(&price)));
                quotes = found;
            }
            1 => {
                let (output, killed) = run_and_kill(&bench, &["stock", "add", "brass", "1.2 kg"], &[], &after);
                kills += usize::from(killed);
                let found = home.stock().unwrap().map_or(0, |reading| reading.records.len());
                assert!((finds + usize::from(output.contains("find-"))..=finds + 1).contains(&found), "{output}");
                finds = found;
            }
            _ => {
                let wanted = (tries % 90 + 1).to_string();
                let (output, killed) = run_and_kill(&bench, &["settings", "floor_per_hour", &wanted], &[], &after);
                kills += usize::from(killed);
                let found = home.config().unwrap().floor_per_hour.map_or(0, |text| text.parse::<usize>().unwrap());
                assert!(found.to_string() == wanted || (found == floor && output.is_empty()), "{found}: {output}");
                floor = found;
            }
        }
    }
    // A copy of a script is the whole of it or not there.
    for id in home.seen_scripts().unwrap().ids {
        home.seen_script(Id::as_str(&id)).unwrap();
    }
    bench.run(&["doctor"]).shows(&["sound  settings\n", "sound  quotes\n"]);
    kills
}

/// A settlement, killed all the time: a reader sees the ticket with its sale and its price, or none of it.
#[test]
fn a_settlement_that_is_killed_is_there_whole_or_not_at_all() {
    let bench = Bench::stocked();
    bench.run(&["stock", "add", "steel-light", "1.2 kg"]).exits(0);
    let find = bench.read("home/stock.toml");
    bench.write(
        "ticket.toml",
        "ticket = \"77\"\nline-1 = { name = \"Light iron\", weight = \"1.2 kg\", price = \"3.50\" }\nquotes = \"yes\"\n",
    );
    let call = ["settle", "--answers", "ticket.toml", "--yard", "fixed-yard"];
    let home = Home::at(bench.path("home"));
    let mut chance = Chance(0x5851_f42d_4c95_7f2d);
    let (mut kills, mut booked, mut unbooked) = (0, 0, 0);
    for round in 1..=200 {
        // How long a settlement takes hangs on the machine: it goes on until it was met before its last write and after it.
        if round > 20 && booked >= 1 && unbooked >= 3 {
            break;
        }
        bench.write("home/stock.toml", &find);
        let mut child = bench.call(&call).command().stdout(Stdio::null()).spawn().unwrap();
        // Its first write is the ticket; the others follow within a few milliseconds.
        let tickets = || home.tickets().unwrap().ids.len();
        let until = Instant::now() + Duration::from_secs(30);
        while tickets() < round && Instant::now() < until {
            std::thread::yield_now();
        }
        if round % 2 == 0 {
            std::thread::sleep(Duration::from_micros(chance.below(4000)));
        }
        let _alive_or_not = child.kill();
        kills += usize::from(was_killed(&mut child));
        let sold = !bench.run(&["stock", "--by", "lot"]).exits(0).out.contains("find-1");
        let prices = bench.run(&["quote"]).exits(0).out.matches("3.50 CAD").count();
        assert_eq!(prices, usize::from(sold), "round {round}: sold: {sold}");
        booked += usize::from(sold);
        unbooked += usize::from(!sold);
    }
    println!("killed {kills}, booked {booked}, not booked {unbooked}");
    assert!(kills >= 3 && booked >= 1 && unbooked >= 3, "{kills} kills, {booked} booked, {unbooked} not");
    bench.run(&["doctor"]).exits(0).shows(&["the program ended before its sale"]);
}

/// Kills so many processes on each of three threads: two in mid-session, one with other work.
fn kill_processes(each: usize) {
    let seed = 0x9e37_79b9_7f4a_7c15;
    let (first, second, others) = std::thread::scope(|scope| {
        let first = scope.spawn(|| work_under_kills(Chance(seed), each));
        let second = scope.spawn(|| work_under_kills(Chance(seed >> 3), each));
        let others = scope.spawn(|| write_under_kills(Chance(seed >> 7), each));
        (first.join().unwrap(), second.join().unwrap(), others.join().unwrap())
    });
    println!("killed in sessions: {first:?} {second:?}; with other work: {others}");
    assert!(first.kills + second.kills + others >= 3 * each);
    assert!(first.midway + second.midway >= each / 4, "{first:?} {second:?}");
    assert!(first.recovering + second.recovering >= each / 4, "{first:?} {second:?}");
}

#[test]
fn nothing_acknowledged_is_lost_when_processes_are_killed() {
    kill_processes(40);
}

#[test]
#[ignore = "a campaign"]
fn nothing_acknowledged_is_lost_when_1200_processes_are_killed() {
    kill_processes(400);
}
