// The shapes that the server sends and the pages pass on. Types only: nothing of this is in the bundle.

export type Vec3 = [number, number, number];
export type Units = 'mm' | 'in';

/** One mistake in the plan's text. */
export interface Problem {
  code: string;
  where: string | { file: string; line: number; col: number };
  found: string;
  wanted: string;
  nearest?: string | null;
}

/** What is known of an open plan, the same for every tab. */
export interface State {
  id: string;
  title: string;
  number: number;
  revision: string;
  units: Units;
  undo: string | null;
  redo: string | null;
  saved: boolean;
  conflict: null | { words: string };
  problems: Problem[];
}

/** The answer to an edit, an undo or a redo. */
export interface Answer {
  state: State;
  words?: string | null;
  changed: Delta | null;
  figures?: any;
  findings?: any;
}

export interface Place {
  index: number;
  at: Vec3;
  kind: 'coordinates' | 'point' | 'foot' | 'member';
  on?: string | null;
  foot?: string | null;
  point?: string | null;
  measure?: string | null;
  value?: number | null;
  clr?: number | null;
}

/** The cut of one end: mm along `axis` from `origin`, evenly round from `zero`. */
export interface EndCut {
  which: 'start' | 'end';
  kind: 'cope' | 'flat';
  origin: Vec3;
  axis: Vec3;
  zero: Vec3;
  cut: number[];
}

export interface MemberShape {
  name: string;
  role: string;
  tube: string;
  od: number;
  wall: number;
  mass: number;
  length: number;
  mirror_of?: string | null;
  removable?: boolean;
  note?: string;
  axis: Vec3[];
  places: Place[];
  ends: EndCut[];
  bends: { angle_deg: number; clr: number }[];
}

export interface JointShape {
  name: string;
  branch: string;
  which: 'start' | 'end';
  mains: string[];
  point: Vec3;
}

export interface FootShape {
  name: string;
  point: Vec3;
  normal: Vec3;
  corners: Vec3[];
  thickness: number;
  seat: string;
}

export interface PlateShape {
  name: string;
  corners: Vec3[];
  thickness?: number;
}

export interface GussetShape {
  name: string;
  between: string[];
  point: Vec3;
  leg?: number;
  thickness?: number;
  corners: Vec3[];
}

export interface DriverShape {
  helmet: { centre: Vec3; radius: number };
  body: { name: string; from: Vec3; to: Vec3; radius: number }[];
}

export interface Scene {
  number: number;
  revision: string;
  units: Units;
  box: [Vec3, Vec3];
  members: MemberShape[];
  joints: JointShape[];
  feet: FootShape[];
  plates: PlateShape[];
  gussets: GussetShape[];
  lines: { name: string; points: Vec3[] }[];
  driver: DriverShape | null;
  mounts: { name: string; point: Vec3; kind: string }[];
  scan: null | { triangles: number | null; url: string };
}

/** What an edit changed: whole members, names that are gone, other parts only where they changed. */
export type Delta = Partial<Omit<Scene, 'members'>> & {
  number: number;
  revision: string;
  members?: MemberShape[];
  gone?: string[];
  order?: string[];
};

export type Mark = { point: Vec3; kind: 'wrong' | 'doubt' | 'note'; words: string; key: string; sign?: string };
export type Arrow = { from: Vec3; to: Vec3; words?: string };
export type Shade = { value: number; words?: string };
export type Pick = { member?: string; joint?: string; foot?: string; place?: number; point: Vec3; shift: boolean };
export type Stand = 'three-quarter' | 'left' | 'right' | 'front' | 'rear' | 'above' | 'driver';
export type Parts = Partial<Record<'lines' | 'scan' | 'driver' | 'feet' | 'names' | 'mounts', boolean>>;
export type Selection = { members?: string[]; joints?: string[] };
export type Cut = null | { axis: 0 | 1 | 2; at: number };
export type Along = 'up' | 'back' | 'across' | Vec3[];
