// The Fit-up page: step by step, what to tack, what to read, what to pull.

import '../fitup/fitup.css';
import { byId, el, fill } from '../cage/dom.js';
import { HoldPanel } from '../fitup/hold.js';
import { RecordPanel } from '../fitup/record.js';
import { withEntered } from '../fitup/entered.js';
import { JobBar } from '../fitup/job.js';
import { Measure } from '../fitup/measure.js';
import { Picture } from '../fitup/picture.js';
import { Pulls } from '../fitup/pulls.js';
import { Shrink } from '../fitup/shrink.js';
import { showWaiting } from '../fitup/waiting_bar.js';
import { WorkPanel } from '../fitup/work.js';
import { startPage } from '../frame.js';
import { ask, onAnswer, onElsewhere, onLink, planUrl, Refused, startWork, state } from '../net.js';
import { Outbox } from '../outbox.js';
import { say, sayWrong } from '../say.js';
import { sayName } from '../view/view.js';

/** @typedef {import('../fitup/types.js').Steps} Steps */
/** @typedef {import('../fitup/types.js').StepData} StepData */
/** @typedef {'do' | 'measure' | 'pull' | 'welds' | 'record' | 'hold'} Tab */

const TABS = /** @type {[Tab, string][]} */ ([['do', 'Do'], ['measure', 'Measure'], ['pull', 'Pull'], ['welds', 'Welds pull'], ['record', 'Record'], ['hold', 'Hold points']]);

startPage({ keys: [{ keys: 'Enter', words: 'keep the reading and go on' }, { keys: '← →', words: 'on Do, Measure, Pull, Welds pull, Record, Hold points: the next one' }] });

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
/** @type {ReturnType<typeof setTimeout> | undefined} */
let soon;
/** @type {ReturnType<typeof setTimeout> | undefined} */
let idle;

const picture = new Picture(byId('picture'));
const job = new JobBar(byId('job'), { start, choose: (name) => { jobName = name; shown(false); void refresh().catch(() => {}); } });
const panelOf = (/** @type {Tab} */ name) => el('div', { role: 'tabpanel', id: `panel-${name}`, 'aria-labelledby': `tab-${name}`, tabindex: -1 });
/** @type {Record<Tab, HTMLElement>} */
const panels = { do: panelOf('do'), measure: panelOf('measure'), pull: panelOf('pull'), welds: panelOf('welds'), record: panelOf('record'), hold: panelOf('hold') };
const shrink = new Shrink(panels.welds);
const work = new WorkPanel(panels.do, { tick, withdraw: takeBack, move, select: (name) => picture.select(name), canWrite: () => job.canWrite() });
const measure = new Measure(panels.measure, { keep, withdraw: takeBack, show: (one) => { if (tab === 'measure') picture.reading(one); }, choose: () => void choose(), canWrite: () => job.canWrite() });
const pulls = new Pulls(panels.pull, { take: (one) => { turn('measure'); measure.take(one); }, point: (mark) => { if (found) picture.point(mark, found); }, within: () => void square() });

const hold = new HoldPanel(panels.hold, { goOn, canWrite: () => job.canWrite(), query: () => query() });
const record = new RecordPanel(panels.record, { covered, enter, takeBack: (uid, words) => void takeBack(uid, words), canWrite: () => job.canWrite(), unsent: () => outbox.away || outbox.items.length > 0 });
/** What the workbench has kept since it was last asked: shown until its answer holds it. @type {import('../outbox.js').Item[]} */
let arrived = [];
const outbox = new Outbox({ changed: draw, answered, refused: (item) => say(`Not taken: ${item.words}. ${item.refused}`, 'wrong') });
/** The last answer of each address, for when the network is away. @type {Map<string, any>} */
const known = new Map();

const query = (/** @type {Record<string, string | number>} */ more = {}) => `?${new URLSearchParams({ job: jobName, ...Object.fromEntries(Object.entries(more).map(([key, value]) => [key, String(value)])) })}`;

