//! Benches and snapshots kept on this device, in the IndexedDB database `halfrow`.
//!
//! In the store of benches each bench has a slot of its own, under the slot's name as the bench file. Under
//! `steps` and the slot's name are the steps back from it, under `left` and the tab's name what a tab
//! wrote down in the moment of leaving. A bench is written only where the device holds what the tab
//! knew ([`may_write`]), found out and done in one transaction. "Done" means on the disk: transactions
//! ask for `strict` durability.
//!
//! Snapshots that the browser will not take stay in memory until the page closes, and are read back from
//! there; the error says so to whoever saved. One connection stays open, so that a save in the moment of
//! leaving starts at once. Opening it is waited for again and again, and never done twice.

use super::wait::{answer, words};
use crate::model::keeping::may_write;
use js_sys::{Array, Function, JSON, Object, Promise, Reflect};
use std::cell::RefCell;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::{JsFuture, future_to_promise};
use web_sys::{
    IdbDatabase, IdbKeyRange, IdbObjectStore, IdbObjectStoreParameters, IdbRequest, IdbTransaction,
    IdbTransactionMode,
};

const DATABASE: &str = "halfrow";
const VERSION: u32 = 1;
const BENCHES: &str = "benches";
const SNAPSHOTS: &str = "snapshots";

/// What stands before a slot's name where its steps back are kept.
const STEPS: &str = "steps ";

/// What stands before a tab's name where it left something in a hurry.
const LEFT: &str = "left ";

/// Snapshots kept; the oldest go. Twenty steps of a lesson, and at some 2 kB a bench next to nothing.
pub const SNAPSHOTS_KEPT: usize = 20;

/// How long opening may take. Some browsers never answer where storage is blocked; a slow school
/// laptop opens in well under a second, and someone who waits for a bench should not wait longer.
const OPEN_LIMIT_MS: i32 = 4000;

/// A bench as it was at some moment.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Snapshot {
    /// What the bench was called.
    pub title: String,
    /// When, in the form of [super::page::now_iso].
    pub when: String,
    /// The bench as text.
    pub text: String,
}

thread_local! {
    /// Snapshots that the device would not take, oldest first.
    static MEMORY: RefCell<Vec<Snapshot>> = const { RefCell::new(Vec::new()) };
    static CONNECTION: RefCell<Option<IdbDatabase>> = const { RefCell::new(None) };
    /// The database that is being opened.
    static OPENING: RefCell<Option<Promise>> = const { RefCell::new(None) };
}

/// What has become of a bench that was to be kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Put {
    /// The device has it.
    Written,
    /// Nothing was written: the device holds something that this tab has not read.
    Other,
}

/// Keeps the bench `text` and the `steps` back from it in `slot`, if that holds what it held when this
/// tab last looked, `known`. What the tab `tab` left there in a hurry is done with then.
///
/// # Errors
/// Words for a person when the device does not keep it.
pub async fn put(
    slot: &str,
    known: Option<&str>,
    (text, steps): (&str, &str),
    tab: &str,
) -> Result<Put, String> {
    let (transaction, benches) = begin(BENCHES, IdbTransactionMode::Readwrite).await?;
    let found = as_text(&result(benches.get(&slot.into())).await?);
    let may = may_write(found.as_deref(), known, text);
    if may {
        let put = |key: String, text: &str| benches.put_with_key(&text.into(), &key.into());
        let done = put(slot.to_owned(), text)
            .and_then(|_| put(format!("{STEPS}{slot}"), steps))
            .and_then(|_| benches.delete(&format!("{LEFT}{tab}").into()));
        if let Err(error) = done {
            // Half of it would look like somebody else's at the next save.
            let _ = transaction.abort();
            return Err(words(&error));
        }
    }
    committed(&transaction).await?;
    Ok(if may { Put::Written } else { Put::Other })
}

