// The picture's colours, the same as the page's, and how a tube is painted for what it is.

/** @typedef {{fill: string, ink: string, width: number}} Paint width: of the outline, pixels */

export const PAPER = '#f6f2e8';
export const INK = '#20262c';
export const INK_SOFT = '#545c64';
export const STEEL = '#b3bbc1';
export const BOLTED = '#cfd4d6';
export const SELECTED = '#0f55b8';
export const SELECTED_FILL = '#7ea8de';
export const WRONG = '#ae1e17';
export const FAINT = '#efe9dc';
export const FAINT_INK = '#857c69';
export const SHEET = '#c9c6bb';
export const BODY_LINE = '#9c7f55';
export const SCAN = '#cfc4ae';
export const DRIVER = '#dfcfb1';
export const RULE = '#d9d1c0';

/** @type {Paint} */
const PLAIN = { fill: STEEL, ink: INK, width: 1.15 };
/** @type {Paint} */
const UNDER = { fill: FAINT, ink: FAINT_INK, width: 1 };

/**
 * How a member is painted.
 * @param {{layer: 'own' | 'under', selected: boolean, hovered: boolean, shade: string | null, bolted: boolean, tried?: boolean}} is tried: not kept yet
 * @returns {Paint}
 */
export function paintOf({ layer, selected, hovered, shade, bolted, tried }) {
  if (layer === 'under') return UNDER;
  const fill = shade ?? (selected ? SELECTED_FILL : bolted ? BOLTED : STEEL);
  if (selected) return { fill, ink: SELECTED, width: 3.6 };
  if (tried) return { fill: FAINT, ink: SELECTED, width: 2.2 };
  if (hovered) return { fill, ink: INK, width: 2.4 };
  return { ...PLAIN, fill };
}
