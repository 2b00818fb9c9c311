// Which pushes to run and with which assumptions; what was run before stands beside each.

import { button, el, fill } from '../cage/dom.js';
import { startWork, Refused, state } from '../net.js';
import { say } from '../say.js';

/** @typedef {import('../types').KnownPush} Known */
/** @typedef {Pick<import('../types').PushShown, 'name' | 'title' | 'revision' | 'counted' | 'figures' | 'certainty' | 'when'>} Ran */
/** @typedef {{pushes: Known[], choices: [string, string, [string, string][]][], ran: Ran[], revision: string}} Pushes */
/** @typedef {{show: (name: string) => void, finished: (names: string[]) => void}} Heard */

const FIRST = 3; // pushes shown before ‘all pushes’ is opened

export class Choose {
  /** @param {HTMLElement} list @param {HTMLElement} run @param {Heard} heard */
  constructor(list, run, heard) {
    this.list = list;
    this.run = run;
    this.heard = heard;
    /** @type {Pushes | null} */
    this.pushes = null;
    /** @type {Set<string>} */
    this.wanted = new Set();
    this.shown = '';
    /** @type {Record<string, string>} */
    this.choices = {};
    this.all = false;
    /** @type {{doing: string, share: number, cancel: () => Promise<void>} | null} */
    this.under = null;
  }

  /** @param {Pushes} pushes */
  show(pushes) {
    const first = !this.pushes;
    this.pushes = pushes;
    if (first) this.begin(pushes);
    this.draw();
  }

  /** The plan's own pushes are ticked, or the usual one where it has none. @param {Pushes} pushes */
  begin(pushes) {
    const own = pushes.pushes.filter((one) => one.own);
    for (const one of own.length ? own : pushes.pushes.filter((push) => push.usual)) this.wanted.add(one.name);
    for (const [key, , words] of pushes.choices) this.choices[key] = words[0][0];
  }

  draw() {
    if (!this.pushes) return;
    this.drawList(this.pushes);
    this.drawRun();
  }

  /** @param {Pushes} pushes */
  drawList({ pushes, ran, revision }) {
    if (!pushes.length) return fill(this.list, el('p', { class: 'quiet', text: 'No push finds a place on this cage yet: it needs a hoop or a bar to press on.' }));
    const old = new Map(ran.map((one) => [one.name, one]));
    const rank = (/** @type {Known} */ one) => (one.own ? 0 : one.usual ? 1 : old.has(one.name) ? 2 : this.wanted.has(one.name) ? 3 : 4);
    const sorted = pushes.map((one, i) => ({ one, i })).sort((a, b) => rank(a.one) - rank(b.one) || a.i - b.i).map(({ one }) => one);
    const few = sorted.filter((one, i) => i < FIRST || rank(one) < 4);
    const rest = sorted.filter((one) => !few.includes(one));
    const item = (/** @type {Known} */ one) => this.item(one, old.get(one.name), revision);
    const more = rest.length ? el('details', { class: 'more-pushes', open: this.all, ontoggle: (/** @type {Event} */ event) => { this.all = /** @type {HTMLDetailsElement} */ (event.target).open; } },
      el('summary', { text: `${rest.length} more pushes` }), el('ul', { class: 'push-list' }, rest.map(item))) : null;
    return fill(this.list, el('ul', { class: 'push-list' }, few.map(item)), more);
  }

  /** @param {Known} one @param {Ran | undefined} ran @param {string} revision */
  item(one, ran, revision) {
    const tick = el('input', { type: 'checkbox', checked: this.wanted.has(one.name), 'aria-label': `Run: ${one.title}`, onchange: () => this.want(one.name, tick.checked) });
    const told = ran ? el('button', { type: 'button', class: 'push-title', 'aria-pressed': String(this.shown === one.name), onclick: () => this.heard.show(one.name) }, one.title) : el('span', { class: 'push-title', text: one.title });
    const stale = ran && ran.revision !== revision;
    return el('li', { 'data-push': one.name },
      tick,
      el('div', { class: 'push-words' }, told,
        el('p', { class: 'push-said' }, ran ? shortWords(ran) : el('span', { class: 'quiet', text: 'not run yet' }),
          stale ? el('span', { class: 'tag doubt', text: 'older plan' }) : null,
          ran && ran.counted.kind !== 'end of travel' ? el('span', { class: ran.counted.kind === 'cannot tell' ? 'tag doubt' : 'tag', text: ran.counted.kind, title: ran.counted.words }) : null,
          one.own ? el('span', { class: 'tag', text: 'in the plan' }) : null,
          one.certainty === 'memory' ? el('span', { class: 'memory', text: 'from memory', title: one.source }) : null)));
  }

