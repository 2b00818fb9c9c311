// The Alternatives page: make changes of what is selected, push them side by side, lay one cage over the other.

import '../alternatives/alternatives.css';
import { button, byId, el, fill } from '../cage/dom.js';
import { ComparedPanel } from '../alternatives/compared.js';
import { Make } from '../alternatives/make.js';
import { letter, StudyList } from '../alternatives/studies.js';
import { startPage } from '../frame.js';
import { ask, onAnswer, onElsewhere, planUrl, Refused, state } from '../net.js';
import { makeView, sayName } from '../view/view.js';

/** @typedef {import('../alternatives/studies.js').Study} Study */

startPage({ keys: [{ keys: 'F', words: 'in the picture: the whole cage' }] });

/** @type {import('../types').Scene | null} */
let scene = null;
/** @type {string[]} */
let selected = [];

const view = makeView(byId('picture'), { label: 'The cage; pick the tube to change' });
const make = new Make(byId('make'), { made: (name) => void made(name), select });
const compared = new ComparedPanel(byId('compared'));
const studies = new StudyList(byId('studies'), byId('run'), { show: (study, number) => void overlay(study, number), chosen: (study) => { plain(); showRan(study); }, changed: list, ran: list });

view.onPick((pick) => {
  const name = pick?.member;
  if (!name) select([]);
  else if (pick.shift) select(selected.includes(name) ? selected.filter((one) => one !== name) : [...selected, name]);
  else select([name]);
});

/** @param {string[]} names */
function select(names) {
  selected = names;
  view.select({ members: names });
  make.select(names);
}

/** @param {string} name */
async function made(name) {
  studies.id = 'own';
  select([]);
  await list();
  const study = studies.study();
  const number = (study?.alternatives.findIndex((one) => one.name === name) ?? -1) + 1;
  if (study && number > 0) await overlay(study, number);
}

/** The alternative drawn whole, the plan's own cage faint under it. @param {Study} study @param {number} number */
async function overlay(study, number) {
  if (!number || !scene) return plain();
  try {
    const found = await ask('GET', planUrl(`/alternatives/${encodeURIComponent(study.id)}/scene/${number}`));
    view.show(found.scene);
    view.under(scene);
    view.select({ members: found.changed });
    studies.shown = number;
    studies.draw();
    const gone = found.changed.filter((/** @type {string} */ name) => !found.scene.members.some((/** @type {{name: string}} */ one) => one.name === name));
    fill(byId('shown'), el('p', {}, el('b', { text: `${letter(number)} ${found.name}` }), ' over the plan, which is drawn faint. ', gone.length ? `Gone: ${gone.map(sayName).join(', ')}. ` : '', found.changed.length > gone.length ? 'Changed tubes are marked.' : ''), button('Back to the plan', plain));
  } catch (wrong) {
    if (!(wrong instanceof Refused)) throw wrong;
  }
  return undefined;
}

function plain() {
  studies.shown = 0;
  studies.draw();
  fill(byId('shown'), el('p', { class: 'quiet', text: 'The plan as it is. Pick a tube; Shift picks more.' }));
  view.under(null);
  if (scene) view.show(scene);
  view.select({ members: selected });
}

async function list() {
  const all = /** @type {import('../alternatives/studies.js').Studies} */ (await ask('GET', planUrl('/alternatives')));
  studies.show(all);
  make.offer(scene?.members ?? [], all.sizes);
  const study = studies.study();
  if (study) showRan(study);
}

/** @param {Study} study */
function showRan(study) {
  const now = state()?.revision ?? studies.all?.revision;
  const old = study.ran && study.ran.revision !== now;
  const words = old ? 'Worked out for an earlier state of the plan: push them again.' : study.ran && !study.ran_current ? 'The alternatives have changed since: push them again.' : '';
  compared.show(study.ran, words);
}

async function drawScene() {
  scene = await ask('GET', planUrl('/scene'));
  plain();
}

async function refresh() {
  await drawScene();
  await list();
}

for (const changed of [onAnswer, onElsewhere]) changed(() => void refresh());
void refresh();
