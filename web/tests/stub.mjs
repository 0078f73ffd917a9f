// Stands in for the program while its server is not there: the same paths, answers made by the real command line.
//   node tests/stub.mjs PORT LEEWAY-PROGRAM SCENARIO.yaml
import { execFileSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:http';
import { tmpdir } from 'node:os';
import { extname, join, normalize } from 'node:path';
import { fileURLToPath } from 'node:url';

import { parse } from 'yaml';

const root = fileURLToPath(new URL('../..', import.meta.url));
const dist = join(root, 'web/dist'), scratch = join(mkdtempSync(join(tmpdir(), 'leeway-')), 'camp.json');
const [port = '8321', program = join(root, 'build/release/leeway'), file = join(root, 'examples/family-at-work.yaml')] = process.argv.slice(2);

let scenario = parse(readFileSync(file, 'utf8'), { schema: 'failsafe' });
let book = process.env.STUB_BOOK ?? 'demo', changes = 1, units = 'us', clock = '24', device = null;
const kept = new Map(), undone = new Set();
const TYPES = { '.html': 'text/html; charset=utf-8', '.js': 'text/javascript', '.css': 'text/css', '.svg': 'image/svg+xml', '.woff2': 'font/woff2' };
const CSP = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

const onDisk = () => (writeFileSync(scratch, JSON.stringify(scenario)), scratch);
const run = (args, input) => JSON.parse(execFileSync(program, args, { input, maxBuffer: 64e6, stdio: ['pipe', 'pipe', 'ignore'] }).toString());
function outlook(set, draws, assumptions) {
    const args = ['batch', ...(draws ? ['--draws', draws] : ['--draws', '1000']), ...(assumptions ? ['--assumptions'] : [])];
    const answer = run(args, JSON.stringify({ scenario: { ...scenario, units }, change: set }) + '\n');
    if (answer.error) throw Object.assign(new Error(answer.error.text), { status: 422 });
    return answer.outlook;
}
const LAMPS = (target) => ['empty', '1/3', '2/3', 'full'].map((says) => ({ says, text: `${target}=${says}` }));
const gauges = () => ({
    schema: 'leeway.gauges/1',
    gauges: [
        { target: 'main', supply: 'fresh', label: 'Fresh water, main', kind: 'lamps', unit: 'gal', choices: LAMPS('main'), example: 'main=2/3', last: null },
        { target: 'grey', supply: 'grey', label: 'Grey water', kind: 'lamps', unit: 'gal', choices: LAMPS('grey'), example: 'grey=1/3', last: null },
        { target: 'black', supply: 'black', label: 'Black water', kind: 'lamps', unit: 'gal', choices: LAMPS('black'), example: 'black=1/3', last: null },
        { target: 'battery', supply: 'battery', label: 'Battery', kind: 'percent', unit: '%', choices: [], example: 'battery=80 %', last: null },
        { target: 'propane', supply: 'propane', label: 'Propane', kind: 'mass', unit: 'lb', choices: [], example: 'propane=14 lb', last: null },
        { target: 'locker', supply: 'rubbish', label: 'Rubbish, locker', kind: 'count', unit: 'bags', choices: [], example: 'locker=1 bag', last: null },
        { target: 'generator', supply: 'fuel', label: 'Generator hours', kind: 'hours', unit: 'h', choices: [], example: 'generator=412.3h', last: null },
    ],
    events: [{ text: 'filled fresh', label: 'Filled fresh water' }, { text: 'dumped grey black', label: 'Dumped grey and black' }, { text: 'dropped rubbish', label: 'Took the rubbish away' }],
});

const routes = {
    'GET state': () => ({ schema: 'leeway.state/1', program: '0.1.0', now: '2026-06-08T15:00:00-06:00', zone: 'America/Denver', units, clock, book, stay: book === 'empty' ? null : { place: 'Juniper Bench', from: '2026-06-08T21:00:00Z', until: null }, changes }),
    'GET outlook': (query) => outlook(query.getAll('set'), query.get('draws'), query.get('assumptions')),
    'GET today': () => run(['today', onDisk(), '--json', '-u', units]),
    'GET weather': () => run(['weather', 'show', onDisk(), '--json']),
    'GET scenario': () => ({ schema: 'leeway.scenario/1', scenario: JSON.stringify(scenario) }),
    'GET gauges': gauges,
    'GET history': () => ({ schema: 'leeway.history/1', entries: [...kept.values()].filter((one) => !undone.has(one.id)) }),
    'POST entries': (_, body) => kept.get(body.id) ?? (kept.set(body.id, { schema: 'leeway.logged/1', id: body.id, says: body.words.map((word) => `Kept: ${word}.`), repeated: false }), changes++, kept.get(body.id)),
    'POST undo': (_, body) => (undone.add(body.undoes), changes++, { says: ['Taken back.'] }),
    'POST check': (_, body) => {
        try {
            const answer = run(['batch', '--draws', '1', '--assumptions'], JSON.stringify(parse(body.scenario, { schema: 'failsafe' })) + '\n');
            return { schema: 'leeway.checked/1', is_right: !answer.error, says: answer.error ? [`${answer.error.where}: ${answer.error.text}`] : [], assumptions: answer.outlook?.assumptions ?? [] };
        } catch (problem) {
            return { schema: 'leeway.checked/1', is_right: false, says: [String(problem.message)], assumptions: [] };
        }
    },
    'POST begin': (_, body) => ((scenario = parse(body.scenario, { schema: 'failsafe' })), (book = 'own'), changes++, {}),
    'POST demo': () => ((book = 'demo'), changes++, {}),
    'DELETE demo': () => ((book = 'empty'), changes++, {}),
    'PUT settings': (_, body) => ((units = body.units ?? units), (clock = body.clock ?? clock), changes++, { units, clock }),
    'GET starts': () => ({ starts: [{ id: 'van', label: 'Camper van of 6 m', typical: true, rig: { kind: 'van' } }, { id: 'class-c', label: 'Motorhome on a cutaway van; 8.5 m', typical: true, rig: { kind: 'class-c' } }] }),
};

createServer((request, reply) => {
    const url = new URL(request.url, 'http://stub');
    let text = '';
    request.on('data', (piece) => (text += piece));
    request.on('end', () => {
        reply.setHeader('Content-Security-Policy', CSP);
        const api = url.pathname.startsWith('/api/1/') ? routes[`${request.method} ${url.pathname.slice(7)}`] : null;
        if (url.pathname.startsWith('/api/')) {
            reply.setHeader('Content-Type', 'application/json');
            try {
                if (!api) throw Object.assign(new Error('There is no such thing here.'), { status: 404 });
                reply.end(JSON.stringify(api(url.searchParams, text ? JSON.parse(text) : null)));
            } catch (problem) {
                reply.statusCode = problem.status > 399 ? problem.status : 500;
                reply.end(JSON.stringify({ schema: 'leeway.refusal/1', says: problem.message }));
            }
            return;
        }
        const path = join(dist, normalize(url.pathname === '/' ? '/index.html' : url.pathname));
        if (!path.startsWith(dist) || !existsSync(path)) return void ((reply.statusCode = 404), reply.end());
        reply.setHeader('Content-Type', TYPES[extname(path)] ?? 'application/octet-stream');
        reply.end(readFileSync(path));
    });
}).listen(Number(port), '127.0.0.1', () => console.log(`http://127.0.0.1:${port}/`));
