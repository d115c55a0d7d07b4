//! Halfrow's time against another program (`ivp.py`, scipy's Radau at 1e-10), by the values that it wrote.

use halfrow_core::time::{Care, Run};
use halfrow_outside::desk::desk;
use halfrow_outside::ivp;
use serde_json::Value;

fn read(path: &str) -> Value {
    let path = format!("{}/{path}", env!("CARGO_MANIFEST_DIR"));
    serde_json::from_str(&std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{path}: {e}")))
        .expect("JSON")
}

/// Equal but for the last bits of a decimal number.
fn same(a: &Value, b: &Value) -> bool {
    match (a, b) {
        (Value::Number(a), Value::Number(b)) => {
            let (a, b) = (a.as_f64().unwrap_or(f64::NAN), b.as_f64().unwrap_or(f64::NAN));
            (a - b).abs() <= 1e-13 * a.abs()
        }
        (Value::Array(a), Value::Array(b)) => a.len() == b.len() && a.iter().zip(b).all(|(a, b)| same(a, b)),
        (Value::Object(a), Value::Object(b)) => {
            a.len() == b.len() && a.iter().all(|(key, a)| b.get(key).is_some_and(|b| same(a, b)))
        }
        _ => a == b,
    }
}

#[test]
fn the_circuits_that_python_integrated_are_todays() {
    assert!(
        same(&read("ivp.json"), &ivp::document()),
        "run dump_ivp into tests/outside/ivp.json, then ivp.py --write"
    );
}

/// Largest and root mean square difference of all nodes at all times, volts, and the largest swing.
fn compare(case: &ivp::Case, care: Care) -> (f64, f64, f64) {
    let golden = read(&format!("golden/ivp-{}.json", case.name));
    let rows = golden["volts"].as_array().expect("rows");
    assert_eq!(rows.len(), case.times.len());
    let mut run = Run::new(desk(&case.text).run.bench(), care);
    let (mut most, mut sum, mut count) = (0.0_f64, 0.0, 0.0);
    let (mut low, mut high) = (f64::MAX, f64::MIN);
    for (&time, row) in case.times.iter().zip(rows) {
        assert!(run.until(time, 400_000), "{}: too many steps", case.name);
        assert_eq!(run.stalled(), None);
        // As if the last step ended here: no reading between its ends.
        let mut here = run.clone();
        here.rewind_to(time);
        let point = here.point();
        let row: Vec<f64> =
            row.as_array().expect("volts").iter().map(|v| v.as_f64().expect("a number")).collect();
        assert_eq!(row.len(), point.node_volts.len());
        for (ours, theirs) in point.node_volts.iter().zip(row) {
            let off = (ours - theirs).abs();
            (most, sum, count) = (most.max(off), sum + off * off, count + 1.0);
            (low, high) = (low.min(theirs), high.max(theirs));
        }
    }
    println!("{}: most {most:e}, rms {:e}, {:?}", case.name, (sum / count).sqrt(), run.effort());
    (most, (sum / count).sqrt(), high - low)
}

/// A thousandth of the error that [`Care::CLOSE`] allows in a step.
const CLOSER: Care = Care { relative_error: 2e-9, absolute_volts: 4e-10, ..Care::CLOSE };

#[test]
fn voltages_in_time_agree_with_scipys() {
    // The most with the care of a table of figures, and with a thousand times as much. An event is told up to 10 µV
    // late whatever the care, and in the 555's some twenty events these add up.
    for (name, close, closer) in
        [("mosfet-and-coil", 1e-5, 1e-7), ("rectifier", 2e-4, 2e-6), ("astable-555", 2e-3, 2.5e-4)]
    {
        let cases = ivp::cases();
        let case = cases.iter().find(|case| case.name == name).expect("a case");
        let (most, rms, swing) = compare(case, Care::CLOSE);
        assert!(swing > 3.0, "{name}: it moves by {swing} V");
        assert!(most < close && rms < 0.5 * close, "{name}: {most} V, rms {rms} V");
        let (most, rms, _) = compare(case, CLOSER);
        assert!(most < closer && rms < 0.5 * closer, "{name}: {most} V, rms {rms} V with more care");
    }
    assert_eq!(ivp::cases().len(), 3, "all of them are compared");
}
