// How surfaces and outlines are drawn: flat drawing-board shading, and an outline of even width in pixels.

import { BackSide, Color, DoubleSide, ShaderMaterial, Vector2 } from 'three';
import { INK } from './paints.js';

const SHADED_VERTEX = `
#include <clipping_planes_pars_vertex>
varying vec3 vNormal;
void main() {
  vNormal = normalize(normalMatrix * normal);
  vec4 mvPosition = modelViewMatrix * vec4(position, 1.0);
  gl_Position = projectionMatrix * mvPosition;
  #include <clipping_planes_vertex>
}`;
const SHADED_FRAGMENT = `
#include <clipping_planes_pars_fragment>
uniform vec3 fill;
uniform float alpha;
uniform float inside;
varying vec3 vNormal;
void main() {
  #include <clipping_planes_fragment>
  vec3 n = normalize(vNormal);
  float back = gl_FrontFacing ? 0.0 : inside;
  n = gl_FrontFacing ? n : -n;
  float soft = dot(n, normalize(vec3(-0.45, 0.72, 0.55))) * 0.5 + 0.5;
  float shine = pow(max(dot(n, normalize(vec3(-0.3, 0.5, 0.82))), 0.0), 24.0);
  vec3 lit = fill * mix(0.60, 1.13, smoothstep(0.0, 1.0, soft)) + shine * 0.10;
  gl_FragColor = vec4(mix(lit, fill * 0.55, back), alpha);
}`;
const OUTLINE_VERTEX = `
#include <clipping_planes_pars_vertex>
uniform vec2 screen;
uniform float width;
uniform float behind;
void main() {
  vec4 mvPosition = modelViewMatrix * vec4(position, 1.0);
  gl_Position = projectionMatrix * mvPosition;
  vec2 way = (projectionMatrix * vec4(normalMatrix * normal, 0.0)).xy * screen;
  float far = max(length(way), 1e-6);
  gl_Position.xy += way / far * width * 2.0 / screen * gl_Position.w;
  gl_Position.z += behind * gl_Position.w;
  #include <clipping_planes_vertex>
}`;
const OUTLINE_FRAGMENT = `
#include <clipping_planes_pars_fragment>
uniform vec3 ink;
void main() {
  #include <clipping_planes_fragment>
  gl_FragColor = vec4(ink, 1.0);
}`;

/** The picture's size in CSS pixels, shared by every outline. */
export const screen = new Vector2(800, 600);

/** Materials by what they look like; made once and kept until dispose. */
export class Materials {
  constructor() {
    /** @type {Map<string, ShaderMaterial>} */
    this.kept = new Map();
  }

  /** A shaded surface. @param {string} fill @param {{alpha?: number, lift?: number, inside?: number}} [how] */
  shaded(fill, { alpha = 1, lift = 1, inside = 1 } = {}) {
    return this.once(`shaded ${fill} ${alpha} ${lift} ${inside}`, () => {
      const made = new ShaderMaterial({
        vertexShader: SHADED_VERTEX,
        fragmentShader: SHADED_FRAGMENT,
        uniforms: { fill: { value: new Color(fill) }, alpha: { value: alpha }, inside: { value: inside } },
        side: DoubleSide,
        clipping: true,
        transparent: alpha < 1,
        polygonOffset: true,
        polygonOffsetFactor: lift,
        polygonOffsetUnits: lift,
      });
      return made;
    });
  }

  /** The rim round a smooth surface: the surface seen from inside, grown by so many pixels. @param {string} ink @param {number} width @param {number} [behind] */
  outline(ink = INK, width = 1.2, behind = 0) {
    return this.once(`outline ${ink} ${width} ${behind}`, () => new ShaderMaterial({
      vertexShader: OUTLINE_VERTEX,
      fragmentShader: OUTLINE_FRAGMENT,
      uniforms: { ink: { value: new Color(ink) }, width: { value: width }, behind: { value: behind }, screen: { value: screen } },
      side: BackSide,
      clipping: true,
    }));
  }

  /** A thin line. @param {string} ink @param {boolean} [clipping] cut off by a section */
  line(ink, clipping = true) {
    return this.once(`line ${ink} ${clipping}`, () => new ShaderMaterial({
      vertexShader: OUTLINE_VERTEX.replace('vec2 way = (projectionMatrix * vec4(normalMatrix * normal, 0.0)).xy * screen;', 'vec2 way = vec2(0.0);'),
      fragmentShader: OUTLINE_FRAGMENT,
      uniforms: { ink: { value: new Color(ink) }, width: { value: 0 }, behind: { value: 0 }, screen: { value: screen } },
      clipping,
    }));
  }

  /** Fills the depth alone, so that only the nearest of a veil's layers shows. */
  depthOnly() {
    return this.once('depth', () => {
      const made = this.shaded('#ffffff').clone();
      made.colorWrite = false;
      return made;
    });
  }

  /** @param {string} key @param {() => ShaderMaterial} make */
  once(key, make) {
    let found = this.kept.get(key);
    if (!found) this.kept.set(key, (found = make()));
    return found;
  }

  dispose() {
    for (const one of this.kept.values()) one.dispose();
    this.kept.clear();
  }
}
