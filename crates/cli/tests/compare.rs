//! `halfrow compare`: status, sentences and JSON.

mod common;

use common::{example, run_with};

/// A plan in a file of its own, since standard input is the build's.
fn with_plan(name: &str, plan: &str, build: &str, words: &[&str]) -> (i32, String) {
    let path = std::env::temp_dir().join(format!("halfrow-compare-{}-{name}.json", std::process::id()));
    std::fs::write(&path, plan).unwrap();
    let all = [&["compare", path.to_str().unwrap(), "-"], words].concat();
    let output = run_with(&all, build);
    std::fs::remove_file(&path).unwrap();
    (output.status.code().unwrap(), String::from_utf8(output.stdout).unwrap())
}

#[test]
fn an_equal_build_has_status_0() {
    let plan = example("harbour-mouth");
    let (status, text) = with_plan("equal", &plan, &plan, &[]);
    assert_eq!((status, text.as_str()), (0, "The build is the plan’s circuit.\n"));
}

#[test]
fn a_leg_one_row_off_is_one_move_and_nothing_shorter_does_it() {
    let plan = example("harbour-mouth");
    let build = plan.replace("\"b12\"", "\"b13\"");
    let (status, text) = with_plan("row", &plan, &build, &[]);
    assert_eq!(status, 1);
    assert!(text.starts_with("One move makes it the plan’s circuit. Nothing shorter does it.\n"), "{text}");
    assert!(text.contains("Move R2’s second leg from b13 to b12"), "{text}");
    let (status, text) = with_plan("json", &plan, &build, &["--json"]);
    let answer: serde_json::Value = serde_json::from_str(&text).unwrap();
    assert_eq!(status, 1);
    assert_eq!(
        (answer["equal"].as_bool(), answer["cost"].as_u64(), answer["bound"].as_u64()),
        (Some(false), Some(1), Some(1))
    );
    let first = &answer["moves"][0];
    assert_eq!(
        (first["kind"].as_str(), first["part"].as_str(), first["pin"].as_str()),
        (Some("leg"), Some("R2"), Some("2"))
    );
    assert_eq!((first["from"].as_str(), first["to"][0].as_str()), (Some("b13"), Some("b12")));
    assert_eq!(answer["names"]["D2"], "D2");
    let (status, text) = with_plan("mended", &plan, &answer["mended"].to_string(), &[]);
    assert_eq!((status, text.lines().count()), (0, 1), "{text}");
}

#[test]
fn a_plan_on_paper_needs_no_holes() {
    let plan = r#"{ "halfrow": 1, "parts": [
        { "id": "BT1", "kind": "battery" }, { "id": "R1", "kind": "resistor" }, { "id": "D1", "kind": "led" }],
        "joints": [["BT1 +", "R1 1"], ["R1 2", "D1 A"], ["D1 K", "BT1 -"]] }"#;
    let build = r#"{ "halfrow": 1, "boards": [{ "id": "A", "kind": "half" }], "parts": [
        { "id": "B9", "kind": "battery", "pins": { "+": "L+1", "-": "L-1" } },
        { "id": "D9", "kind": "led", "pins": { "A": "L+3", "K": "a7" } },
        { "id": "R9", "kind": "resistor", "pins": { "1": "b7", "2": "L-9" } }] }"#;
    let (status, text) = with_plan("paper", plan, build, &[]);
    assert_eq!(status, 0, "{text}");
    assert!(text.contains("D9 and R9 are in series, so their order makes no difference."), "{text}");
}

#[test]
fn bad_input_has_status_2() {
    assert_eq!(run_with(&["compare", "-", "-"], "").status.code(), Some(2));
    assert_eq!(with_plan("bad", "{", &example("harbour-mouth"), &[]).0, 2);
}
