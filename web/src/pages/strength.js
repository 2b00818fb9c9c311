// The Strength page: choose pushes, run them, and see what each does to the cage as far as it goes.

import '../strength/strength.css';
import { byId, el, fill } from '../cage/dom.js';
import { startPage } from '../frame.js';
import { ask, onAnswer, onElsewhere, onState, planUrl, state } from '../net.js';
import { Choose } from '../strength/choose.js';
import { DropPanel } from '../strength/drop.js';
import { Picture } from '../strength/picture.js';
import { ResultPanel } from '../strength/result.js';
import { TravelBar } from '../strength/travel_bar.js';

/** @typedef {import('../strength/result.js').Result} Result */

startPage({ keys: [{ keys: '← →', words: 'on the slider: a hundredth of the push' }, { keys: 'F', words: 'in the picture: the whole cage' }] });

/** @type {Result | null} */
let shown = null;
/** @type {number} */
let asked = 0;

const picture = new Picture(byId('picture'), byId('tools'), { member: (name) => picture.select(name), travel: goTo });
const bar = new TravelBar(byId('travel'), goTo);
const panel = new ResultPanel(byId('result'), { travel: goTo, member: (name) => picture.select(name) });
const choose = new Choose(byId('pushes'), byId('run'), { show: (name) => void show(name), finished: (names) => void finished(names) });

const drop = new DropPanel(byId('drop'), () => choose.choices);

/** @param {number} mm */
function goTo(mm) {
  if (!shown) return;
  bar.at(mm);
  picture.at(bar.mm);
  panel.at(bar.mm);
}

/** @param {string[]} names */
async function finished(names) {
  await list();
  const first = names.includes(choose.shown) ? choose.shown : names[0];
  if (!first) return;
  await show(first);
  byId('result').scrollIntoView({ block: 'start' });
}

async function list() {
  const pushes = await ask('GET', planUrl('/strength'));
  choose.show(pushes);
  return /** @type {import('../strength/choose.js').Pushes} */ (pushes);
}

/** @param {string} name */
async function show(name) {
  const turn = (asked += 1);
  const result = /** @type {Result} */ (await ask('GET', planUrl(`/strength/results/${encodeURIComponent(name)}`)));
  if (turn !== asked) return;
  shown = result;
  choose.shown = name;
  choose.draw();
  picture.show(result);
  panel.show(result);
  bar.show(result);
  markStale();
  goTo(result.marks.find((one) => one.kind === 'counted')?.travel ?? result.marks.find((one) => one.kind === 'peak')?.travel ?? bar.top);
}

function markStale() {
  const now = state()?.revision;
  if (shown) panel.mark(Boolean(now) && shown.revision !== now, shown.revision);
}

async function drawScene() {
  picture.scene(await ask('GET', planUrl('/scene')));
  if (shown) picture.at(bar.mm);
}

async function begin() {
  const [pushes] = await Promise.all([list(), drawScene()]);
  const last = pushes.ran[pushes.ran.length - 1];
  if (last) await show(last.name);
  else fill(byId('result'), el('p', { class: 'quiet', text: 'Run a push to see what gives, how much the cage carries and what is left before it reaches the people in it.' }));
}

onState(markStale);
for (const changed of [onAnswer, onElsewhere]) changed(() => void Promise.all([drawScene(), list()]));
void begin();
void drop.begin();
