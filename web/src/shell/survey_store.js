// One survey: what it holds, what is tried as it is typed, what is saved; one request after another.

import { ask, Refused } from '../net.js';
import { askYesNo, say } from '../say.js';

/** @typedef {import('../types').SurveyAnswer & {undo: string | null, redo: string | null}} Survey */
/** @typedef {Survey['level']} Level */
/** @typedef {{error: string, part?: string, value?: string}} Wrong */

/** The look of a tag of that level. @param {Level} level */
export const tagOf = (level) => ({ fail: 'wrong', 'look at': 'doubt', 'cannot tell': 'doubt', fine: 'note' })[level];

/** @param {string} id */
export function surveyStore(id) {
  const url = `/api/surveys/${encodeURIComponent(id)}`;
  /** @type {Survey | null} */
  let now = null;
  /** @type {Set<(survey: Survey, why: 'read' | 'saved' | 'tried') => void>} */
  const told = new Set();
  /** @type {Promise<unknown>} */
  let queue = Promise.resolve();
  /** Whether the builder has said that other jobs may follow what he changes in a body's file. */
  let sure = false;

  /** @param {Survey} survey @param {'read' | 'saved' | 'tried'} why */
  function tell(survey, why) {
    if (why !== 'tried') now = survey;
    for (const fn of told) fn(survey, why);
  }

  async function read() {
    tell(await ask('GET', url), 'read');
  }

  /** Take the last change back, or do it again. @param {'undo' | 'redo'} way */
  async function turn(way) {
    const wrong = await send(way, {}, 'POST');
    if (wrong) say(wrong.error, 'wrong');
    return wrong;
  }

  /**
   * @param {string} what `reading`, `field`, `undo` or `redo`
   * @param {Record<string, any>} body
   * @param {string} [method]
   * @returns {Promise<Wrong | null>} what was wrong with what was typed
   */
  async function send(what, body, method = 'PUT') {
    try {
      const after = await ask(method, `${url}/${what}`, { ...body, mark: now?.mark ?? '', ...(sure ? { sure } : {}) }, { quiet: true });
      tell(after, body.trial ? 'tried' : method === 'POST' ? 'read' : 'saved');
      if (after.words) say(`${what === 'undo' ? 'Taken back' : 'Done again'}: ${after.words}.`, 'done');
      return null;
    } catch (wrong) {
      if (!(wrong instanceof Refused)) throw wrong;
      if (wrong.status === 412) {
        tell(wrong.body.now, 'read');
        say(wrong.body.error, 'wrong');
        return null;
      }
      const asks = /** @type {import('../types').SharedBody | undefined} */ (wrong.body?.asks);
      if (asks && !sure) {
        sure = await askYesNo(`Change ${asks.body} for all that stand on it?`, { yes: 'Change it', no: 'Leave it', detail: `${asks.headline[0].toUpperCase()}${asks.headline.slice(1)}.` });
        if (sure) return send(what, body, method);
        if (now) tell(now, 'read');
        return null;
      }
      return /** @type {Wrong} */ ({ error: wrong.message, ...wrong.body });
    }
  }

  /** One after another, so that each is thought of at the text that the one before left. @param {() => Promise<Wrong | null>} fn */
  function inTurn(fn) {
    const turn = queue.then(fn);
    queue = turn.catch(() => {});
    return turn;
  }

  return {
    id,
    url,
    read,
    now: () => now,
    /** @param {(survey: Survey, why: 'read' | 'saved' | 'tried') => void} fn */
    onSurvey(fn) {
      told.add(fn);
      if (now) fn(now, 'read');
    },
    /** @param {string} reading @param {string} part @param {string[]} texts @param {boolean} trial */
    setReading: (reading, part, texts, trial) => inTurn(() => send('reading', { reading, part, texts, trial })),
    /** @param {string} field @param {any} value */
    setField: (field, value) => inTurn(() => send('field', { field, value })),
    /** @param {'undo' | 'redo'} way */
    turn: (way) => inTurn(() => turn(way)),
    settled: () => queue,
  };
}

/** @typedef {ReturnType<typeof surveyStore>} Store */