/// The bench in a slot; none when nothing was saved there.
///
/// # Errors
/// Words for a person when the device refuses.
pub async fn load(slot: &str) -> Result<Option<String>, String> {
    let (_transaction, benches) = begin(BENCHES, IdbTransactionMode::Readonly).await?;
    Ok(as_text(&result(benches.get(&slot.into())).await?))
}

/// The steps back that were kept with the bench of a slot; empty where there are none.
pub async fn steps(slot: &str) -> String {
    load(&format!("{STEPS}{slot}")).await.ok().flatten().unwrap_or_default()
}

/// Takes a slot away, and its steps.
///
/// # Errors
/// Words for a person when the device refuses.
pub async fn remove(slot: &str) -> Result<(), String> {
    let (transaction, benches) = begin(BENCHES, IdbTransactionMode::Readwrite).await?;
    let gone = benches.delete(&slot.into()).and_then(|_| benches.delete(&format!("{STEPS}{slot}").into()));
    gone.map_err(|error| words(&error))?;
    committed(&transaction).await
}

/// Writes `record` down for the tab `tab`, at once and without waiting for an answer: the page may be
/// gone before there is one. Nothing where the database is not open.
pub fn leave(tab: &str, record: &str) {
    let Some(database) = CONNECTION.with_borrow(Clone::clone) else { return };
    if let Ok((transaction, benches)) = start(&database, BENCHES, IdbTransactionMode::Readwrite) {
        let _ = benches.put_with_key(&record.into(), &format!("{LEFT}{tab}").into());
        // Else the browser commits only after it has told the page of the put, and a page that is gone
        // hears nothing: the transaction would be given up. Browsers that can't do as they did.
        if let Ok(commit) =
            Reflect::get(&transaction, &"commit".into()).and_then(|it| it.dyn_into::<Function>())
        {
            let _ = commit.call0(&transaction);
        }
    }
}

/// What tabs wrote down as they left and nobody has taken up: names of tabs and their records.
///
/// # Errors
/// Words for a person when the device refuses.
pub async fn left() -> Result<Vec<(String, String)>, String> {
    named(LEFT).await
}

/// The benches in the slots whose names begin with `start`, with the rest of the names.
///
/// # Errors
/// Words for a person when the device refuses.
pub async fn named(start: &str) -> Result<Vec<(String, String)>, String> {
    let (_transaction, benches) = begin(BENCHES, IdbTransactionMode::Readonly).await?;
    let range = IdbKeyRange::bound(&start.into(), &format!("{start}\u{ffff}").into());
    let range = range.map_err(|error| words(&error))?;
    let keys = benches.get_all_keys_with_key(&range);
    let texts = benches.get_all_with_key(&range);
    let (keys, texts) = (Array::from(&result(keys).await?), Array::from(&result(texts).await?));
    let both = keys.iter().zip(texts.iter());
    Ok(both
        .filter_map(|(key, text)| Some((key.as_string()?.strip_prefix(start)?.to_owned(), as_text(&text)?)))
        .collect())
}

/// A kept value as text: what is no text, which another version may have written, as JSON.
fn as_text(value: &JsValue) -> Option<String> {
    if value.is_undefined() {
        return None;
    }
    value.as_string().or_else(|| JSON::stringify(value).ok().and_then(|it| it.as_string()))
}

/// Adds a snapshot and lets go of the oldest beyond [SNAPSHOTS_KEPT]. One that is the same as the last
/// is not added.
///
/// # Errors
/// Words for a person when the device does not keep it; [snapshots] still lists it until the page
/// closes.
pub async fn add_snapshot(title: &str, when_iso: &str, text: &str) -> Result<(), String> {
    if snapshots().await.is_ok_and(|all| all.first().is_some_and(|last| last.text == text)) {
        return Ok(());
    }
    let snapshot = Snapshot { title: title.to_owned(), when: when_iso.to_owned(), text: text.to_owned() };
    let kept = add_on_device(&snapshot).await;
    if kept.is_err() {
        MEMORY.with_borrow_mut(|memory| {
            memory.push(snapshot);
            let beyond = memory.len().saturating_sub(SNAPSHOTS_KEPT);
            memory.drain(..beyond);
        });
    }
    kept
}

