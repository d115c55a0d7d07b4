//! The binary itself: what it prints, where, and with which exit status.

mod common;

use std::io::{Read, Write};
use std::path::PathBuf;
use std::process::{Command, Stdio};

use common::run_with;
use halfrow_file::examples::{ALL, all, find};
use serde_json::Value;

/// Runs `halfrow` on an example from standard input: exit status and standard output.
fn on_example(command: &[&str], slug: &str) -> (i32, String) {
    let words: Vec<&str> = command.iter().copied().chain(["-"]).collect();
    let output = run_with(&words, find(slug).expect("an example").text());
    assert!(output.stderr.is_empty(), "{}", String::from_utf8_lossy(&output.stderr));
    (output.status.code().expect("an exit status"), String::from_utf8(output.stdout).expect("text"))
}

/// The message of a request that must fail with status 2 and print nothing else.
fn refused(words: &[&str], input: &str) -> String {
    let output = run_with(words, input);
    let message = String::from_utf8(output.stderr).expect("text");
    assert_eq!(output.status.code(), Some(2), "{words:?}: {message}");
    assert!(output.stdout.is_empty(), "{words:?}");
    assert!(message.starts_with("halfrow: ") && message.trim_end().lines().count() == 1, "{message}");
    message
}

fn json(text: &str) -> Value {
    serde_json::from_str(text).expect("JSON")
}

/// A file with some bytes that is gone when the test ends.
struct Kept(PathBuf);

impl Kept {
    fn new(name: &str, bytes: &[u8]) -> Kept {
        let path = std::env::temp_dir().join(format!("halfrow-{}-{name}", std::process::id()));
        std::fs::write(&path, bytes).expect("a file in the temporary folder");
        Kept(path)
    }

    fn name(&self) -> &str {
        self.0.to_str().expect("a plain name")
    }
}

impl Drop for Kept {
    fn drop(&mut self) {
        std::fs::remove_file(&self.0).ok();
    }
}

#[test]
fn solve_tells_people_voltages_currents_and_states() {
    let (status, text) = on_example(&["solve"], "harbour-mouth");
    assert_eq!(status, 0);
    let led = text.lines().find(|line| line.starts_with("D1 red")).expect("a line for D1");
    assert_eq!(
        led.split_whitespace().collect::<Vec<_>>(),
        ["D1", "red", "A", "e6", "1.97", "V", "15.5", "mA", "30.6", "mW", "lit"]
    );
    assert!(text.starts_with("Harbour mouth\n"));
}

#[test]
fn solve_tells_programs_nets_and_parts() {
    let (status, text) = on_example(&["solve", "--json"], "harbour-mouth");
    assert_eq!(status, 0);
    let told = json(&text);
    let led = &told["parts"]["D1"];
    let (into, out) =
        (led["pins"]["A"]["amps"].as_f64().unwrap(), led["pins"]["K"]["amps"].as_f64().unwrap());
    // Currents count into the part, so that what comes in at one leg goes out at the other.
    assert!((0.014..0.017).contains(&into) && (into + out).abs() < 1e-9, "{led}");
    assert_eq!(led["state"], "lit");
    let across = led["pins"]["A"]["volts"].as_f64().unwrap() - led["pins"]["K"]["volts"].as_f64().unwrap();
    assert!((led["watts"].as_f64().unwrap() - into * across).abs() < 1e-9);
    let net_of = |hole: &str| {
        let nets = told["nets"].as_array().expect("a list");
        let mut of = nets.iter().filter(|net| net["holes"].as_array().unwrap().contains(&hole.into()));
        let net = of.next().unwrap_or_else(|| panic!("no net has {hole}"));
        assert!(of.next().is_none(), "{hole} is in two nets");
        net
    };
    assert_eq!(net_of("L-1")["id"], net_of("j6")["id"]);
    assert_eq!(net_of("L-1")["volts"], 0.0);
    assert_ne!(net_of("b6")["id"], net_of("b12")["id"]);
}