/** The answer from that address; the last one where the workbench is out of reach. @param {string} rest @returns {Promise<any>} */
async function fetched(rest) {
  if (outbox.away && known.has(rest)) return known.get(rest);
  try {
    known.set(rest, await ask('GET', planUrl(rest), undefined, { quiet: true }));
  } catch (wrong) {
    if (!(wrong instanceof Refused)) throw wrong;
    if (wrong.status) sayWrong({ error: wrong.message, ...wrong.body });
    else outbox.lost();
    if (wrong.status || !known.has(rest)) throw wrong;
  }
  return known.get(rest);
}

async function refresh() {
  const before = [...arrived];
  steps = /** @type {Steps} */ (await fetched(`/fitup${query()}`));
  jobName = steps.job?.name ?? jobName;
  byId('loading').hidden = true;
  number = Math.min(Math.max(number, 1), steps.steps.length);
  job.show(steps);
  drawSteps();
  await showStep(number, false, before);
}

/** The steps that were not looked at yet, so that they are here when the network drops. */
async function ahead() {
  for (const one of steps?.steps ?? []) {
    const rest = `/fitup/steps/${one.number}${query()}`;
    if (!outbox.away && !known.has(rest) && document.visibilityState === 'visible') await fetched(rest).catch(() => {});
  }
}

function drawSteps() {
  fill(byId('steps'), (steps?.steps ?? []).map((one) => el('li', {}, el('button', { type: 'button', 'aria-current': one.number === number ? 'step' : null, class: one.done ? 'done' : null, onclick: () => void showStep(one.number, true) },
    el('span', { class: 'step-number', text: one.done ? '✓' : String(one.number) }), el('span', { class: 'step-title', text: one.title }), el('span', { class: 'step-read', text: one.done ? `checked by ${one.done.by}` : one.read ? `${one.read} read` : '' })))));
  byId('steps').querySelector('[aria-current]')?.scrollIntoView({ block: 'nearest', inline: 'nearest' });
}

/** @param {number} which @param {boolean} fresh @param {import('../outbox.js').Item[]} [before] what had arrived when this was asked for */
async function showStep(which, fresh, before = [...arrived]) {
  const call = (asked += 1);
  const next = /** @type {StepData | null} */ (await fetched(`/fitup/steps/${which}${query()}`).catch((wrong) => {
    if (!(wrong instanceof Refused)) throw wrong;
    if (!wrong.status) say(`Step ${which} was not loaded before the network dropped.`, 'wrong');
    return null;
  }));
  if (call !== asked || !steps || !next) return;
  if (!outbox.away) arrived = arrived.filter((item) => !before.includes(item));
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
  shown(other);
  turn(tab);
  clearTimeout(idle);
  idle = setTimeout(() => void ahead(), 4000);
}

/** What is seen; the rest is drawn when it is turned to. @param {boolean} other whether it is another step than before */
function shown(other) {
  if (!data || !steps) return;
  const now = withEntered(data, [...arrived, ...outbox.waiting].filter((item) => item.body.job === jobName && item.url === planUrl(item.blob ? '/fitup/photos' : '/fitup/entries')));
  if (other || tab === 'do') work.show(now, steps);
  if (other || tab === 'measure') measure.show(now, other);
  if (other || tab === 'record') record.show(now);
}

/** What waits has changed. */
function draw() {
  showWaiting(byId('waiting'), outbox);
  if (document.getElementById('panel-do')) shown(false);
}

/** The workbench has it: say so, and ask it for the step once all have arrived. @param {import('../outbox.js').Item} item @param {any} kept */
function answered(item, kept) {
  arrived.push(item);
  if (kept.wrong?.length) sayWrong({ error: `Kept as it was entered, and not used: ${kept.wrong.join('; ')}.` });
  else say([`Kept: ${kept.says || item.words}.`, kept.also && `${kept.also}.`, kept.clock].filter(Boolean).join(' '), kept.also || kept.clock ? 'wrong' : 'done');
  clearTimeout(soon);
  soon = setTimeout(() => void refresh().catch(() => {}), outbox.waiting.length ? 1500 : 250);
}

