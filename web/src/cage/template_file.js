/** The template for one end of a tube, made alone and saved. */

import { planUrl } from '../net.js';
import { say } from '../say.js';
import { el } from './dom.js';

/**
 * @param {string} member
 * @param {string} which start or end
 * @param {import('./types.js').Units} units A4 for mm, letter for inches
 * @param {(words: string) => void} tell what is being made
 */
export async function saveTemplate(member, which, units, tell) {
  tell('Making the template …');
  const address = planUrl(`/cut/wrap/${encodeURIComponent(member)}/${which}?paper=${units === 'mm' ? 'a4' : 'letter'}`);
  const answer = await fetch(address, { cache: 'no-store' });
  if (!answer.ok) return say((await answer.json().catch(() => null))?.error ?? 'There is no template for that end.', 'wrong');
  const link = el('a', { href: URL.createObjectURL(await answer.blob()), download: `${member}-${which}.pdf` });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
  say(`Template for the ${which} of ${member.replaceAll('_', ' ')} saved. Print it at 100 %, not fitted to the page.`, 'done');
}
