import { existsSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { resolve } from 'node:path';
import { defineConfig } from 'vite';

const here = import.meta.dirname;
const pages = resolve(here, 'src/pages');
const out = resolve(here, '../src/cagewright/workbench/static');

/** Every file of src/pages is one page's entry: its name is the page's, and the bundle's file. */
const entries = Object.fromEntries(
  readdirSync(pages)
    .filter((file) => file.endsWith('.js'))
    .map((file) => [file.slice(0, -3), resolve(pages, file)]),
);

/**
 * Chunks of an earlier build have other names and would stay. They go once the new ones stand, so that a page that is
 * opened meanwhile finds either.
 * @type {import('vite').Plugin}
 */
const withoutOldChunks = {
  name: 'old-chunks',
  writeBundle(_options, bundle) {
    const folder = resolve(out, 'chunks');
    const old = existsSync(folder) ? readdirSync(folder).filter((file) => !(`chunks/${file}` in bundle)) : [];
    for (const file of old) rmSync(resolve(folder, file));
  },
};

/** The licences of what goes into the bundle go with it. */
function licences() {
  const { dependencies } = JSON.parse(readFileSync(resolve(here, 'package.json'), 'utf8'));
  const parts = Object.keys(dependencies).map((name) => {
    const text = readFileSync(resolve(here, 'node_modules', name, 'LICENSE'), 'utf8').trim();
    return `${name} ${dependencies[name]}\n\n${text}\n`;
  });
  return `The pages are built with these open-source parts.\n\n${parts.join('\n\n')}`;
}

/** @type {import('vite').Plugin} */
const withLicences = {
  name: 'licences',
  generateBundle() {
    this.emitFile({ type: 'asset', fileName: 'licences.txt', source: licences() });
  },
};

export default defineConfig({
  root: here,
  base: '/static/',
  publicDir: resolve(here, 'public'),
  plugins: [withoutOldChunks, withLicences],
  build: {
    outDir: out,
    emptyOutDir: false,
    target: ['chrome110', 'firefox115', 'safari16.4'],
    assetsInlineLimit: 0, // the pages' policy allows nothing from data: addresses
    cssCodeSplit: false,
    modulePreload: false,
    chunkSizeWarningLimit: 1200,
    rollupOptions: {
      input: entries,
      output: {
        entryFileNames: '[name].js',
        chunkFileNames: 'chunks/[name]-[hash].js',
        assetFileNames: (asset) =>
          asset.names.some((name) => name.endsWith('.css')) ? 'look.css' : 'type/[name][extname]',
      },
    },
  },
});
