// Making an alternative from the selected tubes: select, then one press.

import { button, choice, el, fill } from '../cage/dom.js';
import { units } from '../frame.js';
import { ask, planUrl, Refused } from '../net.js';
import { parseLength } from '../numbers.js';
import { say } from '../say.js';
import { sayName } from '../view/view.js';

/** @typedef {import('../types').SizeOffer} Size */
/** @typedef {{made: (name: string, changed: string[]) => void, select: (members: string[]) => void}} Heard */

const ENDS = /** @type {[string, string][]} */ ([['start', 'its start'], ['end', 'its end'], ['all', 'all of it']]);
const WAYS = /** @type {[string, string, string][]} */ ([['Back', 'forward is less than 0', 'back'], ['Across', 'to the right; left is less than 0', 'across'], ['Up', 'down is less than 0', 'up']]);

export class Make {
  /** @param {HTMLElement} holder @param {Heard} heard */
  constructor(holder, heard) {
    this.holder = holder;
    this.heard = heard;
    /** @type {string[]} */
    this.members = [];
    /** @type {import('../types').SceneMember[]} */
    this.known = [];
    /** @type {Size[]} */
    this.sizes = [];
    this.busy = false;
    this.oneSide = false;
    this.end = 'start';
    /** @type {Record<string, string>} */
    this.by = { back: '', across: '', up: '' };
  }

  /** @param {import('../types').SceneMember[]} known @param {Size[]} sizes */
  offer(known, sizes) {
    this.known = known;
    this.sizes = sizes;
    this.members = this.members.filter((name) => known.some((one) => one.name === name));
    this.draw();
  }

  /** @param {string[]} members */
  select(members) {
    this.members = members;
    this.draw();
  }

  draw() {
    const none = !this.members.length;
    const act = (/** @type {string} */ what, /** @type {string} */ words, /** @type {string} */ title) => button(words, () => void this.make({ what }), { title, 'data-what': what, class: what === 'without' ? 'main' : null, disabled: none || this.busy });
    fill(this.holder,
      this.chosen(),
      el('div', { class: 'make-buttons' },
        act('without', 'Without it', 'The cage without this tube, and without what rests on it'),
        act('heavier', 'One size heavier', 'The next heavier size that can be had and built'),
        act('lighter', 'One size lighter', 'The next lighter size that can be had and built'),
        act('other-side', 'Other side too', 'Copied to the other side of the car'),
        act('open-welds', 'Outside not welded', 'Both its joints left open on the side that faces the body')),
      this.side(),
      el('details', { class: 'make-more' }, el('summary', { text: 'Move it …' }), this.mover()),
      el('details', { class: 'make-more' }, el('summary', { text: 'Another size …' }), this.sizer()));
  }

  chosen() {
    const list = choice([['', 'Choose a tube …'], ...this.known.map((one) => /** @type {[string, string]} */ ([one.name, `${sayName(one.name)} (${one.role})`]))], '', (name) => this.add(name), { id: 'tube-list' });
    const chips = this.members.map((name) => el('button', { type: 'button', class: 'chip', 'aria-label': `Leave ${sayName(name)} out`, onclick: () => this.heard.select(this.members.filter((one) => one !== name)) }, sayName(name), el('span', { 'aria-hidden': 'true', text: '✕' })));
    return el('div', { class: 'chosen' },
      el('label', { class: 'field' }, 'Pick a tube in the picture, or here', list),
      chips.length ? el('p', { class: 'chips' }, chips) : el('p', { class: 'quiet', text: 'Nothing is selected. Shift adds to what is.' }));
  }

  /** @param {string} name */
  add(name) {
    if (name) this.heard.select([...new Set([...this.members, name])]);
  }

  side() {
    const twin = this.known.some((one) => this.members.includes(one.name) && (one.mirror_of || this.known.some((other) => other.mirror_of === one.name)));
    const tick = el('input', { type: 'checkbox', checked: this.oneSide, onchange: () => { this.oneSide = tick.checked; } });
    return twin ? el('label', { class: 'check' }, tick, 'This side only, not its mirror') : null;
  }

  mover() {
    const one = this.known.find((member) => member.name === this.members[0]);
    const inner = (one?.places ?? []).slice(1, -1).map((place) => /** @type {[string, string]} */ ([String(place.index + 1), `its bend ${place.index}`]));
    const ends = choice([ENDS[0], ...inner, ENDS[1], ENDS[2]], this.end, (value) => { this.end = value; }, { 'aria-label': 'What moves' });
    const fields = WAYS.map(([words, hint, key]) => {
      const input = el('input', { type: 'text', inputmode: 'text', autocomplete: 'off', placeholder: '0', value: this.by[key], 'data-way': key, oninput: () => { this.by[key] = input.value; } });
      return el('label', { class: 'field' }, words, input, el('span', { class: 'hint quiet', text: hint }));
    });
    return el('div', {}, el('label', { class: 'field' }, 'Move', ends), el('div', { class: 'three' }, fields),
      button('Make it', () => void this.move(), { 'data-what': 'moved', disabled: !this.members.length || this.busy }));
  }

  async move() {
    const by = ['back', 'across', 'up'].map((key) => (this.by[key].trim() ? parseLength(this.by[key], units()) : 0));
    if (by.some((one) => one === null)) return say(`Give lengths such as ${units() === 'in' ? '2 3/8' : '120'} or −40.`, 'wrong');
    return this.make({ what: 'moved', end: this.end, by });
  }

  sizer() {
    const list = choice(this.sizes.map((size, i) => /** @type {[string, string]} */ ([String(i), size.words])), '0', () => {}, { 'aria-label': 'Size' });
    return el('div', {}, el('label', { class: 'field' }, 'Size', list), button('Make it', () => {
      const { od, wall } = this.sizes[Number(list.value)];
      void this.make({ what: 'size', od, wall });
    }, { 'data-what': 'size', disabled: !this.members.length || !this.sizes.length || this.busy }));
  }

  /** @param {Record<string, any>} what */
  async make(what) {
    this.busy = true;
    this.draw();
    try {
      const made = await ask('POST', planUrl('/alternatives/add'), { ...what, members: this.members, one_side: this.oneSide });
      say(`Made: ${made.name}.${made.note ? ` ${made.note}.` : ''}`, 'done');
      this.heard.made(made.name, made.changed);
    } catch (wrong) {
      if (!(wrong instanceof Refused)) throw wrong;
    } finally {
      this.busy = false;
      this.draw();
    }
  }
}
