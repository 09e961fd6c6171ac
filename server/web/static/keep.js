// Keeps on this tablet what the salon's computer does not have yet. It is given
// ids, levels, times and numbers only, never a name or a note: whoever has the
// tablet next could read them. Each entry belongs to one page of one person's
// draft, and goes once the salon's computer has it.
//
// An entry: {key: "person/draft/page", person, draft, page, base: the version it
// changes, save: the id of its save, changes: {field: [values]}, at: milliseconds}

const name = "tablehand", store = "kept", plain = "tablehand.kept/";
let opened;

function database() {
  opened ??= new Promise((done, failed) => {
    const asked = indexedDB.open(name, 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore(store, { keyPath: "key" });
    asked.onsuccess = () => {
      asked.result.onclose = () => { opened = undefined; };
      done(asked.result);
    };
    asked.onerror = () => failed(asked.error);
    setTimeout(() => failed(new Error("the database does not open")), 3000);
  });
  return opened;
}

async function within(mode, work) {
  const db = await database();
  return new Promise((done, failed) => {
    const t = db.transaction(store, mode, { durability: "strict" }); // it outlives an empty battery
    const asked = work(t.objectStore(store));
    t.oncomplete = () => done(asked.result);
    t.onabort = () => failed(t.error ?? asked.error);
  });
}

// keep stores an entry in place of the one with its key. It fails when the
// tablet has no room or lets nothing be stored.
export async function keep(entry) {
  try {
    await within("readwrite", (s) => s.put(entry));
    unkeepPlain(entry.key);
  } catch {
    localStorage.setItem(plain + entry.key, JSON.stringify(entry));
  }
}

export async function forget(key) {
  unkeepPlain(key);
  await within("readwrite", (s) => s.delete(key)).catch(() => {});
}

function unkeepPlain(key) {
  try { localStorage.removeItem(plain + key); } catch { /* then nothing is there */ }
}

// keptBy are the entries of one person, the oldest first.
export async function keptBy(person) {
  const found = new Map();
  const add = (e) => { if (e?.changes && !(found.get(e.key)?.at > e.at)) found.set(e.key, e); };
  try {
    (await within("readonly", (s) => s.getAll(IDBKeyRange.bound(person + "/", person + "0")))).forEach(add); // "0" comes after "/"
  } catch { /* then only the plain ones */ }
  try {
    for (const key of Object.keys(localStorage)) {
      if (key.startsWith(plain + person + "/")) add(JSON.parse(localStorage.getItem(key)));
    }
  } catch { /* refused, or not ours */ }
  return [...found.values()].sort((a, b) => a.at - b.at);
}
