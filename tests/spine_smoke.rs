use knockdown::bench::*;
use knockdown::script::*;
use std::rc::Rc;
#[test]
fn smoke() {
    let cat = Rc::new(Catalogue::new(
        include_str!("../scripts/catalogue/grades.toml"),
        include_str!("../scripts/catalogue/hazards.toml"),
    ));
    let t = std::time::Instant::now();
    let host = Host::new(cat, Library::default());
    println!("host {:?}", t.elapsed());
    let src = include_str!("../recipes/countertop-oven.rhai");
    let t = std::time::Instant::now();
    println!("{:?}", host.glance("x.rhai", src));
    println!("glance {:?}", t.elapsed());
    let t = std::time::Instant::now();
    let s = host.open("x.rhai", src).unwrap();
    println!("open {:?}", t.elapsed());
    let r = host.recipe(&s);
    println!("{:?}", r.as_ref().map(|r| r.steps().len()));
    let mut entries: Vec<Entry> = vec![];
    for a in ["13 kg", "do", "DISCHARGED", "5", "do", "silver", "3.6 kg", "6", "do", "0.6kg", "12", "difference"] {
        let t = host.run(&s, Rc::new(Standing::of(&entries))).unwrap();
        let q = t.waits().unwrap().clone();
        println!("{} | {}", q.name(), q.text);
        let rules = knockdown::quantity::WeighingRules {
            notation: Default::default(),
            unit: knockdown::quantity::MassUnit::Kilogram,
            tare: &|_| None,
        };
        let ans = interpret(&q, a, &rules).unwrap();
        let ex = exact(&q, &ans);
        println!("   {ex}");
        entries.push(Entry {
            seq: 1,
            at: "".into(),
            kind: Kind::Answer,
            question: Some(q.name()),
            typed: Some(a.into()),
            understood: Some(ex),
            origin: None,
        });
    }
    let t = host.run(&s, Rc::new(Standing::of(&entries))).unwrap();
    println!("{:?} {:?}", t.end, t.state.parts);
    for bad in [
        r#"unit("a","b").weighs(3).sold_whole_as("steel");"#,
        r#"unit("a","b").weighs(3.kgs).sold_whole_as("steel");"#,
        r#"unit("a","b").weighs(3.kg).sold_whole_as("steeel"); step("x").minuts(1,2,3);"#,
        r#"unit("a","b").weighs(3.kg).sold_whole_as("stel"); step("x").minutes(1,2,3);"#,
        "let x = 3\nlet y = 4;",
        "loop {}",
        "fn step(x) { 1 }",
        "__run();",
        r#"unit("a","b").weighs(3.kg).sold_whole_as("steel"); step("x").minutes(1,2,3).after(3);"#,
        "let a = 7/2; throw a;",
        r#"import "foo" as x;"#,
        "print(1)",
        r#"unit("a")"#,
        r#"unit("a","b").weighs(3.kg..2.kg)"#,
        r#"unit("a","b").weighs(3.kg).sold_whole_as("steel"); step("x").minutes(1,2,3).after("y");"#,
    ] {
        match host.open("bad.rhai", bad) {
            Err(e) => println!("OPEN {e}"),
            Ok(s) => println!(
                "RECIPE {:?}",
                host.recipe(&s).map_err(|e| e.iter().map(|e| e.to_string()).collect::<Vec<_>>())
            ),
        }
    }
}
