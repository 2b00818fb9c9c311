// A phone's photo made small enough to keep and to send, and shown before it is sent.

const LONGEST = 2560; // a weld's toes can be counted on it, and it is a megabyte
const SMALL = 1_500_000;
const MOST = 80_000_000;
const KEPT = new Set(['image/jpeg', 'image/png', 'image/webp']);

/** The photo as it is kept. @param {File} file @returns {Promise<Blob>} throws Error with what is wrong, in words */
export async function smallEnough(file) {
  if (file.size > MOST) throw new Error(`‘${file.name}’ has ${Math.round(file.size / 1e6)} MB: ${MOST / 1e6} MB is the most that a phone can make smaller. Take the photo again at a lower setting.`);
  const picture = await createImageBitmap(file).catch(() => null);
  if (!picture) throw new Error(`‘${file.name}’ is no photo that this browser can show. Take it as JPEG, PNG or WebP.`);
  if (file.size <= SMALL && KEPT.has(file.type)) return file;
  const share = Math.min(1, LONGEST / Math.max(picture.width, picture.height));
  const canvas = drawn(picture, share);
  return new Promise((resolve, reject) => canvas.toBlob((blob) => (blob ? resolve(blob) : reject(new Error(`‘${file.name}’ is too large for this browser.`))), 'image/jpeg', 0.85));
}

/** A small picture of a photo that is not with the workbench yet. @param {Blob} blob */
export function preview(blob) {
  const canvas = document.createElement('canvas');
  void createImageBitmap(blob).then((picture) => canvas.replaceWith(drawn(picture, Math.min(1, 320 / Math.max(picture.width, picture.height)))), () => {});
  return canvas;
}

/** @param {ImageBitmap} picture @param {number} share */
function drawn(picture, share) {
  const canvas = document.createElement('canvas');
  canvas.width = Math.round(picture.width * share);
  canvas.height = Math.round(picture.height * share);
  canvas.getContext('2d')?.drawImage(picture, 0, 0, canvas.width, canvas.height);
  return canvas;
}
