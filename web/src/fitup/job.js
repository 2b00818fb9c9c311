// The job whose record is written, and who writes.

import { button, choice, el, fill } from '../cage/dom.js';
import { planId } from '../net.js';

/** @typedef {Pick<import('./types.js').Steps, 'jobs' | 'job'>} Steps */
/** @typedef {{start: (job: {name: string, by: string, customer: string}) => Promise<void>, choose: (name: string) => void}} Heard */

const KEPT = 'cagewright-who';

export class JobBar {
  /** @param {HTMLElement} holder @param {Heard} heard */
  constructor(holder, heard) {
    this.holder = holder;
    this.heard = heard;
    this.who = remembered();
    /** @type {Steps | null} */
    this.steps = null;
  }

  get job() {
    return this.steps?.job?.name ?? '';
  }

  canWrite() {
    return Boolean(this.job && this.who.trim());
  }

  /** @param {Steps} steps */
  show(steps) {
    this.steps = steps;
    const who = el('input', { type: 'text', value: this.who, id: 'who', autocomplete: 'name', maxlength: 80, onchange: () => this.is(who.value) });
    const name = el('label', { class: 'inline-field' }, el('span', { text: 'Who' }), who);
    if (steps.job) {
      const jobs = steps.jobs.length > 1 ? choice(steps.jobs.map((one) => /** @type {[string, string]} */ ([one.name, one.name])), this.job, (value) => this.heard.choose(value), { 'aria-label': 'Job' }) : el('b', { text: this.job });
      fill(this.holder, el('span', { class: 'job-name' }, 'Job ', jobs, steps.job.customer ? ` for ${steps.job.customer}` : ''), name, this.who ? null : el('span', { class: 'tag doubt', text: 'say who reads' }));
      return;
    }
    const job = el('input', { type: 'text', value: planId() ?? '', maxlength: 80 });
    const customer = el('input', { type: 'text', maxlength: 80 });
    const start = button('Start its record', () => void this.start(job.value, who.value, customer.value), { class: 'main', id: 'start-job' });
    fill(this.holder, el('label', { class: 'inline-field' }, el('span', { text: 'Job' }), job), el('label', { class: 'inline-field' }, el('span', { text: 'Customer' }), customer), name, start);
  }

  /** @param {string} who */
  is(who) {
    this.remember(who);
    if (this.job) this.heard.choose(this.job);
  }

  /** @param {string} who */
  remember(who) {
    this.who = who.trim();
    try {
      localStorage.setItem(KEPT, this.who);
    } catch {
      // a browser that keeps nothing asks again
    }
  }

  /** @param {string} name @param {string} by @param {string} customer */
  async start(name, by, customer) {
    if (!by.trim()) return document.getElementById('who')?.focus();
    this.remember(by);
    return this.heard.start({ name: name.trim(), by: by.trim(), customer: customer.trim() });
  }
}

function remembered() {
  try {
    return localStorage.getItem(KEPT) ?? '';
  } catch {
    return '';
  }
}
