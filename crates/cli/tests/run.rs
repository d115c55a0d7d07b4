//! `halfrow run`: what a bench does over time.

use std::path::PathBuf;
use std::process::{Command, Output};

use serde_json::Value;

/// 5 V over 10 kΩ into 1 µF.
const CHARGING: &str = r#"{"halfrow":1,"boards":[{"id":"A","kind":"half"}],"parts":[
    {"id":"PS1","kind":"supply","volts":5,"pins":{"+":"L+1","-":"L-1"}},
    {"id":"R1","kind":"resistor","ohms":10000,"pins":{"1":"L+5","2":"a5"}},
    {"id":"C1","kind":"capacitor","farads":1e-06,"pins":{"1":"b5","2":"L-5"}}]}"#;

/// An LED straight on a 9 V block.
const BURNING: &str = r#"{"halfrow":1,"boards":[{"id":"A","kind":"half"}],"parts":[
    {"id":"BT1","kind":"battery","cell":"9v-block","cells":1,"pins":{"+":"L+1","-":"L-1"}},
    {"id":"D1","kind":"led","pins":{"A":"L+5","K":"L-5"}}]}"#;

/// A push button between the supply and a resistor.
const BUTTON: &str = r#"{"halfrow":1,"boards":[{"id":"A","kind":"half"}],"parts":[
    {"id":"PS1","kind":"supply","volts":5,"pins":{"+":"L+1","-":"L-1"}},
    {"id":"W1","kind":"wire","pins":{"1":"L+5","2":"a6"}},
    {"id":"SB1","kind":"push-button","pressed":false,"pin1":"e6","turn":0},
    {"id":"R1","kind":"resistor","ohms":1000,"pins":{"1":"a8","2":"L-9"}}]}"#;

/// A bench and its actions in a folder that is gone when the test ends.
struct Desk(PathBuf);

