//! Halfrow against another program (`independent.py`, numpy and scipy), by the values that it wrote.

use halfrow_outside::dump;
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
fn the_circuits_that_python_solved_are_todays() {
    assert!(
        same(&read("independent.json"), &dump::document()),
        "run dump_circuit into tests/outside/independent.json, then independent.py --write"
    );
}

#[test]
fn currents_and_voltages_agree_to_a_millionth() {
    let mut compared = 0;
    for (name, point) in dump::circuits() {
        let golden = read(&format!("golden/{name}.json"));
        let numbers = |key: &str| -> Vec<f64> {
            golden[key].as_array().expect("a list").iter().map(|x| x.as_f64().expect("a number")).collect()
        };
        let (volts, amps) = (numbers("node_volts"), numbers("element_amps"));
        assert_eq!((volts.len(), amps.len()), (point.node_volts.len(), point.element_amps.len()));
        let mut carries = vec![false; volts.len()];
        for (i, element) in point.circuit.elements.iter().enumerate() {
            let (ours, theirs) = (point.element_amps[i], amps[i]);
            assert!(
                (ours - theirs).abs() <= 1e-9 + 1e-6 * theirs.abs(),
                "{name} element {i}: {ours} {theirs}"
            );
            if theirs.abs() > 1e-6 {
                carries[element.a.0] = true;
                carries[element.b.0] = true;
            }
        }
        // Nodes that carry no current hang on leaks of a picosiemens, of which dense LU keeps few digits.
        for (node, _) in carries.iter().enumerate().filter(|(_, carries)| **carries) {
            let (ours, theirs) = (point.node_volts[node], volts[node]);
            assert!(
                (ours - theirs).abs() <= 1e-6 * theirs.abs().max(1.0),
                "{name} node {node}: {ours} {theirs}"
            );
            compared += 1;
        }
    }
    assert!(compared > 50, "{compared} nodes carry a current");
}
