// A camp for a test: the program with a book of its own on a port of its own.
import { spawn } from 'node:child_process';
import { fileURLToPath } from 'node:url';

const here = fileURLToPath(new URL('.', import.meta.url));
let port = 18400;

export async function startCamp({ book }) {
    const at = port++, url = `http://127.0.0.1:${at}/`;
    const child = spawn(process.execPath, [`${here}stub.mjs`, String(at), process.env.LEEWAY ?? `${here}../../build/release/leeway`], { env: { ...process.env, STUB_BOOK: book }, stdio: ['ignore', 'pipe', 'inherit'] });
    await new Promise((done) => child.stdout.once('data', done));
    return {
        url,
        async until(is, says) {
            for (let i = 0; i < 60; i++) {
                const { entries } = await (await fetch(`${url}api/1/history`)).json();
                if (is(entries)) return;
                await new Promise((go) => setTimeout(go, 100));
            }
            throw new Error(`${says}: did not come`);
        },
        stop: () => new Promise((done) => (child.once('exit', done), child.kill())),
    };
}
