// The parts of the plan, as they stand in its row of links and in the address.

export const PARTS: readonly { what: string; says: string }[] = [
    { what: '', says: 'Days' },
    { what: 'bring', says: 'Bring' },
    { what: 'buy', says: 'Buy' },
    { what: 'cost', says: 'Cost' },
    { what: 'months', says: 'Months' },
    { what: 'convoy', says: 'Convoy' },
    { what: 'trip', says: 'Where next' },
    { what: 'around', says: 'Around' },
];

/** USD as people say it: whole from ten on. */
export const usd = (value: number | null | undefined): string => (value === null || value === undefined ? '–' : `${Math.abs(value) >= 9.995 ? Math.round(value).toLocaleString('en-US') : value.toFixed(2)} USD`);

/** The program's sentences serve its command line too: what names an option or a key there is left out here. */
export function plainly(says: string): string {
    const kept = says.replace(/ \((?=[^()]*(?:--|leeway |[a-z]\.[a-z]))[^()]*\)/g, ''), short = kept.includes('--') ? `${kept.split(/[:;]/)[0] ?? ''}.` : kept;
    return short.charAt(0).toUpperCase() + short.slice(1);
}

/** A query of what is not empty. */
export function query(name: string, wish: Readonly<Record<string, string | readonly string[]>>): string {
    const made = new URLSearchParams();
    for (const [key, value] of Object.entries(wish)) for (const one of typeof value === 'string' ? [value] : value) if (one.trim()) made.append(key, one.trim());
    const text = made.toString();
    return text ? `${name}?${text}` : name;
}
