// The colour ramp of results: pale yellow (little) to dark blue (much), a straight line in CIELAB, the same
// as on the papers, so that equal steps of the number look equally large and it reads without colour too.

const LITTLE = [90, -6, 46];
const MUCH = [22, 16, -40];
const WHITE = [0.95047, 1.0, 1.08883]; // XYZ of D65 (CIE 15)

/** @param {number} part 0 to 1 @returns {string} `#rrggbb` */
export function ramp(part) {
  const share = Math.min(Math.max(Number.isFinite(part) ? part : 0, 0), 1);
  const lab = LITTLE.map((low, i) => low + share * (MUCH[i] - low));
  return `#${srgb(lab).map((one) => Math.round(one * 255).toString(16).padStart(2, '0')).join('')}`;
}

/** @param {number[]} lab @returns {number[]} 0 to 1 (CIE 15; IEC 61966-2-1) */
function srgb([l, a, b]) {
  const fy = (l + 16) / 116;
  const [x, y, z] = [fy + a / 500, fy, fy - b / 200].map((f, i) => {
    const d = 6 / 29;
    return WHITE[i] * (f > d ? f ** 3 : 3 * d * d * (f - 4 / 29));
  });
  const linear = [
    3.2406254773 * x - 1.5372079722 * y - 0.4986285987 * z,
    -0.9689307147 * x + 1.8757560609 * y + 0.0415175238 * z,
    0.0557101204 * x - 0.2040210506 * y + 1.0569959423 * z,
  ];
  return linear.map((one) => {
    const bent = one <= 0.0031308 ? 12.92 * one : 1.055 * one ** (1 / 2.4) - 0.055;
    return Math.min(Math.max(bent, 0), 1);
  });
}

/** The ramp as a CSS gradient from left to right. */
export const rampGradient = () =>
  `linear-gradient(to right, ${Array.from({ length: 9 }, (_, i) => ramp(i / 8)).join(', ')})`;
