// The Fit-up page: step by step, what to tack, what to read, what to pull.

import '../fitup/fitup.css';
import { byId, el, fill } from '../cage/dom.js';
import { JobBar } from '../fitup/job.js';
import { Measure } from '../fitup/measure.js';
import { Picture } from '../fitup/picture.js';
import { Pulls } from '../fitup/pulls.js';
import { Shrink } from '../fitup/shrink.js';
import { WorkPanel } from '../fitup/work.js';
import { startPage } from '../frame.js';
import { ask, onAnswer, onElsewhere, planUrl, Refused, startWork } from '../net.js';
import { say, sayWrong } from '../say.js';

/** @typedef {import('../fitup/types.js').Steps} Steps */
/** @typedef {import('../fitup/types.js').StepData} StepData */
/** @typedef {'do' | 'measure' | 'pull' | 'welds'} Tab */

const TABS = /** @type {[Tab, string][]} */ ([['do', 'Do'], ['measure', 'Measure'], ['pull', 'Pull'], ['welds', 'Welds pull']]);

startPage({ keys: [{ keys: 'Enter', words: 'keep the reading and go on' }, { keys: '← →', words: 'on Do, Measure, Pull, Welds pull: the next one' }] });

const wanted = new URLSearchParams(location.search);
let number = Number(wanted.get('step')) || 1;
let jobName = wanted.get('job') ?? '';
/** @type {Tab} */
let tab = wanted.has('step') ? 'measure' : 'do';
/** @type {Steps | null} */
let steps = null;
/** @type {StepData | null} */
let data = null;
/** @type {import('../fitup/types.js').Square | null} */
let found = null;
let asked = 0;

const picture = new Picture(byId('picture'));
const job = new JobBar(byId('job'), { start, choose: (name) => { jobName = name; void refresh(); } });
const panelOf = (/** @type {Tab} */ name) => el('div', { role: 'tabpanel', id: `panel-${name}`, 'aria-labelledby': `tab-${name}`, tabindex: -1 });
/** @type {Record<Tab, HTMLElement>} */
const panels = { do: panelOf('do'), measure: panelOf('measure'), pull: panelOf('pull'), welds: panelOf('welds') };
const shrink = new Shrink(panels.welds);
const work = new WorkPanel(panels.do, { tick, withdraw, move, select: (name) => picture.select(name), canWrite: () => job.canWrite() });
const measure = new Measure(panels.measure, { keep, withdraw, show: (one) => { if (tab === 'measure') picture.reading(one); }, choose: () => void choose(), canWrite: () => job.canWrite() });
const pulls = new Pulls(panels.pull, { take: (one) => { turn('measure'); measure.take(one); }, point: (mark) => { if (found) picture.point(mark, found); }, within: () => void square() });

const query = (/** @type {Record<string, string | number>} */ more = {}) => `?${new URLSearchParams({ job: jobName, ...Object.fromEntries(Object.entries(more).map(([key, value]) => [key, String(value)])) })}`;

async function refresh() {
  steps = /** @type {Steps} */ (await ask('GET', planUrl(`/fitup${query()}`)));
  jobName = steps.job?.name ?? jobName;
  byId('loading').hidden = true;
  number = Math.min(Math.max(number, 1), steps.steps.length);
  job.show(steps);
  drawSteps();
  await showStep(number, false);
}

function drawSteps() {
  fill(byId('steps'), (steps?.steps ?? []).map((one) => el('li', {}, el('button', { type: 'button', 'aria-current': one.number === number ? 'step' : null, class: one.done ? 'done' : null, onclick: () => void showStep(one.number, true) },
    el('span', { class: 'step-number', text: one.done ? '✓' : String(one.number) }), el('span', { class: 'step-title', text: one.title }), el('span', { class: 'step-read', text: one.done ? `checked by ${one.done.by}` : one.read ? `${one.read} read` : '' })))));
  byId('steps').querySelector('[aria-current]')?.scrollIntoView({ block: 'nearest', inline: 'nearest' });
}

/** @param {number} which @param {boolean} fresh */
async function showStep(which, fresh) {
  const call = (asked += 1);
  const next = /** @type {StepData} */ (await ask('GET', planUrl(`/fitup/steps/${which}${query()}`)));
  if (call !== asked || !steps) return;
  const other = fresh || data?.step.number !== which;
  number = which;
  data = next;
  history.replaceState(null, '', `?${new URLSearchParams({ ...(jobName && { job: jobName }), step: String(number) })}`);
  drawSteps();
  if (other) {
    found = null;
    picture.step(data);
    drawFrame();
  }
  work.show(data, steps);
  measure.show(data, other);
  turn(tab);
}

