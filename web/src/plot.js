// Curves of load over travel: lines told apart by dash and words, a slider for the travel, a table of the same numbers.

import uPlot from 'uplot';
import 'uplot/dist/uPlot.min.css';
import { tableAt, valueAt } from './curves.js';
import { fixed } from './numbers.js';
import { element } from './say.js';
import { placeLabels } from './view/labels.js';

/** @typedef {import('./curves.js').Curve} Curve */
/** @typedef {{label: string, x: string, y: string, xDigits?: number, yDigits?: number, rows?: number}} PlotWords x, y: quantity and unit, such as `Travel, mm`; rows: of the table */

const FONT = "15px Barlow, 'Helvetica Neue', Arial, sans-serif";
const INKS = ['#20262c', '#0f55b8', '#8a4b00', '#23633f', '#6a3d8a', '#545c64'];
const DASHES = [[], [9, 5], [2, 5], [14, 5, 2, 5], [5, 3], [14, 4, 2, 4, 2, 4]];
const RULE = '#d9d1c0';

class Plot {
  /** @param {HTMLElement} holder @param {PlotWords} words */
  constructor(holder, words) {
    this.words = { xDigits: 0, yDigits: 1, rows: 16, ...words };
    /** @type {Curve[]} */
    this.curves = [];
    this.x = 0;
    /** @type {((x: number) => void)[]} */
    this.heard = [];
    this.box = element('figure', '', 'plot');
    this.key = element('ul', '', 'plot-key');
    this.canvas = element('div', '', 'plot-canvas');
    this.canvas.setAttribute('role', 'img');
    this.canvas.setAttribute('aria-label', `${words.label}. The same numbers are in the table below.`);
    this.slider = element('input');
    this.slider.type = 'range';
    this.slider.min = '0';
    this.slider.step = 'any';
    this.reading = element('output', '', 'plot-reading');
    this.table = element('details', '', 'plot-table');
    this.box.append(element('figcaption', words.label), this.key, this.canvas, this.sliderRow(), this.reading, this.table);
    holder.append(this.box);
    /** @type {uPlot | null} */
    this.plot = null;
    this.watch = new ResizeObserver(() => this.resize());
    this.watch.observe(this.canvas);
    void document.fonts.ready.then(() => this.plot?.redraw(false, true)); // not the scales: they may not be set yet
  }

  sliderRow() {
    const row = element('label', '', 'plot-slider');
    row.append(element('span', this.words.x.replace(/,.*/, '')), this.slider);
    this.slider.addEventListener('input', () => this.move(Number(this.slider.value)));
    this.slider.addEventListener('keydown', (event) => this.step(event));
    return row;
  }

