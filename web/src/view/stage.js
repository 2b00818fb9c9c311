// The picture drawn by WebGL.

import {
  BufferAttribute, BufferGeometry, ColorManagement, Group, LinearSRGBColorSpace, LineSegments, Matrix4, Mesh,
  OrthographicCamera, PerspectiveCamera, Plane, Scene, Vector3, WebGLRenderer,
} from 'three';
import { Materials, screen } from './materials.js';
import { BODY_LINE, DRIVER, FAINT_INK, INK, INK_SOFT, PAPER, RULE, SCAN, SHEET } from './paints.js';
import { ball, capsule, edgesOf, ground, polylines, sheet, sheetNormal } from './solids.js';
import { sweep } from './tube.js';
import { along } from './vec.js';

/** @typedef {import('../types').SceneMember} MemberShape */
/** @typedef {import('./paints.js').Paint} Paint */
/** @typedef {{name: string, axis: import('../types').Vec3[], od: number, wall: number, ends?: import('../types').SceneEnd[]}} TubeShape */
/** @typedef {'own' | 'under'} Layer */

ColorManagement.enabled = false;
const HALO = 2.2; // pixels of paper beside the outline, so that a tube in front stands off those behind
const FAR = 40_000;
const HAIR = 0.05; // mm: what lies in the plane of a section stays

/** The objects of one tube. */
class TubeParts {
  /** @param {TubeShape} shape @param {Group} group */
  constructor(shape, group) {
    this.shape = shape;
    const mesh = sweep(shape);
    const position = new BufferAttribute(mesh.positions, 3);
    const normal = new BufferAttribute(mesh.normals, 3);
    this.whole = new BufferGeometry().setAttribute('position', position).setAttribute('normal', normal);
    this.whole.setIndex(new BufferAttribute(mesh.index, 1));
    this.skin = new BufferGeometry().setAttribute('position', position).setAttribute('normal', normal);
    this.skin.setIndex(new BufferAttribute(mesh.index.slice(0, mesh.outside), 1));
    this.cuts = new BufferGeometry().setAttribute('position', new BufferAttribute(mesh.edges, 3));
    this.body = new Mesh(this.whole);
    this.rim = new Mesh(this.skin);
    this.halo = new Mesh(this.skin);
    this.lines = new LineSegments(this.cuts);
    this.all = [this.body, this.rim, this.halo, this.lines];
    this.group = group;
    group.add(...this.all);
  }

  /** @param {Paint} paint @param {Materials} materials */
  paint(paint, materials) {
    this.body.material = materials.shaded(paint.fill);
    this.rim.material = materials.outline(paint.ink, paint.width);
    this.halo.material = materials.outline(PAPER, paint.width + HALO, 2e-5);
    this.lines.material = materials.line(paint.ink);
  }

  dispose() {
    this.group.remove(...this.all);
    for (const one of [this.whole, this.skin, this.cuts]) one.dispose();
  }
}

/** Draws the picture into a canvas; knows nothing of the page. */
export class Stage {
  /** @param {HTMLCanvasElement} canvas throws where WebGL is not to be had */
  constructor(canvas) {
    this.renderer = new WebGLRenderer({ canvas, antialias: true, powerPreference: 'low-power' });
    this.renderer.outputColorSpace = LinearSRGBColorSpace; // colours are written as they are meant to show
    this.renderer.setClearColor(PAPER, 1);
    this.renderer.info.autoReset = false; // two passes make one picture
    this.kind = 'webgl';
    this.materials = new Materials();
    /** @type {{positions: Float32Array, index: Uint32Array} | null} */
    this.mesh = null;
    this.renderer.autoClear = false;
    this.scene = new Scene();
    this.behind = new Scene(); // drawn first and never before the cage: the floor and the faint cage
    /** @type {Record<Layer, Map<string, TubeParts>>} */
    this.tubes = { own: new Map(), under: new Map() };
    this.groups = { own: new Group(), under: new Group(), feet: new Group(), sheets: new Group(), lines: new Group(), people: new Group(), mounts: new Group(), scan: new Group(), ground: new Group() };
    const { ground: floor, under, ...rest } = this.groups;
    this.behind.add(floor, under);
    this.scene.add(...Object.values(rest));
    /** @type {Map<string, unknown>} what each group was made from */
    this.madeFrom = new Map();
    this.parallel = new OrthographicCamera();
    this.eye = new PerspectiveCamera();
    for (const one of [this.parallel, this.eye]) one.matrixAutoUpdate = false;
  }