function drawFrame() {
  if (!data) return;
  const tabs = TABS.map(([name, words]) => el('button', { type: 'button', role: 'tab', id: `tab-${name}`, 'aria-controls': `panel-${name}`, 'aria-selected': 'false', onclick: () => turn(name), onkeydown: (/** @type {KeyboardEvent} */ event) => walk(event, name) }, words));
  fill(byId('step'), el('h2', { text: `Step ${data.step.number}: ${data.step.title}` }), el('div', { class: 'step-tabs', role: 'tablist', 'aria-label': 'This step' }, tabs), panels.do, panels.measure, panels.pull, panels.welds);
  byId('side').scrollTop = 0;
}

/** @param {KeyboardEvent} event @param {Tab} name */
function walk(event, name) {
  const way = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
  if (!way) return;
  event.preventDefault();
  const at = TABS.findIndex(([one]) => one === name);
  turn(TABS[(at + way + TABS.length) % TABS.length][0]);
  byId(`tab-${tab}`).focus();
}

/** @param {Tab} to */
function turn(to) {
  tab = to;
  for (const [name] of TABS) {
    const one = byId(`tab-${name}`);
    one.setAttribute('aria-selected', String(name === to));
    one.tabIndex = name === to ? 0 : -1;
    panels[name].hidden = name !== to;
  }
  const said = data ? `${data.present.length} tubes are there; what goes in later is faint.` : '';
  fill(byId('said'), el('p', { class: 'quiet', text: said }), fileLink());
  if (to === 'do') picture.nothing();
  if (to === 'measure') measure.tell();
  if (to === 'pull') void square();
  if (to === 'welds') void welds();
}

function fileLink() {
  return data?.taken.length ? el('a', { href: planUrl(`/fitup/steps/${number}/readings.yaml${query()}`), download: '', text: 'Readings as a file' }) : null;
}

async function square() {
  if (!data) return;
  pulls.wait('Working out where everything is …');
  picture.pulls(null);
  const step = number;
  try {
    const answer = await ask('GET', planUrl(`/fitup/steps/${step}/square${query({ within: pulls.within })}`));
    if (step !== number || tab !== 'pull') return;
    found = answer;
    pulls.show(answer);
    picture.pulls(answer);
  } catch (wrong) {
    if (!(wrong instanceof Refused)) throw wrong;
    pulls.wait(wrong.message);
  }
}

async function welds() {
  if (!data) return;
  shrink.wait('Working out what the welds pull …');
  picture.nothing();
  const step = number;
  try {
    const answer = await ask('GET', planUrl(`/fitup/steps/${step}/shrink${query()}`));
    if (step === number && tab === 'welds') shrink.show(answer);
  } catch (wrong) {
    if (!(wrong instanceof Refused)) throw wrong;
    shrink.wait(wrong.message);
  }
}

async function choose() {
  try {
    await startWork('fitup-readings', { step: number }).result;
  } catch (wrong) {
    if (!(wrong instanceof Refused)) throw wrong;
    say(wrong.message, 'wrong');
  }
  measure.waiting = false;
  await showStep(number, true);
}

/** @param {string} rest @param {Record<string, any>} body @returns {Promise<any>} null where it was refused */
async function write(rest, body) {
  try {
    return await ask('POST', planUrl(`/fitup/${rest}`), { job: jobName, by: job.who, ...body });
  } catch (wrong) {
    if (!(wrong instanceof Refused)) throw wrong;
    return null;
  }
}

/** @param {Record<string, string>} reading */
async function keep(reading) {
  const kept = await write('readings', { ...reading, step: String(number) });
  if (!kept) return false;
  if (kept.wrong.length) sayWrong({ error: `Kept as it was entered, and not used: ${kept.wrong.join('; ')}.` });
  else say(`Kept: ${kept.says}.`, 'done');
  await refresh();
  return true;
}

/** @param {number} line */
async function withdraw(line) {
  if (await write('withdraw', { line })) await refresh();
}

/** @param {string} what @param {string} done */
async function tick(what, done) {
  if (await write('ticks', { what, done, step: String(number) })) await refresh();
}

/** @param {string} member @param {number | null} step */
async function move(member, step) {
  if (await write('order', { member, step })) {
    data = null;
    await refresh();
  }
}

/** @param {{name: string, by: string, customer: string}} asked_for */
async function start(asked_for) {
  const made = await write('jobs', asked_for);
  if (!made) return;
  jobName = made.name;
  say(`Job ${made.name} is in the shop’s record.`, 'done');
  await refresh();
}

async function begin() {
  picture.show(await ask('GET', planUrl('/scene')));
  await refresh().catch((wrong) => {
    byId('loading').textContent = wrong.message;
  });
}

for (const changed of [onAnswer, onElsewhere]) changed(() => { data = null; void begin(); });
void begin();

