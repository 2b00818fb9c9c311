// Shapes that live in the browser alone; what the server sends stands in types.d.ts.
import type { Vec3 } from './types';

/** What figures are said in; bare numbers are typed in mm or inches. */
export type Units = 'mm' | 'in' | 'decimal in';
export type Mark = { point: Vec3; kind: 'wrong' | 'doubt' | 'own' | 'note'; words: string; key: string; sign?: string };
export type Arrow = { from: Vec3; to: Vec3; words?: string };
export type Shade = { value: number; words?: string };
export type Pick = { member?: string; joint?: string; foot?: string; plate?: string; gusset?: string; place?: number; point: Vec3; shift: boolean };
export type Stand = 'three-quarter' | 'left' | 'right' | 'front' | 'rear' | 'above' | 'driver';
export type Parts = Partial<Record<'lines' | 'scan' | 'people' | 'feet' | 'names' | 'mounts', boolean>>;
export type Selection = { members?: string[]; joints?: string[] };
export type Cut = null | { axis: 0 | 1 | 2; at: number };
export type Along = 'up' | 'back' | 'across' | Vec3[];
