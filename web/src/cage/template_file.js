/** The template for one end of a tube: made by the worker where it is not made yet, then saved. */

import { ask, planUrl, startWork, Refused } from '../net.js';
import { say } from '../say.js';
import { el } from './dom.js';

/**
 * @param {string} member
 * @param {string} which start or end
 * @param {import('./types.js').Units} units A4 for mm, letter for inches
 * @param {(words: string) => void} tell what is being made
 */
export async function saveTemplate(member, which, units, tell) {
  const name = await templateOf(member, which, units, tell);
  if (!name) return say(`There is no template for the ${which} of ${member}: it is a flat cut.`);
  const link = el('a', { href: planUrl(`/cut/files/${name}?keep`), download: `${member}-${which}.pdf` });
  document.body.append(link);
  link.click();
  link.remove();
  say(`Template for the ${which} of ${member} saved. Print it at 100 %, not fitted to the page.`, 'done');
}

/** @param {string} member @param {string} which @param {import('./types.js').Units} units @param {(words: string) => void} tell @returns {Promise<string|null>} */
async function templateOf(member, which, units, tell) {
  let made = await ask('GET', planUrl('/cut'));
  if (!made.sheets || made.older || !made.whole) {
    await sheets(tell);
    made = await ask('GET', planUrl('/cut'));
  }
  const wrap = made.sheets?.wraps.find((/** @type {any} */ w) => w.member === member && w.which === which);
  return wrap?.pdf[units === 'in' ? 'letter' : 'a4'] ?? null;
}

/** @param {(words: string) => void} tell */
async function sheets(tell) {
  const work = startWork('sheets');
  tell('Making the templates …');
  work.onProgress((doing, share) => tell(`Making the templates: ${doing} (${Math.round(share * 100)} %)`));
  try {
    await work.result;
  } catch (wrong) {
    if (!(wrong instanceof Refused)) throw wrong;
    say(wrong.message, 'wrong');
  }
}
