/** What else is seen in the picture: numbers of pieces and welds, axes of bends, the cage as it was. */

/** @typedef {import('./bench.js').Holder} Holder */
/** @typedef {import('../types').CageNumbers} Numbers */
/** @typedef {{pieces: boolean, welds: boolean, axes: boolean, was: boolean}} More */

/**
 * @param {Holder} bench
 * @param {{note: (notes: any) => void, under: (scene: import('./types.js').Scene|null) => void}} view
 * @param {() => Promise<Numbers|null>} numbers asks for them
 */
export function seeMore(bench, view, numbers) {
  /** @type {More} */
  let more = { pieces: false, welds: false, axes: false, was: false };
  let now = bench.now.scene;
  /** @type {import('./types.js').Scene|null} the scene before the last change */
  let before = null;

  const draw = async () => {
    view.under(more.was ? before : null);
    if (!more.pieces && !more.welds && !more.axes) return view.note({ labels: [], lines: [] });
    const found = await numbers();
    if (!found) return;
    const label = (/** @type {string} */ mark) => (/** @type {import('../types').Numbered} */ one) => ({ name: one.words, words: `${mark}${one.number}`, at: one.point, kind: 'name' });
    view.note({
      labels: [...(more.pieces ? found.pieces.map(label('')) : []), ...(more.welds ? found.welds.map(label('w')) : [])],
      lines: more.axes ? found.bends.map((bend) => [bend.start, bend.stop]) : [],
    });
  };
  bench.on(['scene'], ({ scene }) => {
    if (scene.revision !== now.revision) before = now;
    now = scene;
    void draw();
  });
  return {
    /** @param {More} next */
    set(next) {
      if (JSON.stringify(next) === JSON.stringify(more)) return;
      more = next;
      void draw();
    },
  };
}