#[test]
fn volts_are_null_where_nothing_ties_a_net_to_a_supply() {
    let bench = r#"{"halfrow":1,"boards":[{"id":"A","kind":"half"}],
        "parts":[{"id":"R1","kind":"resistor","pins":{"1":"a1","2":"a5"}}]}"#;
    let told = json(&String::from_utf8(run_with(&["solve", "-", "--json"], bench).stdout).unwrap());
    assert_eq!(told["nets"].as_array().unwrap().len(), 2);
    assert!(told["nets"].as_array().unwrap().iter().all(|net| net["volts"].is_null()), "{told}");
    assert!(told["parts"]["R1"]["pins"]["1"]["volts"].is_null());
    let text = String::from_utf8(run_with(&["solve", "-"], bench).stdout).unwrap();
    assert!(text.contains("nothing ties it to a supply"), "{text}");
}

#[test]
fn an_empty_bench_is_no_mistake() {
    let empty = r#"{"halfrow":1,"boards":[{"id":"A","kind":"half"}],"parts":[]}"#;
    for (words, told) in [
        (["solve", "-"], "Untitled bench: no parts on it yet.\n"),
        (["check", "-"], "Untitled bench: nothing is wrong.\n"),
    ] {
        let output = run_with(&words, empty);
        assert_eq!(
            (output.status.code(), String::from_utf8(output.stdout).unwrap().as_str()),
            (Some(0), told)
        );
    }
    let told = json(&String::from_utf8(run_with(&["solve", "-", "--json"], empty).stdout).unwrap());
    assert_eq!((told["nets"].as_array().map(Vec::len), told["settled"].as_bool()), (Some(0), Some(true)));
}

#[test]
fn check_ends_with_0_on_a_right_bench_and_1_with_findings() {
    for example in &ALL {
        let (status, text) = on_example(&["check"], example.slug);
        let (json_status, told) = on_example(&["check", "--json"], example.slug);
        assert_eq!(status, json_status);
        let told = json(&told);
        let findings = told["findings"].as_array().expect("a list");
        let Some(mistake) = example.mistake else {
            assert_eq!((status, findings.len()), (0, 0), "{}: {text}", example.slug);
            assert_eq!(text, format!("{}: nothing is wrong.\n", example.title));
            continue;
        };
        assert_eq!(status, 1, "{}", example.slug);
        let [finding] = findings.as_slice() else { panic!("{}: {told}", example.slug) };
        assert_eq!(finding["severity"], "fault");
        // Where a wire misses a chip's pin, the chip is what the finding names.
        let of_a_wire = mistake.starts_with('W') && finding["parts"][0] == "U1";
        assert!(of_a_wire || finding["parts"][0] == mistake, "{}: {told}", example.slug);
        for key in ["code", "symptom", "says", "why", "remedy"] {
            assert!(finding[key].as_str().is_some_and(|text| !text.is_empty()), "{key}");
        }
        for hole in finding["holes"].as_array().expect("a list") {
            assert!(halfrow_core::board::Hole::parse(hole.as_str().unwrap()).is_some());
        }
        // People read the same sentences, set to lines.
        let flat = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
        for key in ["symptom", "says", "why", "remedy"] {
            assert!(flat(&text).contains(&flat(finding[key].as_str().unwrap())), "{key}: {text}");
        }
    }
}

#[test]
fn the_list_is_the_wiring_list_and_reads_back() {
    let (status, text) = on_example(&["list"], "stair-light");
    assert_eq!(status, 0);
    let bench = halfrow_file::read(find("stair-light").unwrap().text()).unwrap();
    assert_eq!(halfrow_file::wiring::from_text(&text, &bench), Ok(bench.clone()));
    let told = json(&on_example(&["list", "--json"], "stair-light").1);
    assert_eq!(told["parts"].as_array().unwrap().len(), bench.parts.len());
    assert_eq!(told["parts"][2]["id"], "S1");
    assert_eq!(told["parts"][2]["pins"]["2"], "b5");
}

#[test]
fn open_gives_back_what_link_packed() {
    for example in &ALL {
        let (status, link) = on_example(&["link"], example.slug);
        assert_eq!(status, 0);
        let opened = run_with(&["open", link.trim_end()], "");
        assert_eq!(opened.status.code(), Some(0));
        let text = String::from_utf8(opened.stdout).unwrap();
        assert_eq!(halfrow_file::read(&text), halfrow_file::read(example.text()));
        // A long link fits no shell's line; standard input takes it, with an address before it.
        let piped = run_with(&["open", "-"], &format!("https://example.org/{link}"));
        assert_eq!(String::from_utf8(piped.stdout).unwrap(), text);
        assert_eq!(json(&on_example(&["link", "--json"], example.slug).1)["link"], link.trim_end());
    }
}

