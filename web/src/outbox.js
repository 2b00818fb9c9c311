// What was entered and is not with the workbench yet. It stands in the browser's own database until the workbench has
// it, also when the page is closed; each entry has a name of its own, by which the workbench keeps it once.

/** @typedef {{n?: number, uid: string, at: number, url: string, body: Record<string, any>, blob?: Blob, words: string, refused?: string, tries?: number}} Item */
/** @typedef {{status: number, body: any}} Answer */
/** @typedef {{changed: () => void, answered: (item: Item, answer: any) => void, refused: (item: Item) => void}} Heard */

const STORE = 'waiting';
/** The workbench cannot keep it now and may later: these are no fault of the entry. */
const LATER = new Set([0, 401, 403, 408, 425, 429, 502, 503, 504]);
const BUSY = new Set(['busy', 'disk-full', 'disk-error', 'cannot-write', 'cannot-open', 'damaged']);

/** A name that no other entry has: 32 hexadecimal digits. */
export const newName = () => [...crypto.getRandomValues(new Uint8Array(16))].map((byte) => byte.toString(16).padStart(2, '0')).join('');

/** What to do with an item after that answer. @param {Item} item @param {Answer} answer @returns {'done' | 'later' | 'refused'} */
export function fate(item, { status, body }) {
  if (status >= 200 && status < 300) return 'done';
  if (LATER.has(status) || BUSY.has(body?.problems?.[0]?.code)) return 'later';
  return status >= 500 && (item.tries ?? 0) < 3 ? 'later' : 'refused';
}

export class Outbox {
  /** @param {Heard} heard @param {(item: Item) => Promise<Answer>} [send] */
  constructor(heard, send = overTheLine) {
    this.heard = heard;
    this.send = send;
    /** Oldest first. @type {Item[]} */
    this.items = [];
    /** Whether the workbench was out of reach when it was last asked. */
    this.away = false;
    /** Why it does not take them, where it says so. */
    this.why = '';
    /** Whether this browser keeps them when the page is closed. */
    this.lasting = true;
    this.flushing = false;
    /** @type {ReturnType<typeof setTimeout> | undefined} */
    this.timer = undefined;
    this.pause = 1000;
    /** @type {Promise<IDBDatabase | null>} */
    this.base = opened().catch(() => null);
    /** @type {Promise<unknown>} */
    this.turn = this.base.then(async (base) => {
      this.lasting = base !== null;
      this.items = base ? await request(base.transaction(STORE).objectStore(STORE).getAll()) : [];
      this.heard.changed();
      void this.flush();
    });
  }

  get waiting() {
    return this.items.filter((item) => !item.refused);
  }

  get refused() {
    return this.items.filter((item) => item.refused);
  }

  /** Keep it until the workbench has it; settled once it is safe in this browser. @param {Omit<Item, 'uid' | 'at'>} what */
  add(what) {
    const item = { ...what, uid: newName(), at: Date.now() };
    const done = this.turn.then(async () => {
      await this.write((store) => store.add(item), (n) => { item.n = Number(n); });
      this.items.push(item);
      this.heard.changed();
      void this.flush();
      return item;
    });
    this.turn = done.catch(() => {});
    return done;
  }

  /** @param {Item} item */
  async drop(item) {
    this.items = this.items.filter((one) => one.uid !== item.uid);
    if (item.n !== undefined) await this.write((store) => store.delete(/** @type {number} */ (item.n)));
    this.heard.changed();
  }

  /** Send a refused one once more. @param {Item} item */
  async again(item) {
    delete item.refused;
    item.tries = 0;
    await this.write((store) => store.put(item));
    this.heard.changed();
    void this.flush();
  }

  /** Send what waits, one after another, until all is there or the workbench is out of reach. */
  async flush() {
    if (this.flushing) return;
    this.flushing = true;
    clearTimeout(this.timer);
    try {
      let reached = true;
      if (!this.waiting.length && this.away) reached = await this.looked();
      for (let item = this.waiting[0]; item && reached; item = this.waiting[0]) reached = await this.settle(item, await this.send(item));
    } finally {
      this.flushing = false;
    }
  }

  /** Whether the workbench is in reach, where there is nothing to send. */
  async looked() {
    this.away = !(await this.send({ uid: '', at: Date.now(), url: '', body: {}, words: '' })).status;
    if (this.away) this.later();
    this.heard.changed();
    return !this.away;
  }

  later() {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => void this.flush(), this.pause);
    this.pause = Math.min(this.pause * 1.6, 15_000);
  }

  /** @param {Item} item @param {Answer} answer @returns {Promise<boolean>} whether the next one may be sent */
  async settle(item, answer) {
    const what = fate(item, answer);
    this.away = answer.status === 0;
    this.why = what === 'later' && answer.status ? String(answer.body?.error ?? '') : '';
    if (what === 'done') {
      this.pause = 1000;
      await this.drop(item);
      this.heard.answered(item, answer.body);
      return true;
    }
    item.tries = (item.tries ?? 0) + 1;
    if (what === 'refused') {
      item.refused = String(answer.body?.error ?? `The workbench answered ${answer.status}.`);
      await this.write((store) => store.put(item));
      this.heard.changed();
      this.heard.refused(item);
      return true;
    }
    this.later();
    this.heard.changed();
    return false;
  }

  /** The workbench was found out of reach. */
  lost() {
    if (this.away) return;
    this.away = true;
    this.later();
    this.heard.changed();
  }

  /** The workbench may be in reach again. */
  awake() {
    this.pause = 1000;
    void this.flush();
  }

  /** @param {(store: IDBObjectStore) => IDBRequest} act @param {(result: any) => void} [told] */
  async write(act, told) {
    const base = await this.base;
    if (!base) return;
    await new Promise((resolve, reject) => {
      const change = base.transaction(STORE, 'readwrite', { durability: 'strict' });
      const asked = act(change.objectStore(STORE));
      change.oncomplete = () => { told?.(asked.result); resolve(null); };
      change.onerror = change.onabort = () => reject(change.error);
    });
  }
}

/** @returns {Promise<IDBDatabase>} */
async function opened() {
  const asked = indexedDB.open('cagewright', 1);
  asked.onupgradeneeded = () => asked.result.createObjectStore(STORE, { keyPath: 'n', autoIncrement: true });
  return request(asked);
}

/** @template T @param {IDBRequest<T>} asked @returns {Promise<T>} */
function request(asked) {
  return new Promise((resolve, reject) => {
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
  });
}

/** One item to the workbench; how long ago it was entered goes with it, for this machine's clock may be wrong. @param {Item} item @returns {Promise<Answer>} */
async function overTheLine(item) {
  const now = Date.now();
  const body = { ...item.body, uid: item.uid, age: (now - item.at) / 1000, clock: now / 1000 };
  try {
    if (!item.url) return { status: (await fetch('/static/icon.svg', { method: 'HEAD', cache: 'no-store', signal: AbortSignal.timeout(10_000) })).status, body: null };
    const answer = item.blob
      ? await fetch(`${item.url}/${item.uid}?${new URLSearchParams(Object.entries(body).map(([key, value]) => [key, String(value)]))}`, { method: 'PUT', body: item.blob, signal: AbortSignal.timeout(120_000) })
      : await fetch(item.url, { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify(body), signal: AbortSignal.timeout(30_000) });
    return { status: answer.status, body: await answer.json().catch(() => null) };
  } catch {
    return { status: 0, body: null };
  }
}
