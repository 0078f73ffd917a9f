// Writes src/made/: the types of the program's JSON from docs/*.schema.json and the tables the page shows from data/*.csv.
// With --check it writes nothing and fails where a file is not what it would write.
import { readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

const root = new URL('../../', import.meta.url);
const read = (name) => readFileSync(new URL(name, root), 'utf8');

// --- types of the schemas ---------------------------------------------------------------------------------------------

const SCALARS = { string: 'string', number: 'number', integer: 'number', boolean: 'boolean', null: 'null' };

// Every text that a pattern of a key allows. The schemas use literals, (a|b) and (...)? only; anything else is refused.
function textsOf(pattern) {
    if (!/^\^[\w|()?]+\$$/.test(pattern)) throw new Error(`keys of the pattern ${pattern} cannot be listed`);
    let texts = [''];
    for (const [, group, optional, literal] of pattern.slice(1, -1).matchAll(/\(([^()]*)\)(\?)?|(\w+)/g)) {
        const parts = literal === undefined ? [...group.split('|'), ...(optional ? [''] : [])] : [literal];
        texts = texts.flatMap((text) => parts.map((part) => text + part));
    }
    return texts.sort();
}

function typeOf(schema, indent) {
    if (schema.$ref) return pascal(schema.$ref.split('/').pop());
    if ('const' in schema) return JSON.stringify(schema.const);
    if (schema.enum) return schema.enum.map((value) => JSON.stringify(value)).join(' | ');
    const either = schema.anyOf ?? schema.oneOf;
    if (either) return either.map((one) => typeOf(one, indent)).join(' | ');
    const kinds = [schema.type ?? 'unknown'].flat();
    return kinds.map((kind) => (kind === 'object' ? objectOf(schema, indent) : kind === 'array' ? arrayOf(schema, indent) : SCALARS[kind] ?? 'unknown')).join(' | ');
}

function arrayOf(schema, indent) {
    const item = typeOf(schema.items ?? {}, indent);
    return /[|&]/.test(item) && !item.startsWith('{') ? `(${item})[]` : `${item}[]`;
}

function objectOf(schema, indent) {
    const deeper = indent + '    ', needed = new Set(schema.required ?? []), rows = [];
    const row = (key, value, isNeeded) => {
        if (value.description) rows.push(`${deeper}/** ${value.description.replace(/\*\//g, '* /')} */`);
        rows.push(`${deeper}${/^[A-Za-z_]\w*$/.test(key) ? key : JSON.stringify(key)}${isNeeded ? '' : '?'}: ${typeOf(value, deeper)};`);
    };
    for (const [key, value] of Object.entries(schema.properties ?? {})) row(key, value, needed.has(key));
    for (const [pattern, value] of Object.entries(schema.patternProperties ?? {}))
        if (/^\^\(?[\w|()?]+\$$/.test(pattern)) for (const key of textsOf(pattern)) row(key, value, false);
        else rows.push(`${deeper}[key: string]: ${typeOf(value, deeper)};`);
    if (typeof schema.additionalProperties === 'object') rows.push(`${deeper}[key: string]: ${typeOf(schema.additionalProperties, deeper)};`);
    return rows.length ? `{\n${rows.join('\n')}\n${indent}}` : 'Record<string, never>';
}

const pascal = (word) => word.replace(/(^|[_-])(\w)/g, (_, __, letter) => letter.toUpperCase());

function moduleOf(file, name) {
    const schema = JSON.parse(read(`docs/${file}`));
    const types = Object.entries({ ...schema.$defs, [name]: schema }).map(
        ([key, value]) => `/** ${value.description ?? value.title ?? key} */\nexport type ${pascal(key)} = ${typeOf(value, '')};\n`,
    );
    return `// Made by web/tools/made.mjs from docs/${file}; do not edit.\n\n${types.join('\n')}`;
}

// --- tables -----------------------------------------------------------------------------------------------------------

function rowsOf(name) {
    const lines = read(name).split('\n').filter((line) => line && !line.startsWith('#'));
    const cells = (line) => [...line.matchAll(/("(?:[^"]|"")*"|[^,]*)(?:,|$)/g)].slice(0, -1).map(([, cell]) => cell.replace(/^"|"$/g, '').replace(/""/g, '"'));
    const head = cells(lines[0] + ',');
    return lines.slice(1).map((line) => Object.fromEntries(cells(line + ',').map((cell, i) => [head[i], cell])));
}

// One row a line: a changed row of data/ is a changed line here.
const listOf = (name, type, rows) => `export const ${name}: readonly ${type}[] = [\n${rows.map((row) => `    ${JSON.stringify(row)},`).join('\n')}\n];\n`;

function tables() {
    const habits = rowsOf('data/habits.csv').map(({ id, activity, style, what, source, kind }) => ({ id, activity, style, what, source, kind }));
    const needs = rowsOf('data/activities.csv').map((row) => ({
        id: row.id, title: row.title, down_mbit: Number(row.needs_down_mbit), up_mbit: Number(row.needs_up_mbit), source: row.source, kind: row.kind,
    }));
    return [
        '// Made by web/tools/made.mjs from data/habits.csv and data/activities.csv; do not edit.\n',
        '/** A way of doing a thing, as a scenario names it. */',
        'export interface Habit { id: string; activity: string; style: string; what: string; source: string; kind: string }\n',
        listOf('HABITS', 'Habit', habits),
        '/** What a thing done over the network needs of the line. */',
        'export interface Need { id: string; title: string; down_mbit: number; up_mbit: number; source: string; kind: string }\n',
        listOf('NEEDS', 'Need', needs),
    ].join('\n');
}

// --- the keys of a scenario -------------------------------------------------------------------------------------------

// docs/use/scenario.md is made from the program's own table of keys. Months of weather are left out: nobody types them here.
function keys() {
    const rows = read('docs/use/scenario.md').split('\n').filter((line) => /^\| `[a-z]/.test(line) && !line.includes('weather.months'));
    const all = rows.map((line) => {
        const [key, says, takes, such] = line.split(' | ').map((cell) => cell.replace(/^\| /, '').replace(/ \|$/, '').replace(/`/g, '').trim());
        return { key, says, takes: takes ?? '', such: such ?? '' };
    });
    const short = Object.fromEntries(all.flatMap(({ key, takes }) => { const found = /short form: ([a-z_]+)/.exec(takes); return found ? [[key, found[1]]] : []; }));
    return [
        '// Made by web/tools/made.mjs from docs/use/scenario.md; do not edit.\n',
        '/** What a key of a scenario says, takes, and an example. */',
        'export interface Key { key: string; says: string; takes: string; such: string }\n',
        listOf('KEYS', 'Key', all),
        '/** The key that a plain value stands for where a map or list is expected. */',
        `export const SHORT: Readonly<Record<string, string>> = {\n${Object.entries(short).map(([key, value]) => `    ${JSON.stringify(key)}: ${JSON.stringify(value)},`).join('\n')}\n};\n`,
    ].join('\n');
}

