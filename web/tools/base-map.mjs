// Writes src/made/ground.ts, the map's ground, from the rings that base-map.R prints: shores as closed rings (land is what an odd number of
// them lies around, so that a lake is a hole), borders of countries and of states as lines. Thinned to 1 km or so in North America, where a
// camper is likelier, and to 8 km elsewhere.
import { readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

const PER_DEG = 100;
const FINE = 0.012, COARSE = 0.15;
const isNear = ([x, y]) => x < -50 * PER_DEG && y > 12 * PER_DEG;

const rings = readFileSync(0, 'utf8').trim().split('\n').map((line) => {
    const [country, state, ...numbers] = line.trim().split(/\s+/);
    const points = [];
    for (let i = 0; i + 1 < numbers.length; i += 2) {
        const point = [Math.round(numbers[i] * PER_DEG), Math.round(numbers[i + 1] * PER_DEG)];
        const last = points.at(-1);
        if (!last || last[0] !== point[0] || last[1] !== point[1]) points.push(point);
    }
    return { country, state, points };
});

// Every edge once, with whose it is: one owner is a shore, two are a border.
const edges = new Map();
const nameOf = ([x, y]) => `${x},${y}`;
for (const { country, state, points } of rings)
    for (let i = 0; i + 1 < points.length; i++) {
        const [from, to] = [nameOf(points[i]), nameOf(points[i + 1])];
        const key = from < to ? `${from} ${to}` : `${to} ${from}`;
        const edge = edges.get(key) ?? { ends: key.split(' '), owners: [] };
        edge.owners.push({ country, state });
        edges.set(key, edge);
    }
const kindOf = ({ owners }) => (owners.length === 1 ? 'shore' : owners.some(({ country }) => country !== owners[0].country) ? 'country' : owners.some(({ state }) => state !== owners[0].state) ? 'state' : null);

const pointOf = (name) => name.split(',').map(Number);
const meet = new Map();
for (const edge of edges.values()) {
    edge.kind = kindOf(edge);
    if (edge.kind) for (const end of edge.ends) meet.set(end, [...(meet.get(end) ?? []), edge]);
}
/** Where lines of several kinds, or more than two, meet: such a corner stays. */
const isNode = (end) => meet.get(end).length !== 2 || meet.get(end)[0].kind !== meet.get(end)[1].kind;

// From node to node along edges of one kind; rings without a node are closed where they began.
const used = new Set();
function walk(kind, edge, from) {
    const line = [from];
    for (let here = from, next = edge; next; ) {
        used.add(next);
        here = next.ends[0] === here ? next.ends[1] : next.ends[0];
        line.push(here);
        if (isNode(here) || here === from) break;
        next = meet.get(here).find((one) => !used.has(one) && one.kind === kind);
    }
    return line.map(pointOf);
}
function chains(kind) {
    const lines = [];
    for (const [end, all] of meet) if (isNode(end)) for (const edge of all) if (edge.kind === kind && !used.has(edge)) lines.push(walk(kind, edge, end));
    for (const edge of edges.values()) if (edge.kind === kind && !used.has(edge)) lines.push(walk(kind, edge, edge.ends[0]));
    return lines;
}

// Douglas and Peucker (1973), in degrees with longitudes shrunk by the latitude.
function thin(points) {
    if (points.length < 3) return points;
    const tolerance = (points.some(isNear) ? FINE : COARSE) * PER_DEG, keep = new Set([0, points.length - 1]), todo = [[0, points.length - 1]];
    const isClosed = nameOf(points[0]) === nameOf(points.at(-1));
    if (isClosed) {
        const far = points.reduce((best, point, i) => (Math.hypot(point[0] - points[0][0], point[1] - points[0][1]) > Math.hypot(points[best][0] - points[0][0], points[best][1] - points[0][1]) ? i : best), 0);
        keep.add(far);
        todo.splice(0, 1, [0, far], [far, points.length - 1]);
    }
    const shrink = Math.cos((points[0][1] / PER_DEG) * Math.PI / 180);
    while (todo.length) {
        const [a, b] = todo.pop(), [ax, ay] = points[a], dx = (points[b][0] - ax) * shrink, dy = points[b][1] - ay, span = Math.hypot(dx, dy);
        let most = tolerance, at = -1;
        for (let i = a + 1; i < b; i++) {
            const x = (points[i][0] - ax) * shrink, y = points[i][1] - ay;
            const off = span ? Math.abs(x * dy - y * dx) / span : Math.hypot(x, y);
            if (off > most) [most, at] = [off, i];
        }
        if (at >= 0) {
            keep.add(at);
            todo.push([a, at], [at, b]);
        }
    }
    return points.filter((_, i) => keep.has(i));
}
/** Chains of a shore, joined end to end into rings. */
function close(lines) {
    const ends = new Map(), rings = [];
    for (const line of lines) for (const end of [line[0], line.at(-1)]) ends.set(nameOf(end), [...(ends.get(nameOf(end)) ?? []), line]);
    const taken = new Set();
    for (const first of lines) {
        if (taken.has(first)) continue;
        taken.add(first);
        const ring = [...first];
        while (nameOf(ring[0]) !== nameOf(ring.at(-1))) {
            const here = nameOf(ring.at(-1)), next = ends.get(here).find((line) => !taken.has(line));
            if (!next) break;
            taken.add(next);
            ring.push(...(nameOf(next[0]) === here ? next : [...next].reverse()).slice(1));
        }
        rings.push(ring);
    }
    return rings;
}
const areaOf = (ring) => Math.abs(ring.reduce((sum, [x, y], i) => { const [u, v] = ring[(i + 1) % ring.length]; return sum + x * v - u * y; }, 0)) / 2;
const isWorth = (ring) => ring.length > 3 && areaOf(ring) > (ring.some(isNear) ? 0.004 : 0.05) * PER_DEG * PER_DEG;

/** The first corner, then steps: "x,y dx,dy ..." without the blanks that a sign makes needless. */
function write(line) {
    let [x, y] = line[0];
    return [`${x} ${y}`, ...line.slice(1).map(([u, v]) => { const step = `${u - x} ${v - y}`; [x, y] = [u, v]; return step; })].join(' ').replace(/ -/g, '-');
}
const text = (lines) => lines.map((line) => `    '${write(line)}',\n`).join('');
const shore = close(chains('shore').map(thin)).filter(isWorth), country = chains('country').map(thin), state = chains('state').map(thin);
writeFileSync(fileURLToPath(new URL('../src/made/ground.ts', import.meta.url)), `// Made by web/tools/base-map.mjs from Natural Earth (public domain); do not edit.
// Hundredths of a degree, longitude then latitude: the first corner of a line, then its steps. A sign parts two numbers.

/** Closed; land is what an odd number of them lies around. */
export const SHORES: readonly string[] = [
${text(shore)}];
export const COUNTRIES: readonly string[] = [
${text(country)}];
export const STATES: readonly string[] = [
${text(state)}];
`);
console.log(`${shore.length} shores, ${country.length} borders of countries, ${state.length} of states, ${[...shore, ...country, ...state].reduce((sum, line) => sum + line.length, 0)} corners; open rings ${shore.filter((ring) => nameOf(ring[0]) !== nameOf(ring.at(-1))).length}`);