  /** @param {string} name @param {boolean} on */
  want(name, on) {
    if (on) this.wanted.add(name);
    else this.wanted.delete(name);
    this.drawRun();
  }

  drawRun() {
    if (this.under) return this.drawUnder();
    const many = this.wanted.size;
    const words = many === 1 ? 'Run this push' : `Run ${many} pushes`;
    const unread = Boolean(state()?.problems.length);
    const go = button(many ? words : 'Tick a push to run it', () => void this.start(), { class: 'main', id: 'run-pushes', disabled: !many || unread });
    return fill(this.run, el('div', { class: 'toolbar' }, go), unread ? el('p', { class: 'quiet', text: 'Put the plan’s text right first.' }) : null, this.assumptions());
  }

  assumptions() {
    const rows = (this.pushes?.choices ?? []).map(([key, title, words]) => {
      const select = el('select', { onchange: () => { this.choices[key] = select.value; } }, words.map(([value, said]) => el('option', { value, text: said })));
      select.value = this.choices[key];
      return el('label', { class: 'field' }, title, select);
    });
    return el('details', { class: 'assumed', open: this.open, ontoggle: (/** @type {Event} */ event) => { this.open = /** @type {HTMLDetailsElement} */ (event.target).open; } },
      el('summary', { text: 'Assumptions' }), rows);
  }

  drawUnder() {
    const { doing, share, cancel } = /** @type {NonNullable<Choose['under']>} */ (this.under);
    const bar = this.run.querySelector('progress');
    const words = this.run.querySelector('.doing');
    if (bar && words) {
      bar.value = share;
      words.textContent = doing || 'Starting …';
      return;
    }
    const stop = button('Stop', () => { stop.disabled = true; void cancel(); }, { class: 'danger', id: 'stop-pushes' });
    fill(this.run, el('div', { class: 'under-way' }, el('p', { class: 'doing', role: 'status', text: doing || 'Starting …' }), el('progress', { max: 1, value: share, 'aria-label': 'How far the pushes are' }), stop));
    stop.focus();
  }

  async start() {
    const work = startWork('push', { pushes: [...this.wanted], choices: this.choices });
    this.under = { doing: '', share: 0, cancel: work.cancel };
    work.onProgress((doing, share) => {
      if (!this.under) return;
      this.under = { ...this.under, doing, share };
      this.drawUnder();
    });
    this.drawUnder();
    try {
      this.ended(await work.result);
    } catch (wrong) {
      if (!(wrong instanceof Refused)) throw wrong;
      const stopped = wrong.body.status === 'cancelled';
      say(stopped ? 'Stopped. What was finished before is kept.' : wrong.message, stopped ? 'note' : 'wrong');
      this.heard.finished([]);
    } finally {
      this.under = null;
      this.run.replaceChildren();
      this.drawRun();
      document.getElementById('run-pushes')?.focus();
    }
  }

  /** @param {{done: string[], refused: {name: string, words: string}[]}} result */
  ended({ done, refused }) {
    for (const one of refused) say(`${one.name}: ${one.words}`, 'wrong');
    if (!refused.length) say(done.length === 1 ? 'The push is done.' : `${done.length} pushes are done.`, 'done');
    this.heard.finished(done);
  }
}

/** What is taken up and the largest load, as far as the push counts. @param {Ran} ran */
const shortWords = ({ figures }) => ['energy', 'peak'].map((key) => figures.find((one) => one.key === key)?.value.said).filter(Boolean).join(' · ');
