// The picture of the cage.

/**
 * @param {HTMLElement} holder
 * @param {{label: string}} options
 */
export function makeView(holder, options) {
  holder.setAttribute('aria-label', options.label);
  const nothing = () => {};
  return {
    show: nothing, change: nothing, select: nothing, onPick: nothing, onHover: nothing, stand: nothing, fit: nothing,
    section: nothing, show_parts: nothing, faces: nothing, marks: nothing, onMark: nothing, under: nothing,
    lines: nothing, arrows: nothing, distance: nothing, handle: nothing,
    snapshot: () => ({ members: [], camera: null, selected: [] }),
  };
}
