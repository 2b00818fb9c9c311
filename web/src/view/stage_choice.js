// WebGL where it is to be had, a plain canvas otherwise.

import { element } from '../say.js';
import { FlatStage } from './flat.js';
import { Stage } from './stage.js';

/** @param {HTMLElement} area @param {boolean} flat @returns {Stage | FlatStage} */
export function makeStage(area, flat) {
  const canvas = () => {
    const made = element('canvas');
    made.setAttribute('aria-hidden', 'true');
    area.prepend(made);
    return made;
  };
  if (!flat && canDrawSolid()) {
    const first = canvas();
    try {
      return new Stage(first);
    } catch {
      first.remove();
    }
  }
  return new FlatStage(canvas());
}

function canDrawSolid() {
  const probe = document.createElement('canvas').getContext('webgl2');
  probe?.getExtension('WEBGL_lose_context')?.loseContext();
  return probe !== null;
}
