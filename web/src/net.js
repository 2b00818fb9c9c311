// The line to the server: questions, edits one after another with If-Match, long work, the live socket.

import { sayWrong, say } from './say.js';

/** @typedef {import('./types').PlanState} State */
/** @typedef {import('./types').EditAnswer} Answer */
/** @typedef {{type: string, work: string, kind?: string, doing?: string, share?: number, status?: string}} WorkNews */
/** @typedef {{status: string, doing?: string, share?: number, result?: any, error?: string}} WorkState */

/** The server did not do what was asked; `body` is its answer. */
export class Refused extends Error {
  /** @param {number} status @param {any} body */
  constructor(status, body) {
    super(body?.error ?? `The server answered ${status}.`);
    this.status = status;
    this.body = body ?? {};
  }
}

/** The id of the open plan, or null on the folder's page. */
export const planId = () => document.body.dataset.plan || null;
/** @param {string} rest such as `/scene` */
export const planUrl = (rest = '') => `/api/plans/${encodeURIComponent(planId() ?? '')}${rest}`;

/** @type {State | null} */
let known = null;
let busy = 0;
/** @type {State | null} */
let held = null;
/** @type {Promise<unknown>} */
let queue = Promise.resolve();

/** @template T @returns {{add: (fn: (value: T) => void) => () => void, tell: (value: T) => void}} */
function listeners() {
  /** @type {Set<(value: any) => void>} */
  const all = new Set();
  return {
    add(fn) {
      all.add(fn);
      return () => void all.delete(fn);
    },
    tell(value) {
      for (const fn of [...all]) fn(value);
    },
  };
}

const states = /** @type {ReturnType<typeof listeners<State>>} */ (listeners());
const answers = /** @type {ReturnType<typeof listeners<Answer>>} */ (listeners());
const elsewhere = /** @type {ReturnType<typeof listeners<State>>} */ (listeners());
const stale = /** @type {ReturnType<typeof listeners<{state: State, edit: any}>>} */ (listeners());
const links = /** @type {ReturnType<typeof listeners<boolean>>} */ (listeners());
const news = /** @type {ReturnType<typeof listeners<WorkNews>>} */ (listeners());

/** The newest state that this tab knows; null before the first one has come. */
export const state = () => known;
/** Told every new state, whoever caused it; at once where one is known. @param {(state: State) => void} fn */
export function onState(fn) {
  if (known) fn(known);
  return states.add(fn);
}
/** Told the answer of every edit, undo and redo made in this tab (no trials). @param {(answer: Answer) => void} fn */
export const onAnswer = (fn) => answers.add(fn);
/** Told when the plan changed in another tab or on disk: fetch the scene again. @param {(state: State) => void} fn */
export const onElsewhere = (fn) => elsewhere.add(fn);
/** Told when an edit came too late. @param {(late: {state: State, edit: any}) => void} fn */
export const onStale = (fn) => stale.add(fn);
/** Told whether the live socket is up. @param {(up: boolean) => void} fn */
export const onLink = (fn) => links.add(fn);
/** Told news of long work. @param {(news: WorkNews) => void} fn */
export const onWork = (fn) => news.add(fn);

/**
 * Take a state as the newest.
 * @param {State} next
 * @param {boolean} [own] it answers something done in this tab
 */
export function takeState(next, own = false) {
  if (!own && busy) {
    held = next;
    return;
  }
  const before = known?.number ?? Number(document.body.dataset.number || next.number);
  known = next;
  document.body.dataset.number = String(next.number);
  states.tell(next);
  if (!own && next.number !== before) elsewhere.tell(next);
}

/**
 * Ask the server; the JSON of its answer. What goes wrong is said, then thrown as Refused.
 * @param {string} method
 * @param {string} url
 * @param {any} [body] an object goes as JSON; a File or Blob as it is
 * @param {{quiet?: boolean}} [how] quiet: throw without saying
 * @returns {Promise<any>}
 */
export async function ask(method, url, body, { quiet = false } = {}) {
  try {
    return await send(method, url, body);
  } catch (wrong) {
    const refused = wrong instanceof Refused ? wrong : new Refused(0, { error: unreachable(wrong) });
    if (!quiet) sayRefused(refused);
    throw refused;
  }
}

/** What the page shows already (the plan's problems, a conflict) is only said again. @param {Refused} refused */
function sayRefused(refused) {
  if (refused.status === 412) return;
  if (refused.status === 409) say(refused.message, 'wrong');
  else sayWrong({ error: refused.message, ...refused.body });
}

/** @param {unknown} wrong */
function unreachable(wrong) {
  return wrong instanceof TypeError
    ? 'Cagewright does not answer. Is it still running? What you had saved is safe.'
    : String(wrong);
}

/** @param {string} method @param {string} url @param {any} body */
async function send(method, url, body) {
  const raw = body instanceof Blob;
  /** @type {Record<string, string>} */
  const headers = { Accept: 'application/json' };
  if (body !== undefined) headers['Content-Type'] = raw ? body.type || 'application/octet-stream' : 'application/json';
  if (method !== 'GET' && known && url.startsWith(planUrl())) headers['If-Match'] = `"${known.number}"`;
  const answer = await fetch(url, { method, headers, body: body === undefined || raw ? body : JSON.stringify(body) });
  const said = answer.headers.get('Content-Type')?.includes('json') ? await answer.json() : null;
  if (!answer.ok) throw new Refused(answer.status, said ?? { error: `The server answered ${answer.status}.` });
  return said;
}

