// Unit tests of what draws nothing: bundled by the builder's own compiler, run by node's own runner.
import { spawnSync } from 'node:child_process';
import { readdirSync, rmSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

import { build } from 'esbuild';

const here = fileURLToPath(new URL('.', import.meta.url));
const out = `${here}../build/unit`;
rmSync(out, { recursive: true, force: true });
await build({ entryPoints: readdirSync(`${here}unit`).map((name) => `${here}unit/${name}`), outdir: out, bundle: true, platform: 'browser', external: ['node:*'], format: 'esm', outExtension: { '.js': '.mjs' }, logLevel: 'warning' });
const files = readdirSync(out).map((name) => `${out}/${name}`);
process.exit(spawnSync(process.execPath, ['--test', ...files], { stdio: 'inherit' }).status ?? 1);
