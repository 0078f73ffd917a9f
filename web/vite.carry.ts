import { readFileSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';

import { svelte } from '@sveltejs/vite-plugin-svelte';
import { defineConfig, type Plugin } from 'vite';

// The copy for the road, dist/carry.html: one file that asks nobody, with an empty place for its data (docs/use/page.md).
// Its fonts are those of the device, so that it stays small enough to send.
const OUT = 'build/carry';

function oneFile(): Plugin {
    return {
        name: 'one-file',
        closeBundle() {
            const assets = readdirSync(OUT);
            const text = (end: string): string => assets.filter((name) => name.endsWith(end)).map((name) => readFileSync(join(OUT, name), 'utf8')).join('\n');
            const html = `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>Leeway, a copy for the road</title>
<style>${text('.css').replace(/@font-face\s*\{[^}]*\}/g, '')}</style>
</head>
<body>
<div id="page"></div>
<script type="application/json" id="carried"></script>
<script>${text('.js').replace(/<\/(script)/gi, '<\\/$1')}</script>
</body>
</html>
`;
            writeFileSync('dist/carry.html', html);
            rmSync(OUT, { recursive: true });
        },
    };
}

export default defineConfig({
    plugins: [svelte(), oneFile()],
    publicDir: false,
    build: {
        target: 'es2021',
        outDir: OUT,
        reportCompressedSize: false,
        lib: { entry: 'src/carried.ts', formats: ['iife'], name: 'leeway', fileName: () => 'carried.js' },
        rollupOptions: { output: { inlineDynamicImports: true } },
    },
});
