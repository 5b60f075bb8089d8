/**
 * What the server has not acknowledged waits on the device, unreadable without the server: AES-GCM, 256 bits, the key
 * handed out with the page, held in memory and never written down here. In clear stand only what an entry is sorted
 * and sent by: its id and number, who holds it (a random id), and the two addresses of the server.
 * Pure: indexedDB and crypto are handed in.
 */

const DATABASE = "tautline";
const STORE = "waiting";
/** A browser that does not open its storage within this long is treated as having none, ms. */
const PATIENCE = 2000;

/**
 * The place for one board's entries, or null where this browser has none (no storage, no secure connection).
 * device: {holder, key (base64), key_url, save_url} from the page.
 */
export async function openKeep({ indexedDB, crypto, device, later }) {
  if (!indexedDB || !crypto?.subtle || !device?.key) return null;
  try {
    const store = await inTime(openStore(indexedDB), later);
    const key = await importKey(crypto, device.key);
    return keepIn(store, crypto, key, device);
  } catch {
    return null;
  }
}

function keepIn(store, crypto, key, { holder, key_url, save_url }) {
  return {
    /** Resolves when the entry is on the device for good. */
    async put(event) {
      const sealed = await seal(crypto, key, holder, event);
      await store.put({ id: event.id, seq: event.seq, holder, key_url, save_url, ...sealed });
    },
    remove: (ids) => store.remove(ids),
    /** The events of this board that were left here, in order. What cannot be read with this key stays. */
    async all() {
      return opened(crypto, key, (await store.all()).filter((entry) => entry.holder === holder));
    },
  };
}

/** The events in sealed entries, in order of their numbers; unreadable ones are left out. */
export async function opened(crypto, key, entries) {
  const found = await Promise.all(entries.map((entry) => unseal(crypto, key, entry).catch(() => null)));
  return found.filter(Boolean).sort((a, b) => a.seq - b.seq);
}

export function importKey(crypto, base64) {
  const bytes = Uint8Array.from(atob(base64), (sign) => sign.charCodeAt(0));
  return crypto.subtle.importKey("raw", bytes, "AES-GCM", false, ["encrypt", "decrypt"]);
}

async function seal(crypto, key, holder, event) {
  const iv = crypto.getRandomValues(new Uint8Array(12));
  const plain = new TextEncoder().encode(JSON.stringify(event));
  return { iv, data: await crypto.subtle.encrypt(using(iv, holder), key, plain) };
}

async function unseal(crypto, key, { iv, data, holder }) {
  return JSON.parse(new TextDecoder().decode(await crypto.subtle.decrypt(using(iv, holder), key, data)));
}

/** The holder is sealed in: an entry moved under another's name does not open. */
function using(iv, holder) {
  return { name: "AES-GCM", iv, additionalData: new TextEncoder().encode(holder) };
}

/** Rows {id, ...} in the browser's storage: put, remove, all; each resolves when it is committed. */
export async function openStore(indexedDB) {
  let database = await connect(indexedDB);

  /** Some browsers close the connection of a page that was away: it is opened again, once. */
  async function act(mode, work) {
    try {
      return await transact(database, mode, work);
    } catch (error) {
      if (error?.name === "QuotaExceededError") throw error;
      database = await connect(indexedDB);
      return transact(database, mode, work);
    }
  }

  return {
    put: (row) => act("readwrite", (store) => store.put(row)),
    remove: (ids) => act("readwrite", (store) => ids.forEach((id) => store.delete(id))),
    all: () => act("readonly", (store) => store.getAll()),
  };
}

function connect(indexedDB) {
  return new Promise((resolve, reject) => {
    const asked = indexedDB.open(DATABASE, 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore(STORE, { keyPath: "id" });
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
    asked.onblocked = () => reject(new Error("blocked"));
  });
}

function transact(database, mode, work) {
  return new Promise((resolve, reject) => {
    // Strict: the promise of "kept on this device" waits until it is written, not only until it is planned.
    const transaction = database.transaction(STORE, mode, { durability: "strict" });
    const asked = work(transaction.objectStore(STORE));
    // Now, not once the page has heard of each request: from here on it is written even if the tab dies.
    if (mode === "readwrite") transaction.commit?.();
    transaction.oncomplete = () => resolve(asked?.result);
    transaction.onabort = transaction.onerror = () => reject(transaction.error ?? new Error("not kept"));
  });
}

function inTime(promise, later) {
  return Promise.race([promise, new Promise((_, reject) => later(() => reject(new Error("no storage")), PATIENCE))]);
}
