// The picture on paper. What WebGL drew is not printed, so for the time of printing a plain copy lies over it,
// at a size that fits the sheet.

const SHEET = 690; // CSS pixels across an upright A4 sheet between its margins
const HIGH = 900; // and along it
const PX = 96 / 25.4; // CSS pixels in a mm of paper
const SCALES = [1, 2, 2.5, 5, 10, 15, 20, 25, 50, 100];
const BAR = 500; // mm of the car that the line under the picture stands for

/** The plain scale at which a picture fits the sheet, 1 to that many. @param {number} perMm pixels for a mm of the car @param {number} wide @param {number} high */
export const paperScale = (perMm, wide, high) => SCALES.find((n) => (PX / n / perMm) * wide <= SHEET && (PX / n / perMm) * high <= HIGH) ?? null;

/**
 * @param {HTMLElement} area
 * @param {{draw: () => void, light: (day: boolean) => void, scale: () => number | null}} does draw: at once; light: by day, as on paper; scale: pixels for a mm, null where it has none
 * @returns {() => void} stops it
 */
export function printable(area, { draw, light, scale }) {
  /** @type {HTMLElement | null} */
  let said = null;
  /** @type {HTMLCanvasElement | null} */
  let copy = null;
  const before = () => {
    light(true);
    draw();
    copy = copyOf(area);
    const { clientWidth: wide, clientHeight: high } = area;
    const perMm = scale();
    const to = perMm && paperScale(perMm, wide, high);
    const zoom = to ? PX / to / perMm : Math.min(1, SHEET / wide);
    said = document.createElement('p');
    said.className = 'print-scale';
    said.textContent = to ? `Scale 1 : ${to} where the printer is set to 100 %; square to the picture alone. The line is ${BAR} mm of the car.` : 'Not to scale.';
    if (to) said.style.setProperty('--bar', `${BAR / to}mm`);
    area.after(said);
    if (area.parentElement) area.parentElement.style.height = 'auto';
    Object.assign(area.style, { width: `${wide}px`, height: `${high}px`, zoom: String(zoom) });
  };
  const after = () => {
    copy?.remove();
    said?.remove();
    light(false);
    copy = null;
    if (area.parentElement) area.parentElement.style.height = '';
    Object.assign(area.style, { width: '', height: '', zoom: '' });
  };
  addEventListener('beforeprint', before);
  addEventListener('afterprint', after);
  return () => {
    removeEventListener('beforeprint', before);
    removeEventListener('afterprint', after);
  };
}

/** @param {HTMLElement} area */
function copyOf(area) {
  const drawn = /** @type {HTMLCanvasElement} */ (area.querySelector('canvas'));
  const copy = document.createElement('canvas');
  copy.width = drawn.width;
  copy.height = drawn.height;
  copy.getContext('2d')?.drawImage(drawn, 0, 0);
  drawn.after(copy);
  return copy;
}
