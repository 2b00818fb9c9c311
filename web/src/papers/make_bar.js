// A button that starts long work, with what it is at, how far it is, and a way to stop it.

import { button, el, fill } from '../cage/dom.js';
import { Refused, startWork } from '../net.js';
import { say, sayWrong } from '../say.js';

/**
 * @param {{kind: string, words: string, stop: string, done: string, onDone: () => void, onDoing?: (what: string) => void, asked?: () => Record<string, any>}} work kind: as the server
 *   knows it; words: on the button; stop: on the button that stops it; done: said when it is done; onDoing: told what it is at; asked: what is asked for
 */
export function makeBar({ kind, words, stop, done, onDone, onDoing = () => {}, asked = () => ({}) }) {
  const start = button(words, () => void run(), { class: 'main', id: `make-${kind}` });
  const doing = el('span', { class: 'doing' });
  const bar = el('progress', { max: '1', 'aria-label': words });
  const halt = button(stop, () => void running?.cancel(), { class: 'danger' });
  const moving = el('div', { class: 'progress make-progress', role: 'status' }, doing, bar, halt);
  const holder = el('div', { class: 'make-bar' }, start, moving);
  moving.hidden = true;
  /** @type {ReturnType<typeof startWork> | null} */
  let running = null;

  async function run() {
    if (running) return;
    running = startWork(kind, asked());
    running.onProgress(show);
    start.hidden = true;
    moving.hidden = false;
    show('waiting', 0);
    try {
      await running.result;
      say(done, 'done');
    } catch (wrong) {
      tell(wrong);
    } finally {
      running = null;
      start.hidden = false;
      moving.hidden = true;
      onDone();
    }
  }

  /** @param {string} what @param {number} share */
  function show(what, share) {
    fill(doing, `${what || 'starting'} … ${Math.round(share * 100)} %`);
    bar.value = share;
    onDoing(what);
  }

  /** @param {string} now @param {boolean} [main] whether it is what the page is for just now */
  const label = (now, main = true) => {
    fill(start, now);
    start.className = main ? 'main' : '';
  };
  return { holder, run, label, isRunning: () => running !== null };
}

/** @param {unknown} wrong */
function tell(wrong) {
  if (!(wrong instanceof Refused)) throw wrong;
  if (wrong.body.status === 'cancelled') say('Stopped; nothing was changed.');
  else if (wrong.body.status === 'failed') sayWrong({ error: 'They could not be made.', ...wrong.body });
}

/** When it was, as a builder says it. @param {number} seconds since 1970 */
export function sayWhen(seconds) {
  const when = new Date(seconds * 1000);
  const today = new Date().toDateString() === when.toDateString();
  const time = when.toLocaleTimeString([], { hour: '2-digit', minute: '2-digit' });
  return today ? `today at ${time}` : `${when.toLocaleDateString([], { day: 'numeric', month: 'short', year: 'numeric' })} at ${time}`;
}
