// The picture on paper. What WebGL drew is not printed, so for the time of printing a plain copy lies over it,
// at a size that fits the sheet.

const SHEET = 690; // CSS pixels across an upright A4 sheet between its margins

/**
 * @param {HTMLElement} area
 * @param {() => void} draw the picture, at once
 * @returns {() => void} stops it
 */
export function printable(area, draw) {
  /** @type {HTMLCanvasElement | null} */
  let copy = null;
  const before = () => {
    draw();
    copy = copyOf(area);
    const { clientWidth: wide, clientHeight: high } = area;
    if (area.parentElement) area.parentElement.style.height = 'auto';
    Object.assign(area.style, { width: `${wide}px`, height: `${high}px`, zoom: String(Math.min(1, SHEET / wide)) });
  };
  const after = () => {
    copy?.remove();
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