impl Desk {
    fn new(name: &str, bench: &str, actions: &str) -> Desk {
        let folder = std::env::temp_dir().join(format!("halfrow-run-{}-{name}", std::process::id()));
        std::fs::create_dir_all(&folder).expect("a folder");
        std::fs::write(folder.join("bench.json"), bench).expect("a file");
        let actions = format!(r#"{{ "halfrow-actions": 1, "actions": [{actions}] }}"#);
        std::fs::write(folder.join("actions.json"), actions).expect("a file");
        Desk(folder)
    }

    fn run(&self, words: &str) -> Output {
        Command::new(env!("CARGO_BIN_EXE_halfrow"))
            .current_dir(&self.0)
            .args(["run", "bench.json"])
            .args(words.split_whitespace())
            .output()
            .expect("the binary runs")
    }

    /// Status and standard output of a run that is answered.
    fn told(&self, words: &str) -> (i32, String) {
        let output = self.run(words);
        assert!(output.stderr.is_empty(), "{}", String::from_utf8_lossy(&output.stderr));
        (output.status.code().expect("a status"), String::from_utf8(output.stdout).expect("text"))
    }

    fn json(&self, words: &str) -> (i32, Value) {
        let (status, text) = self.told(&format!("{words} --json"));
        (status, serde_json::from_str(&text).expect("JSON"))
    }

    /// The message of a run that is refused.
    fn refused(&self, words: &str) -> String {
        let output = self.run(words);
        let message = String::from_utf8(output.stderr).expect("text");
        assert_eq!(output.status.code(), Some(2), "{words}: {message}");
        assert!(output.stdout.is_empty(), "{words}");
        message
    }
}

impl Drop for Desk {
    fn drop(&mut self) {
        std::fs::remove_dir_all(&self.0).ok();
    }
}

fn numbers(list: &Value) -> Vec<f64> {
    list.as_array().expect("a list").iter().map(|it| it.as_f64().expect("a number")).collect()
}

/// Time and part of each event, in order.
fn events(told: &Value) -> Vec<(f64, &str)> {
    let list = told["events"].as_array().expect("a list");
    list.iter().map(|it| (it["at"].as_f64().unwrap(), it["part"].as_str().unwrap())).collect()
}

#[test]
fn a_capacitor_charges_as_the_closed_form_says() {
    let desk = Desk::new("charging", CHARGING, "");
    let (status, told) = desk.json("--for 50ms --every 0.5ms --watch a5,R1");
    assert_eq!(status, 0);
    let (seconds, volts, amps) =
        (numbers(&told["seconds"]), numbers(&told["watch"][0]["volts"]), numbers(&told["watch"][1]["amps"]));
    assert_eq!((seconds.len(), seconds[3], seconds[100]), (101, 0.0015, 0.05));
    assert_eq!(events(&told), []);
    // Supply, contacts and the capacitor's own resistance add some 0.2 Ω to the 10 kΩ: 0.1 mV at most.
    // Between the ends of a step of 0.2 ms a current is told as a straight line: within h²/8 · d²i/dt².
    for ((time, volts), amps) in seconds.iter().zip(volts).zip(amps) {
        let left = (-time / 0.01).exp();
        assert!((volts - 5.0 * (1.0 - left)).abs() < 2e-4, "{volts} V at {time} s");
        assert!((amps - 5e-4 * left).abs() < 1e-7, "{amps} A at {time} s");
    }
}

#[test]
fn csv_and_json_say_the_same_and_the_table_too() {
    let desk = Desk::new("same", CHARGING, "");
    let words = "--for 1s --every 0.1s --watch a5,R1,C1.2";
    let (_, told) = desk.json(words);
    let (_, csv) = desk.told(&format!("{words} --csv"));
    let mut lines = csv.lines();
    assert_eq!(lines.next(), Some("seconds,a5 V,R1 A,C1.2 A"));
    let rows: Vec<Vec<f64>> =
        lines.map(|line| line.split(',').map(|it| it.parse().expect("a number")).collect()).collect();
    let column = |at: usize| rows.iter().map(|row| row[at]).collect::<Vec<_>>();
    assert_eq!(column(0), numbers(&told["seconds"]));
    assert_eq!(column(1), numbers(&told["watch"][0]["volts"]));
    assert_eq!(column(2), numbers(&told["watch"][1]["amps"]));
    assert_eq!(column(3), numbers(&told["watch"][2]["amps"]));
    // Times as a person writes them.
    assert_eq!(csv.lines().nth(4).and_then(|it| it.split(',').next()), Some("0.3"));
    let (_, table) = desk.told(words);
    assert!(table.lines().any(|it| it.split_whitespace().take(4).eq(["300", "ms", "5.00", "V"])), "{table}");
}

#[test]
fn each_deed_does_what_it_says_at_its_time() {
    let press = r#"{"at":0.0105,"part":"SB1","set":{"pressed":true}},"#;
    let rest = r#"{"at":0.0205,"part":"R1","pin":"1","hole":null},
        {"at":0.0305,"part":"R1","pin":"1","hole":"b8"},{"at":0.0405,"tap":true},
        {"at":0.0505,"replace":"R1"},{"at":0.0605,"part":"SB1","set":{"pressed":false}}"#;
    let desk = Desk::new("deeds", BUTTON, &format!("{press}{rest}"));
    let words = "--for 70ms --every 10ms --watch R1,b8 --actions actions.json";
    let (status, told) = desk.json(words);
    assert_eq!(status, 0);
    let on: Vec<bool> = numbers(&told["watch"][0]["amps"]).iter().map(|amps| *amps > 0.0049).collect();
    //                  0      10     20    30     40    50    60    70 ms
    assert_eq!(on, [false, false, true, false, true, true, true, false]);
    let volts = &told["watch"][1]["volts"];
    assert!((volts[4].as_f64().unwrap() - 5.0).abs() < 0.01, "{volts}");
    // The same file gives the same bits.
    assert_eq!(desk.told(&format!("{words} --csv")), desk.told(&format!("{words} --csv")));
    assert_eq!(desk.json(words).1, told);
}

#[test]
fn a_hole_that_only_a_deed_fills_can_be_watched() {
    let desk = Desk::new("later", CHARGING, r#"{"at":0.005,"part":"R1","pin":"2","hole":"a9"}"#);
    let (_, told) = desk.json("--for 10ms --every 10ms --watch a9 --actions actions.json");
    assert!(told["watch"][0]["volts"][0].is_null(), "{told}");
    assert!((told["watch"][0]["volts"][1].as_f64().unwrap() - 5.0).abs() < 1e-3, "{told}");
    assert!(desk.refused("--for 10ms --watch a9").contains("no leg is in the row of a9"));
}

#[test]
fn a_burn_out_is_told_with_status_1_also_when_the_part_is_replaced() {
    let once = Desk::new("once", BURNING, "");
    let (status, told) = once.json("--for 1s --every 500ms --watch D1");
    let [(first, "D1")] = events(&told)[..] else { panic!("{told}") };
    assert_eq!(status, 1);
    assert!(numbers(&told["watch"][0]["amps"])[2].abs() < 1e-9, "{told}");
    assert!(once.told("--for 1s").1.contains("D1 burns out"));

    // Replaced before the next row, and again after the last: both are told, and the rows go on.
    let twice = Desk::new("twice", BURNING, r#"{"at":0.3,"replace":"D1"},{"at":0.99,"replace":"D1"}"#);
    let (status, told) = twice.json("--for 1s --every 600ms --watch D1 --actions actions.json");
    let [(a, "D1"), (b, "D1")] = events(&told)[..] else { panic!("{told}") };
    assert_eq!((status, a), (1, first));
    assert!((b - 0.3 - first).abs() < 0.06 * first, "{first} s, then {} s", b - 0.3);
    // Another deed in the same moment takes nothing away.
    let also = Desk::new(
        "also",
        BURNING,
        r#"{"at":0.3,"replace":"D1"},{"at":0.3,"tap":true},{"at":0.301,"part":"D1","pin":"A","hole":null}"#,
    );
    let (status, told) = also.json("--for 1s --every 1s --actions actions.json");
    assert_eq!((status, events(&told)), (1, vec![(first, "D1")]));
}

#[test]
fn the_clock_goes_on_to_the_end_after_the_last_row_and_no_farther() {
    // 110 ms or so lie after the only row but before the end.
    let desk = Desk::new("end", BURNING, r#"{"at":0.45,"replace":"D1"},{"at":0.7,"replace":"D1"}"#);
    let (status, told) = desk.json("--for 400ms --every 1s --watch D1");
    assert_eq!((status, events(&told).len(), numbers(&told["seconds"])), (1, 1, vec![0.0]));
    let (first, _) = events(&told)[0];
    // Deeds after the last row are done, those after the end are not.
    let (_, told) = desk.json("--for 650ms --every 1s --actions actions.json");
    assert_eq!(events(&told).len(), 2, "{told}");
    // What happens after the end is not told, however long the last step is.
    let before = format!("--for {}us --every 1ms", (first * 1e6).floor() - 1.0);
    let (status, told) = desk.json(&before);
    assert_eq!((status, events(&told)), (0, vec![]));
    let after = format!("--for {}us --every 1ms", (first * 1e6).ceil() + 1.0);
    assert_eq!(desk.json(&after).0, 1);
}

#[test]
fn steps_are_counted_one_by_one() {
    let desk = Desk::new("steps", CHARGING, "");
    let (_, told) = desk.json("--for 50ms --every 50ms --watch a5");
    let steps = told["effort"]["steps"].as_u64().expect("a number");
    assert!(steps > 20, "{steps}");
    assert_eq!(desk.json(&format!("--for 50ms --every 50ms --watch a5 --steps {steps}")).1, told);
    let message = desk.refused(&format!("--for 50ms --every 50ms --watch a5 --steps {}", steps - 1));
    assert!(message.contains(&format!("after {} steps the clock stands at ", steps - 1)), "{message}");
    assert!(message.contains(" ms: ") && message.contains("--steps"), "{message}");
}

#[test]
fn runs_that_make_no_sense_are_refused_in_words() {
    let desk = Desk::new("refused", CHARGING, r#"{"at":1,"part":"R7","set":{}}"#);
    for (words, says) in [
        ("", "--for"),
        ("--for 2", "--for needs a length of time"),
        ("--for 1;5s", "--for needs a length of time"),
        ("--for 1s --watch k9", "“k9”"),
        ("--for 1s --watch R1.7", "“R1.7”"),
        ("--for 2s --every 1us", "more than 1000000 rows"),
        ("--for 1s --every 1us --watch R1,R1,R1,R1,R1", "more than 4000000 readings"),
        ("--for 1e9s", "--for needs a length of time"),
        ("--for 1s --every 1e-12s", "more than 1000000 rows"),
        ("--for 1s --every 0.000001ns", "more than 1000000 rows"),
        ("--for 2s --actions none.json", "none.json"),
        ("--for 2s --actions actions.json", "actions[0].part: Halfrow doesn’t know “R7”"),
        ("--for 2s --actions bench.json", "halfrow-actions"),
    ] {
        let message = desk.refused(words);
        assert!(message.contains(says), "{words}: {message}");
    }
    let both = Command::new(env!("CARGO_BIN_EXE_halfrow"))
        .args(["run", "-", "--for", "1s", "--actions", "-"])
        .output()
        .expect("the binary runs");
    assert_eq!(both.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&both.stderr).contains("both"));
}

/// Ended by Ctrl+C, a run tells what it has.
#[test]
#[cfg(target_os = "linux")]
fn ctrl_c_ends_a_run_with_what_it_has() {
    let desk = Desk::new("interrupted", CHARGING, "");
    // A day in steps of a tenth of a second, as slowly as it gets.
    let child = Command::new(env!("CARGO_BIN_EXE_halfrow"))
        .current_dir(&desk.0)
        .args([
            "run",
            "-",
            "--for",
            "86400s",
            "--every",
            "100ms",
            "--watch",
            "a5",
            "--steps",
            "99999999999",
            "--json",
        ])
        .stdin(std::process::Stdio::piped())
        .stdout(std::process::Stdio::piped())
        .stderr(std::process::Stdio::piped())
        .spawn()
        .expect("the binary runs");
    let process = format!("/proc/{}/status", child.id());
    // Bit 1 of the caught signals is SIGINT; until it is set, the signal would just end the program.
    let catches = || {
        let status = std::fs::read_to_string(&process).expect("it runs");
        let mask = status.lines().find_map(|line| line.strip_prefix("SigCgt:")).expect("a mask");
        u64::from_str_radix(mask.trim(), 16).expect("hexadecimal") & 2 != 0
    };
    while !catches() {
        std::thread::yield_now();
    }
    let kill = format!("kill -INT {}", child.id());
    assert!(Command::new("sh").args(["-c", &kill]).status().expect("a shell").success());
    // Only now does it get its bench, so that it can't be through before.
    let mut child = child;
    std::io::Write::write_all(&mut child.stdin.take().expect("a pipe"), CHARGING.as_bytes())
        .expect("it reads");
    let output = child.wait_with_output().expect("it ends");
    let told: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    assert_eq!(output.status.code(), Some(0), "{told}");
    assert!(told["interrupted"].as_f64().is_some_and(|at| at < 86_400.0), "{told}");
    assert!(numbers(&told["seconds"]).len() < 864_000);
    assert!(String::from_utf8_lossy(&output.stderr).contains("stopped by Ctrl+C at "));
}

#[test]
fn the_schema_of_actions_is_printed_as_published() {
    let printed = Command::new(env!("CARGO_BIN_EXE_halfrow")).arg("actions-schema").output().unwrap();
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../static/actions.schema.json");
    assert_eq!(String::from_utf8(printed.stdout).unwrap(), std::fs::read_to_string(path).unwrap());
}

/// A gate chip fed through its inputs beyond its supply by a signal and weak sources, found by chance and
/// made as small as it gets. Its clock used to stop some 244 ms on its way, for want of voltages at which the
/// currents add up.
const HARD: &str = r#"{"halfrow":1,"boards":[{"id":"A","kind":"half","split_rails":true}],"taps":1,"parts":[
    {"id":"M1","kind":"motor","pins":{"+":"d2","-":"L-3"}},
    {"id":"W1","kind":"wire","pins":{"1":"R+12","2":"R-13"},"depth":{"1":"barely"}},
    {"id":"R1","kind":"resistor","ohms":52717.77156677252,"tolerance_percent":"2","pins":{"1":"h6","2":"d1"}},
    {"id":"U2","kind":"74hc00","pin1":"b1","depth":{"10":"barely","14":"barely"}},
    {"id":"M2","kind":"motor","type":"130","pins":{"+":"L-21","-":"L+19"}},
    {"id":"RV1","kind":"potentiometer","ohms":33227.502877708605,"position":1,"pin1":"L+13","turn":180,
     "depth":{"3":"barely"}},
    {"id":"USB1","kind":"usb","pins":{"+":"L+6","-":"R+25"},"depth":{"-":"out"}},
    {"id":"L1","kind":"inductor","henries":0.0037996983689971473,"ohms":10000,"pins":{"1":"R+19","2":"R-14"}},
    {"id":"D1","kind":"rgb-led","common":"anode","pins":{"R":"R-20","COM":null,"G":"R+15","B":"R-17"}},
    {"id":"SG1","kind":"signal","shape":"square","hertz":1.000000000001,"amplitude_volts":10,
     "offset_volts":2.1243918083157904,"pins":{"+":"a4","-":"R+20"}},
    {"id":"PS1","kind":"supply","volts":8.935440714230328,"limit_amps":0.10000000000010001,"ohms":0.001,
     "pins":{"+":"R+14","-":"L-5"}},
    {"id":"Q2","kind":"power-mosfet","pin1":"f4"},
    {"id":"USB2","kind":"usb","pins":{"+":"L-11","-":"R+6"}},
    {"id":"F1","kind":"fuse","amps":"0.2","pins":{"1":"R-15","2":"d3"},"depth":{"2":"out"}},
    {"id":"D3","kind":"zener","volts":"9.1","pins":{"A":"R-23","K":"L-13"}}]}"#;

#[test]
fn a_chip_fed_beyond_its_supply_burns_and_the_run_goes_on_to_its_end() {
    let desk = Desk::new("hard", HARD, r#"{"at":0.26,"tap":true},{"at":0.28,"replace":"D1"}"#);
    let words = "--for 300ms --every 50ms --watch a4";
    let (status, told) = desk.json(words);
    let [(at, part)] = &events(&told)[..] else { panic!("{told}") };
    assert_eq!((status, *part, told["events"][0]["what"].as_str()), (1, "U2", Some("burnt")));
    assert!((0.24..0.25).contains(at), "{told}");
    assert_eq!(numbers(&told["seconds"]), [0.0, 0.05, 0.1, 0.15, 0.2, 0.25, 0.3]);
    let (status, told) = desk.json("--for 200ms --every 50ms --watch a4");
    assert_eq!((status, events(&told)), (0, vec![]));
}
