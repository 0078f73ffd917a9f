// What is wrong with something typed, as one sentence by the name of its field; and numbers typed without their unit. Pure.

import { OutOfReach, Refusal } from './client';

export const capital = (says: string): string => says.charAt(0).toUpperCase() + says.slice(1);
/** What the program says inside a line begins small; here it stands alone. */
export const sentence = (says: string): string => `${capital(says)}${/[.!?]$/.test(says) ? '' : '.'}`;

const NUMBER = /^[-+]?(\d+([.,]\d*)?|[.,]\d+)(e[-+]?\d+)?$/i;
export const isNumber = (typed: string): boolean => NUMBER.test(typed.trim());
/** "40" becomes "40 gal"; what has a unit keeps it. Whether there can be so much the program knows. */
export const measured = (typed: string, unit: string): string => (isNumber(typed) ? `${typed.trim().replace(',', '.')} ${unit}` : typed.trim());

/** Names of fields by the end of the program's key for them: "rig.solar", "distance". */
export type Labels = Readonly<Record<string, string>>;

/** The name of the field that a key is about; where no field has one, its words: "rig.tanks.fresh.level" is "tanks fresh level". */
export function labelOf(key: string, labels: Labels): string {
    const found = Object.keys(labels).filter((one) => key === one || key.endsWith(`.${one}`)).sort((a, b) => b.length - a.length)[0];
    return found ? (labels[found] ?? '') : key.split('.').slice(1).join(' ').replace(/_/g, ' ');
}

/** A refusal as one sentence; the line of a file that the reader never saw is left out. */
export function inWords(problem: Refusal, labels: Labels = {}): string {
    const { says, text } = problem;
    if (!text || !says.endsWith(text)) return sentence(says);
    const key = says.slice(0, says.length - text.length).trim().replace(/:$/, '').split(/\s+/).pop()?.split('=')[0] ?? '';
    const label = /^[a-z]\w*(\.[^.:]+)+$/i.test(key) || key in labels ? labelOf(key, labels) : '';
    return label ? `${capital(label)}: ${text.replace(/[.]$/, '')}.` : sentence(text);
}

/** Work that may be refused: its sentence, or null where all went well. Anything else is a fault of the page. */
export async function tryIt(work: () => Promise<unknown>, labels: Labels = {}): Promise<string | null> {
    try {
        await work();
        return null;
    } catch (why) {
        if (why instanceof Refusal) return inWords(why, labels);
        if (why instanceof OutOfReach) return why.message;
        throw why;
    }
}
