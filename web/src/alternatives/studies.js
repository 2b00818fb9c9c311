// The alternatives files beside the plan: which one, what it holds, and running it.

import { button, choice, el, fill } from '../cage/dom.js';
import { ask, planUrl, Refused, startWork, state } from '../net.js';
import { askText, askYesNo, problemList, say } from '../say.js';

/** @typedef {import('../types').StudyFile & {ran: any, ran_current: boolean}} Study a file, and what was found when it was pushed */
/** @typedef {Omit<import('../types').Studies, 'studies'> & {studies: Study[]}} Studies */
/** @typedef {{show: (study: Study, number: number) => void, chosen: (study: Study) => void, changed: () => Promise<void>, ran: () => Promise<void>}} Heard */

const DRAWS = 64; // of every cage under every push, where the ranking's sureness is asked for

export class StudyList {
  /** @param {HTMLElement} holder @param {HTMLElement} run @param {Heard} heard */
  constructor(holder, run, heard) {
    this.holder = holder;
    this.run = run;
    this.heard = heard;
    /** @type {Studies | null} */
    this.all = null;
    this.id = 'own';
    this.shown = 0;
    /** @type {Set<string>} */
    this.pushes = new Set();
    this.sure = false;
    /** @type {{cancel: () => Promise<void>} | null} */
    this.under = null;
  }

  /** @param {Studies} all */
  show(all) {
    const first = !this.all;
    this.all = all;
    if (first && !all.studies[0]?.alternatives.length) this.id = all.studies.find((one) => one.ran)?.id ?? 'own';
    if (!this.study()) this.id = 'own';
    if (first) this.takePushes();
    this.draw();
  }

  study() {
    return this.all?.studies.find((one) => one.id === this.id);
  }

  takePushes() {
    const study = this.study();
    const known = new Set(this.all?.pushes ?? []);
    const wanted = study?.pushes.filter((one) => known.has(one)) ?? [];
    this.pushes = new Set(wanted.length ? wanted : [this.all?.usual ?? '']);
  }

  /** @param {string} id */
  choose(id) {
    this.id = id;
    this.takePushes();
    this.draw();
    const study = this.study();
    if (study) this.heard.chosen(study);
  }

  draw() {
    const study = this.study();
    if (!this.all || !study) return;
    const names = this.all.studies.map((one) => /** @type {[string, string]} */ ([one.id, one.own ? `Made here (${one.alternatives.length})` : `${one.title}${one.fits ? '' : ' (does not fit this plan)'}`]));
    fill(this.holder,
      el('div', { class: 'study-head' },
        el('label', { class: 'field' }, 'From', choice(names, this.id, (id) => this.choose(id), { id: 'study' })),
        el('p', { class: 'question' }, study.question, study.there ? el('span', { class: 'quiet small', text: ` ${study.file}` }) : null)),
      study.problems.length ? el('div', { class: 'misfit' }, el('p', { class: 'wrong-words', text: 'These alternatives do not fit this plan as it is:' }), problemList(study.problems)) : null,
      study.alternatives.length ? this.list(study) : el('p', { class: 'quiet', text: study.own ? 'None yet. Pick a tube in the picture, then press ‘Without it’ or one of the others.' : 'It could not be read.' }));
    this.drawRun(study);
  }

  /** @param {Study} study */
  list(study) {
    const row = (/** @type {string} */ name, /** @type {string} */ words, /** @type {number} */ number) => el('li', { class: this.shown === number ? 'selected' : null },
      el('b', { class: 'letter', text: letter(number) }),
      el('div', { class: 'alternative-words' }, el('span', { class: 'alternative-name', text: name }), words ? el('span', { class: 'quiet small', text: words }) : null),
      el('span', { class: 'toolbar' },
        button('Show', () => this.heard.show(study, number), { 'aria-pressed': String(this.shown === number), 'aria-label': `Show ${name}` }),
        study.own && number ? button('Rename', () => void this.rename(name), { 'aria-label': `Rename ${name}` }) : null,
        study.own && number ? button('Take out', () => void this.remove(name), { 'aria-label': `Take out ${name}` }) : null));
    return el('ol', { class: 'alternatives-rows' }, row(study.as_planned, 'the plan as it is', 0),
      study.alternatives.map((one, i) => row(one.name, [...one.changes, one.on_top_of ? `on top of ${one.on_top_of}` : '', one.note].filter(Boolean).join('; '), i + 1)));
  }