async fn add_on_device(snapshot: &Snapshot) -> Result<(), String> {
    let (transaction, store) = begin(SNAPSHOTS, IdbTransactionMode::Readwrite).await?;
    store.add(&to_record(snapshot)).map_err(|error| words(&error))?;
    let keys = Array::from(&result(store.get_all_keys()).await?);
    // Keys count upwards, so all up to this one are the oldest.
    if let Some(last_gone) = (keys.length() as usize).checked_sub(SNAPSHOTS_KEPT + 1) {
        let oldest = IdbKeyRange::upper_bound(&keys.get(last_gone as u32));
        oldest.and_then(|oldest| store.delete(&oldest)).map_err(|error| words(&error))?;
    }
    committed(&transaction).await
}

/// The snapshots, newest first, at most [SNAPSHOTS_KEPT].
///
/// # Errors
/// Words for a person when the device refuses and this page holds none itself.
pub async fn snapshots() -> Result<Vec<Snapshot>, String> {
    // What the device would not take came last, as a rule because it was full by then.
    let mut all: Vec<Snapshot> = MEMORY.with_borrow(|memory| memory.iter().rev().cloned().collect());
    match snapshots_on_device().await {
        Ok(stored) => all.extend(stored),
        Err(error) if all.is_empty() => return Err(error),
        Err(_) => {}
    }
    all.truncate(SNAPSHOTS_KEPT);
    Ok(all)
}

async fn snapshots_on_device() -> Result<Vec<Snapshot>, String> {
    let (_transaction, store) = begin(SNAPSHOTS, IdbTransactionMode::Readonly).await?;
    let records = Array::from(&result(store.get_all()).await?);
    Ok(records.iter().rev().filter_map(|record| from_record(&record)).collect())
}

/// Erases every bench and snapshot, on the device and in memory.
///
/// # Errors
/// Words for a person when the device refuses; memory is erased all the same.
pub async fn erase_all() -> Result<(), String> {
    MEMORY.with_borrow_mut(Vec::clear);
    for name in [BENCHES, SNAPSHOTS] {
        let (transaction, store) = begin(name, IdbTransactionMode::Readwrite).await?;
        store.clear().map_err(|error| words(&error))?;
        committed(&transaction).await?;
    }
    super::page::tell_erased();
    Ok(())
}

fn to_record(snapshot: &Snapshot) -> Object {
    let record = Object::new();
    for (name, value) in [("title", &snapshot.title), ("when", &snapshot.when), ("text", &snapshot.text)] {
        // Setting a property of a fresh plain object cannot fail.
        let _ = Reflect::set(&record, &name.into(), &value.into());
    }
    record
}

fn from_record(record: &JsValue) -> Option<Snapshot> {
    let field = |name: &str| Reflect::get(record, &name.into()).ok()?.as_string();
    Some(Snapshot { title: field("title")?, when: field("when")?, text: field("text")? })
}

/// Starts a transaction on one store. A kept connection may have been closed meanwhile, by a newer
/// version of the page or because the user cleared the site's data: then a fresh one is opened.
async fn begin(name: &str, mode: IdbTransactionMode) -> Result<(IdbTransaction, IdbObjectStore), String> {
    let kept = CONNECTION.with_borrow(Clone::clone);
    if let Some(started) = kept.and_then(|database| start(&database, name, mode).ok()) {
        return Ok(started);
    }
    let database = opened(Some(OPEN_LIMIT_MS)).await?;
    start(&database, name, mode).map_err(|error| words(&error))
}

