//! What is kept on the device: nothing that was built is lost by a reload or by opening something else.

use halfrow_e2e::page::Page;
use halfrow_e2e::visit::Visit;
use halfrow_e2e::wire::Result;
use halfrow_server::{Policy, Setup};

fn wait_until_saved(page: &mut Page) -> Result {
    page.wait_for("document.querySelector('.kept-state')?.innerText === 'saved on this device'")
}

fn reload(page: &mut Page) -> Result {
    page.reload()?;
    page.wait_until_live()
}

fn title_is(page: &mut Page, title: &str) -> Result {
    page.wait_for(&format!("document.querySelector('input.title').value === '{title}'"))
}

/// The titles of the snapshots, newest first.
fn snapshots(page: &mut Page) -> Result<Vec<String>> {
    page.evaluate(
        "void [...document.querySelectorAll('.head button')].find((b) => b.innerText === 'More').click()",
    )?;
    page.wait_for("document.querySelector('.sheet')")?;
    page.wait_for("document.querySelector('.kept button')")?;
    let titles = page
        .evaluate("[...document.querySelectorAll('.kept button')].map((b) => b.innerText.split(',')[0])")?;
    page.keys("Escape")?;
    page.wait_for("!document.querySelector('.sheet')")?;
    let titles = titles.as_array().into_iter().flatten().filter_map(|it| it.as_str());
    Ok(titles.map(str::to_owned).collect())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn what_was_changed_on_a_bench_from_the_address_is_there_after_a_reload() -> Result {
    let mut visit = Visit::at("?example=harbour-mouth")?;
    let page = &mut visit.page;
    page.put_part("Jumper wire", &["a27", "j27"])?;
    page.wait_for("document.querySelector('.said').innerText.includes('W6 is in')")?;
    wait_until_saved(page)?;
    reload(page)?;
    title_is(page, "Harbour mouth")?;
    // What was still on its way to the device as the page went is settled a moment after the start.
    page.wiring()?;
    page.wait_for("document.querySelector('#wiring-text').value.includes('1=a27 2=j27')")?;
    assert_eq!(page.evaluate("location.search")?, "");
    // The way back is there too.
    page.keys("Control+z")?;
    page.wait_for("!document.querySelector('[title^=\"Redo\"]').disabled")?;
    assert!(!page.wiring()?.contains("1=a27 2=j27"));
    page.wait_for("document.querySelector('[title^=\"Undo\"]').disabled")
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn the_former_bench_is_among_the_snapshots_and_no_two_are_the_same() -> Result {
    let mut visit = Visit::start()?;
    page_with_title(&mut visit.page, "Six parts")?;
    for hole in [3, 6, 9] {
        visit.page.put_part("Resistor", &[&format!("a{hole}"), &format!("d{hole}")])?;
    }
    wait_until_saved(&mut visit.page)?;
    for _ in 0..3 {
        reload(&mut visit.page)?;
        title_is(&mut visit.page, "Six parts")?;
    }
    // Opened over it by the address, and changed there.
    let address = visit.address("?example=lighthouse");
    let page = &mut visit.page;
    page.open(&address)?;
    page.wait_until_live()?;
    page.put_part("Jumper wire", &["a27", "j27"])?;
    wait_until_saved(page)?;
    let kept = snapshots(page)?;
    let count = kept.iter().filter(|it| *it == "Six parts").count();
    assert_eq!(count, 1, "however often it was loaded: {kept:?}");
    // Damaged, the address leaves the kept one open and says so.
    let address = visit.address("#1.AAAABBBB");
    let page = &mut visit.page;
    page.open(&address)?;
    page.wait_for("document.querySelector('.said').innerText.includes('couldn’t be opened')")?;
    reload(page)?;
    title_is(page, "Lighthouse")?;
    let said = page.text(".said")?;
    assert!(said.contains("couldn’t be opened"), "{said}");
    Ok(())
}

fn page_with_title(page: &mut Page, title: &str) -> Result {
    page.fill("input.title", title)
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_title_alone_comes_back() -> Result {
    let mut visit = Visit::start()?;
    let page = &mut visit.page;
    page_with_title(page, "Class 7b plan")?;
    wait_until_saved(page)?;
    reload(page)?;
    title_is(page, "Class 7b plan")
}

/// Puts a jumper wire and waits until it is saved.
fn put_wire(page: &mut Page, from: &str, to: &str) -> Result {
    page.put_part("Jumper wire", &[from, to])?;
    page.wait_for("document.querySelector('.kept-state')?.innerText.startsWith('saved ')")
}

/// Presses a button of the notice.
fn answer_notice(page: &mut Page, name: &str) -> Result {
    page.evaluate(&format!(
        "void [...document.querySelectorAll('.notice button')].find((b) => b.innerText === {name:?}).click()"
    ))?;
    Ok(())
}

fn notice_says(page: &mut Page, words: &str) -> Result {
    page.wait_for(&format!("document.querySelector('.notice')?.innerText.includes({words:?})"))
}

/// A second tab at the same page, in which the kept bench is back.
fn second_tab(visit: &mut Visit) -> Result<Page> {
    let address = visit.address("");
    let mut second = visit.browser.page()?;
    second.resize(1366, 768)?;
    second.open(&address)?;
    second.wait_until_live()?;
    second.wait_for("document.querySelector('.said').innerText.includes('as you left it')")?;
    Ok(second)
}

/// What the device holds under the names that begin so.
fn held(page: &mut Page, start: &str) -> Result<Vec<String>> {
    let texts = page.evaluate(&format!(
        "new Promise((done, failed) => {{
            const request = indexedDB.open('halfrow');
            request.onerror = failed;
            request.onsuccess = () => {{
                const store = request.result.transaction('benches').objectStore('benches');
                const all = store.getAll(IDBKeyRange.bound({start:?}, {start:?} + '\\uffff'));
                all.onsuccess = () => {{ request.result.close(); done(all.result.map(String)); }};
            }};
        }})"
    ))?;
    Ok(texts.as_array().into_iter().flatten().filter_map(|it| it.as_str()).map(str::to_owned).collect())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn an_older_tab_that_is_hidden_and_closed_overwrites_nothing() -> Result {
    let mut visit = Visit::start()?;
    put_wire(&mut visit.page, "a3", "b5")?;
    let mut second = second_tab(&mut visit)?;
    notice_says(&mut visit.page, "open in another tab")?;
    put_wire(&mut second, "a9", "b11")?;
    // The first one is behind, says so, and leaves what is kept alone.
    let page = &mut visit.page;
    notice_says(page, "changed in another tab")?;
    page.evaluate("dispatchEvent(new Event('pagehide'))")?;
    page.open("about:blank")?;
    reload(&mut second)?;
    second.wait_for("document.querySelector('.said').innerText.includes('as you left it')")?;
    assert!(second.wiring()?.contains("1=a9 2=b11"));
    assert_eq!(held(&mut second, "beside ")?.len(), 0);
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn two_tabs_that_both_change_a_bench_both_keep_theirs() -> Result {
    let mut visit = Visit::start()?;
    put_wire(&mut visit.page, "a3", "b5")?;
    let mut second = second_tab(&mut visit)?;
    put_wire(&mut second, "a9", "b11")?;
    let page = &mut visit.page;
    notice_says(page, "changed in another tab")?;
    put_wire(page, "a15", "b17")?;
    notice_says(page, "kept beside it")?;
    page.wait_for("document.querySelector('.kept-state').innerText === 'saved beside the other'")?;
    assert!(held(page, "beside ")?[0].contains("a15"));
    assert!(held(page, "open")?[0].contains("a9"));
    // Kept beside, it is there again after a reload, in this tab alone.
    answer_notice(page, "Keep both")?;
    page.wait_for("!document.querySelector('.notice')")?;
    reload(page)?;
    page.wait_for("document.querySelector('.said').innerText.includes('as you left it')")?;
    assert!(page.wiring()?.contains("1=a15 2=b17"));
    reload(&mut second)?;
    second.wait_for("document.querySelector('.said').innerText.includes('as you left it')")?;
    assert!(second.wiring()?.contains("1=a9 2=b11"));
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_tab_that_takes_the_newer_bench_has_its_own_back_by_undo() -> Result {
    let mut visit = Visit::start()?;
    put_wire(&mut visit.page, "a3", "b5")?;
    let mut second = second_tab(&mut visit)?;
    put_wire(&mut second, "a9", "b11")?;
    let page = &mut visit.page;
    put_wire(page, "a15", "b17")?;
    notice_says(page, "kept beside it")?;
    answer_notice(page, "Take the newer one")?;
    page.wait_for("document.querySelector('.said').innerText.includes('other one is open')")?;
    assert!(page.wiring()?.contains("1=a9 2=b11"));
    page.wait_for("!document.querySelector('.notice')")?;
    page.click_hole("a30")?;
    page.keys("Control+z")?;
    assert!(page.wiring()?.contains("1=a15 2=b17"));
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn two_frames_of_one_page_share_no_slot_unknowingly() -> Result {
    let mut visit = Visit::start()?;
    let page = &mut visit.page;
    // Counts what a frame has read: what was left in a hurry, then its slot. One that looked only after the
    // other has saved would find that bench and open over it knowingly.
    page.before_each_page(
        "(() => {
            const begin = IDBDatabase.prototype.transaction;
            window.looked = 0;
            IDBDatabase.prototype.transaction = function (...all) {
                const it = begin.apply(this, all);
                if (all[0] === 'benches') it.addEventListener('complete', () => { window.looked++; });
                return it;
            };
        })()",
    )?;
    page.evaluate(
        "for (const name of ['lighthouse', 'fog-lamp']) {
            const frame = document.createElement('iframe');
            frame.id = name;
            frame.src = '?example=' + name;
            document.body.append(frame);
        }",
    )?;
    for name in ["lighthouse", "fog-lamp"] {
        let inside = format!("document.getElementById('{name}').contentDocument");
        page.wait_for(&format!("{inside}.querySelector('input.title')?.value"))?;
        page.wait_for(&format!("document.getElementById('{name}').contentWindow.looked >= 2"))?;
    }
    for (name, state) in [("lighthouse", "saved on this device"), ("fog-lamp", "saved beside the other")] {
        let inside = format!("document.getElementById('{name}').contentDocument");
        page.evaluate(&format!(
            "(it => {{ it.value = 'Mine, {name}'; it.dispatchEvent(new Event('change', {{ bubbles: true }})); }})\
             ({inside}.querySelector('input.title'))"
        ))?;
        page.wait_for(&format!("{inside}.querySelector('.kept-state')?.textContent === '{state}'"))?;
    }
    assert!(held(page, "open")?[0].contains("Mine, lighthouse"));
    assert!(held(page, "beside ")?[0].contains("Mine, fog-lamp"));
    Ok(())
}

/// Puts a text where the page keeps its bench.
fn seed(page: &mut Page, text: &str) -> Result {
    page.evaluate(&format!(
        "new Promise((done, failed) => {{
            const request = indexedDB.open('halfrow');
            request.onerror = failed;
            request.onsuccess = () => {{
                const put = request.result.transaction('benches', 'readwrite');
                put.objectStore('benches').put({text:?}, 'open');
                put.oncomplete = () => {{ request.result.close(); done(1); }};
            }};
        }})"
    ))?;
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_kept_bench_that_cannot_be_read_stays_and_is_offered_as_a_file() -> Result {
    for (kept, why) in
        [("{\"halfrow\": 99, \"boards\": []}", "newer"), ("{\"halfrow\": 1, \"bo", "can’t be opened")]
    {
        let mut visit = Visit::start()?;
        put_wire(&mut visit.page, "a3", "b5")?;
        let address = visit.address("?again");
        let page = &mut visit.page;
        page.open("about:blank")?;
        page.open(&address)?;
        page.wait_until_live()?;
        seed(page, kept)?;
        reload(page)?;
        notice_says(page, why)?;
        put_wire(page, "a9", "b11")?;
        assert_eq!(held(page, "unread ")?, [kept], "the old one is there, to the letter");
        assert!(held(page, "open")?[0].contains("a9"));
        let (_, file) = visit.download(|page| answer_notice(page, "Save it as a file"))?;
        assert_eq!(String::from_utf8_lossy(&file), kept);
    }
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_database_that_opens_late_loses_neither_bench() -> Result {
    let mut visit = Visit::start()?;
    put_wire(&mut visit.page, "a3", "b5")?;
    visit.page.open("about:blank")?;
    // Another page of the host holds the database: an upgrade waits for it, and every later opening too.
    let (schema, address) = (visit.address("bench.schema.json"), visit.address(""));
    let mut holder = visit.browser.page()?;
    holder.open(&schema)?;
    holder.evaluate(
        "new Promise((done) => {
            const first = indexedDB.open('halfrow');
            first.onsuccess = () => {
                window.held = first.result;
                const second = indexedDB.open('halfrow', 2);
                second.onblocked = () => done(1);
                second.onupgradeneeded = () => second.transaction.abort();
                second.onerror = (event) => event.preventDefault();
            };
        })",
    )?;
    let page = &mut visit.page;
    page.open(&address)?;
    page.wait_until_live()?;
    page.put_part("Jumper wire", &["a9", "b11"])?;
    page.wait_for("document.querySelector('.said').innerText.includes('Not saved on this device')")?;
    assert_eq!(page.text(".kept-state")?, "not saved: save it as a file");
    holder.evaluate("void window.held.close()")?;
    notice_says(page, "kept beside it")?;
    page.wait_for("document.querySelector('.kept-state').innerText === 'saved beside the other'")?;
    assert!(held(page, "open")?[0].contains("a3"));
    answer_notice(page, "Take the kept one")?;
    page.wait_for("document.querySelector('.said').innerText.includes('other one is open')")?;
    assert!(page.wiring()?.contains("1=a3 2=b5"));
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn saving_that_fails_is_said_and_leaving_asks() -> Result {
    let mut visit = Visit::start()?;
    let page = &mut visit.page;
    let asks = "!dispatchEvent(new Event('beforeunload', { cancelable: true }))";
    put_wire(page, "a3", "b5")?;
    assert_eq!(page.evaluate(asks)?, false);
    page.evaluate(
        "window.put = IDBObjectStore.prototype.put;
         IDBObjectStore.prototype.put = () => { throw new DOMException('The disk is full', 'QuotaExceededError'); }",
    )?;
    page.put_part("Jumper wire", &["a9", "b11"])?;
    page.wait_for("document.querySelector('.said[role=status]').innerText.includes('The disk is full')")?;
    assert_eq!(page.text(".kept-state")?, "not saved: save it as a file");
    assert_eq!(page.evaluate(asks)?, true);
    page.evaluate("void (IDBObjectStore.prototype.put = window.put)")?;
    put_wire(page, "a15", "b17")?;
    assert_eq!(page.evaluate(asks)?, false);
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn saved_is_said_when_the_device_has_it_for_good() -> Result {
    let mut visit = Visit::blank(Setup::default())?;
    visit.page.before_each_page(
        "(() => {
            const begin = IDBDatabase.prototype.transaction;
            window.asked = [];
            IDBDatabase.prototype.transaction = function (names, mode, options) {
                const it = begin.call(this, names, mode, options);
                if (mode === 'readwrite') window.asked.push(options?.durability);
                if (mode === 'readwrite' && names === 'benches') {
                    const said = () => document.querySelector('.kept-state')?.textContent;
                    it.addEventListener('complete', () => { window.before = said(); });
                }
                return it;
            };
        })()",
    )?;
    visit.page.resize(1366, 768)?;
    let address = visit.address("");
    let page = &mut visit.page;
    page.open(&address)?;
    page.wait_until_live()?;
    put_wire(page, "a3", "b5")?;
    assert_eq!(page.evaluate("window.before")?, "saving…", "as the transaction completes");
    assert_eq!(
        page.evaluate("window.asked.length > 0 && window.asked.every((it) => it === 'strict')")?,
        true
    );
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn what_was_changed_a_moment_before_leaving_is_there_again() -> Result {
    let mut visit = Visit::start()?;
    put_wire(&mut visit.page, "a3", "b5")?;
    let address = visit.address("");
    let page = &mut visit.page;
    page.put_part("Jumper wire", &["a9", "b11"])?;
    page.open("about:blank")?;
    page.open(&address)?;
    page.wait_until_live()?;
    page.wait_for("document.querySelector('.said').innerText.includes('as you left it')")?;
    assert!(page.wiring()?.contains("1=a9 2=b11"));
    assert_eq!((held(page, "left ")?.len(), held(page, "beside ")?.len()), (0, 0));
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn in_a_sandbox_nothing_is_called_saved_and_the_text_is_offered() -> Result {
    let mut visit = Visit::blank(Setup { policy: Policy::Sandbox, ..Setup::default() })?;
    visit.page.resize(1366, 768)?;
    let address = visit.address("?example=lighthouse");
    let page = &mut visit.page;
    page.open(&address)?;
    page.wait_until_live()?;
    page.evaluate(
        "void [...document.querySelectorAll('.head button')].find((b) => b.innerText === 'More').click()",
    )?;
    page.wait_for("document.querySelector('.sheet')")?;
    page.evaluate(
        "void [...document.querySelectorAll('.sheet button')].find((b) => b.innerText === 'Save as a file').click()",
    )?;
    page.wait_for("document.querySelector('.sheet textarea')?.value.includes('\"title\": \"Lighthouse\"')")?;
    let said = page.evaluate("document.querySelector('.said').textContent")?.to_string();
    assert!(said.contains("may not save files") && !said.contains("Saved"), "{said}");
    Ok(())
}