  /** @param {string} name */
  async rename(name) {
    const to = await askText('What is it to be called?', { value: name, yes: 'Rename' });
    if (to && to !== name) await this.change({ name, to });
  }

  /** @param {string} name */
  async remove(name) {
    if (await askYesNo(`Take ‘${name}’ out?`, { yes: 'Take it out', no: 'Leave it' })) await this.change({ name });
  }

  /** @param {{name: string, to?: string}} what */
  async change(what) {
    try {
      await ask('POST', planUrl('/alternatives/change'), what);
      await this.heard.changed();
    } catch (wrong) {
      if (!(wrong instanceof Refused)) throw wrong;
    }
  }

  /** @param {Study} study */
  drawRun(study) {
    if (this.under) return;
    const ticks = (this.all?.pushes ?? []).map((name) => {
      const tick = el('input', { type: 'checkbox', checked: this.pushes.has(name), onchange: () => this.want(name, tick.checked) });
      return el('label', { class: 'check' }, tick, name);
    });
    const sure = el('input', { type: 'checkbox', checked: this.sure, id: 'how-sure', onchange: () => { this.sure = sure.checked; } });
    const many = study.alternatives.length;
    this.go = button(this.goWords(many), () => void this.start(study), { class: 'main', id: 'run-compare', disabled: !many || !study.fits || !this.pushes.size || Boolean(state()?.problems.length) });
    fill(this.run, el('div', { class: 'run-row' }, this.go,
      el('details', { open: this.open, ontoggle: (/** @type {Event} */ event) => { this.open = /** @type {HTMLDetailsElement} */ (event.target).open; } },
        el('summary', {}, `Pushes: ${[...this.pushes].join(', ') || 'none'}`), el('div', { class: 'push-ticks' }, ticks)),
      el('label', { class: 'check' }, sure, `See how sure the ranking is: ${DRAWS} pushes each, with what is not known drawn`)));
  }

  /** @param {number} many */
  goWords(many) {
    const pushes = this.pushes.size === 1 ? 'one push' : `${this.pushes.size} pushes`;
    return many ? `Push ${many + 1} cages with ${pushes}` : 'Nothing to push yet';
  }

  /** @param {string} name @param {boolean} on */
  want(name, on) {
    if (on) this.pushes.add(name);
    else this.pushes.delete(name);
    this.open = true;
    const study = this.study();
    if (study) this.drawRun(study);
  }

  /** @param {Study} study */
  async start(study) {
    const work = startWork('compare', { study: study.id, pushes: [...this.pushes], draws: this.sure ? DRAWS : 0 });
    this.under = { cancel: work.cancel };
    const bar = el('progress', { max: 1, value: 0, 'aria-label': 'How far the comparison is' });
    const words = el('p', { class: 'doing', role: 'status', text: 'Starting …' });
    const stop = button('Stop', () => { stop.disabled = true; void work.cancel(); }, { class: 'danger', id: 'stop-compare' });
    fill(this.run, el('div', { class: 'under-way' }, words, bar, stop));
    stop.focus();
    work.onProgress((doing, share) => {
      bar.value = share;
      words.textContent = doing || 'Starting …';
    });
    try {
      await work.result;
      say('The alternatives are compared.', 'done');
      await this.heard.ran();
    } catch (wrong) {
      if (!(wrong instanceof Refused)) throw wrong;
      say(wrong.body.status === 'cancelled' ? 'Stopped.' : wrong.message, wrong.body.status === 'cancelled' ? 'note' : 'wrong');
    } finally {
      this.under = null;
      this.draw();
      this.go?.focus();
    }
  }
}

/** A, B, C, … as in the table and on the curves. @param {number} number */
export const letter = (number) => (number < 26 ? String.fromCharCode(65 + number) : `${String.fromCharCode(64 + Math.floor(number / 26))}${String.fromCharCode(65 + (number % 26))}`);
