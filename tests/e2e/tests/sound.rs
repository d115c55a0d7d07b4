//! The loudspeaker follows the bench, and its button tells whether it is on.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{BoardKind, Hole};
use halfrow_core::meter::{Dial, Meter, Touch};
use halfrow_core::part::Part;
use halfrow_core::parts;
use halfrow_core::sample::blinker;
use halfrow_e2e::page::Page;
use halfrow_e2e::visit::{Visit, WINDOW};
use halfrow_e2e::wire::Result;

/// Notes how loud the loudspeaker was last told to be.
const LISTEN: &str = "
window.loudness = 0;
const { setTargetAtTime } = AudioParam.prototype, { close } = AudioContext.prototype;
AudioParam.prototype.setTargetAtTime = function (value, ...rest) {
  loudness = value;
  return setTargetAtTime.call(this, value, ...rest);
};
AudioContext.prototype.close = function () {
  loudness = 0;
  return close.call(this);
};";

/// The page with a bench, its loudspeaker listened to.
fn open(bench: &Bench) -> Result<Visit> {
    let mut visit = Visit::at("")?;
    let address = visit.address(&halfrow_file::link::encode(bench));
    let page = &mut visit.page;
    page.before_each_page(LISTEN)?;
    page.resize(WINDOW.0, WINDOW.1)?;
    page.open("about:blank")?;
    page.open(&address)?;
    page.wait_until_live()?;
    Ok(visit)
}

fn with_buzzer(mut bench: Bench, holes: [&str; 2]) -> Bench {
    put(&mut bench, "LS1", "buzzer", holes);
    bench
}

fn put(bench: &mut Bench, id: &str, kind: &str, holes: [&str; 2]) {
    let part = PartIx(bench.parts.len());
    bench.parts.push(Part::new(id, parts::card(kind).expect("a kind of part")));
    for (pin, hole) in holes.into_iter().enumerate() {
        bench.put_leg(LegId { part, pin }, Hole::parse(hole)).expect("a free hole");
    }
}

/// The button of the sound, as a script.
const BUTTON: &str = "[...document.querySelectorAll('.clock button')].find((it) => it.innerText === 'Sound')";

fn press(page: &mut Page, name: &str) -> Result {
    page.evaluate(&format!(
        "void [...document.querySelectorAll('.clock button, .head button')].find((it) => it.innerText === '{name}').click()"
    ))?;
    Ok(())
}

/// Waits until it sounds or is silent, with a button that says on or off, or without one.
fn wait_for(page: &mut Page, sounds: bool, button: Option<bool>) -> Result {
    let told = button.map_or("undefined".to_owned(), |on| format!("'{on}'"));
    page.wait_for(&format!("loudness > 0 === {sounds} && ({BUTTON})?.ariaPressed === {told}"))
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_buzzer_on_a_battery_is_heard_and_silent_when_it_is_gone() -> Result {
    let mut bench = with_buzzer(Bench::new(BoardKind::Half), ["L+5", "L-5"]);
    put(&mut bench, "BT1", "battery", ["L+1", "L-1"]);
    let mut visit = open(&bench)?;
    let page = &mut visit.page;
    wait_for(page, false, Some(false))?;
    // Without a clock there is nothing else of one.
    assert_eq!(page.count(".clock > *")?, 1);
    press(page, "Sound")?;
    wait_for(page, true, Some(true))?;
    page.click_hole("L+5")?;
    page.keys("Escape Delete")?;
    page.wait_for(&format!("!({BUTTON})"))?;
    wait_for(page, false, None)?;
    press(page, "Undo")?;
    wait_for(page, true, Some(true))?;
    // Another bench, and back.
    page.evaluate(&format!("void (location.hash = '{}')", halfrow_file::link::encode(&blinker(1.0))))?;
    page.wait_for("document.querySelector('.clock select')")?;
    wait_for(page, false, None)?;
    press(page, "Undo")?;
    wait_for(page, true, Some(true))?;
    press(page, "Sound")?;
    wait_for(page, false, Some(false))?;
    press(page, "Sound")?;
    wait_for(page, true, Some(true))?;
    assert_eq!(page.errors()?, [""; 0]);
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn what_sounds_is_silent_while_the_clock_stands() -> Result {
    let mut visit = open(&with_buzzer(blinker(1.0), ["L+20", "L-20"]))?;
    let page = &mut visit.page;
    page.wait_for("document.querySelector('.clock select')")?;
    press(page, "Sound")?;
    wait_for(page, true, Some(true))?;
    for _ in 0..3 {
        press(page, "Pause")?;
        wait_for(page, false, Some(true))?;
        press(page, "Step")?;
        page.pictures(12)?;
        wait_for(page, false, Some(true))?;
        press(page, "Run")?;
        wait_for(page, true, Some(true))?;
    }
    assert_eq!(page.errors()?, [""; 0]);
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_continuity_test_is_seen_always_and_heard_once_sound_is_on() -> Result {
    let mut bench = Bench::new(BoardKind::Half);
    put(&mut bench, "W1", "wire", ["a5", "a15"]);
    put(&mut bench, "R1", "resistor", ["b15", "b20"]);
    let mut meter = Meter { dial: Dial::Continuity, ..Meter::default() };
    meter.red.tip = Touch::Hole(Hole::grid(0, 'e', 5));
    meter.black.tip = Touch::Hole(Hole::grid(0, 'e', 15));
    bench.meters.push(meter);
    let mut visit = open(&bench)?;
    let page = &mut visit.page;
    page.open_tab("Meter")?;
    let drawn =
        "[...document.querySelectorAll('.meter text')].filter((it) => it.textContent.includes('♪')).length";
    // On the dial, and on the display.
    page.wait_for(&format!("{drawn} === 2"))?;
    wait_for(page, false, Some(false))?;
    press(page, "Sound")?;
    wait_for(page, true, Some(true))?;
    // From one end of the resistor to the other it is silent.
    page.fill("#tip-0-Red", "c20")?;
    page.keys("Enter")?;
    wait_for(page, false, Some(true))?;
    page.wait_for(&format!("{drawn} === 1"))?;
    assert_eq!(page.errors()?, [""; 0]);
    Ok(())
}