fn start(
    database: &IdbDatabase,
    name: &str,
    mode: IdbTransactionMode,
) -> Result<(IdbTransaction, IdbObjectStore), JsValue> {
    let transaction: IdbTransaction = if mode == IdbTransactionMode::Readwrite {
        // Without this a browser says "complete" before the disk has it, and a crash takes it away.
        let options = Object::new();
        Reflect::set(&options, &"durability".into(), &"strict".into())?;
        let begin: Function = Reflect::get(database, &"transaction".into())?.dyn_into()?;
        begin.call3(database, &name.into(), &"readwrite".into(), &options)?.unchecked_into()
    } else {
        database.transaction_with_str_and_mode(name, mode)?
    };
    let store = transaction.object_store(name)?;
    Ok((transaction, store))
}

/// Waits until the database is open, as long as it takes.
///
/// # Errors
/// Words for a person when the browser refuses.
pub async fn ready() -> Result<(), String> {
    opened(None).await.map(|_| ())
}

/// The database, open. One that is being opened is waited for further.
async fn opened(limit_ms: Option<i32>) -> Result<IdbDatabase, String> {
    let opening = OPENING.with_borrow_mut(|opening| {
        let begin = || {
            future_to_promise(async {
                let database = open().await;
                OPENING.with_borrow_mut(|opening| *opening = None);
                let database = database.map_err(JsValue::from)?;
                CONNECTION.with_borrow_mut(|connection| *connection = Some(database.clone()));
                Ok(database.into())
            })
        };
        opening.get_or_insert_with(begin).clone()
    });
    let first = match limit_ms {
        Some(limit) => Promise::race(&Array::of2(&opening, &super::wait::over(limit))),
        None => opening,
    };
    JsFuture::from(first).await.map(JsCast::unchecked_into).map_err(|error| words(&error))
}

async fn open() -> Result<IdbDatabase, String> {
    let factory = super::window()
        .and_then(|window| window.indexed_db().ok().flatten())
        .ok_or("this browser keeps nothing on the device")?;
    let request = factory.open_with_u32(DATABASE, VERSION).map_err(|error| words(&error))?;
    let upgrade = Closure::<dyn Fn(web_sys::Event)>::new({
        let request = request.clone();
        move |_| {
            let Ok(database) = request.result().map(IdbDatabase::from) else { return };
            // A store that cannot be made shows as an error of the first transaction.
            let _ = database.create_object_store(BENCHES);
            let numbered = IdbObjectStoreParameters::new();
            numbered.set_auto_increment(true);
            let _ = database.create_object_store_with_optional_parameters(SNAPSHOTS, &numbered);
        }
    });
    request.set_onupgradeneeded(Some(upgrade.as_ref().unchecked_ref()));
    let opened = answer(None, |done, failed| {
        request.set_onsuccess(Some(done));
        request.set_onerror(Some(failed));
        Ok(())
    })
    .await;
    request.set_onupgradeneeded(None);
    opened?;
    let database: IdbDatabase = request.result().map_err(|error| words(&error))?.into();
    let gone = Closure::<dyn Fn(web_sys::Event)>::new({
        let database = database.clone();
        move |_| {
            // A newer version of the page, in another tab, waits for this.
            database.close();
            CONNECTION.with_borrow_mut(|connection| *connection = None);
        }
    })
    .into_js_value();
    database.set_onversionchange(Some(gone.unchecked_ref()));
    database.set_onclose(Some(gone.unchecked_ref()));
    Ok(database)
}

/// What a request gives back.
async fn result(request: Result<IdbRequest, JsValue>) -> Result<JsValue, String> {
    let request = request.map_err(|error| words(&error))?;
    answer(None, |done, failed| {
        request.set_onsuccess(Some(done));
        request.set_onerror(Some(failed));
        Ok(())
    })
    .await?;
    request.result().map_err(|error| words(&error))
}

/// Waits until a transaction is on the device. A full disk shows only here, as an abort.
async fn committed(transaction: &IdbTransaction) -> Result<(), String> {
    answer(None, |done, failed| {
        transaction.set_oncomplete(Some(done));
        transaction.set_onabort(Some(failed));
        Ok(())
    })
    .await
    .map(|_| ())
}