// --- write or compare -------------------------------------------------------------------------------------------------

const made = {
    'web/src/made/outlook.ts': moduleOf('outlook.schema.json', 'outlook'),
    'web/src/made/levers.ts': moduleOf('levers.schema.json', 'levers'),
    'web/src/made/generator.ts': moduleOf('generator.schema.json', 'generator'),
    ...Object.fromEntries(['runs', 'provisions', 'buy', 'cost', 'rhythm', 'convoy'].map((name) => [`web/src/made/${name}.ts`, moduleOf(`${name}.schema.json`, name)])),
    'web/src/made/today.ts': moduleOf('today.schema.json', 'today'),
    'web/src/made/checklist.ts': moduleOf('checklist.schema.json', 'checklist'),
    'web/src/made/ledger.ts': moduleOf('ledger.schema.json', 'ledger'),
    'web/src/made/stay.ts': moduleOf('stay.schema.json', 'stay'),
    'web/src/made/trip.ts': moduleOf('trip.schema.json', 'trip'),
    'web/src/made/signal-run.ts': moduleOf('signal-run.schema.json', 'signal-run'),
    'web/src/made/trips.ts': moduleOf('trips.schema.json', 'trips'),
    'web/src/made/trip-year.ts': moduleOf('trip-year.schema.json', 'trip-year'),
    'web/src/made/pick.ts': moduleOf('pick.schema.json', 'pick'),
    'web/src/made/place.ts': moduleOf('place.schema.json', 'place'),
    'web/src/made/rank.ts': moduleOf('rank.schema.json', 'rank'),
    'web/src/made/sun.ts': moduleOf('sun.schema.json', 'sun'),
    'web/src/made/map.ts': moduleOf('map.schema.json', 'map'),
    'web/src/made/tables.ts': tables(),
    'web/src/made/keys.ts': keys(),
};
let stale = 0;
for (const [name, text] of Object.entries(made)) {
    const path = fileURLToPath(new URL(name, root));
    if (!process.argv.includes('--check')) writeFileSync(path, text);
    else if (readFileSync(path, 'utf8') !== text) {
        console.error(`${name} is not what docs/ and data/ say: node web/tools/made.mjs writes it anew`);
        stale++;
    }
}
process.exit(stale ? 1 : 0);