#[test]
fn draw_gives_a_picture_that_names_the_parts_and_shows_the_mistake() {
    let (status, svg) = on_example(&["draw"], "harbour-mouth-find-it");
    assert_eq!(status, 0);
    assert!(svg.starts_with("<svg ") && svg.trim_end().ends_with("</svg>"), "{}", &svg[..80]);
    for id in ["BT1", "R1", "D2", "R4"] {
        assert!(svg.contains(id), "{id}");
    }
    assert_ne!(svg, on_example(&["draw"], "harbour-mouth").1);
    // It opens again on the page, as a picture saved there does.
    let (_, held) = svg.split_once("<metadata id=\"halfrow\">").expect("it holds the bench");
    let held = halfrow_file::link::decode(held.split('<').next().unwrap_or_default());
    assert_eq!(held, halfrow_file::read(find("harbour-mouth-find-it").expect("an example").text()));
}

#[test]
fn the_schema_is_json_and_names_every_kind_of_part() {
    let output = run_with(&["schema"], "");
    assert_eq!(output.status.code(), Some(0));
    let text = String::from_utf8(output.stdout).unwrap();
    assert!(json(&text).is_object());
    for card in halfrow_core::parts::CARDS {
        assert!(text.contains(&format!("\"{}\"", card.kind)), "{}", card.kind);
    }
}

#[test]
fn examples_are_listed_and_printed() {
    let list = String::from_utf8(run_with(&["examples"], "").stdout).unwrap();
    let told = json(&String::from_utf8(run_with(&["examples", "--json"], "").stdout).unwrap());
    assert_eq!(told["examples"].as_array().unwrap().len(), all().count());
    for (index, example) in all().enumerate() {
        assert!(list.lines().any(|line| line.starts_with(example.slug)), "{}", example.slug);
        assert_eq!(told["examples"][index]["slug"], example.slug);
        let printed = run_with(&["examples", example.slug], "");
        assert_eq!(String::from_utf8(printed.stdout).unwrap(), example.text());
    }
    assert!(refused(&["examples", "harbour"], "").contains("there is no example “harbour”"));
}

#[test]
fn a_file_is_read_by_name_also_with_a_byte_order_mark() {
    let text = find("lighthouse").unwrap().text();
    let plain = Kept::new("plain.json", text.as_bytes());
    let marked = Kept::new("marked.json", format!("\u{feff}{text}").as_bytes());
    for file in [&plain, &marked] {
        let output = run_with(&["check", file.name()], "");
        assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
        assert_eq!(output.stdout, b"Lighthouse: nothing is wrong.\n");
    }
}

#[test]
fn bad_input_is_told_with_file_place_and_remedy() {
    let message = refused(&["solve", "no-such-file.json"], "");
    assert!(message.contains("no-such-file.json") && message.contains("Check the name"), "{message}");

    let torn = Kept::new("torn.json", b"{\n  \"halfrow\": 1,,\n}");
    let message = refused(&["check", torn.name()], "");
    assert!(message.contains(torn.name()) && message.contains("Line 2"), "{message}");

    let text = find("harbour-mouth").unwrap().text();
    let message = refused(&["check", "-"], &text.replace("\"e12\"", "\"k12\""));
    for place in ["standard input", "D2", "“k12”", "Holes are called e12"] {
        assert!(message.contains(place), "{place}: {message}");
    }
    let message = refused(&["list", "-"], &text.replace("\"f12\"", "\"e6\""));
    assert!(message.contains("e6 is taken by D2’s short leg"), "{message}");
    let message = refused(&["link", "-"], &text.replace("\"halfrow\": 1", "\"halfrow\": 3"));
    assert!(message.contains("newer Halfrow") && !message.contains("page"), "{message}");

    let bytes = Kept::new("bytes.json", b"{\"halfrow\xff");
    assert!(refused(&["draw", bytes.name()], "").contains("byte 10 isn’t text"));
    let long = Kept::new("long.json", " ".repeat(halfrow_file::MAX_TEXT_BYTES + 1).as_bytes());
    assert!(refused(&["solve", long.name()], "").contains("longer than"));

    assert!(refused(&["open", "https://example.org/"], "").contains("has no bench in it"));
    assert!(refused(&["open", "#1.AAAA!"], "").contains("the link: "));
    assert!(refused(&["mend", "-"], "").contains("no command “mend”"));
    assert!(refused(&["chekc", "-"], "").contains("Did you mean “check”?"));
    assert!(refused(&["solve"], "").contains("halfrow solve BENCH"));
    assert!(refused(&[], "").contains("--help"));
}

