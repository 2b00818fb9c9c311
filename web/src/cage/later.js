/** What takes seconds is worked out once the builder pauses: the slow checks and the cutting plan. */

import { Refused, startWork } from '../net.js';

/** @typedef {import('./bench.js').Holder} Holder */

const PAUSE_MS = 1200;
const NOT_MADE = 'not all checks were made';
const WAITS = 'the slow checks wait for what has to be put right';

/**
 * Keeps the slow findings and the cutting plan in step with the plan; one kind of work at a time.
 * @param {Holder} bench
 */
export function workLater(bench) {
  let running = false;
  let timer = 0;
  let given = /** @type {string | null} */ (null);
  let planned = /** @type {number | null} */ (null); // what the cutting plan before the change came to

  /** @param {string|null} checking */
  const tell = (checking) => bench.set({ later: { ...bench.now.later, checking } }, 'later');
  const soon = () => {
    clearTimeout(timer);
    timer = window.setTimeout(() => void go(), PAUSE_MS);
  };
  const go = async () => {
    if (bench.now.blemishes.length) return tell(WAITS);
    if (running || !bench.now.scene.revision || given === bench.now.scene.revision) return;
    running = true;
    const { revision } = bench.now.scene;
    tell('checking …');
    const checks = await result('checks', (doing) => tell(doing ? `checking: ${doing} …` : 'checking …'));
    if (checks?.revision === bench.now.scene.revision) takeChecks(bench, checks.rows);
    const bars = await result('bars', () => tell('cutting plan …'), { before: planned });
    if (bars?.revision === bench.now.scene.revision) bench.set({ later: { ...bench.now.later, bars } }, 'later');
    planned = bars?.price.value ?? planned;
    given = revision;
    running = false;
    if (revision !== bench.now.scene.revision) return soon();
    tell(checks ? null : NOT_MADE);
  };

  bench.on(['scene'], () => {
    if (given === bench.now.scene.revision) return;
    bench.set({ later: { bars: null, checking: 'to be checked again …' } }, 'later');
    soon();
  });
  bench.set({ later: { bars: null, checking: 'to be checked …' } }, 'later');
  soon();
}

/** @param {Holder} bench @param {any[]} findings */
function takeChecks(bench, findings) {
  const first = !bench.now.checked;
  bench.set({ slow: findings, checked: true });
  if (first && bench.now.before) bench.now.before.findings = [...bench.now.before.findings, ...findings];
  bench.weigh();
}

/** @param {string} kind @param {(doing: string) => void} heard @param {object} [asked] @returns {Promise<any>} null where it failed */
async function result(kind, heard, asked) {
  try {
    const work = startWork(kind, asked);
    work.onProgress(heard);
    return await work.result;
  } catch (wrong) {
    if (wrong instanceof Refused) return null;
    throw wrong;
  }
}
