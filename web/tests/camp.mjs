// A camp for a test: the program itself, with a book of its own, on a port of its own, on a summer morning.
import { spawn, spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = fileURLToPath(new URL('../..', import.meta.url));
const program = process.env.LEEWAY ?? join(root, 'build/release/leeway');
const NOW = '2026-06-09T14:00Z';

// A test that fails leaves its camp; none outlives the run.
const running = new Set();
process.on('exit', () => running.forEach((child) => child.kill('SIGKILL')));
for (const signal of ['SIGINT', 'SIGTERM']) process.on(signal, () => process.exit(1));

/** book: 'empty', 'demo', or 'own' (the demo's household as somebody's own). */
export async function startCamp({ book, name }) {
    const folder = mkdtempSync(join(tmpdir(), 'leeway-page-')), file = join(folder, 'book.sqlite');
    let child = null, url = '', port = '0';

    async function start(now = NOW) {
        child = spawn(program, ['serve', '--book', file, '--port', port, '--now', now, ...(book === 'demo' ? ['--demo'] : []), ...(name ? ['--name', name] : [])], { stdio: ['ignore', 'pipe', 'pipe'] });
        const mine = child;
        running.add(mine);
        mine.once('exit', () => running.delete(mine));
        let said = '';
        url = await new Promise((done, fail) => {
            const hear = (piece) => {
                said += piece;
                const found = /http:\/\/127\.0\.0\.1:(\d+)\//.exec(said);
                if (found) done(found[0]);
            };
            child.stdout.on('data', hear);
            child.stderr.on('data', hear);
            child.once('exit', () => fail(new Error(`the server ended: ${said}`)));
        });
        port = new URL(url).port;
    }
    const ended = () => new Promise((done) => (child.exitCode === null && child.signalCode === null ? child.once('exit', done) : done()));
    const ask = async (path, body) => (await fetch(`${url}api/1/${path}`, body === undefined ? {} : { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify(body) })).json();
    const entries = async () => (await ask('history')).entries.filter((one) => !one.is_undone);

    await start();
    if (book === 'own') await ask('begin', { scenario: readFileSync(join(root, 'examples/family-at-work.yaml'), 'utf8') });
    const before = book === 'empty' ? 0 : (await entries()).length;

    return {
        url,
        ask,
        /** Waits until what was logged since the start is as wished. */
        async until(is, says) {
            let last = [];
            for (let i = 0; i < 100; i++) {
                last = (await entries()).slice(before);
                if (is(last)) return;
                await new Promise((go) => setTimeout(go, 100));
            }
            throw new Error(`${says}: ${JSON.stringify(last.map((one) => one.said))} is in the book`);
        },
        /** As a cut of the power: no word of farewell. */
        async kill() {
            child.kill('SIGKILL');
            await ended();
        },
        start,
        /** Another command on its book; gives the exit code. */
        run: (command, ...words) => spawnSync(program, [command, '--book', file, ...words], { stdio: 'ignore' }).status,
        /** As somebody at the terminal. */
        log: (...words) => new Promise((done, fail) => spawn(program, ['log', '--book', file, '--now', '2026-06-09T14:05Z', ...words], { stdio: 'ignore' }).once('exit', (code) => (code ? fail(new Error(`leeway log ended with ${code}`)) : done()))),
        /** isOver: its book goes too. */
        async stop(isOver = true) {
            child.kill('SIGTERM');
            await ended();
            if (isOver) rmSync(folder, { recursive: true, force: true });
        },
    };
}
