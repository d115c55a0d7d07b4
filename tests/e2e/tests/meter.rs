//! The multimeter as a student uses it: mistakes by mouse and by keys, what is said of them, and a bench on
//! which only the meter tells.

use std::collections::BTreeSet;

use halfrow_core::bench::{Bench, Lesson};
use halfrow_core::meter::{Dial, Socket, Touch};
use halfrow_core::shape::Point;
use halfrow_draw::meter;
use halfrow_e2e::board::BOARD;
use halfrow_e2e::page::Page;
use halfrow_e2e::visit::Visit;
use halfrow_e2e::wire::Result;
use halfrow_file::examples;

fn example(slug: &str) -> Bench {
    halfrow_file::read(examples::find(slug).expect("an example").text()).expect("a bench")
}

/// The page with a bench in its link, the tab of the meter open.
fn open(bench: &Bench) -> Result<Visit> {
    let mut visit = Visit::at(&halfrow_file::link::encode(bench))?;
    visit.page.open_tab("Meter")?;
    Ok(visit)
}

/// A bench with its meter set: dial, red tip, black tip.
fn set(slug: &str, dial: Dial, red: &str, black: &str) -> Bench {
    let mut bench = example(slug);
    let tips = [red, black].map(|word| Touch::parse(&bench, word).expect("on the bench"));
    bench.meters[0].dial = dial;
    [bench.meters[0].red.tip, bench.meters[0].black.tip] = tips;
    bench
}

/// Where a place of the bench is in the window.
fn place(page: &mut Page, at: Point) -> Result<(f64, f64)> {
    page.point_in(BOARD, f64::from(at.x), f64::from(at.y))
}

fn number(page: &mut Page) -> Result<String> {
    page.text(".meter-number")
}

fn shows(page: &mut Page, words: &str) -> Result {
    page.wait_for(&format!("document.querySelector('.meter-number')?.innerText.includes('{words}')"))
}

fn said_of_it(page: &mut Page, words: &str) -> Result {
    page.wait_for(&format!(
        "[...document.querySelectorAll('.panel .finding')].some((it) => it.innerText.includes('{words}'))"
    ))
}

