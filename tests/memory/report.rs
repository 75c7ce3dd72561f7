//! Reports and bench sheets.

use super::Folder;

#[test]
fn a_page_needs_nothing_from_elsewhere_and_shows_the_tally() {
    let folder = Folder::new();
    folder.oven("2026-11-03", "8 lb", Some("<script>alert(1)</script> & Co"));
    folder.oven("2026-12-03", "8 lb", None);
    let file = folder.path().join("page.html");
    folder.says(&["report", "--all", "--out", file.to_str().unwrap()]);
    let page = std::fs::read_to_string(&file).unwrap();
    assert!(!page.contains("<script") && !page.contains("http:") && !page.contains("https:") && !page.contains("url("));
    assert!(page.contains("&lt;script&gt;alert(1)&lt;/script&gt; &amp; Co"));
    for wanted in [
        "For your books",
        "No ticket is booked yet",
        "Estimates",
        "2026-12",
        "Weighed to sell",
        "<svg",
        "Net",
        "prefers-color-scheme: dark",
        "@media print",
    ] {
        assert!(page.contains(wanted), "{wanted} is missing");
    }
    for tag in ["table", "tr", "td", "th", "div", "svg", "ul", "li", "p", "figure", "tbody", "thead", "span"] {
        let opened = page.matches(&format!("<{tag}>")).count() + page.matches(&format!("<{tag} ")).count();
        assert_eq!(opened, page.matches(&format!("</{tag}>")).count(), "<{tag}> opened and closed");
    }
    let net = folder.json(&["replay", "2026-12", "--format", "json"])["sessions"][0]["was"]["net"].clone();
    assert!(page.contains(&format!(">{}<", net.as_str().unwrap())), "{net}");
}

#[test]
fn markdown_says_the_same() {
    let folder = Folder::new();
    folder.oven("2026-11-03", "8 lb", None);
    let text = folder.says(&["report", "--format", "markdown"]);
    assert!(text.contains("| step | min | adds | per hour |") && text.contains("Weighed to sell:"), "{text}");
}

#[test]
fn a_sheet_shows_every_hazard_in_full_and_room_to_write() {
    let folder = Folder::new();
    for form in ["text", "html"] {
        let sheet = folder.says(&["sheet", "oven", "--format", form]).replace("&#39;", "'").replace("&gt;", ">");
        let sheet = sheet.split_whitespace().collect::<Vec<_>>().join(" ");
        let recipe = include_str!("../../recipes/countertop-oven.rhai");
        for title in recipe.lines().filter_map(|line| line.strip_prefix("step(\"")?.split("\", \"").nth(1)) {
            let title = title.split('"').next().unwrap();
            assert!(sheet.contains(title), "{form}: {title}");
        }
        // Every caution of the gravest hazard, word for word from the catalogue.
        let hazards: toml::Table = include_str!("../../scripts/catalogue/hazards.toml").parse().unwrap();
        let known = hazards["hazard"].as_array().unwrap().iter().find(|h| h["id"].as_str() == Some("stored-charge-hv"));
        for caution in known.unwrap()["cautions"].as_array().unwrap() {
            let caution = caution.as_str().unwrap();
            assert!(sheet.contains(caution), "{form}: {caution}");
        }
        assert!(sheet.contains("no substitute for local codes"), "{form}");
    }
    let text = folder.says(&["sheet", "oven", "--format", "text"]);
    assert!(text.contains("[ ] 1. ") && text.lines().all(|line| line.chars().count() <= 72), "{text}");
}

#[test]
fn both_forms_of_a_report_round_weights_alike() {
    let folder = Folder::new();
    folder.oven("2026-03-05", "3410 g", None);
    folder.oven("2026-04-05", "3270 g", None);
    let markdown = folder.says(&["report", "all", "--format", "markdown"]);
    let html = folder.says(&["report", "all"]);
    let rows: Vec<&str> = markdown.lines().filter(|line| line.starts_with("| 2026")).collect();
    assert_eq!(rows.len(), 3, "{markdown}");
    for row in rows {
        let weight = row.trim_end_matches(" |").rsplit("| ").next().unwrap();
        assert!(weight.ends_with(" kg") && html.contains(&format!(">{weight}<")), "{weight} of {row}");
    }
}
