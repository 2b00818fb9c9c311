// Turning, moving, zooming and picking with a mouse, fingers or keys.

/** @typedef {{x: number, y: number}} Dot */
/**
 * @typedef {object} Wishes
 * @property {(dx: number, dy: number) => void} turn
 * @property {(dx: number, dy: number) => void} move
 * @property {(factor: number, x?: number, y?: number) => void} zoom
 * @property {(at: Dot, how: {shift: boolean, finger: boolean}) => void} pick
 * @property {(at: Dot | null) => void} hover
 * @property {(speed: Dot) => void} release
 * @property {() => void} fit
 * @property {(name: import('../shapes').Stand) => void} stand
 * @property {() => void} leave
 */

const STILL = 5; // pixels: less than this is no drag
const KEYS = /** @type {Record<string, import('../shapes').Stand>} */ ({
  1: 'three-quarter', 2: 'left', 3: 'right', 4: 'front', 5: 'rear', 6: 'above', 7: 'driver',
});
export const KEY_WORDS = 'Arrow keys turn the picture, with Shift they move it; plus and minus zoom; F shows what is chosen, or the whole cage; 1 to 7 are the standard views; Escape selects nothing.';

/**
 * @param {HTMLElement} area
 * @param {Wishes} wishes
 */
export function gestures(area, wishes) {
  /** @type {Map<number, Dot>} */
  const down = new Map();
  let far = 0;
  let moving = false;
  let onMark = false;
  let speed = { x: 0, y: 0 };

  area.addEventListener('pointerdown', (event) => {
    const target = /** @type {Element} */ (event.target);
    onMark = target.matches('.mark'); // a drag may begin on a mark; a press is the mark's own
    if (target !== area && !onMark && !target.matches('canvas')) return;
    down.set(event.pointerId, spot(area, event));
    if (down.size === 1) far = 0;
    else far = STILL + 1; // two fingers never pick
    moving = event.button === 1 || event.button === 2 || (event.shiftKey && event.pointerType === 'mouse');
    speed = { x: 0, y: 0 };
  });

  area.addEventListener('pointermove', (event) => {
    const before = down.get(event.pointerId);
    const at = spot(area, event);
    if (!before) {
      if (event.pointerType === 'mouse') wishes.hover(at);
      return;
    }
    far += Math.hypot(at.x - before.x, at.y - before.y);
    if (far > STILL) area.setPointerCapture(event.pointerId);
    if (down.size === 2) pinch(before, at, event.pointerId);
    else if (far > STILL) one(before, at);
    down.set(event.pointerId, at);
  });

  /** @param {Dot} before @param {Dot} at */
  function one(before, at) {
    const by = { x: at.x - before.x, y: at.y - before.y };
    if (moving) wishes.move(by.x, by.y);
    else wishes.turn(by.x, by.y);
    speed = { x: speed.x * 0.6 + by.x * 0.4, y: speed.y * 0.6 + by.y * 0.4 };
  }

  /** @param {Dot} before @param {Dot} at @param {number} id */
  function pinch(before, at, id) {
    const other = [...down].find(([one]) => one !== id)?.[1] ?? before;
    const grown = Math.hypot(at.x - other.x, at.y - other.y) / Math.max(Math.hypot(before.x - other.x, before.y - other.y), 1);
    wishes.zoom(grown, (at.x + other.x) / 2, (at.y + other.y) / 2);
    wishes.move((at.x - before.x) / 2, (at.y - before.y) / 2);
  }

  /** @param {PointerEvent} event @param {boolean} lost */
  function up(event, lost) {
    if (!down.delete(event.pointerId)) return;
    const finger = event.pointerType !== 'mouse';
    if (!lost && far <= STILL && event.button === 0 && !onMark) wishes.pick(spot(area, event), { shift: event.shiftKey, finger });
    else if (!lost && down.size === 0 && !moving && far > STILL) wishes.release(speed);
  }
  area.addEventListener('pointerup', (event) => up(event, false));
  area.addEventListener('pointercancel', (event) => up(event, true));
  area.addEventListener('pointerleave', () => wishes.hover(null));
  area.addEventListener('contextmenu', (event) => event.preventDefault());
  area.addEventListener('wheel', (event) => {
    event.preventDefault();
    const at = spot(area, event);
    const lines = event.deltaMode === 1 ? event.deltaY * 24 : event.deltaY;
    wishes.zoom(Math.exp(-Math.max(Math.min(lines, 240), -240) * 0.0016), at.x, at.y);
  }, { passive: false });
  area.addEventListener('keydown', (event) => key(event, area, wishes));
}

/** @param {HTMLElement} area @param {MouseEvent} event @returns {Dot} */
export function spot(area, event) {
  const box = area.getBoundingClientRect();
  return { x: event.clientX - box.left - area.clientLeft, y: event.clientY - box.top - area.clientTop };
}

/** @param {KeyboardEvent} event @param {HTMLElement} area @param {Wishes} wishes */
function key(event, area, wishes) {
  if (event.target !== area || event.ctrlKey || event.metaKey || event.altKey) return;
  const arrow = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
  if (arrow && event.shiftKey) wishes.move(arrow[0] * 40, arrow[1] * 40);
  else if (arrow) wishes.turn(arrow[0] * 14, arrow[1] * 14);
  else if (event.key === '+' || event.key === '=') wishes.zoom(1.2);
  else if (event.key === '-') wishes.zoom(1 / 1.2);
  else if (event.key === 'f' || event.key === 'F' || event.key === 'Home') wishes.fit();
  else if (event.key === 'Escape') wishes.leave();
  else if (event.key in KEYS) wishes.stand(KEYS[event.key]);
  else return;
  event.preventDefault();
}
