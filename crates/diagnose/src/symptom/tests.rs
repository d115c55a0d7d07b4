use halfrow_core::sample::sixty_parts;

use super::*;

fn plan() -> Bench {
    sixty_parts()
}

#[test]
fn words_mean_what_they_say() {
    let plan = plan();
    let d2 = plan.find("D2").unwrap();
    let r2 = plan.find("R2").unwrap();
    assert_eq!(seen(&plan, "D2=dark"), Ok(Symptom::Seen { part: d2, sight: Sight::Dark }));
    let reading = |words: &str| match read(&plan, words) {
        Ok(Symptom::Read(reading)) => reading,
        other => panic!("{words}: {other:?}"),
    };
    assert_eq!(reading("R2=3.4V").probe, Probe::Across(r2));
    assert_eq!(reading("R2=3.4V").value, 3.4);
    assert_eq!(reading("R2=12mA").probe, Probe::Amps(r2));
    assert_eq!(reading("R2=1.5kΩ").value, 1500.0);
    let spots = reading("c16:R2.2=-220 mV±5mV");
    assert_eq!((spots.value, spots.error), (-0.22, 0.005));
    assert!(matches!(spots.probe, Probe::Volts { red: Spot::Hole(_), black: Spot::Leg(_) }));
    assert_eq!(reading("c16=3.4V@cheap").meter, Kind::Cheap);
    let hole = Hole::parse("b13").unwrap();
    assert_eq!(look(&plan, "R2.2=b13"), Ok(Symptom::Look { part: r2, found: Found::Leg { pin: 1, hole } }));
    assert_eq!(look(&plan, "D2=backwards"), Ok(Symptom::Look { part: d2, found: Found::Turned }));
    assert_eq!(tried(&plan, "D2=turned"), Ok(Symptom::Tried { part: d2, what: Tried::Turned }));
}

#[test]
fn what_makes_no_sense_is_told_with_a_remedy() {
    let plan = plan();
    for (told, says) in [
        (seen(&plan, "D99=dark"), "no part called “D99”"),
        (seen(&plan, "D2=purple"), "“purple” isn’t known here. Say lit, dim"),
        (seen(&plan, "D2"), "Write it as D2=dark"),
        (read(&plan, "R2=3.4"), "no unit that fits"),
        (read(&plan, "R2=3.4kg"), "no unit that fits"),
        (read(&plan, "c99:g16=3.4V"), "no hole c99"),
        (read(&plan, "R2.9:g16=3.4V"), "Its legs are R2.1, R2.2"),
        (read(&plan, "R2=3V@big"), "Say 10m or cheap"),
        (look(&plan, "R2.2=z9"), "Write it as R2.2=b13"),
        (tried(&plan, "R2=kissed"), "Say exchanged, turned or pushed"),
    ] {
        let error = told.expect_err(says).to_string();
        assert!(error.contains(says), "{error}");
    }
}

#[test]
fn a_reading_is_as_good_as_its_meter_and_its_digits() {
    // 3.4 V: 0.5 % and a count of 0.01 V, half of that, and 0.1 V over the root of twelve.
    let rough = usual_error(Unit::Volt, 3.4, "3.4V");
    assert!((rough - (0.0135f64.powi(2) + 0.01 / 12.0).sqrt()).abs() < 1e-12, "{rough}");
    let fine = usual_error(Unit::Volt, 3.412, "3.412V");
    assert!(fine < 0.5 * rough);
    assert!(usual_error(Unit::Amp, 0.012, "12mA") > 1e-4);
}