  /** Everything again in other colours. @param {import('../types').Scene} scene */
  relight(scene) {
    this.renderer.setClearColor(PAPER, 1);
    const mesh = this.mesh;
    this.madeFrom.clear();
    this.things(scene);
    this.scan(mesh);
  }

  /** @param {number} wide @param {number} high @param {number} ratio */
  resize(wide, high, ratio) {
    this.renderer.setPixelRatio(Math.min(ratio, 2));
    this.renderer.setSize(wide, high, false);
    screen.set(wide, high);
  }

  /** Show these tubes in the layer; only those that are another shape than before are made anew. @param {Layer} layer @param {TubeShape[]} shapes */
  layer(layer, shapes) {
    const shown = this.tubes[layer];
    const wanted = new Map(shapes.map((shape) => [shape.name, shape]));
    for (const [name, parts] of shown) {
      if (wanted.get(name) === parts.shape) continue;
      parts.dispose();
      shown.delete(name);
    }
    for (const [name, shape] of wanted) {
      if (!shown.has(name) && shape.axis.length > 1) shown.set(name, new TubeParts(shape, this.groups[layer]));
    }
  }

  /** @param {(layer: Layer, shape: TubeShape) => Paint} paintOf */
  paint(paintOf) {
    for (const layer of /** @type {Layer[]} */ (['own', 'under'])) {
      for (const parts of this.tubes[layer].values()) parts.paint(paintOf(layer, parts.shape), this.materials);
    }
  }

  /** Everything but the tubes; each kind is made anew only where it changed. @param {import('../types').Scene} scene */
  things(scene) {
    this.remake('feet', scene.feet, (group) => {
      for (const foot of scene.feet) {
        this.addSheet(group, sheet(foot.corners, foot.thickness, foot.normal));
        for (const face of foot.faces) this.addSheet(group, sheet(face, foot.thickness, sheetNormal(face)));
      }
    });
    this.remake('sheets', [scene.plates, scene.gussets, scene.couplings], (group) => {
      for (const one of scene.plates) this.addSheet(group, sheet(one.corners, thicknessOf(one)));
      for (const one of scene.couplings) {
        for (const [face, thickness] of one.faces) this.addSheet(group, sheet(face, thickness));
      }
      for (const one of scene.gussets) {
        for (const face of [one.corners, ...one.faces]) this.addSheet(group, sheet(face, thicknessOf(one)));
      }
    });
    this.remake('lines', scene.lines, (group) => {
      if (scene.lines.length) group.add(new LineSegments(polylines(scene.lines.map((line) => line.points)), this.materials.line(BODY_LINE)));
    });
    this.remake('people', scene.people, (group) => {
      for (const person of scene.people) this.addPerson(group, person);
    });
    this.remake('mounts', scene.mounts, (group) => {
      for (const mount of scene.mounts) this.addRound(group, ball(mount.point, 9), SHEET, INK);
    });
    this.remake('ground', scene.box, (group) => group.add(new LineSegments(polylines(ground(scene.box)), this.materials.line(RULE, false))));
  }

  /** @param {Group} group @param {import('../types').ScenePerson} person */
  addPerson(group, person) {
    this.addRound(group, ball(person.helmet.centre, person.helmet.radius), DRIVER, INK_SOFT);
    for (const part of person.body) this.addRound(group, capsule(part.start, part.stop, part.radius), DRIVER, FAINT_INK);
  }

  /** @param {Group} group @param {BufferGeometry} shape @param {string} fill @param {string} ink */
  addRound(group, shape, fill, ink) {
    group.add(new Mesh(shape, this.materials.shaded(fill)), new Mesh(shape, this.materials.outline(ink, 1)));
  }

  /** @param {Group} group @param {BufferGeometry} shape */
  addSheet(group, shape) {
    group.add(new Mesh(shape, this.materials.shaded(SHEET, { inside: 0 })), new LineSegments(edgesOf(shape), this.materials.line(INK)));
  }

