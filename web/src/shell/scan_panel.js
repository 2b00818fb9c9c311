// The scan of the body: sent with its units, and placed by points seen on it and measured on the car.

import { button, el, fill } from '../cage/dom.js';
import { ask, change, planUrl, Refused, takeState } from '../net.js';
import { askYesNo, say } from '../say.js';
import { fetchScan } from '../view/scan.js';
import { boxOf, meets, sightLine } from './scan_pick.js';

/** @typedef {import('../types').Vec3} Vec3 */
/** @typedef {{scan: (string | number)[], car: (string | number)[] | string, off?: {said: string} | null}} Pair */
/** @typedef {import('../types').ScanAnswer} Scan */
/** @typedef {{surveys: {id: string, file: string}[], survey: string | null, scan: Scan | null, points: string[], scan_units: Record<string, string>}} About */

const AXES = ['back', 'across', 'up'];
const LEAST = 3;

/**
 * @param {{view: any, again: () => Promise<About>}} page view: the picture; again: fetches what the plan has and shows it
 */
export function scanPanel({ view, again }) {
  const holder = el('div', { class: 'scan-panel' });
  /** @type {Pair[]} */
  let pairs = [];
  /** @type {number | null} the row that the next pick in the picture is for */
  let picking = null;
  /** @type {About | null} */
  let about = null;

  /** @type {import('../view/scan.js').ScanMesh | null} */
  let mesh = null;
  let shown = '';

  /** What is half typed stays where the scan is the same as before. @param {About} next */
  function show(next) {
    about = next;
    const key = JSON.stringify([next.scan?.file, next.scan?.units, next.scan?.points]);
    if (key === shown) return;
    shown = key;
    void loadMesh(next);
    pairs = (next.scan?.points ?? []).map((pair) => ({ scan: [...pair.scan], car: Array.isArray(pair.car) ? [...pair.car] : pair.car, off: pair.off }));
    while (next.scan && pairs.length < LEAST) pairs.push({ scan: ['', '', ''], car: ['', '', ''] });
    draw();
  }

  /** @param {About} next */
  async function loadMesh(next) {
    mesh = next.scan && !next.scan.wrong.length ? await fetchScan(planUrl('/scan.bin')) : null;
    if (mesh && !next.scan?.placed) lookAtScan();
  }

  function lookAtScan() {
    if (!mesh) return;
    const points = boxOf(mesh);
    view.gaze.change(() => view.camera.set(view.camera.fitted(points)));
  }

  function draw() {
    if (!about) return;
    const { scan } = about;
    fill(holder, scan ? scanPart(scan) : null, scan ? placing(scan) : null, upload(about));
  }

  /** @param {Scan} scan */
  function scanPart(scan) {
    return el('section', { class: 'panel', 'aria-label': 'The scan' }, el('h2', { text: 'The scan of the body' }),
      scan.wrong.map((words) => el('p', { class: 'wrong-words', text: words })),
      el('dl', { class: 'facts' }, facts([['file', scan.file], ['written in', scan.units_words], ['triangles', scan.triangles?.toLocaleString() ?? ''], ['size as it stands', scan.size_words], ['placed', scan.placing]])),
      scan.notes.length ? el('ul', { class: 'small' }, scan.notes.map((text) => el('li', { text }))) : null,
      el('p', { class: 'actions' }, button('Look at the scan', lookAtScan), button('Look at the cage', () => view.fit()), button('Take the scan out', () => void takeOut(), { class: 'danger' })));
  }

  /** @param {Scan} scan */
  function placing(scan) {
    return el('section', { class: 'panel', 'aria-label': 'Place the scan' }, el('h2', { text: 'Stand it in the car' }),
      el('p', { text: 'Three points or more, well spread, that you find on the scan and have measured on the car: both sills and the roof, say. Pick each in the picture, or type the scan program’s numbers, then type where it is on the car, or name a point of the plan.' }),
      el('div', { class: 'scroll' }, el('table', { class: 'plain pairs' }, el('caption', { class: 'visually-hidden', text: 'Points seen on the scan and measured on the car' }),
        el('thead', {}, el('tr', {}, ['', 'On the scan', 'On the car: back, across, up', 'Off by', ''].map((text) => el('th', { scope: 'col', text })))),
        el('tbody', {}, pairs.map(pairRow)))),
      el('p', { class: 'toolbar' }, button('Another point', () => { pairs.push({ scan: ['', '', ''], car: ['', '', ''] }); draw(); }), button('Place the scan', () => void place(scan), { class: 'main', id: 'place-scan' })));
  }

  /** @param {Pair} pair @param {number} n */
  function pairRow(pair, n) {
    return el('tr', {}, el('th', { scope: 'row', text: String(n + 1) }),
      el('td', {}, el('span', { class: 'three' }, ['x', 'y', 'z'].map((axis, i) => number(pair.scan, i, `Point ${n + 1}, on the scan, ${axis}`))),
        button(picking === n ? 'Now pick it in the picture' : 'Pick', () => { picking = picking === n ? null : n; draw(); }, { 'aria-pressed': String(picking === n), 'aria-label': `Pick point ${n + 1} in the picture` })),
      el('td', {}, carFields(pair, n), namedPoints(pair, n)),
      el('td', { class: 'numbers', text: pair.off?.said ?? '–' }),
      el('td', {}, pairs.length > LEAST ? button('×', () => { pairs.splice(n, 1); draw(); }, { 'aria-label': `Leave point ${n + 1} out` }) : null));
  }

  /** @param {Pair} pair @param {number} n */
  function carFields(pair, n) {
    if (typeof pair.car === 'string') return el('b', { text: pair.car });
    const car = pair.car;
    return el('span', { class: 'three' }, AXES.map((axis, i) => number(car, i, `Point ${n + 1}, on the car, ${axis}`)));
  }

  /** @param {Pair} pair @param {number} n */
  function namedPoints(pair, n) {
    const names = about?.points ?? [];
    if (!names.length) return null;
    const select = el('select', { 'aria-label': `Point ${n + 1}, a named point of the plan`, onchange: () => { pair.car = select.value || ['', '', '']; draw(); } },
      el('option', { value: '', text: 'typed' }), names.map((name) => el('option', { value: name, text: name })));
    select.value = typeof pair.car === 'string' ? pair.car : '';
    return select;
  }

  /** @param {(string | number)[]} list @param {number} i @param {string} label */
  function number(list, i, label) {
    const input = el('input', { 'aria-label': label, 'data-typed': 'yes', autocomplete: 'off', inputmode: 'text', onchange: () => { list[i] = input.value; } });
    input.value = String(list[i] ?? '');
    return input;
  }

  /** @param {About} now */
  function upload(now) {
    const file = el('input', { type: 'file', accept: '.stl,.obj,.ply,.glb,.xyz,.e57', name: 'file' });
    const wrong = el('p', { class: 'wrong-words', role: 'alert', hidden: true });
    const form = el('form', { class: 'panel', id: 'scan-upload', 'aria-label': 'Send a scan' }, el('h2', { text: now.scan ? 'Another scan instead' : 'A scan of the stripped body' }),
      now.scan ? null : el('p', { text: 'With a scan the gaps between tubes and body are measured everywhere. Without one they are measured to the body lines.' }),
      el('label', { class: 'field' }, 'STL, OBJ or PLY file, about 3 mm between points', file),
      el('fieldset', { class: 'bare units-asked' }, el('legend', { text: 'Which units did the scanner’s program write?' }), Object.entries(now.scan_units).map(([value, words]) =>
        el('label', { class: 'check' }, el('input', { type: 'radio', name: 'units', value }), words))),
      wrong, el('p', { class: 'actions' }, el('button', { class: 'main', type: 'submit', text: 'Send the scan' })));
    form.addEventListener('submit', (event) => {
      event.preventDefault();
      const chosen = file.files?.[0];
      const units = new FormData(form).get('units');
      wrong.hidden = Boolean(chosen);
      wrong.textContent = 'Choose the scan’s file first.';
      if (chosen) void sendScan(chosen, String(units ?? ''), (likely, words) => {
        const radio = /** @type {HTMLInputElement | null} */ (form.querySelector(`[name=units][value=${likely}]`));
        if (radio) radio.checked = true;
        wrong.hidden = false;
        wrong.textContent = `${words}. Choose its units, then send it again.`;
      });
    });
    return form;
  }

  /**
   * Units that are not chosen are guessed by the server, which then asks.
   * @param {File} file @param {string} units @param {(likely: string, words: string) => void} unsaid
   */
  async function sendScan(file, units, unsaid) {
    say(`Reading ${file.name} …`);
    const answer = await asked('PUT', `/scan?name=${encodeURIComponent(file.name)}&units=${units}`, file, (wrong) => {
      const [{ code, found, wanted } = {}] = wrong.body.problems ?? [];
      const likely = /^wanted units: (\w+) /.exec(wanted ?? '');
      if (code?.startsWith('scan-') && likely) unsaid(likely[1], `${found}; ${wanted}`);
    });
    if (!answer) return;
    say(`The scan ‘${file.name}’ is in the plan.`, 'done');
    show(await again());
  }

  /** @param {Scan} scan */
  async function place(scan) {
    const whole = pairs.filter((pair) => pair.scan.every((v) => v !== ''));
    const points = whole.map((pair) => ({ scan: pair.scan.map(Number), car: pair.car }));
    if (await change('/shell/scan', { file: scan.file, units: scan.units, points })) {
      say('The scan is placed.', 'done');
      show(await again());
    }
  }

  async function takeOut() {
    if (!(await askYesNo('Take the scan out of the plan?', { yes: 'Take it out', no: 'Leave it', detail: 'Its file stays in the folder; undo brings it back.' }))) return;
    if (await change('/shell/scan', { remove: true })) show(await again());
  }

  /** @type {{x: number, y: number} | null} */
  let pressed = null;
  view.area.addEventListener('pointerdown', (/** @type {PointerEvent} */ event) => { pressed = { x: event.clientX, y: event.clientY }; });
  view.area.addEventListener('pointerup', (/** @type {PointerEvent} */ event) => {
    const still = pressed && Math.hypot(event.clientX - pressed.x, event.clientY - pressed.y) < 6;
    if (picking !== null && still && mesh) void picked(event, mesh, picking);
  });

  /** @param {PointerEvent} event @param {import('../view/scan.js').ScanMesh} on @param {number} n */
  async function picked(event, on, n) {
    const box = view.area.getBoundingClientRect();
    const { from, way } = sightLine(view.camera, event.clientX - box.left - view.area.clientLeft, event.clientY - box.top - view.area.clientTop);
    const point = meets(on, from, way, view.camera.look.eye !== null);
    if (!point) return say('There is no scan under the pointer; pick on the scan itself.', 'wrong');
    const answer = await ask('POST', planUrl('/shell/pick'), { point }).catch(() => null);
    if (!answer) return;
    pairs[n].scan = answer.scan;
    picking = null;
    draw();
    view.marks(pairs.flatMap((pair, i) => (i === n ? [{ point, kind: 'note', words: `point ${n + 1}`, key: `point ${n + 1}` }] : [])));
    /** @type {HTMLElement | null} */ (holder.querySelector(`[aria-label="Point ${n + 1}, on the car, back"]`))?.focus();
  }
  return { holder, show };
}

/** @param {[string, string][]} rows */
const facts = (rows) => rows.filter(([, said]) => said).flatMap(([term, said]) => [el('dt', { text: term }), el('dd', { text: said })]);

/** @param {string} method @param {string} rest @param {any} body @param {(wrong: Refused) => void} [refused] @returns {Promise<any>} null where refused */
async function asked(method, rest, body, refused) {
  try {
    const answer = await ask(method, planUrl(rest), body);
    if (answer.state) takeState(answer.state, true);
    return answer;
  } catch (wrong) {
    if (!(wrong instanceof Refused)) throw wrong;
    refused?.(wrong);
    if (wrong.status === 412) say('The plan has changed since; look at what is here now.', 'wrong');
    return null;
  }
}
