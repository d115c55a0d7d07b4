//! Benches and snapshots kept on this device, in the IndexedDB database `halfrow`.
//!
//! What the browser will not take stays in memory until the page closes, and is read back from there;
//! the error says so to whoever saved. One connection stays open, so that a save in the moment of
//! leaving starts at once.

use super::wait::{answer, words};
use js_sys::{Array, Object, Reflect};
use std::cell::RefCell;
use wasm_bindgen::prelude::*;
use web_sys::{
    IdbDatabase, IdbKeyRange, IdbObjectStore, IdbObjectStoreParameters, IdbRequest, IdbTransaction,
    IdbTransactionMode,
};

const DATABASE: &str = "halfrow";
const VERSION: u32 = 1;
const BENCHES: &str = "benches";
const SNAPSHOTS: &str = "snapshots";

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

#[derive(Default)]
struct Memory {
    benches: Vec<(String, String)>,
    /// Oldest first.
    snapshots: Vec<Snapshot>,
}

thread_local! {
    static MEMORY: RefCell<Memory> = RefCell::default();
    static CONNECTION: RefCell<Option<IdbDatabase>> = const { RefCell::new(None) };
}

/// Keeps the bench `text` under the name `slot`, in place of what was there.
///
/// # Errors
/// Words for a person when the device does not keep it; [load] still finds it until the page closes.
pub async fn save(slot: &str, text: &str) -> Result<(), String> {
    let kept = save_on_device(slot, text).await;
    MEMORY.with_borrow_mut(|memory| {
        memory.benches.retain(|(own, _)| own != slot);
        if kept.is_err() {
            memory.benches.push((slot.to_owned(), text.to_owned()));
        }
    });
    kept
}

async fn save_on_device(slot: &str, text: &str) -> Result<(), String> {
    let (transaction, benches) = begin(BENCHES, IdbTransactionMode::Readwrite).await?;
    benches.put_with_key(&text.into(), &slot.into()).map_err(|error| words(&error))?;
    committed(&transaction).await
}

/// The bench under the name `slot`; none when nothing was saved there.
///
/// # Errors
/// Words for a person when the device refuses and this page holds no copy.
pub async fn load(slot: &str) -> Result<Option<String>, String> {
    let remembered = MEMORY
        .with_borrow(|memory| memory.benches.iter().find(|(own, _)| own == slot).map(|it| it.1.clone()));
    if remembered.is_some() {
        return Ok(remembered);
    }
    let (_transaction, benches) = begin(BENCHES, IdbTransactionMode::Readonly).await?;
    Ok(result(benches.get(&slot.into())).await?.as_string())
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
            memory.snapshots.push(snapshot);
            let beyond = memory.snapshots.len().saturating_sub(SNAPSHOTS_KEPT);
            memory.snapshots.drain(..beyond);
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
    let mut all: Vec<Snapshot> =
        MEMORY.with_borrow(|memory| memory.snapshots.iter().rev().cloned().collect());
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
    MEMORY.with_borrow_mut(|memory| *memory = Memory::default());
    for name in [BENCHES, SNAPSHOTS] {
        let (transaction, store) = begin(name, IdbTransactionMode::Readwrite).await?;
        store.clear().map_err(|error| words(&error))?;
        committed(&transaction).await?;
    }
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
    let start = |database: &IdbDatabase| {
        let transaction = database.transaction_with_str_and_mode(name, mode)?;
        let store = transaction.object_store(name)?;
        Ok::<_, JsValue>((transaction, store))
    };
    let kept = CONNECTION.with_borrow(Clone::clone);
    if let Some(started) = kept.and_then(|database| start(&database).ok()) {
        return Ok(started);
    }
    let database = open().await?;
    CONNECTION.with_borrow_mut(|connection| *connection = Some(database.clone()));
    start(&database).map_err(|error| words(&error))
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
    let opened = answer(Some(OPEN_LIMIT_MS), |done, failed| {
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
