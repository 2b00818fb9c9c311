// The picture's colours, the same as the page's, and how a tube is painted for what it is.

/** @typedef {{fill: string, ink: string, width: number}} Paint width: of the outline, pixels */

/** By day, and for paper; and by lamplight. The names are those of the page's own colours. */
const DAY = {
  paper: '#f6f2e8', ink: '#20262c', soft: '#545c64', steel: '#b3bbc1', bolted: '#cfd4d6', selected: '#0f55b8', fill: '#7ea8de',
  faint: '#efe9dc', faintInk: '#857c69', sheet: '#c9c6bb', line: '#9c7f55', scan: '#cfc4ae', driver: '#dfcfb1', rule: '#d9d1c0',
};
/** @type {typeof DAY} */
const NIGHT = {
  paper: '#1b1f22', ink: '#0d1012', soft: '#a9adad', steel: '#98a3ab', bolted: '#6d777e', selected: '#8fbcff', fill: '#3f6fae',
  faint: '#2d3338', faintInk: '#7d8489', sheet: '#6f736f', line: '#c39f6c', scan: '#5b564b', driver: '#7a6c54', rule: '#343a3f',
};
export let [PAPER, INK, INK_SOFT, STEEL, BOLTED, SELECTED, SELECTED_FILL, FAINT, FAINT_INK, SHEET, BODY_LINE, SCAN, DRIVER, RULE] = Object.values(DAY);

/** Paint by lamplight or by day from now on; what is drawn already has to be drawn again. @param {boolean} dark */
export function useLight(dark) {
  [PAPER, INK, INK_SOFT, STEEL, BOLTED, SELECTED, SELECTED_FILL, FAINT, FAINT_INK, SHEET, BODY_LINE, SCAN, DRIVER, RULE] = Object.values(dark ? NIGHT : DAY);
}

/**
 * How a member is painted.
 * @param {{layer: 'own' | 'under', selected: boolean, hovered: boolean, shade: string | null, bolted: boolean, tried?: boolean}} is tried: not kept yet
 * @returns {Paint}
 */
export function paintOf({ layer, selected, hovered, shade, bolted, tried }) {
  if (layer === 'under') return { fill: FAINT, ink: FAINT_INK, width: 1 };
  const fill = shade ?? (selected ? SELECTED_FILL : bolted ? BOLTED : STEEL);
  if (selected) return { fill, ink: SELECTED, width: 3.6 };
  if (tried) return { fill: FAINT, ink: SELECTED, width: 2.2 };
  if (hovered) return { fill, ink: INK, width: 2.4 };
  return { fill, ink: INK, width: 1.15 };
}
