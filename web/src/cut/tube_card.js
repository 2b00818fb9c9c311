// One tube as it came out of the bender: readings taken on the bench, what it is, and what to do with it.

import { byId, el, fill } from '../cage/dom.js';
import { ask, edit, planId, planUrl, Refused } from '../net.js';
import { say } from '../say.js';

/** @typedef {import('../types').TubeWantedAnswer} Wanted */
/** @typedef {import('../types').TubeAnswer & {picture: string, drawn: string, file: string}} Found */

const SIGNS = /** @type {Record<string, string>} */ ({ fine: '✓', 'look at': '!', fail: '✗', 'cannot tell': '?' });

/** The card's element; it asks for its readings by itself. @param {string} member */
export function tubeCard(member) {
  const made = el('article', { class: 'sheet tube-card', 'aria-label': 'The tube in your hand' }, el('p', { class: 'quiet', text: 'Choosing what to read …' }));
  void begin(member, made);
  return made;
}

/** @param {string} member @param {string} [rest] */
const urlOf = (member, rest = '') => planUrl(`/cut/tubes/${encodeURIComponent(member)}${rest}`);

/** What was typed stays in this browser until the plan changes. */
class Typed {
  /** @param {Wanted} wanted */
  constructor(wanted) {
    this.key = `tube:${planId()}:${wanted.member}:${wanted.revision}`;
    /** @type {Record<string, string>} */
    this.says = {};
    try {
      this.says = JSON.parse(localStorage.getItem(this.key) ?? '{}');
    } catch { /* a browser that keeps nothing, or keeps it spoilt */ }
  }

  /** @param {number} number @param {string} text */
  set(number, text) {
    this.says[number] = text;
    try {
      localStorage.setItem(this.key, JSON.stringify(this.says));
    } catch { /* it stays on the page */ }
  }
}

/** @param {string} member @param {HTMLElement} card */
async function begin(member, card) {
  try {
    draw(/** @type {Wanted} */ (await ask('GET', urlOf(member), undefined, { quiet: true })), card);
  } catch (wrong) {
    if (!(wrong instanceof Refused)) throw wrong;
    fill(card, el('p', { class: 'wrong-words', text: wrong.message }));
  }
}

/** @param {Wanted} wanted @param {HTMLElement} card */
function draw(wanted, card) {
  const typed = new Typed(wanted);
  const answer = el('div', { class: 'tube-answer', 'aria-live': 'polite' });
  const count = el('p', { class: 'reading-count quiet' });
  const told = () => { count.textContent = `${lines(wanted, typed).length} of ${wanted.readings.length} read`; };
  const rows = wanted.readings.map((one) => row(one, typed, told));
  told();
  const back = wanted.as_built && el('p', {}, 'The plan has this tube as built. ', el('button', { type: 'button', class: 'big', id: 'as-planned', onclick: () => void putBack(wanted.member) }, 'Put back as planned'));
  fill(card,
    el('header', {}, el('h2', { text: 'The tube in your hand' }), el('p', {}, el('a', { href: `#${encodeURIComponent(`member:${wanted.member}`)}`, text: 'its sheet' }))),
    el('p', { text: wanted.headline }), back,
    el('ul', { class: 'notes' }, wanted.notes.map((note) => el('li', { text: note.words }))),
    el('ol', { class: 'tube-readings' }, rows), count,
    el('button', { type: 'button', class: 'big main', id: 'tube-what-now', onclick: () => void judge(wanted, typed, answer) }, 'What is it, and what now?'),
    answer);
}

/** @param {import('../types').TubeWanted} one @param {Typed} typed @param {() => void} told */
function row(one, typed, told) {
  const input = el('input', {
    inputmode: 'text', enterkeyhint: 'next', autocomplete: 'off', spellcheck: 'false', maxlength: '30', id: `tube-reading-${one.number}`,
    value: typed.says[one.number] ?? '',
    oninput: () => { typed.set(one.number, input.value); told(); },
    onkeydown: (/** @type {KeyboardEvent} */ event) => {
      if (event.key !== 'Enter') return;
      event.preventDefault();
      (document.getElementById(`tube-reading-${one.number + 1}`) ?? byId('tube-what-now')).focus();
    },
  });
  return el('li', {}, el('label', {}, el('span', { text: `${one.how[0].toUpperCase()}${one.how.slice(1)}.` }), el('small', { class: 'quiet', text: `By the plan ${one.planned.said}` }),
    el('span', { class: 'with-unit' }, input, el('span', { class: 'unit', text: one.unit }))));
}

/** What was read, as lines of the file. @param {Wanted} wanted @param {Typed} typed */
function lines(wanted, typed) {
  return wanted.readings.flatMap((one) => {
    const text = (typed.says[one.number] ?? '').trim().replace(',', '.');
    return text ? [{ ...one.line, says: /^[-+]?[\d.]+$/.test(text) ? `${text} ${one.unit}` : text }] : [];
  });
}