function drawFrame() {
  if (!data) return;
  const tabs = TABS.map(([name, words]) => el('button', { type: 'button', role: 'tab', id: `tab-${name}`, 'aria-controls': `panel-${name}`, 'aria-selected': 'false', onclick: () => turn(name), onkeydown: (/** @type {KeyboardEvent} */ event) => walk(event, name) }, words));
  fill(byId('step'), el('h2', { text: `Step ${data.step.number}: ${data.step.title}` }), el('div', { class: 'step-tabs', role: 'tablist', 'aria-label': 'This step' }, tabs), Object.values(panels));
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
  const other = tab !== to;
  tab = to;
  document.body.dataset.tab = to;
  if (other) shown(false);
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
  if (to === 'hold') void holds();
}

function fileLink() {
  return data?.taken.length ? el('a', { href: planUrl(`/fitup/steps/${number}/readings.yaml${query()}`), download: '', text: 'Readings as a file' }) : null;
}

/** Said where an answer needs the workbench. */
const NEEDS = 'This is worked out by the workbench: it needs the network. What you read and tick meanwhile is kept.';

async function square() {
  if (!data) return;
  if (outbox.away) return pulls.wait(NEEDS);
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
  if (outbox.away) return shrink.wait(NEEDS);
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

async function holds() {
  if (!jobName) return hold.wait('Start the job’s record above: hold points are told from what it shows.');
  if (outbox.away) return hold.wait(NEEDS);
  hold.wait('Looking through the record, the order and the torch …');
  try {
    const { acts } = await ask('GET', planUrl(`/fitup/hold${query()}`));
    if (tab === 'hold') hold.show(acts);
  } catch (wrong) {
    if (!(wrong instanceof Refused)) throw wrong;
    hold.wait(wrong.message);
  }
  return undefined;
}

/** What a signature would stand for now; null where the workbench is out of reach. @returns {Promise<import('../types').CoveredAnswer | null>} */
async function covered() {
  if (outbox.away) return null;
  return ask('GET', planUrl(`/fitup/signing${query()}`), undefined, { quiet: true }).catch(() => null);
}

/** @param {string} act @param {string} why */
async function goOn(act, why) {
  const kept = await write(`hold/${act}`, { why });
  if (!kept) return;
  say(`Kept by name: ${kept.entry.text}.`, 'done');
  await holds();
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

/** Put it in this browser's keeping; it goes to the workbench from there. @param {Record<string, any>} body @param {string} words @param {Blob} [blob] */
async function enter(body, words, blob) {
  const whole = { job: jobName, by: job.who.trim(), step: String(number), revision: state()?.revision ?? '', ...body };
  await outbox.add({ url: planUrl(blob ? '/fitup/photos' : '/fitup/entries'), body: whole, words, ...(blob && { blob }) });
}

/** @param {Record<string, string>} reading */
function keep(reading) {
  return enter({ entry: 'reading', ...reading }, `${reading.kind} ${[reading.a, reading.b].filter(Boolean).map(sayName).join(' to ')}: ${reading.says}`);
}

/** @param {string} uid @param {string} [words] */
function takeBack(uid, words = 'a line') {
  return enter({ entry: 'take back', of: uid }, `${words} taken back`);
}

/** @param {string} what @param {string} done */
function tick(what, done) {
  return enter({ entry: 'tick', what, done }, `${done} ${sayName(what)}`);
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

onLink((up) => (up ? outbox.awake() : outbox.lost()));
addEventListener('online', () => outbox.awake());
addEventListener('beforeunload', (event) => { if (outbox.away || (outbox.waiting.length && !outbox.lasting)) event.preventDefault(); });
for (const changed of [onAnswer, onElsewhere]) changed(() => { data = null; void begin(); });
void begin();