  /** Arrow keys go a hundredth of the way, as a range of any step would not. @param {KeyboardEvent} event */
  step(event) {
    const way = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1, PageDown: -10, PageUp: 10 }[event.key];
    if (!way) return;
    event.preventDefault();
    this.move(this.x + (way * this.top()) / 100);
  }

  top() {
    return Math.max(...this.curves.map((curve) => curve.x[curve.x.length - 1] ?? 0), 0);
  }

  /** Show these curves. @param {Curve[]} curves */
  show(curves) {
    this.curves = curves;
    this.slider.max = String(this.top() || 1);
    this.showKey();
    this.showTable();
    this.plot?.destroy();
    this.plot = null;
    this.resize();
    this.at(Math.min(this.x, this.top()));
  }

  /** Put the cursor at x without telling. @param {number} x */
  at(x) {
    this.x = Math.min(Math.max(x, 0), this.top());
    this.slider.value = String(this.x);
    const values = this.curves.map((curve) => ({ name: curve.name, y: valueAt(curve, this.x) }));
    const unit = this.words.y.split(', ')[1] ?? '';
    const said = values.map(({ name, y }) => `${name}: ${y === null ? '–' : `${fixed(y, this.words.yDigits)} ${unit}`}`);
    const here = `${fixed(this.x, this.words.xDigits)} ${this.words.x.split(', ')[1] ?? ''}`;
    this.reading.textContent = `At ${here}  ${said.join('   ')}`;
    this.slider.setAttribute('aria-valuetext', `${here}; ${said.join('; ')}`);
    this.plot?.redraw(false);
  }

  /** Told where the cursor is put by hand. @param {(x: number) => void} fn */
  onAt(fn) {
    this.heard.push(fn);
  }

  /** @param {number} x */
  move(x) {
    this.at(x);
    for (const fn of this.heard) fn(this.x);
  }

  showKey() {
    this.key.replaceChildren(...this.curves.map((curve, i) => {
      const item = element('li');
      item.append(swatch(i), curve.name);
      return item;
    }));
  }

  showTable() {
    const head = element('tr');
    head.append(heading(this.words.x, 'col'), ...this.curves.map((curve) => heading(curve.name, 'col')));
    const rows = tableAt(this.curves, this.words.rows).map((x) => {
      const row = element('tr');
      const cells = this.curves.map((curve) => valueAt(curve, x)).map((y) => element('td', y === null ? '–' : fixed(y, this.words.yDigits), 'numbers'));
      row.append(heading(fixed(x, this.words.xDigits), 'row'), ...cells);
      return row;
    });
    const table = element('table', '', 'plain');
    table.append(element('caption', `${this.words.label}: ${this.words.y}`), element('thead'), element('tbody'));
    table.tHead?.append(head);
    table.tBodies[0].append(...rows);
    const scroll = element('div', '', 'scroll');
    scroll.tabIndex = 0;
    scroll.setAttribute('role', 'region');
    scroll.setAttribute('aria-label', `${this.words.label}, table`);
    scroll.append(table);
    this.table.replaceChildren(element('summary', 'The same as a table'), scroll);
  }

  resize() {
    const wide = this.canvas.clientWidth;
    if (!wide || !this.curves.length) return;
    const size = { width: wide, height: Math.round(Math.min(Math.max(wide * 0.55, 220), 420)) };
    if (this.plot) this.plot.setSize(size);
    else this.draw(size);
  }

  /** @param {{width: number, height: number}} size */
  draw(size) {
    const tables = this.curves.map((curve) => /** @type {uPlot.AlignedData} */ ([curve.x, curve.y]));
    const data = tables.length > 1 ? uPlot.join(tables) : tables[0];
    const axis = (/** @type {string} */ label, /** @type {number} */ room) => ({
      label, labelFont: FONT, font: FONT, stroke: INKS[0], size: room, labelSize: 26, grid: { stroke: RULE, width: 1 }, ticks: { stroke: RULE, width: 1 },
    });
    this.plot = new uPlot({
      ...size,
      legend: { show: false },
      cursor: { show: false },
      scales: { x: { time: false }, y: { range: (_, low, high) => [Math.min(low, 0), (high || 1) * 1.12] } },
      axes: [axis(this.words.x, 40), axis(this.words.y, 56)],
      series: [{}, ...this.curves.map((curve, i) => ({ label: curve.name, stroke: inkOf(i), dash: dashOf(i), width: 2.2, spanGaps: true, points: { show: false } }))],
      hooks: { draw: [(plot) => this.drawOver(plot)] },
    }, data, this.canvas);
    const over = this.plot.over;
    const put = (/** @type {PointerEvent} */ event) => this.move(this.plot?.posToVal(event.clientX - over.getBoundingClientRect().left, 'x') ?? 0);
    over.addEventListener('pointerdown', (event) => {
      over.setPointerCapture(event.pointerId);
      put(event);
    });
    over.addEventListener('pointermove', (event) => event.buttons && put(event));
  }

  /** The cursor, and words beside points of the curves. @param {uPlot} plot */
  drawOver(plot) {
    const { ctx } = plot;
    const { left, top, width, height } = plot.bbox;
    const px = devicePixelRatio || 1;
    const x = plot.valToPos(this.x, 'x', true);
    ctx.save();
    ctx.beginPath();
    ctx.rect(left, top, width, height);
    ctx.clip();
    line(ctx, [x, top, x, top + height], '#0f55b8', 1.5 * px);
    this.curves.forEach((curve, i) => {
      for (const spot of curve.spots ?? []) dot(ctx, plot.valToPos(spot.x, 'x', true), plot.valToPos(spot.y, 'y', true), 3.5 * px, inkOf(i));
      const y = valueAt(curve, this.x);
      if (y !== null) dot(ctx, x, plot.valToPos(y, 'y', true), 5 * px, inkOf(i));
    });
    this.writeSpots(plot, px);
    ctx.restore();
  }

  /** Words beside the spots where there is room; words before bare numbers. @param {uPlot} plot @param {number} px */
  writeSpots(plot, px) {
    const { ctx, bbox } = plot;
    ctx.font = FONT.replace('15px', `${14 * px}px`);
    const spots = this.curves.flatMap((curve, i) => (curve.spots ?? []).map((spot) => ({ ...spot, ink: inkOf(i) })));
    spots.sort((a, b) => Number(/^\d+$/.test(a.words)) - Number(/^\d+$/.test(b.words)));
    const wanted = spots.map((spot) => ({
      x: plot.valToPos(spot.x, 'x', true), y: plot.valToPos(spot.y, 'y', true), wide: ctx.measureText(spot.words).width + 4 * px, high: 17 * px, gap: 6 * px,
    }));
    const room = { left: bbox.left, top: bbox.top, right: bbox.left + bbox.width, bottom: bbox.top + bbox.height };
    placeLabels(wanted, room, this.onCurves(plot, px)).forEach((box, i) => box && write(ctx, spots[i].words, box, spots[i].ink, px));
  }

  /** Small boxes along the curves, which words keep clear of. @param {uPlot} plot @param {number} px */
  onCurves(plot, px) {
    const half = 3 * px;
    return this.curves.flatMap((curve) => tableAt([curve], 150).flatMap((at) => {
      const value = valueAt(curve, at);
      if (value === null) return [];
      const [x, y] = [plot.valToPos(at, 'x', true), plot.valToPos(value, 'y', true)];
      return [{ left: x - half, right: x + half, top: y - half, bottom: y + half }];
    }));
  }

  dispose() {
    this.watch.disconnect();
    this.plot?.destroy();
    this.box.remove();
  }
}

