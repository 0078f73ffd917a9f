import { svelte } from '@sveltejs/vite-plugin-svelte';
import { defineConfig } from 'vite';

// The page as the program embeds it: all files local, no inline script or style (the answer's content policy forbids both).
export default defineConfig({
    plugins: [svelte()],
    build: {
        target: 'es2021',
        assetsInlineLimit: 0,
        modulePreload: { polyfill: false },
        cssCodeSplit: false,
        reportCompressedSize: false,
    },
});
