import assert from 'node:assert/strict';
import { test } from 'node:test';

import { bandPath, inTheWay, runsOf, thickness, wayPath, type YearPlace } from '../../src/year';

const month = (warm_frac: number, cool_frac: number, is_way = false): YearPlace['months'][number] => ({ low_c: 0, high_c: 20, warm_frac, cool_frac, is_mild: Math.min(warm_frac, cool_frac) >= 0.8, is_way });
const place = (on: (k: number) => boolean): YearPlace => ({ name: 'one', latitude_deg: 0, longitude_deg: 0, elevation_m: 0, is_of_book: true, months: Array.from({ length: 12 }, (_, k) => month(1, 1, on(k))) });

test('a band has each month\'s own chance in its middle and closes on itself', () => {
    const chance = Array.from({ length: 12 }, (_, k) => (k === 3 ? 1 : 0.2));
    assert.equal(thickness(chance, 3.5), 1);
    assert.ok(Math.abs(thickness(chance, 3) - 0.6) < 1e-12);
    assert.ok(Math.abs(thickness([1, ...chance.slice(1, 11), 0], 0) - 0.5) < 1e-12);
    assert.ok(Math.abs(thickness([1, ...chance.slice(1, 11), 0], 12) - 0.5) < 1e-12);
});

test('a band of one month is as wide as it', () => {
    const xs = [...bandPath(Array<number>(12).fill(1), { from: 4, until: 5 }).matchAll(/([\d.]+) [\d.]+/g)].map(([, x]) => Number(x));
    assert.equal(Math.min(...xs), 4);
    assert.equal(Math.max(...xs), 5);
});

test('runs are whole, and months apart are two', () => {
    assert.deepEqual(runsOf([1, 1, 0, 1], (one) => one === 1), [{ from: 0, until: 2 }, { from: 3, until: 4 }]);
});

test('what is in the way is the lesser of both chances', () => {
    assert.equal(inTheWay(month(0.1, 0.9)), 'cold');
    assert.equal(inTheWay(month(0.9, 0.1)), 'hot');
    assert.equal(inTheWay(month(0.9, 0.9)), null);
});

test('the way has a bead a month and breaks where it is nowhere', () => {
    const { line, beads } = wayPath([place((k) => k < 3), place((k) => k === 3 || k > 8)]);
    assert.equal(beads.split('M').length - 1, 7);
    assert.equal(line, 'M0.5 0.5L1.5 0.5L2.5 0.5L3.5 1.5M9.5 1.5L10.5 1.5L11.5 1.5');
});
