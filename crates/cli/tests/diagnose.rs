//! `halfrow diagnose`: status, sentences and JSON.

mod common;

use common::{example, run_with};
use serde_json::Value;

fn diagnosed(slug: &str, words: &[&str]) -> (i32, String) {
    let output = run_with(&[&["diagnose", "-"], words].concat(), &example(slug));
    let text = if output.status.code() == Some(2) { output.stderr } else { output.stdout };
    (output.status.code().unwrap(), String::from_utf8(text).unwrap())
}

#[test]
fn two_readings_and_a_dark_lamp_name_the_leg_and_the_moves_that_mend_it() {
    let report =
        ["--seen", "D2=dark", "--read", "c12:L-3=0V", "--read", "R2=0V", "--read", "R2.2:L-3=5.4V", "--json"];
    let (status, text) = diagnosed("harbour-mouth", &report);
    assert_eq!(status, 1);
    let answer: Value = serde_json::from_str(&text).unwrap();
    let first = &answer["groups"][0];
    assert!(first["probability"].as_f64().unwrap() > 0.9, "{text}");
    assert!(first["says"].as_str().unwrap().starts_with("R2’s second leg isn’t in b12"), "{text}");
    for repair in first["repairs"].as_array().unwrap() {
        assert_eq!((repair["part"].as_str(), repair["pin"].as_str()), (Some("R2"), Some("2")));
    }
    assert!(answer["message"].as_str().unwrap().contains("R2’s second leg"), "{text}");
    let sum: f64 =
        answer["groups"].as_array().unwrap().iter().map(|it| it["probability"].as_f64().unwrap()).sum();
    assert!(sum + answer["unknown"].as_f64().unwrap() <= 1.0 + 1e-9);
}

#[test]
fn one_dark_lamp_asks_for_what_tells_most() {
    let (_, text) = diagnosed("harbour-mouth", &["--seen", "D2=dark", "--seen", "D1=lit", "--json"]);
    let answer: Value = serde_json::from_str(&text).unwrap();
    let next = &answer["next"];
    assert!(next["gain_bits"].as_f64().unwrap() > 0.3, "{text}");
    assert!(next["says"].as_str().unwrap().len() > 20);
    assert!(!next["means"].as_array().unwrap().is_empty());
}

#[test]
fn what_gets_hot_is_disconnected_first() {
    let (_, text) = diagnosed("harbour-mouth", &["--seen", "BT1=hot", "--seen", "D1=dark"]);
    assert!(text.starts_with("BT1 gets hot: disconnect the supply now"), "{text}");
}

#[test]
fn a_mail_is_read() {
    let path = std::env::temp_dir().join(format!("halfrow-mail-{}.txt", std::process::id()));
    std::fs::write(&path, "Hello! D2 stays dark, and I read 0 V across R2. D1, D3 and D4 are lit.").unwrap();
    let (_, text) = diagnosed("harbour-mouth", &["--mail", path.to_str().unwrap()]);
    std::fs::remove_file(&path).unwrap();
    assert!(
        text.contains("You write: D2 stays dark; 0.00 V across R2; D1 is lit; D3 is lit; D4 is lit."),
        "{text}"
    );
}

#[test]
fn what_cannot_be_is_told_and_the_rest_is_answered() {
    let report = ["--seen", "D2=dark", "--seen", "D2=lit", "--read", "R2=340V", "--seen", "R1=lit"];
    let (status, text) = diagnosed("harbour-mouth", &report);
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert_eq!(status, 1);
    assert!(text.contains("These two contradict each other"), "{text}");
    assert!(text.contains("340.00 V across R2: nothing on this plan gives that much"), "{text}");
    assert!(text.contains("R1 gives no light"), "{text}");
}

#[test]
fn bad_words_have_status_2_and_a_remedy() {
    for (words, says) in [
        (["--seen", "D9=dark"], "the plan has no part called “D9”"),
        (["--read", "c99=3V"], "the plan has no hole c99"),
        (["--read", "R2=3.4"], "no unit that fits"),
        (["--with", "SB9.pressed=true"], "no part of the plan can be set so"),
        (["--mail", "-"], "can’t both come from standard input"),
    ] {
        let (status, text) = diagnosed("harbour-mouth", &words);
        assert_eq!(status, 2, "{text}");
        assert!(text.contains(says), "{text}");
    }
}

#[test]
fn a_plan_that_is_wrong_itself_is_told_first() {
    let (_, text) = diagnosed("harbour-mouth-find-it", &["--seen", "D4=dark"]);
    assert!(text.starts_with("The plan itself is wrong:"), "{text}");
}

#[test]
fn two_hundred_readings_are_weighed() {
    let words: Vec<String> =
        (0..200).flat_map(|at| ["--read".to_owned(), format!("R2=5.{at:03}V")]).collect();
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    let (status, text) = diagnosed("harbour-mouth", &words);
    assert_eq!(status, 1);
    assert!(text.contains("more."), "{text}");
}
