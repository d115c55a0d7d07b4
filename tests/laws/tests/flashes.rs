//! Flashes of real time: whatever speed the clock has, no lamp is drawn flashing more than three times a
//! second (WCAG 2.2, 2.3.1), and what blinks more slowly than that is seen blinking.

use halfrow_core::bench::{Bench, PartIx};
use halfrow_core::card::Group;
use halfrow_core::sample::{blinker, running_lights};
use halfrow_core::time::{Care, Run};
use halfrow_file::examples;

/// Flashes that a second may have.
const MOST: f64 = 3.0;

/// Seconds between two looks at the lamps, as on the page.
const LOOK: f64 = 0.06;

/// How much the brightness changes, as a share of the greatest, for a change that counts: the standard's.
const CHANGE: f32 = 0.1;

/// The times in real seconds at which what is drawn of each light of the bench's lamps turns from getting
/// brighter to getting darker or back, at a speed and for so long a real time.
fn turns(bench: &Bench, speed: f64, seconds: f64) -> Vec<Vec<f64>> {
    let mut run = Run::new(bench, Care::LIVE);
    let lamps: Vec<PartIx> =
        (0..bench.parts.len()).map(PartIx).filter(|&ix| bench.part(ix).card.group == Group::Light).collect();
    // Of each light: the last turn's brightness, whether it gets brighter, and the times.
    let mut lights = vec![(0.0_f32, false, Vec::new()); 9 * lamps.len()];
    for look in 1..=(seconds / LOOK) as u32 {
        let real = LOOK * f64::from(look);
        let time = speed * real;
        assert!(run.until(time, 200_000) && run.stalled().is_none(), "{}: {:?}", bench.title, run.stalled());
        for (lamp, lights) in lamps.iter().zip(lights.chunks_mut(9)) {
            let mut reading = run.blank_reading(*lamp);
            let state = run.glance(*lamp, time, MOST / speed, &mut reading);
            for (now, (extreme, brighter, times)) in state.lights.into_iter().chain([state.glow]).zip(lights)
            {
                if (now > *extreme) == *brighter {
                    *extreme = now;
                } else if (now - *extreme).abs() > CHANGE {
                    (*extreme, *brighter) = (now, !*brighter);
                    times.push(real);
                }
            }
        }
    }
    lights.into_iter().map(|light| light.2).collect()
}

/// The most flashes in any second: two turns are one.
fn flashes(turns: &[f64]) -> usize {
    let within = |from: &f64| turns.iter().filter(|&at| (*from..*from + 1.0).contains(at)).count();
    turns.iter().map(within).max().unwrap_or(0) / 2
}

/// A lamp that is bright and less bright in turn, and never dark.
fn flicker(hertz: f64, shape: &str) -> Bench {
    let text = format!(
        r#"{{"halfrow":1,"title":"{shape} {hertz}","boards":[{{"id":"A","kind":"half"}}],"parts":[
        {{"id":"SG1","kind":"signal","shape":"{shape}","hertz":{hertz},"offset_volts":4,"amplitude_volts":1.5,
          "pins":{{"+":"L+1","-":"L-1"}}}},
        {{"id":"R1","kind":"resistor","ohms":330,"pins":{{"1":"L+3","2":"b3"}}}},
        {{"id":"D1","kind":"led","pins":{{"A":"e3","K":"L-4"}}}}]}}"#
    );
    halfrow_file::read(&text).expect("a bench")
}

#[test]
fn a_lamp_that_never_gets_dark_blinks_all_the_same() {
    let mut run = Run::new(&flicker(8.0, "square"), Care::LIVE);
    assert!(run.until(2.0, 100_000));
    let blinking = run.blinking(2.0, MOST);
    assert!(matches!(blinking[..], [(PartIx(2), hertz)] if (hertz - 8.0).abs() < 0.1), "{blinking:?}");
}

#[test]
fn no_lamp_flashes_more_than_three_times_a_second_at_any_speed() {
    let mut benches: Vec<Bench> = examples::ALL
        .iter()
        .filter(|it| it.twin.is_none())
        .map(|it| halfrow_file::read(it.text()).expect("an example"))
        .collect();
    benches.extend([1.0, 2.0, 2.9, 3.1, 10.0].map(blinker));
    benches.extend([2.0, 10.0].map(running_lights));
    for shape in ["square", "sine", "triangle"] {
        benches.extend([2.0, 5.0, 8.0].map(|hertz| flicker(hertz, shape)));
    }
    for bench in benches {
        for speed in [0.1, 0.5, 1.0, 2.0, 5.0, 10.0] {
            for light in turns(&bench, speed, 8.0) {
                let most = flashes(&light);
                assert!(most as f64 <= MOST, "{} at {speed}: {most} flashes a second", bench.title);
            }
        }
    }
}

#[test]
fn what_blinks_slowly_enough_on_the_screen_is_seen_blinking() {
    for (hertz, speed) in [(10.0, 0.1), (1000.0, 0.001), (1.0, 1.0), (0.2, 10.0)] {
        let seen = turns(&blinker(hertz), speed, 10.0);
        let wanted = 2.0 * hertz * speed * 10.0;
        let most = seen.iter().map(Vec::len).max().unwrap_or(0) as f64;
        assert!((most / wanted - 1.0).abs() < 0.15, "{hertz} Hz at {speed}: {most} turns, not {wanted}");
    }
}
