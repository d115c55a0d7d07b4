//! The harness itself: that its pointer, keys, files and clocks do what their names say. On a small
//! page of its own, so that a fault here is not looked for in Halfrow.

use halfrow_e2e::visit::Visit;
use halfrow_e2e::watch::Look;
use halfrow_e2e::wire::Result;
use halfrow_server::{Policy, Setup};
use std::fs;

const PAGE: &str = r##"<!doctype html><title>harness</title>
<style>body { margin: 0 } svg { display: block; width: 400px; height: 200px }</style>
<svg id="drawing" viewBox="-50 0 100 50"><circle id="hole" cx="10" cy="20" r="2"/></svg>
<input id="field" value="old"><button id="say" aria-label="Say it">say</button>
<input id="file" type="file"><a id="save" download="bench.json" href="data:application/json,%7B%7D">save</a>
<script>
  window.heard = [];
  for (const kind of ["click", "dblclick", "contextmenu", "keydown", "wheel", "paste", "touchend"])
    addEventListener(kind, (e) => heard.push(`${kind} ${e.target.id || "page"} ${e.key ?? ""}`.trim()), true);
  say.onclick = () => console.error("said");
  addEventListener("beforeunload", (e) => e.preventDefault());
</script>"##;

fn visit() -> Result<(tempfile::TempDir, Visit)> {
    let folder = tempfile::tempdir().expect("a folder");
    fs::write(folder.path().join("index.html"), PAGE).expect("a page");
    let mut visit = Visit::of(folder.path(), Setup { policy: Policy::Silent, ..Setup::default() })?;
    visit.page.open(&visit.address(""))?;
    Ok((folder, visit))
}

fn heard(visit: &mut Visit) -> Result<Vec<String>> {
    let heard = visit.page.evaluate("heard.splice(0)")?;
    Ok(heard.as_array().into_iter().flatten().filter_map(|word| word.as_str().map(str::to_owned)).collect())
}

#[test]
#[ignore = "needs Chromium: cargo xtask test --only e2e"]
fn the_pointer_hits_what_it_is_sent_to() -> Result {
    let (_folder, mut visit) = visit()?;
    visit.page.click_in("#drawing", 10.0, 20.0)?;
    visit.page.click_at("#drawing", 241.0, 81.0)?;
    assert_eq!(heard(&mut visit)?, ["click hole", "click hole"]);
    visit.page.double_click("#hole")?;
    assert_eq!(heard(&mut visit)?, ["click hole", "click hole", "dblclick hole"]);
    visit.page.right_click_point(240.0, 80.0)?;
    visit.page.wheel((240.0, 80.0), (0.0, 100.0), 2)?;
    visit.page.tap_in("#drawing", 10.0, 20.0)?;
    visit.page.wait_for("heard.length >= 4")?;
    assert_eq!(heard(&mut visit)?, ["contextmenu hole", "wheel hole", "touchend hole", "click hole"]);
    assert!(visit.page.click_in("#drawing", 5000.0, 20.0).is_err(), "out of sight");
    assert!(visit.page.click("#absent").is_err());
    Ok(())
}

#[test]
#[ignore = "needs Chromium: cargo xtask test --only e2e"]
fn keys_type_and_command() -> Result {
    let (_folder, mut visit) = visit()?;
    visit.page.fill("#field", "e12, 4.7 kΩ")?;
    assert_eq!(visit.page.evaluate("field.value + ' ' + document.activeElement.id")?, "e12, 4.7 kΩ say");
    visit.page.keys("Shift+Tab Control+a Control+c Delete Control+v Control+v")?;
    assert_eq!(visit.page.evaluate("field.value")?, "e12, 4.7 kΩe12, 4.7 kΩ");
    assert_eq!(heard(&mut visit)?.iter().filter(|word| *word == "paste field").count(), 2);
    Ok(())
}

#[test]
#[ignore = "needs Chromium: cargo xtask test --only e2e"]
fn files_come_and_go() -> Result {
    let (_folder, mut visit) = visit()?;
    let folder = tempfile::tempdir().expect("a folder");
    let bench = folder.path().join("mine.json");
    fs::write(&bench, "{\"halfrow\":1}").expect("a file");
    visit.page.choose_file("#file", &bench)?;
    assert_eq!(visit.page.evaluate("file.files[0].text()")?, "{\"halfrow\":1}");
    let (name, content) = visit.download(|page| page.click("#save"))?;
    assert_eq!((name.as_str(), content.as_slice()), ("bench.json", b"{}".as_slice()));
    Ok(())
}

