/** Trial edits while something is dragged or typed: one under way, and only the newest waits behind it. */

/**
 * @template T, A
 * @param {(edit: T) => Promise<A>} send
 * @param {(answer: A, edit: T) => void} shown told of the newest answers only
 */
export function makeTries(send, shown) {
  let waiting = /** @type {T|null} */ (null);
  let flying = false;
  let round = 0;

  async function fly() {
    flying = true;
    while (waiting) {
      const [edit, mine] = [waiting, round];
      waiting = null;
      const answer = await send(edit).catch(() => null);
      if (answer && mine === round) shown(answer, edit);
    }
    flying = false;
  }

  return {
    /** @param {T} edit */
    ask(edit) {
      waiting = edit;
      if (!flying) void fly();
    },
    /** Nothing that is still under way is shown any more. */
    stop() {
      waiting = null;
      round += 1;
    },
  };
}