/// Presses a button of the panel by its words.
fn press(page: &mut Page, name: &str) -> Result {
    page.wait_for(&format!(
        "[...document.querySelectorAll('.panel button')].some((it) => it.innerText === '{name}')"
    ))?;
    page.evaluate(&format!(
        "void [...document.querySelectorAll('.panel button')].find((it) => it.innerText === '{name}').click()"
    ))?;
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn the_plug_in_10a_is_found_out_and_moved_by_the_mouse() -> Result {
    let mut visit = Visit::at("?example=shared-meter")?;
    let page = &mut visit.page;
    page.open_tab("Meter")?;
    let bench = example("shared-meter");
    // The dial by a drag of its knob, the tips by a click on each and on a hole.
    let centre = meter::dial_centre(&bench, 0);
    let from = place(page, Point::new(centre.x + 5.0, centre.y))?;
    let to = place(page, Point::new(centre.x - 20.0, centre.y - 27.5))?;
    let wanted = meter::dial_towards(&bench, 0, Point::new(centre.x - 20.0, centre.y - 27.5));
    assert_eq!(wanted, Dial::Dc20V);
    page.drag_points(from, to)?;
    page.wait_for("document.querySelector('#dial-0').selectedIndex > 0")?;
    press(page, "Place red")?;
    page.click_hole("d7")?;
    press(page, "Place black")?;
    page.click_hole("g7")?;
    // The lamp goes out: the meter is a piece of wire beside it.
    said_of_it(page, "10 A socket")?;
    shows(page, "0.0")?;
    let socket = meter::socket(&bench, 0, Socket::Vom);
    let at = place(page, socket)?;
    page.click_point(at.0, at.1)?;
    shows(page, "V")?;
    page.wait_for("![...document.querySelectorAll('.panel .finding')].some((it) => it.innerText.includes('10 A socket'))")?;
    let volts: f64 = number(page)?.split(' ').next().unwrap_or_default().parse().unwrap_or(0.0);
    assert!((1.5..3.0).contains(&volts), "{}", number(page)?);
    assert_eq!(page.errors()?, [""; 0]);
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn keys_turn_the_dial_past_ranges_that_would_blow_the_fuse_and_speak_the_reading() -> Result {
    let mut visit = open(&set("measure-lighthouse", Dial::Dc200Ua, "BT1.+", "BT1.-"))?;
    let page = &mut visit.page;
    page.evaluate("document.querySelector('#dial-of-0').focus()")?;
    page.wait_for("document.querySelector('.dial-focus')")?;
    // From 200 µA up past 200 mA, which would blow the fuse across the pack, to the ohms.
    page.keys("ArrowLeft ArrowLeft ArrowLeft ArrowLeft ArrowLeft")?;
    page.wait_for("document.querySelector('#dial-of-0').ariaValueText === 'Continuity'")?;
    shows(page, "turning")?;
    page.wait_for("!document.querySelector('.meter-number').innerText.includes('turning')")?;
    assert!(!page.wiring()?.contains("blown"));
    page.open_tab("Meter")?;
    page.evaluate("document.querySelector('#dial-of-0').focus()")?;
    page.keys("Home ArrowRight ArrowRight ArrowRight")?;
    page.wait_for("document.querySelector('#dial-of-0').ariaValueText === 'DC volts, 20 V'")?;
    shows(page, "V")?;
    let shown = number(page)?;
    page.keys("m")?;
    page.wait_for(&format!("document.querySelector('.said').innerText.includes('DC volts, 20 V: {shown}')"))?;
    // The wheel turns it while it has the focus, and scrolls the board when it hasn't.
    let bench = example("measure-lighthouse");
    let centre = meter::dial_centre(&bench, 0);
    let at = place(page, centre)?;
    page.wheel(at, (0.0, 40.0), 0)?;
    page.wait_for("document.querySelector('#dial-of-0').ariaValueText === 'DC volts, 2 V'")?;
    said_of_it(page, "1")?;
    page.evaluate("document.querySelector('#tab-Meter').focus()")?;
    page.wait_for("!document.querySelector('.dial-focus')")?;
    page.wheel(at, (0.0, 40.0), 0)?;
    page.pictures(3)?;
    let dial = page.evaluate("document.querySelector('#dial-of-0').ariaValueText")?;
    assert_eq!(dial, "DC volts, 2 V");
    assert_eq!(page.errors()?, [""; 0]);
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn the_fuse_blows_by_keys_and_a_step_back_brings_it_back() -> Result {
    let mut visit = open(&set("measure-lighthouse", Dial::Off, "BT1.+", "BT1.-"))?;
    let page = &mut visit.page;
    page.evaluate("document.querySelector('#dial-of-0').focus()")?;
    page.keys("End ArrowLeft ArrowLeft ArrowLeft")?;
    page.wait_for("document.querySelector('#dial-of-0').ariaValueText === 'DC amps, 200 mA'")?;
    said_of_it(page, "fuse has melted")?;
    // Nobody but the finding tells: the display shows zero.
    page.keys("Control+z")?;
    page.wait_for("document.querySelector('#dial-of-0').ariaValueText === 'Off'")?;
    assert!(!page.wiring()?.contains("blown"));
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn volts_in_series_ohms_in_a_live_circuit_and_reversed_tips_are_each_said_after_the_reading() -> Result {
    let mut series = set("quay-current", Dial::Dc20V, "L+10", "R1.1");
    let leg = Touch::parse(&series, "R1.1").and_then(|it| it.leg(&series)).expect("a leg");
    series.put_leg(leg, None).expect("it lifts");
    for (bench, words) in [
        (series, "it stops the circuit"),
        (set("measure-lighthouse", Dial::Ohm2K, "R1.1", "R1.2"), "BT1 is still connected"),
        (set("measure-lighthouse", Dial::Dc20V, "D1.K", "D1.A"), "more negative side"),
        (set("measure-lighthouse", Dial::Ac200V, "BT1.+", "BT1.-"), "AC volts shows only what swings"),
        (set("measure-lighthouse", Dial::Dc200Mv, "D1.A", "D1.K"), "more than DC volts, 200 mV"),
        (set("measure-lighthouse", Dial::Dc20V, "d16", "e16"), "same net"),
        (set("measure-lighthouse", Dial::Dc20V, "d16", "a27"), "no leg is in that half row"),
        (set("resistor-in-circuit", Dial::Ohm20K, "R1.1", "R1.2"), "R2"),
        (set("two-megohm-divider", Dial::Dc20V, "b5", "L-5"), "The meter changes the circuit"),
    ] {
        let mut visit = open(&bench)?;
        said_of_it(&mut visit.page, words)?;
        assert!(!number(&mut visit.page)?.contains("measuring"), "{words}");
        assert_eq!(visit.page.errors()?, [""; 0]);
    }
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_prediction_comes_first_and_the_notebook_keeps_it() -> Result {
    let mut bench = set("measure-lighthouse", Dial::Dc20V, "D1.A", "D1.K");
    bench.lesson = Lesson { predict_first: true, ..Lesson::default() };
    let mut visit = open(&bench)?;
    let page = &mut visit.page;
    shows(page, "predict first")?;
    assert_eq!(page.count(".panel .finding")?, 0);
    page.fill("#guess", "2")?;
    page.keys("Enter")?;
    page.wait_for("document.querySelector('#guess-why')")?;
    shows(page, "predict first")?;
    page.fill("#guess", "2 V")?;
    page.keys("Enter")?;
    page.wait_for("document.querySelector('.verdict')")?;
    press(page, "Write it down")?;
    page.wait_for("document.querySelector('.notebook tbody tr')")?;
    let row = page.text(".notebook tbody tr")?;
    assert!(row.contains("D1") && row.contains("2 V") && row.contains("DC volts, 20 V"), "{row}");
    page.wait_for("document.querySelector('.questions .done')")?;
    // True values only on request; paper has the notebook too.
    assert!(!page.text(".notebook thead")?.contains("Without"));
    press(page, "True values")?;
    page.wait_for("document.querySelector('.notebook thead').innerText.includes('Without')")?;
    page.evaluate("void dispatchEvent(new Event('beforeprint'))")?;
    page.wait_for("document.querySelector('.printed .readings')")?;
    let (_, csv) = visit.download(|page| press(page, "Save as CSV"))?;
    let csv = String::from_utf8(csv).unwrap_or_default();
    assert!(csv.starts_with("\"what\",\"how\"") && csv.contains("\"2 V\""), "{csv}");
    Ok(())
}

/// Everything that can be read or heard of the page, apart from the meter's own controls and findings.
const ALL_WORDS: &str = "[...document.querySelectorAll('body, body *')].flatMap((it) => {
  if (it.closest('.drawer, .meter-shown, .meter-controls, .meter-questions, .notebook, .meter, #dial-of-0, script, style, noscript')) return [];
  const own = [...it.childNodes].filter((node) => node.nodeType === 3).map((node) => node.data);
  const more = ['title', 'aria-label', 'aria-valuetext', 'placeholder', 'alt'].map((name) => it.getAttribute(name));
  return [...own, ...more, it.value].filter((words) => typeof words === 'string');
})";

/// The words of the page that hold a number of volts, amperes, watts or ohms, but for what is printed on the
/// parts and on the dial, and for what the meter itself is heard to show.
fn figures(page: &mut Page, printed: &[&str]) -> Result<BTreeSet<String>> {
    let script = format!(
        "{ALL_WORDS}.map((words) => {}.reduce((it, printed) => it.replaceAll(printed, ''), words))
            .filter((words) => !words.startsWith('The meter shows'))
            .filter((words) => /\\d[\\s\\u00a0\\u202f]?[pnµmkM]?[VAWΩ](?![\\w-])/.test(words))",
        serde_json::json!(printed)
    );
    let found = page.evaluate(&script)?;
    Ok(found.as_array().into_iter().flatten().filter_map(|it| it.as_str()).map(str::to_owned).collect())
}

/// Walks over all of the page and collects its figures.
fn walk(page: &mut Page, printed: &[&str]) -> Result<BTreeSet<String>> {
    let mut found = BTreeSet::new();
    for tab in ["Findings", "Meter", "Readings", "Plan", "Nets", "Chart"] {
        page.open_tab(tab)?;
        page.pictures(2)?;
        found.extend(figures(page, printed)?);
    }
    // A hole under the pointer, under the keys, and read out; a part that is chosen; both overlays.
    page.open_tab("Findings")?;
    for hole in ["e16", "d9", "R-14"] {
        let at = halfrow_e2e::board::hole(hole)?;
        let at = page.point_in(BOARD, at.0, at.1)?;
        page.hover(at.0, at.1)?;
        page.pictures(2)?;
        found.extend(figures(page, printed)?);
        page.right_click_point(at.0, at.1)?;
        page.wait_for("document.querySelector('[role=menuitem]')")?;
        page.evaluate("void [...document.querySelectorAll('[role=menuitem]')].find((it) => it.innerText.startsWith('Read this hole')).click()")?;
        page.pictures(2)?;
        found.extend(figures(page, printed)?);
    }
    page.open_tab("Nets")?;
    page.evaluate("void document.querySelector('.readings tbody button').click()")?;
    page.evaluate("for (const it of document.querySelectorAll('.head .overlay')) if (it.getAttribute('aria-pressed') === 'false') it.click()")?;
    page.pictures(3)?;
    found.extend(figures(page, printed)?);
    page.keys("Control+a")?;
    page.evaluate("void dispatchEvent(new Event('beforeprint'))")?;
    page.wait_for("document.querySelector('.printed table')")?;
    found.extend(figures(page, printed)?);
    page.evaluate("void dispatchEvent(new Event('afterprint'))")?;
    Ok(found)
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn where_only_the_meter_tells_nothing_else_on_the_page_does() -> Result {
    let printed = ["180 Ω", "1 kΩ", "DC volts, 20 V"];
    let bench = set("measure-lighthouse", Dial::Dc20V, "D1.A", "D1.K");
    let mut visit = open(&bench)?;
    let open_words = walk(&mut visit.page, &printed)?;
    assert!(open_words.len() > 10, "what is looked for is there otherwise: {open_words:?}");
    let lesson = Lesson { only_meter: true, ..Lesson::default() };
    let mut visit = open(&Bench { lesson, ..bench })?;
    let words = walk(&mut visit.page, &printed)?;
    assert!(words.is_empty(), "{words:#?}");
    visit.page.open_tab("Meter")?;
    shows(&mut visit.page, "V")?;
    assert_eq!(visit.page.errors()?, [""; 0]);
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_teacher_sets_it_under_share_and_the_link_holds_it() -> Result {
    let mut visit = Visit::at("?example=measure-lighthouse")?;
    let page = &mut visit.page;
    page.evaluate(
        "void [...document.querySelectorAll('.head button')].find((it) => it.innerText === 'Share').click()",
    )?;
    page.wait_for("document.querySelector('.lesson input')")?;
    page.evaluate("void document.querySelector('.lesson input').click()")?;
    page.wait_for(
        "document.querySelector('.lesson input').checked && document.querySelector('textarea.link')",
    )?;
    page.pictures(5)?;
    page.wait_for("document.querySelector('textarea.link')")?;
    let link = page.evaluate("document.querySelector('textarea.link').value")?;
    let bench = halfrow_file::link::decode(link.as_str().unwrap_or_default()).expect("a link");
    assert!(bench.lesson.only_meter);
    page.keys("Escape")?;
    page.open_tab("Readings")?;
    page.wait_for("document.querySelector('.panel').innerText.includes('Only the meter tells')")
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn on_a_phone_a_finger_places_tips_and_the_reading_is_heard() -> Result {
    let mut visit = open(&set("measure-lighthouse", Dial::Dc20V, "air", "air"))?;
    let page = &mut visit.page;
    page.resize(360, 740)?;
    page.touch_screen()?;
    page.evaluate("(it => { it.focus(); it.value = 'D1.A'; it.dispatchEvent(new Event('input', { bubbles: true })); it.dispatchEvent(new Event('change', { bubbles: true })); })(document.querySelector('#tip-0-Red'))")?;
    page.evaluate("(it => { it.focus(); it.value = 'D1.K'; it.dispatchEvent(new Event('input', { bubbles: true })); it.dispatchEvent(new Event('change', { bubbles: true })); })(document.querySelector('#tip-0-Black'))")?;
    shows(page, "V")?;
    page.wait_for("document.querySelector('.said').innerText.includes('The meter shows')")?;
    assert_eq!(page.errors()?, [""; 0]);
    let wide = page.evaluate("document.documentElement.scrollWidth")?;
    assert!(wide.as_f64().is_some_and(|wide| wide <= 360.0), "{wide}");
    Ok(())
}