  /** @param {{positions: Float32Array, index: Uint32Array} | null} mesh */
  scan(mesh) {
    this.mesh = mesh;
    this.remake('scan', mesh, (group) => {
      if (!mesh) return;
      const shape = new BufferGeometry().setAttribute('position', new BufferAttribute(mesh.positions, 3));
      shape.setIndex(new BufferAttribute(mesh.index, 1));
      shape.computeVertexNormals();
      const depth = new Mesh(shape, this.materials.depthOnly());
      const veil = new Mesh(shape, this.materials.shaded(SCAN, { alpha: 0.34, lift: 0, inside: 0 }));
      depth.renderOrder = 5;
      veil.renderOrder = 6;
      group.add(depth, veil);
    });
  }

  /** @param {keyof Stage['groups']} name @param {unknown} from @param {(group: Group) => void} make */
  remake(name, from, make) {
    const key = JSON.stringify(from, (_, value) => (ArrayBuffer.isView(value) ? sizeAndAddress(value) : value));
    if (this.madeFrom.get(name) === key) return;
    this.madeFrom.set(name, key);
    empty(this.groups[name]);
    make(this.groups[name]);
  }

  /** @param {Record<string, boolean>} parts */
  show(parts) {
    this.groups.lines.visible = parts.lines;
    this.groups.scan.visible = parts.scan;
    this.groups.people.visible = parts.people;
    this.groups.mounts.visible = parts.mounts;
    this.groups.feet.visible = parts.feet;
    this.groups.sheets.visible = parts.sheets;
  }

  /** Leave out what lies on the near side of a plane. @param {{axis: number, at: number} | null} cut @param {number} side 1 or -1: what is kept lies beyond or before `at` */
  section(cut, side) {
    if (!cut) return void (this.renderer.clippingPlanes = []);
    const normal = new Vector3();
    normal.setComponent(cut.axis, side);
    this.renderer.clippingPlanes = [new Plane(normal, HAIR - side * cut.at)];
  }

  /** @param {import('./camera.js').Camera} camera */
  draw(camera) {
    const one = camera.look.eye ? this.fromEye(camera) : this.fromFar(camera);
    this.renderer.info.reset();
    this.renderer.clear();
    this.renderer.render(this.behind, one);
    this.renderer.clearDepth();
    this.renderer.render(this.scene, one);
  }

  /** @param {import('./camera.js').Camera} camera */
  fromFar(camera) {
    const { scale, target } = camera.look;
    const one = this.parallel;
    one.left = -(one.right = camera.wide / 2 / scale);
    one.bottom = -(one.top = camera.high / 2 / scale);
    one.near = 0;
    one.far = FAR;
    one.updateProjectionMatrix();
    return placed(one, camera, along(target, camera.basis.toward, FAR / 2));
  }

  /** @param {import('./camera.js').Camera} camera */
  fromEye(camera) {
    const one = this.eye;
    one.aspect = camera.wide / camera.high;
    one.fov = (2 * Math.atan(camera.high / 2 / camera.look.scale) * 180) / Math.PI;
    one.near = 30;
    one.far = FAR;
    one.updateProjectionMatrix();
    return placed(one, camera, camera.look.eye ?? [0, 0, 0]);
  }

  /** What is held by the graphics memory. */
  info() {
    const { geometries, textures } = this.renderer.info.memory;
    const { calls, triangles } = this.renderer.info.render;
    return { kind: this.kind, geometries, textures, calls, triangles, materials: this.materials.kept.size };
  }

  dispose() {
    this.layer('own', []);
    this.layer('under', []);
    for (const group of Object.values(this.groups)) empty(group);
    this.materials.dispose();
    this.renderer.dispose();
  }
}

/** @template {OrthographicCamera | PerspectiveCamera} T @param {T} one @param {import('./camera.js').Camera} camera @param {import('../types').Vec3} at @returns {T} */
function placed(one, camera, at) {
  const { right, up, toward } = camera.basis;
  one.matrix.copy(new Matrix4().makeBasis(new Vector3(...right), new Vector3(...up), new Vector3(...toward)).setPosition(...at));
  one.matrixWorldNeedsUpdate = true;
  return one;
}

/** @param {Group} group */
function empty(group) {
  for (const one of [...group.children]) {
    group.remove(one);
    /** @type {Mesh} */ (one).geometry?.dispose();
  }
}

/** @param {{thickness?: number}} one */
const thicknessOf = (one) => one.thickness ?? 3;

let addresses = 0;
/** @type {WeakMap<object, number>} */
const known = new WeakMap();
/** @param {object} value */
function sizeAndAddress(value) {
  if (!known.has(value)) known.set(value, (addresses += 1));
  return `#${known.get(value)}`;
}
