//! Time on the page: lamps that blink, a clock that is stopped and slowed, a part that burns, a chart.

use halfrow_core::bench::Bench;
use halfrow_core::board::Hole;
use halfrow_core::sample::blinker;
use halfrow_e2e::page::Page;
use halfrow_e2e::visit::{Visit, axe_script};
use halfrow_e2e::watch::Look;
use halfrow_e2e::wire::Result;

/// The page with a bench, opened by its link.
fn open(bench: &Bench) -> Result<Visit> {
    Visit::at(&halfrow_file::link::encode(bench))
}

/// What the readings say that a part does now, as a script.
fn now(id: &str) -> String {
    format!(
        "[...document.querySelectorAll('.readings tbody tr')].find((row) => row.cells[0].innerText.startsWith('{id} ')).cells[4].innerText"
    )
}

/// Presses a button of the clock.
fn press(page: &mut Page, name: &str) -> Result {
    page.evaluate(&format!(
        "void [...document.querySelectorAll('.clock button')].find((b) => b.innerText === '{name}').click()"
    ))?;
    Ok(())
}

/// Chooses an option of the first field that the selector finds, by keys alone: its first letters.
fn choose(page: &mut Page, selector: &str, letters: &str, chosen: &str) -> Result {
    page.evaluate(&format!("document.querySelector(\"{selector}\").focus()"))?;
    page.type_text(letters)?;
    page.wait_for(&format!(
        "document.querySelector(\"{selector}\").selectedOptions[0].innerText.startsWith('{chosen}')"
    ))
}

/// The simulated time that is shown, seconds.
fn time(page: &mut Page) -> Result<f64> {
    let words = page.text("#clock-time")?;
    let (figure, unit) = words.split_once(' ').unwrap_or((&words, ""));
    let figure: f64 = figure.parse().unwrap_or(f64::NAN);
    Ok(match unit {
        "ms" => figure * 1e-3,
        "µs" => figure * 1e-6,
        _ => figure,
    })
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_blinking_lamp_is_seen_lit_and_dark_and_the_clock_stops_steps_and_slows() -> Result {
    let mut visit = open(&blinker(1.0))?;
    let page = &mut visit.page;
    page.open_tab("Readings")?;
    for _ in 0..2 {
        page.wait_for(&format!("{} === 'lit'", now("D1")))?;
        page.wait_for(&format!("{} === 'dark'", now("D1")))?;
    }
    // A screen reader meets the word in the tree as well.
    page.wait_for(&format!("{} === 'lit'", now("D1")))?;
    press(page, "Pause")?;
    page.wait_for("document.querySelector('.said').innerText === 'The clock is paused.'")?;
    page.pictures(2)?;
    let stands = time(page)?;
    assert!(stands > 0.5, "{stands}");
    let still = page.evaluate(&now("D1"))?;
    let still = still.as_str().unwrap_or_default();
    assert!(page.tree()?.iter().any(|node| node.name == still), "{still}");
    // Thirty pictures on nothing has moved.
    page.pictures(30)?;
    assert_eq!(time(page)?, stands);
    // A step is a hundredth of a second, and a tenth of it at a tenth of the speed.
    for _ in 0..50 {
        press(page, "Step")?;
        page.pictures(2)?;
    }
    page.wait_for(&format!(
        "parseFloat(document.querySelector('#clock-time').innerText) > {}",
        stands + 0.488
    ))?;
    page.pictures(2)?;
    let stepped = time(page)?;
    assert!((stepped - stands - 0.5).abs() < 0.011, "{stands} to {stepped}");
    // By keys: two up from 1 is 0.1.
    choose(page, ".clock select", "0.1", "0.1")?;
    press(page, "Run")?;
    let (began, from) = (page.evaluate("performance.now()")?.as_f64().unwrap_or(0.0), time(page)?);
    page.wait_for(&format!("parseFloat(document.querySelector('#clock-time').innerText) > {}", from + 0.25))?;
    let (ended, to) = (page.evaluate("performance.now()")?.as_f64().unwrap_or(0.0), time(page)?);
    let speed = (to - from) / ((ended - began) / 1000.0);
    // Never faster than told; how much slower is the machine's matter.
    assert!(speed < 0.13, "{speed}");
    assert_eq!(page.errors()?, [""; 0]);
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn what_blinks_too_fast_for_the_eye_is_steady_with_its_frequency_beside_it() -> Result {
    let mut visit = open(&blinker(1000.0))?;
    let page = &mut visit.page;
    // The 555's own law gives 1 kHz; its drop at the output and the LED leave it near that.
    let hertz = "[...document.querySelectorAll('.over text')].map((it) => it.textContent).find((it) => it.includes('Hz'))";
    // The first period begins with an empty capacitor and is longer: what is told last counts.
    page.wait_for(&format!(
        "(told => {{ const hertz = parseFloat(told) * (told?.endsWith('kHz') ? 1000 : 1); \
         return hertz > 800 && hertz < 1200; }})({hertz})"
    ))?;
    page.open_tab("Readings")?;
    page.wait_for(&format!("{} === 'lit'", now("D1")))?;
    for _ in 0..8 {
        page.pictures(9)?;
        assert_eq!(page.evaluate(&now("D1"))?, "lit");
    }
    Ok(())
}

/// Counts, over two seconds of real time or longer, how often the light of the lamp on the board turns
/// from getting brighter to getting darker or back; and how many seconds that took. It goes on until
/// there were at least `least` turns.
const TURNS: &str = "(async () => {
    let turns = 0, extreme = 0, brighter = false;
    const began = performance.now();
    while (performance.now() < began + 2000 || turns < least) {
        await new Promise(requestAnimationFrame);
        const now = Number(document.querySelector('svg.board [fill^=\"url(#glow\"]')?.getAttribute('opacity') ?? 1);
        if ((now > extreme) === brighter) extreme = now;
        else if (Math.abs(now - extreme) > 0.1) [extreme, brighter, turns] = [now, !brighter, turns + 1];
    }
    return [turns, (performance.now() - began) / 1000];
})()";