#[test]
fn help_and_version_go_to_standard_output() {
    let help = run_with(&["--help"], "");
    assert_eq!(help.status.code(), Some(0));
    let text = String::from_utf8(help.stdout).unwrap();
    let commands = [
        "solve",
        "check",
        "run",
        "list",
        "link",
        "open",
        "draw",
        "schema",
        "actions-schema",
        "examples",
        "completions",
    ];
    for command in commands {
        assert!(text.contains(&format!("\n  {command} ")), "{command}");
    }
    for command in commands {
        let help = run_with(&[command, "--help"], "");
        assert_eq!(help.status.code(), Some(0), "{command}");
        let text = String::from_utf8(help.stdout).unwrap();
        assert!(text.contains(&format!("Usage: halfrow {command} ")), "{text}");
    }
    let version = run_with(&["--version"], "");
    assert_eq!(version.stdout, format!("halfrow {}\n", env!("CARGO_PKG_VERSION")).as_bytes());
}

#[test]
fn options_stand_anywhere_and_take_their_value_either_way() {
    let bench = find("blinking-lighthouse").expect("an example").text();
    let told = run_with(&["run", "-", "--for", "20ms", "--every", "10ms", "--watch", "D1", "--json"], bench);
    assert_eq!(told.status.code(), Some(0), "{}", String::from_utf8_lossy(&told.stderr));
    let same =
        run_with(&["--json", "run", "--watch=D1", "--for=5s", "--every=10ms", "--for=20ms", "-"], bench);
    assert_eq!(same.stdout, told.stdout);
    let two = run_with(&["run", "-", "--for=20ms", "--watch", "D1", "--watch=U1,,R1", "--json"], bench);
    assert_eq!(json(&String::from_utf8(two.stdout).unwrap())["watch"].as_array().map(Vec::len), Some(3));
    // A file may be called like an option.
    assert!(refused(&["solve", "--", "--json"], "").contains("--json: can’t be read"));
}

#[test]
fn shells_complete_commands_and_options() {
    for shell in ["bash", "elvish", "fish", "powershell", "zsh"] {
        let output = run_with(&["completions", shell], "");
        let script = String::from_utf8(output.stdout).unwrap();
        assert!(["actions-schema", "watch", "json"].iter().all(|word| script.contains(word)), "{shell}");
    }
}