/** @param {Wanted} wanted @param {Typed} typed @param {HTMLElement} answer */
async function judge(wanted, typed, answer) {
  const readings = lines(wanted, typed);
  if (!readings.length) return say('Nothing is read yet.', 'wrong');
  fill(answer, el('p', { class: 'quiet', text: 'Working out its shape …' }));
  try {
    const found = /** @type {Found} */ (await ask('POST', urlOf(wanted.member), { readings, check: true }, { quiet: true }));
    fill(answer, result(found, readings));
    answer.scrollIntoView({ block: 'start' });
  } catch (wrong) {
    if (!(wrong instanceof Refused)) throw wrong;
    const rows = /** @type {{found: string, wanted: string}[]} */ (wrong.body?.problems ?? [{ found: wrong.message, wanted: '' }]);
    fill(answer, rows.map((one) => el('p', { class: 'wrong-words', text: [one.found, one.wanted].filter(Boolean).join('; ') })));
  }
}

/** @param {Found} found @param {Record<string, any>[]} readings */
function result(found, readings) {
  const taken = found.ways.find((way) => way.possible && way.change);
  return [
    el('h3', {}, `${SIGNS[found.level]} ${found.headline}`),
    [...found.outliers.map((one) => one.words), ...found.not_used.map((one) => `Not used: ${one.found}; ${one.wanted}.`)].map((words) => el('p', { class: 'wrong-words', text: words })),
    found.picture && el('figure', {}, el('figcaption', { text: found.drawn }), pictureOf(found.picture)),
    el('div', { class: 'tube-go' },
      taken && el('button', { type: 'button', class: 'big main', id: 'take-over', onclick: () => void takeOver(found.member, taken) }, 'Take it over as built'),
      taken?.papers.length ? el('button', { type: 'button', class: 'big', id: 'tube-papers', onclick: () => void papers(found.member, readings) }, 'Papers of the changed ends') : null,
      found.springback.length ? el('button', { type: 'button', class: 'big', id: 'tube-learn', onclick: () => void learn(found.member, readings) }, 'Teach the dies') : null,
      el('button', { type: 'button', class: 'big', onclick: () => save(new Blob([found.file], { type: 'application/yaml' }), `${found.member}-readings.yaml`) }, 'Readings as a file')),
    el('ol', { class: 'tube-ways' }, found.ways.map((way, i) => el('li', { class: i === found.now ? 'now' : null },
      el('b', { text: `${i === found.now ? '→ ' : way.possible ? '' : 'No: '}${way.words}` }), el('p', { class: 'quiet', text: `${way.why}.` }),
      way.possible ? el('ul', { class: 'notes' }, way.follows.map((one) => el('li', { text: one.words }))) : null))),
    numbersTable(found),
    el('p', { class: found.basis.level === 'fine' ? 'quiet' : 'wrong-words', text: found.basis.words }),
    found.springback.length ? el('ul', { class: 'notes' }, found.springback.map((line) => el('li', { text: `${line.die}, ${line.words}.` }))) : null,
    el('p', { class: 'small quiet', text: found.cautions.join(' ') }),
  ].flat();
}

/** Drawn by the workbench; nothing else may be shown as a picture that was not fetched. @param {string} svg */
function pictureOf(svg) {
  const made = document.importNode(new DOMParser().parseFromString(svg, 'image/svg+xml').documentElement, true);
  made.setAttribute('role', 'img');
  made.setAttribute('aria-label', 'The tube as it is over the tube as planned; the table below says it in numbers');
  return made;
}

/** @param {Found} found */
function numbersTable(found) {
  return el('div', { class: 'scroll', tabindex: '0', role: 'region', 'aria-label': 'Straights, bends and turns' }, el('table', { class: 'plain' },
    el('thead', {}, el('tr', {}, ['', 'planned', 'as it is', 'off by'].map((head) => el('th', { scope: 'col', text: head })))),
    el('tbody', {}, found.numbers.map((one) => el('tr', {}, el('th', { scope: 'row', text: one.what }), el('td', { text: one.planned.said }), el('td', { text: one.found.said }),
      el('td', { class: one.clear ? 'off' : 'quiet', text: one.clear ? one.off.said : `${one.off.said} (not sure)` }))))));
}

/** @param {string} member @param {import('../types').TubeWay} way */
async function takeOver(member, way) {
  if (!way.change || !(await edit(way.change))) return;
  say(`The plan has ${member} as built. One click puts it back.`, 'done');
}

/** @param {string} member */
async function putBack(member) {
  if (await edit({ as_planned: member })) say(`${member} is as planned again.`, 'done');
}

/** @param {string} member @param {Record<string, any>[]} readings */
async function papers(member, readings) {
  const answer = await fetch(urlOf(member, '/papers'), { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify({ readings, paper: document.body.dataset.units === 'mm' ? 'a4' : 'letter' }) });
  if (!answer.ok) return say((await answer.json()).error, 'wrong');
  save(await answer.blob(), `${member}-new-ends.pdf`);
  say('Print them at 100 %, not fitted to the page.', 'done');
}

/** @param {string} member @param {Record<string, any>[]} readings */
async function learn(member, readings) {
  const done = await ask('POST', urlOf(member, '/learn'), { readings }).catch((wrong) => {
    if (!(wrong instanceof Refused)) throw wrong;
    return null;
  });
  if (done) say(done.done, 'done');
}

/** @param {Blob} blob @param {string} name */
function save(blob, name) {
  const link = el('a', { href: URL.createObjectURL(blob), download: name });
  document.body.append(link);
  link.click();
  link.remove();
}