fn turns(page: &mut Page, least: u8) -> Result<[f64; 2]> {
    let counted = page.evaluate(&TURNS.replace("least", &least.to_string()))?;
    Ok([0, 1].map(|place| counted[place].as_f64().unwrap_or(f64::NAN)))
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn what_flashes_is_drawn_by_real_time() -> Result {
    let mut visit = open(&blinker(1.0))?;
    let page = &mut visit.page;
    let steady = "[...document.querySelectorAll('.over text')].some((it) => it.textContent.includes('Hz'))";
    page.wait_for("document.querySelector('.clock select')")?;
    for (letters, hertz) in [("5", 5.0), ("10", 10.0)] {
        choose(page, ".clock select", letters, letters)?;
        page.wait_for(steady)?;
        // From the first looks on it may be changing to steady.
        let [turns, _] = turns(page, 0)?;
        assert!(turns <= 2.0, "{turns} turns at {hertz} Hz");
    }
    drop(visit);
    // Ten times a second at a tenth of the speed is once a second.
    let mut visit = open(&blinker(10.0))?;
    let page = &mut visit.page;
    page.wait_for(steady)?;
    choose(page, ".clock select", "0.1", "0.1")?;
    page.wait_for(&format!("!({steady})"))?;
    // Lit and dark once a second are two turns.
    let [turns, seconds] = turns(page, 3)?;
    assert!(turns < 3.5 * seconds, "{turns} turns in {seconds} s");
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn the_time_and_the_notice_of_a_slow_clock_are_apart_and_off_the_board() -> Result {
    // Faster than any machine follows.
    let mut visit = open(&blinker(400_000.0))?;
    let page = &mut visit.page;
    for _ in 0..3 {
        page.wait_for("/^Too fast to follow: [\\d.]+ (thousand |million )?times slower than real time[.]$/.test(document.querySelector('.slow')?.innerText)")?;
        page.wait_for("/^\\d+[.]\\d{2,} s$/.test(document.querySelector('#clock-time').innerText)")?;
        press(page, "Pause")?;
        page.wait_for("!document.querySelector('.slow')")?;
        page.wait_for("/^\\d+[.]\\d{2,} s$/.test(document.querySelector('#clock-time').innerText)")?;
        let board = "document.querySelector('#all-on-board > g').getBoundingClientRect()";
        for part in [".clock", ".foot"] {
            let covered = page.evaluate(&format!(
                "((a, b) => a.right > b.left && a.left < b.right && a.bottom > b.top && a.top < b.bottom)({board}, document.querySelector('{part}').getBoundingClientRect())"
            ))?;
            assert_eq!(covered, false, "{part} lies on the board");
        }
        press(page, "Run")?;
    }
    assert_eq!(page.errors()?, [""; 0]);
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn figures_on_the_board_are_those_of_the_readings() -> Result {
    let mut visit = Visit::at("?example=crane-motor")?;
    let page = &mut visit.page;
    page.open_tab("Readings")?;
    // The button between columns e and f and rows 6 and 8.
    let (x, y) = page.point_in("svg.board", 110.0, 140.0)?;
    let figures = |id: &str| {
        format!(
            "(() => {{ const texts = [...document.querySelectorAll('svg.board text')].map((it) => it.textContent); \
             const cells = [...document.querySelectorAll('.readings tbody tr')].find((row) => row.cells[0].innerText.startsWith('{id} ')).cells; \
             return [texts[texts.findIndex((it) => it.startsWith('{id} · ')) + 1], `${{cells[1].innerText}} · ${{cells[2].innerText}}`]; }})()"
        )
    };
    // Held and let go several times: what was shown once may come again.
    for _ in 0..2 {
        page.hold(x, y)?;
        page.wait_for(&format!("{} === 'turns'", now("M1")))?;
        for _ in 0..10 {
            page.pictures(15)?;
            for id in ["M1", "BT1"] {
                let both = page.evaluate(&figures(id))?;
                assert_eq!(both[0], both[1], "{id}");
            }
        }
        page.release(x, y)?;
        page.wait_for(&format!("{} === 'stands'", now("M1")))?;
    }
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_capacitor_keeps_its_charge_while_another_part_is_moved() -> Result {
    let mut visit = Visit::start()?;
    let page = &mut visit.page;
    page.put_part("Battery pack", &["L+1", "L-1"])?;
    page.put_part("Resistor", &["L+5", "b7"])?;
    page.put_part("Electrolytic", &["e7", "e9"])?;
    page.put_part("Jumper wire", &["a9", "L-9"])?;
    page.keys("Escape")?;
    page.put_part("LED", &["f20", "f22"])?;
    let full = page.reading("C1")?;
    page.wait_for("[...document.querySelectorAll('.readings tbody tr')].some((row) => row.cells[0].innerText.startsWith('C1 ') && parseFloat(row.cells[1].innerText) > 5)")?;
    // Without its resistor it has nowhere to get a charge from; it holds what it has.
    page.click_hole("b7")?;
    page.click_hole("b15")?;
    let held = page.reading("C1")?;
    let volts = |reading: &[String; 4]| reading[0].split(' ').next().and_then(|it| it.parse::<f64>().ok());
    assert!(volts(&held).is_some_and(|volts| volts > 4.0), "{full:?}, {held:?}");
    // Another part is moved; the charge is still there.
    page.click_hole("f22")?;
    page.click_hole("f24")?;
    assert!(page.wiring()?.contains("f24"));
    let kept = page.reading("C1")?;
    assert!(volts(&kept).is_some_and(|volts| volts > 4.0), "{kept:?}");
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn an_led_straight_on_a_block_burns_stays_burnt_and_is_replaced() -> Result {
    let mut visit = open(&led_on_a_block())?;
    let page = &mut visit.page;
    let burnt =
        "[...document.querySelectorAll('.finding')].some((it) => it.innerText.includes('has burnt out'))";
    page.wait_for(burnt)?;
    page.wait_for("document.querySelector('.said').innerText.includes('burnt out')")?;
    // The live region says it to those who do not see the board.
    page.wait_for(
        "[...document.querySelectorAll('[aria-live], [role=status]')].some((it) => it.textContent.includes('burnt out'))",
    )?;
    // Without power it is still burnt.
    page.click_hole("L-1")?;
    page.click_hole("j20")?;
    let finding = page.first_finding()?;
    assert_eq!(page.evaluate(burnt)?, true, "{finding}");
    page.open_tab("Readings")?;
    page.evaluate("void [...document.querySelectorAll('.readings tbody button')].find((b) => b.innerText.startsWith('D1')).click()")?;
    page.wait_for(
        "[...document.querySelectorAll('.strip button')].some((b) => b.innerText === 'Replace it')",
    )?;
    page.evaluate(
        "void [...document.querySelectorAll('.strip button')].find((b) => b.innerText === 'Replace it').click()",
    )?;
    page.wait_for(
        "![...document.querySelectorAll('.strip button')].some((b) => b.innerText === 'Replace it')",
    )?;
    page.open_tab("Findings")?;
    page.wait_for(&format!("!({burnt})"))
}

/// An LED between the rails of a 9 V block.
fn led_on_a_block() -> Bench {
    let mut bench = blinker(1.0);
    bench.parts.retain(|part| part.card.kind == "battery" || part.card.kind == "led");
    for part in &mut bench.parts {
        let holes = if part.card.kind == "led" { ["L+3", "L-3"] } else { ["L+1", "L-1"] };
        for (leg, hole) in part.legs.iter_mut().zip(holes) {
            leg.hole = Hole::parse(hole);
        }
    }
    bench.check().expect("two parts on four holes");
    bench
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn the_chart_is_set_and_read_by_keys_alone_and_saved_as_a_table() -> Result {
    let mut visit = open(&blinker(20.0))?;
    let page = &mut visit.page;
    page.open_tab("Chart")?;
    // The lamp's current blinks as the chip does.
    choose(page, ".chart-probes select", "current into D1", "current into D1")?;
    page.wait_for("[...document.querySelectorAll('.chart .readings tbody td')].some((it) => it.innerText.endsWith('Hz'))")?;
    let cells = "[...document.querySelectorAll('.chart .readings tbody td')].map((it) => it.innerText).find((it) => it.endsWith('Hz'))";
    let words = page.evaluate(cells)?;
    let figure = words.as_str().and_then(|it| it.split(' ').next()).and_then(|it| it.parse::<f64>().ok());
    assert!(figure.is_some_and(|it| (16.0..24.0).contains(&it)), "{words}");

    press(page, "Pause")?;
    page.evaluate(
        "[...document.querySelectorAll('.chart button')].find((b) => b.innerText === 'Cursors').focus()",
    )?;
    page.keys("Enter")?;
    page.wait_for("document.querySelectorAll('.chart input[type=range]').length === 2")?;
    let before = page.evaluate("document.querySelector('.chart input[type=range]').ariaValueText")?;
    page.evaluate("document.querySelector('.chart input[type=range]').focus()")?;
    page.keys("ArrowLeft ArrowLeft ArrowLeft PageDown")?;
    page.wait_for(&format!("document.querySelector('.chart input[type=range]').ariaValueText !== {before}"))?;
    assert!(page.text(".chart")?.contains("A to B"));

    let (name, table) = visit.download(|page| {
        page.evaluate(
            "[...document.querySelectorAll('.chart button')].find((b) => b.innerText === 'CSV').focus()",
        )?;
        page.keys("Enter")
    })?;
    assert_eq!(name, "chart.csv");
    let table = String::from_utf8_lossy(&table).into_owned();
    let mut lines = table.lines();
    let heading = lines.next().unwrap_or_default();
    // The first trace is the one that was set; others may have been proposed beside it.
    let first = heading.split(',').nth(1).unwrap_or_default();
    assert!(heading.starts_with("seconds,") && first.ends_with(" A"), "{heading}");
    let rows: Vec<(f64, f64)> = lines
        .filter_map(|line| line.split_once(','))
        .map(|(time, rest)| (time, rest.split(',').next().unwrap_or_default()))
        .map(|(time, amps)| (time.parse().expect("a time"), amps.parse().expect("a current")))
        .collect();
    assert!(rows.len() > 20, "{}", rows.len());
    assert!(rows.windows(2).all(|pair| pair[0].0 <= pair[1].0), "in the order of time");
    // Some 6 V over 470 ohms while lit, nothing while dark: Ohm's law.
    let highest = rows.iter().map(|row| row.1).fold(0.0, f64::max);
    let lowest = rows.iter().map(|row| row.1).fold(f64::INFINITY, f64::min);
    assert!((0.005..0.02).contains(&highest) && lowest < 0.001, "{lowest} to {highest}");
    assert_eq!(visit.page.errors()?, [""; 0]);
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn volts_and_amperes_have_a_scale_each_and_paper_tells_the_lines_apart() -> Result {
    let mut visit = open(&blinker(20.0))?;
    let page = &mut visit.page;
    page.open_tab("Chart")?;
    // The first net, whatever it is called by.
    page.evaluate(
        "(field => { field.selectedIndex = 1; field.dispatchEvent(new Event('change', { bubbles: true })); })(document.querySelector('.chart-probes label:nth-child(1) select'))",
    )?;
    choose(page, ".chart-probes label:nth-child(2) select", "current into D1", "current into D1")?;
    // What was proposed beside them goes.
    for place in [3, 4] {
        choose(page, &format!(".chart-probes label:nth-child({place}) select"), "choose", "choose")?;
    }
    let says = |words: &str| format!("document.querySelector('.chart > p').innerText.includes('{words}')");
    page.wait_for("/left [0-9.]+ [mµ]?V/.test(document.querySelector('.chart > p').innerText)")?;
    page.wait_for(&says("right 2 mA"))?;
    // The lines that are to be seen in the table, with their dashes.
    let lines = "[...document.querySelectorAll('.chart tbody th svg')].filter((it) => it.getBoundingClientRect().width > 9).map((it) => it.firstChild.getAttribute('stroke-dasharray')).join()";
    assert_eq!(page.evaluate(lines)?, "", "on the screen they stand above the chart");
    for look in [Look::Light, Look::Forced] {
        page.look(look)?;
        page.on_paper(true)?;
        assert_eq!(page.evaluate(lines)?, ",7 4", "{look:?}: full, dashes");
        assert_eq!(page.evaluate("document.querySelector('.chart > p').offsetHeight > 9")?, true, "{look:?}");
        page.on_paper(false)?;
    }
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn the_triggers_level_keeps_what_it_refuses_and_says_when_it_waits() -> Result {
    let mut visit = open(&blinker(20.0))?;
    let page = &mut visit.page;
    page.open_tab("Chart")?;
    choose(page, ".chart-probes label:nth-child(1) select", "current into D1", "current into D1")?;
    choose(page, ".chart .strip-fields label:nth-child(3) select", "on a rise", "on a rise")?;
    let write = |page: &mut Page, text: &str| -> Result {
        page.evaluate("document.querySelector('#level').select()")?;
        page.type_text(text)?;
        page.keys("Enter")
    };
    write(page, "abc")?;
    page.wait_for("document.querySelector('#level-why')?.innerText.includes('t a number')")?;
    let field =
        "(() => { const it = document.querySelector('#level'); return it.value + ' ' + it.ariaInvalid; })()";
    assert_eq!(page.evaluate(field)?, "abc true");
    page.keys("Escape")?;
    page.wait_for("!document.querySelector('#level-why') && document.querySelector('#level').value === '1'")?;
    let waits = "document.querySelector('.chart').innerText.includes('waits for trace 1')";
    write(page, "30")?;
    page.wait_for(waits)?;
    // Its lamp takes more than five milliamperes while it is lit.
    write(page, "5m")?;
    page.wait_for(&format!("!{waits} && document.querySelector('#level').value === '0.005'"))?;
    Ok(())
}

#[test]
#[ignore = "needs the built page, Chromium and axe-core: cargo xtask test --only axe"]
fn axe_finds_nothing_while_the_clock_runs_nor_on_the_chart() -> Result {
    let mut found = Vec::new();
    for look in [Look::Light, Look::Dark] {
        let mut visit = open(&blinker(1000.0))?;
        let page = &mut visit.page;
        page.look(look)?;
        page.wait_for("document.querySelector('.over text')")?;
        let mut see = |page: &mut Page, view: &str| -> Result {
            for violation in page.axe(&axe_script())? {
                found.push(format!(
                    "{look:?}, {view}: {} ({}) {:?}",
                    violation.rule, violation.help, violation.places
                ));
            }
            Ok(())
        };
        see(page, "the clock runs")?;
        page.open_tab("Chart")?;
        choose(page, ".chart-probes select", "current into D1", "current into D1")?;
        page.evaluate("void [...document.querySelectorAll('.chart button')].find((b) => b.innerText === 'Cursors').click()")?;
        page.wait_for("document.querySelectorAll('.chart input[type=range]').length === 2")?;
        see(page, "chart")?;
        press(page, "Pause")?;
        page.resize(360, 740)?;
        see(page, "chart on a phone, paused")?;
    }
    assert!(found.is_empty(), "{found:#?}");
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn where_less_motion_is_asked_for_the_clock_begins_paused() -> Result {
    let mut visit = Visit::start()?;
    let address = visit.address("?example=blinking-lighthouse");
    let page = &mut visit.page;
    page.less_motion(true)?;
    page.open(&address)?;
    page.wait_until_live()?;
    page.wait_for("[...document.querySelectorAll('.clock button')].some((it) => it.innerText === 'Run')")?;
    page.wait_for("document.querySelector('#clock-time').innerText === '0.00 s'")?;
    let seen = "document.querySelector('svg.board').innerHTML";
    let before = page.evaluate(seen)?;
    page.pictures(60)?;
    assert_eq!(page.evaluate(seen)?, before);
    press(page, "Run")?;
    page.wait_for("document.querySelector('#clock-time').innerText.endsWith(' s')")?;
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_lamp_that_blinks_is_told_once_and_with_its_frequency() -> Result {
    let mut visit = open(&blinker(1.0))?;
    let page = &mut visit.page;
    page.evaluate(
        "(window.heard = new Set(), setInterval(() => heard.add(document.querySelector('.said').innerText), 40), 0)",
    )?;
    let blinks = "parseFloat(/D1 blinks, ([0-9.]+) Hz/.exec(document.querySelector('.said').innerText)?.[1])";
    page.wait_for(blinks)?;
    let hertz = page.evaluate(blinks)?.as_f64().unwrap_or_default();
    assert!((0.95..1.05).contains(&hertz), "{hertz}");
    // Three blinks more.
    let from = time(page)?;
    page.wait_for(&format!("parseFloat(document.querySelector('#clock-time').innerText) > {}", from + 3.0))?;
    let heard = page.evaluate("[...heard].filter((it) => it.includes('D1'))")?;
    assert_eq!(heard.as_array().map(Vec::len), Some(1), "{heard}");
    Ok(())
}