#[test]
fn whoever_stops_reading_early_gets_no_complaint() {
    let mut child = Command::new(env!("CARGO_BIN_EXE_halfrow"))
        .args(["draw", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the binary runs");
    // The reading end is closed before the binary gets its bench, so before it can write.
    drop(child.stdout.take());
    let text = find("harbour-mouth").unwrap().text();
    child.stdin.take().expect("a pipe").write_all(text.as_bytes()).expect("the bench is read");
    let mut complaint = String::new();
    child.stderr.take().expect("a pipe").read_to_string(&mut complaint).expect("text");
    let status = child.wait().expect("the binary ends");
    assert_eq!((status.code(), complaint.as_str()), (Some(0), ""));
}

#[test]
#[cfg(unix)]
fn a_closed_standard_output_is_an_error() {
    let with = |redirected: &str| {
        let line = format!("exec '{}' examples {redirected}", env!("CARGO_BIN_EXE_halfrow"));
        Command::new("sh").args(["-c", &line]).output().expect("a shell")
    };
    let closed = with(">&-");
    assert_eq!(closed.status.code(), Some(2));
    assert_eq!(
        String::from_utf8_lossy(&closed.stderr),
        "halfrow: the output can’t be written: standard output is closed\n"
    );
    // What throws it away knows what it does.
    assert_eq!(with(">/dev/null").status.code(), Some(0));
    assert_eq!(with("1<>/dev/null").status.code(), Some(0));
}

#[test]
fn a_second_byte_order_mark_is_no_text_of_a_bench() {
    let text = find("lighthouse").unwrap().text();
    let message = refused(&["check", "-"], &format!("\u{feff}\u{feff}{text}"));
    assert!(message.contains("begins with"), "{message}");
}

#[test]
fn nothing_that_was_typed_steers_the_terminal() {
    for words in [["solve", "\u{202e}no\nsuch\u{1b}[31m"], ["examples", "\u{1b}]0;x\u{7}"], ["\u{9b}1m", "x"]]
    {
        let message = refused(&words, "");
        assert!(message.contains('\u{fffd}'), "{message:?}");
        let steers = |c: char| c != '\n' && halfrow_file::title::refused(c);
        assert!(!message.contains(steers), "{message:?}");
    }
}

#[test]
fn measure_answers_programs_with_what_the_display_shows() {
    let (status, text) = on_example(
        &["measure", "--dial", "dc-20v", "--red", "c16", "--black", "g16", "--json"],
        "lighthouse",
    );
    let answer: Value = serde_json::from_str(&text).expect("JSON");
    let value = answer["value"].as_f64().expect("a number");
    assert_eq!(answer["shown"], format!("{value:.2}"));
    assert_eq!(
        (&answer["over"], &answer["unit"], &answer["fuse"]),
        (&false.into(), &"V".into(), &"whole".into())
    );
    let without = answer["without_meter"].as_f64().expect("a number");
    assert!((without / value - 1.0).abs() < 1e-3);
    assert_eq!((status, answer["findings"].as_array().map(Vec::len)), (0, Some(0)));
    let readings = answer["readings"].as_array().expect("a list");
    assert_eq!(readings.last().expect("one")["shown"], answer["shown"]);
}

#[test]
fn measure_says_what_goes_wrong_with_status_1() {
    let answer = |words: &[&str]| {
        let words: Vec<&str> = ["measure", "--json"].iter().chain(words).copied().collect();
        let (status, text) = on_example(&words, "lighthouse");
        let answer: Value = serde_json::from_str(&text).expect("JSON");
        let codes = answer["findings"].as_array().expect("a list").iter();
        let codes: Vec<String> = codes.map(|it| it["code"].as_str().expect("a code").to_owned()).collect();
        assert_eq!(status, i32::from(!codes.is_empty()));
        (codes, answer)
    };
    let (codes, over) = answer(&["--dial", "dc-200mv", "--red", "c16", "--black", "g16"]);
    assert_eq!(
        (codes, &over["shown"], &over["value"]),
        (vec!["meter-over".into()], &"1".into(), &Value::Null)
    );
    let (codes, _) = answer(&["--dial=dc-20v", "--red=c16", "--black=g16", "--red-socket", "10a"]);
    assert_eq!(codes, ["meter-plug-in-10a"]);
    let (codes, blown) = answer(&["--dial", "dc-200ma", "--red", "L+3", "--black", "L-3"]);
    assert_eq!(codes, ["meter-fuse-blew", "meter-current-across"]);
    assert_eq!((&blown["fuse"], &blown["shown"]), (&"blown".into(), &"0.0".into()));
    let (_, series) = answer(&["--dial", "dc-20ma", "--lift", "R1.1", "--kind", "cheap", "--for", "1s"]);
    assert!((4e-3..6e-3).contains(&series["value"].as_f64().expect("a number")));
    assert_eq!(series["readings"].as_array().map(Vec::len), Some(2));
    let (_, across) = answer(&[
        "--dial",
        "dc-10a",
        "--red-socket",
        "10a",
        "--red",
        "c16",
        "--black",
        "g16",
        "--kind",
        "cheap",
    ]);
    assert_eq!(across["fuse"], "none");
}

#[test]
fn measure_refuses_what_makes_no_sense() {
    let bench = find("lighthouse").expect("an example").text();
    for (words, told) in [
        (&["--dial", "dc-5v"][..], "--dial needs a position of the dial"),
        (&["--red", "c16"], "the bench has no meter on it"),
        (&["--dial", "dc-2v", "--red", "c99"], "--red c99: there’s no such hole or leg"),
        (&["--dial", "dc-2v", "--lift", "R9.1"], "--lift R9.1: there’s no such leg"),
        (&["--dial", "dc-2v", "--lift", "RV1.1"], "the part is stiff"),
        (&["--dial", "dc-2v", "--red-socket", "com"], "both plugs are in the socket com"),
        (&["--dial", "dc-2v", "--kind", "good"], "--kind needs 10m or cheap"),
    ] {
        let words: Vec<&str> = ["measure", "-"].iter().chain(words).copied().collect();
        let message = refused(&words, bench);
        assert!(message.contains(told), "{words:?}: {message}");
    }
}