#[test]
#[ignore = "needs Chromium: cargo xtask test --only e2e"]
fn errors_requests_and_names_are_seen() -> Result {
    let (_folder, mut visit) = visit()?;
    assert_eq!(visit.page.errors()?.iter().filter(|error| !error.contains("favicon")).count(), 0);
    visit.page.click("#say")?;
    visit.page.evaluate("void setTimeout(() => { throw new Error('thrown') }, 0)")?;
    visit.page.evaluate("fetch('http://127.0.0.1:9/other').catch(() => 0)")?;
    let errors = visit.page.errors()?;
    assert!(errors.iter().any(|error| error == "said"), "{errors:?}");
    assert!(errors.iter().any(|error| error.contains("thrown")), "{errors:?}");
    assert_eq!(visit.page.foreign_requests()?, ["http://127.0.0.1:9/other"]);
    let tree = visit.page.tree()?;
    assert!(tree.iter().any(|node| node.role == "button" && node.name == "Say it"), "{tree:?}");
    Ok(())
}

#[test]
#[ignore = "needs Chromium: cargo xtask test --only e2e"]
fn the_page_is_shown_as_told() -> Result {
    let (_folder, mut visit) = visit()?;
    let media = |visit: &mut Visit| {
        let script = "['(prefers-color-scheme: dark)', '(forced-colors: active)', '(prefers-reduced-motion)', 'print'] \
                      .map((query) => +matchMedia(query).matches).join('')";
        visit.page.evaluate(script)
    };
    assert_eq!(media(&mut visit)?, "0000");
    visit.page.look(Look::Dark)?;
    visit.page.less_motion(true)?;
    assert_eq!(media(&mut visit)?, "1010");
    visit.page.look(Look::Forced)?;
    visit.page.less_motion(false)?;
    visit.page.on_paper(true)?;
    assert_eq!(media(&mut visit)?, "0101");
    visit.page.resize(360, 740)?;
    assert_eq!(visit.page.evaluate("innerWidth")?, 360);
    assert!(visit.page.screenshot()?.starts_with(b"\x89PNG"));
    Ok(())
}

#[test]
#[ignore = "needs Chromium: cargo xtask test --only e2e"]
fn a_question_before_leaving_holds_nothing_up() -> Result {
    let (_folder, mut visit) = visit()?;
    // Chromium asks only on a page that was used.
    visit.page.click("#field")?;
    visit.page.reload()?;
    assert_eq!(visit.page.evaluate("heard.length")?, 0);
    Ok(())
}

/// A page that needs 40 ms for each move is told from one that needs none, and a slowed processor
/// from a free one: else the figures of the bench would mean nothing.
#[test]
#[ignore = "needs Chromium: cargo xtask test --only e2e"]
fn slow_moves_are_seen_as_slow() -> Result {
    let (_folder, mut visit) = visit()?;
    let path: Vec<(f64, f64)> = (0..11).map(|step| (100.0 + 10.0 * f64::from(step), 80.0)).collect();
    let quick = visit.page.time_moves(&path)?;
    visit.page.evaluate(
        "addEventListener('pointermove', () => { const end = performance.now() + 40; while (performance.now() < end); })",
    )?;
    let slow = visit.page.time_moves(&path)?;
    assert_eq!((quick.len(), slow.len()), (10, 10));
    let least = |times: &[f64]| times.iter().copied().fold(f64::INFINITY, f64::min);
    assert!(least(&quick) < least(&slow) && least(&slow) >= 40.0, "{quick:?} {slow:?}");
    Ok(())
}

#[test]
#[ignore = "needs Chromium: cargo xtask test --only e2e"]
fn the_processor_is_slowed_also_across_loads() -> Result {
    let (_folder, mut visit) = visit()?;
    // Two hundred short pieces. Free, the shortest of them tells the speed, for some come between what else
    // the machine does. Slowed, their mean does: what else the machine does can only make it longer.
    let work = "(() => { const times = []; for (let round = 0; round < 200; round++) { \
                const start = performance.now(); let x = 0; for (let i = 0; i < 2e6; i++) x += Math.sqrt(i); \
                times.push(performance.now() - start + 0 * x); } return times; })()";
    let times = |answer: serde_json::Value| -> Vec<f64> {
        answer.as_array().into_iter().flatten().filter_map(serde_json::Value::as_f64).collect()
    };
    let free = times(visit.page.evaluate(work)?);
    visit.page.throttle(6.0)?;
    visit.page.open(&visit.address("?again"))?;
    let slowed = times(visit.page.evaluate(work)?);
    let least = free.iter().copied().fold(f64::INFINITY, f64::min);
    let mean = slowed.iter().sum::<f64>() / slowed.len() as f64;
    assert_eq!((free.len(), slowed.len()), (200, 200));
    let (free, slowed) = (least, mean);
    assert!(slowed > 2.0 * free, "{free} ms, then {slowed} ms");
    Ok(())
}