/**
 * Do one edit, after those before it. Null where it was refused (and said why).
 * @param {Record<string, any>} edit
 * @returns {Promise<Answer | null>}
 */
export const edit = (edit) => change('/edits', edit);
/** Take the last edit back. */
export const undo = () => change('/undo');
/** Do again what was taken back. */
export const redo = () => change('/redo');

/**
 * Change the plan, after the changes before; null where it was refused (and said why).
 * @param {string} rest of the plan's address @param {any} [body] @param {string} [method]
 * @returns {Promise<Answer | null>}
 */
export function change(rest, body, method = 'POST') {
  const turn = queue.then(() => changeNow(method, rest, body));
  queue = turn.catch(() => {});
  return turn;
}

/** @param {string} method @param {string} rest @param {any} body @returns {Promise<Answer | null>} */
async function changeNow(method, rest, body) {
  busy += 1;
  try {
    const answer = await ask(method, planUrl(rest), body ?? {});
    takeState(answer.state, true);
    answers.tell(answer);
    return answer;
  } catch (wrong) {
    if (!(wrong instanceof Refused)) throw wrong;
    if (wrong.status === 412) late(wrong.body, rest === '/edits' ? body : null);
    return null;
  } finally {
    busy -= 1;
    if (!busy) release();
  }
}

/** @param {any} body @param {any} edit */
function late(body, edit) {
  if (body.state) stale.tell({ state: body.state, edit: edit ?? null });
  else say(body.error ?? 'The plan has changed elsewhere.', 'wrong');
}

function release() {
  const next = held;
  held = null;
  if (next && next.number >= (known?.number ?? 0)) takeState(next);
}

/** @type {{body: any, done: (answer: Answer | null) => void} | null} */
let waiting = null;
let trying = false;

/**
 * What an edit would do; nothing is kept. One is under way at a time and only the newest waits, so it may be
 * called on every move of the pointer; null where it was passed over or cannot be done.
 * @param {Record<string, any>} edit
 * @returns {Promise<Answer | null>}
 */
export function trial(edit) {
  return new Promise((done) => {
    waiting?.done(null);
    waiting = { body: { ...edit, trial: true }, done };
    if (!trying) void tryNext();
  });
}

async function tryNext() {
  trying = true;
  while (waiting) {
    const { body, done } = waiting;
    waiting = null;
    done(await ask('POST', planUrl('/edits'), body, { quiet: true }).catch(() => null));
  }
  trying = false;
}

/**
 * Start long work. `result` gives the work's result, or throws Refused (status `failed` or `cancelled` in body).
 * @param {string} kind
 * @param {Record<string, any>} [body]
 */
export function startWork(kind, body = {}) {
  const heard = /** @type {ReturnType<typeof listeners<{doing: string, share: number}>>} */ (listeners());
  const begun = ask('POST', planUrl('/work'), { kind, ...body }).then((answer) => /** @type {string} */ (answer.work));
  const result = begun.then((work) => follow(work, (doing, share) => heard.tell({ doing, share })));
  return {
    result,
    cancel: async () => void (await ask('DELETE', `/api/work/${await begun}`)),
    /** @param {(doing: string, share: number) => void} fn */
    onProgress: (fn) => heard.add(({ doing, share }) => fn(doing, share)),
  };
}

/**
 * Wait for work, by the socket's news and by asking now and then should the socket be down.
 * @param {string} work
 * @param {(doing: string, share: number) => void} heard
 */
async function follow(work, heard) {
  /** @type {() => void} */
  let wake = () => {};
  const forget = news.add((one) => {
    if (one.work !== work) return;
    if (one.type === 'progress') heard(one.doing ?? '', one.share ?? 0);
    else wake();
  });
  try {
    for (;;) {
      const now = /** @type {WorkState} */ (await ask('GET', `/api/work/${work}`));
      if (now.status === 'done') return now.result;
      if (now.status === 'failed' || now.status === 'cancelled') throw new Refused(0, now);
      heard(now.doing ?? '', now.share ?? 0);
      await new Promise((resolve) => {
        wake = () => resolve(null);
        setTimeout(wake, linked ? 2000 : 500);
      });
    }
  } finally {
    forget();
  }
}

let linked = false;
let tries = 0;

/** Open the live socket and keep it open; a state comes at once and with every change. */
export function listen() {
  const plan = planId();
  const where = `${location.protocol === 'https:' ? 'wss' : 'ws'}://${location.host}/live`;
  const socket = new WebSocket(plan ? `${where}?plan=${encodeURIComponent(plan)}` : where);
  socket.onopen = () => link(true);
  socket.onmessage = (event) => hear(JSON.parse(event.data));
  socket.onclose = () => {
    link(false);
    tries += 1;
    setTimeout(listen, Math.min(300 * tries, 2000));
  };
}

/** @param {boolean} up */
function link(up) {
  if (up) tries = 0;
  if (up !== linked) {
    linked = up;
    links.tell(up);
  }
}

/** @param {any} message */
function hear(message) {
  if (message.type === 'state') takeState(message.state);
  else news.tell(message);
}

/** Fetch the state once, so that edits can be made before the socket is up. */
export async function fetchState() {
  if (planId()) takeState(await ask('GET', planUrl()));
}