/**
 * A plot with its slider and its table.
 * @param {HTMLElement} holder
 * @param {PlotWords} words
 */
export const makePlot = (holder, words) => new Plot(holder, words);

const inkOf = (/** @type {number} */ i) => INKS[i % INKS.length];
const dashOf = (/** @type {number} */ i) => DASHES[i % DASHES.length];

/** @param {number} i a line as it is drawn */
export function swatch(i) {
  const svg = document.createElementNS('http://www.w3.org/2000/svg', 'svg');
  svg.setAttribute('viewBox', '0 0 48 12');
  svg.setAttribute('class', 'swatch');
  svg.setAttribute('aria-hidden', 'true');
  const drawn = document.createElementNS('http://www.w3.org/2000/svg', 'line');
  const given = { x1: '1', x2: '47', y1: '6', y2: '6', stroke: inkOf(i), 'stroke-width': '2.6', 'stroke-dasharray': dashOf(i).join(' ') };
  for (const [key, value] of Object.entries(given)) drawn.setAttribute(key, value);
  svg.append(drawn);
  return svg;
}

/** @param {string} words @param {string} scope */
function heading(words, scope) {
  const made = element('th', words, 'numbers');
  made.scope = scope;
  return made;
}

/** @param {CanvasRenderingContext2D} ctx @param {number[]} ends @param {string} ink @param {number} width */
function line(ctx, [x1, y1, x2, y2], ink, width) {
  ctx.strokeStyle = ink;
  ctx.lineWidth = width;
  ctx.setLineDash([]);
  ctx.beginPath();
  ctx.moveTo(x1, y1);
  ctx.lineTo(x2, y2);
  ctx.stroke();
}

/** @param {CanvasRenderingContext2D} ctx @param {number} x @param {number} y @param {number} radius @param {string} ink */
function dot(ctx, x, y, radius, ink) {
  ctx.beginPath();
  ctx.arc(x, y, radius, 0, 2 * Math.PI);
  ctx.fillStyle = '#fff';
  ctx.fill();
  line(ctx, [x, y, x, y], ink, 0.1);
  ctx.lineWidth = radius * 0.5;
  ctx.beginPath();
  ctx.arc(x, y, radius, 0, 2 * Math.PI);
  ctx.stroke();
}

/** @param {CanvasRenderingContext2D} ctx @param {string} words @param {import('./view/labels.js').Box} box @param {string} ink @param {number} px */
function write(ctx, words, box, ink, px) {
  ctx.textAlign = 'center';
  ctx.textBaseline = 'middle';
  const [x, y] = [(box.left + box.right) / 2, (box.top + box.bottom) / 2];
  ctx.strokeStyle = '#fdfbf5';
  ctx.lineWidth = 4 * px;
  ctx.strokeText(words, x, y);
  ctx.fillStyle = ink;
  ctx.fillText(words, x, y);
}
