// Changes to a scenario's text: its comments and its order stay, only the named keys are written. Paths are those of
// `leeway outlook --what-if` and of the assumptions: an item of a list by its name or number, or left out where it is the only one.

import { isMap, isScalar, isSeq, parse, parseDocument, stringify, type Document, type Node, type YAMLMap, type YAMLSeq } from 'yaml';

import type { Json, JsonValue } from './client';
import { SHORT } from './made/keys';

/** Every value as the text that stands there: what it means is the program's to say. */
export function readScenario(text: string): Json | null {
    try {
        const read = parse(text, { schema: 'failsafe' }) as unknown;
        return typeof read === 'object' && read !== null && !Array.isArray(read) ? (read as Json) : null;
    } catch {
        return null;
    }
}

const named = (item: unknown, name: string): boolean => isMap(item) && item.get('name') === name;

/** A map as YAML: lists of maps with a map a line. */
export const writeYaml = (map: Json): string => stringify(map, { lineWidth: 0 });

/** Where in a list a step leads; null: the only item is meant without being named. */
function indexIn(list: YAMLSeq, step: string): number | null {
    const byName = list.items.findIndex((item) => named(item, step));
    if (byName >= 0) return byName;
    const number = /^\d+$/.test(step) ? Number(step) - 1 : -1;
    if (number >= 0 && number < list.items.length) return number;
    if (list.items.length === 1) return null;
    throw new Error(`${step} names nothing in this list`);
}

function put(doc: Document, path: string, value: string): void {
    const steps = path.split('.');
    let here: Node = doc.contents as Node, key = '';
    const into = (parent: YAMLMap | YAMLSeq, at: string | number): Node => {
        let child = parent.get(at, true) as Node | undefined;
        // A plain value stands for one of the keys below it; then those keys are spelled out.
        if (isScalar(child) && child.value !== null) {
            const stands = SHORT[key];
            if (!stands) throw new Error(`${key} is a plain value, nothing below it can be set`);
            const map = doc.createNode({ [stands]: child.value }) as unknown as YAMLMap;
            parent.set(at, map);
            child = map;
        } else if (child === undefined || isScalar(child)) {
            child = doc.createNode({}) as unknown as YAMLMap;
            parent.set(at, child);
        }
        return child;
    };
    for (let i = 0; i < steps.length; i++) {
        const step = steps[i] ?? '', isLast = i === steps.length - 1;
        if (isSeq(here)) {
            const at = indexIn(here, step);
            if (at === null) {
                key += '[]';
                here = into(here, 0);
                i--; /* the step itself is meant inside the only item */
                continue;
            }
            key += '[]';
            here = into(here, at);
            continue;
        }
        if (!isMap(here)) throw new Error(`${path} leads into nothing`);
        key = key ? `${key}.${step}` : step;
        if (isLast) here.set(step, value);
        else here = into(here, step);
    }
}

export function withChanges(text: string, changes: Iterable<readonly [string, string]>): string {
    const doc = parseDocument(text, { schema: 'failsafe' });
    const problem = doc.errors[0];
    if (problem) throw new Error(problem.message);
    for (const [path, value] of changes) put(doc, path, value);
    return doc.toString({ lineWidth: 0 });
}

/** With this list in place of that of the stay: its events, or the generator's windows. */
export function withList(text: string, key: 'events' | 'generator', list: readonly JsonValue[]): string {
    const doc = parseDocument(text, { schema: 'failsafe' });
    const problem = doc.errors[0];
    if (problem) throw new Error(problem.message);
    if (list.length) doc.setIn(['stay', key], doc.createNode(list));
    else doc.deleteIn(['stay', key]);
    return doc.toString({ lineWidth: 0 });
}

/** The same rig and crew at another place; the weather is that place's usual one. */
export function elsewhere(text: string, place: Json, stay: Json): string {
    const doc = parseDocument(text, { schema: 'failsafe' });
    doc.set('place', doc.createNode(place));
    doc.set('stay', doc.createNode(stay));
    doc.delete('weather');
    return doc.toString({ lineWidth: 0 });
}
