// Made by scripts/web_types.py from the program's answers; a test says when it is stale.

/** Roles of members, as a plan names them. */
export const ROLES = [
  'main rollbar',
  'front rollbar',
  'lateral rollbar',
  'lateral half-rollbar',
  'backstay',
  'diagonal',
  'harness bar',
  'doorbar',
  'roof reinforcement',
  'windscreen pillar reinforcement',
  'transverse member',
  'longitudinal member',
  'dash bar',
  'doorbar post',
  'sill bar',
  'seat mount',
  'cage reinforcement',
];

/** What a foot stands on. */
export const SEATS = [
  'sill',
  'box',
  'floor',
  'turret',
  'rigid',
];

/** Parts of a weld that can be left open, by where they face. */
export const FACINGS = [
  'outside',
  'inside',
  'top',
  'bottom',
  'front',
  'rear',
];

/** How a gusset is made. */
export const GUSSET_KINDS = [
  'flat',
  'folded',
  'bent corner',
  'half tube',
];
