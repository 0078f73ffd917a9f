import assert from 'node:assert/strict';
import { test } from 'node:test';

import type { Chart, Line } from '../../src/chart';
import { drawLine, drawSky, drawUnder } from '../../src/draw';

const line = (more: Partial<Line>): Line => ({ supply: 'grey', name: '', left: '', ends: '', isBinding: false, sure: 0.2, even: 0.5, best: 1, goesOn: true, fade: [], was: [], readings: [], deeds: [], ...more });
const day = (i: number, of: number, more: object = {}) => ({ from: i / of, to: (i + 1) / of, name: ['Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat', 'Sun'][i % 7] ?? '', date: `${i} Jun`, isFirstOfWeek: i % 7 === 0, isWork: i % 7 < 5, weather: null, ...more });
const chart = (more: Partial<Chart>): Chart => ({ from_ms: 0, days_shown: 14, now: 0, lines: [], days: [], marks: [], spans: [], weather_c: { high: 30, low: 0 }, ...more });
const numbers = (d: string): number[] => [...d.matchAll(/-?\d+(\.\d+)?/g)].map(([text]) => Number(text));
const count = (d: string): number => d.split('M').length - 1;

test('a line thins from its whole height to as much as its chance, and stops where the axis ends', () => {
    const { fade } = drawLine(line({ fade: [{ at: 0.2, chance: 1 }, { at: 0.6, chance: 0.5 }, { at: 1.4, chance: 0.1 }] }), 0);
    const points = numbers(fade);
    assert.ok(points.filter((_, i) => i % 2 === 0).every((x) => x >= 200 && x <= 1000), fade);
    assert.deepEqual(points.slice(0, 6), [200, -7, 600, -3.85, 1000, -2.59]); // half way from 0.6 to 1.4: chance 0.3
});

test('what thins out beyond the axis alone is not drawn', () => assert.equal(drawLine(line({ sure: 1, fade: [{ at: 1.1, chance: 1 }, { at: 1.4, chance: 0.1 }] }), 0).fade, ''));

test('readings of a whole supply are strokes, of one vessel among several dots; an exact one is still seen', () => {
    const { reads, dots } = drawLine(line({ readings: [{ at: 0.1, low: 0.5, high: 0.5 }, { at: 0.2, low: 0, high: 1 }, { at: 0.3, low: null, high: null }] }), 0);
    assert.equal(reads, 'M100.0 0V2M200.0 -7V7');
    assert.equal(dots, 'M300.0 0h0.1');
});

test('a day is a stroke of its own among those of its kind; less than half a day of hours is none', () => {
    const weather = { date: '', high_c: 20, low_c: 5, clear_frac: 0.9, rain_mm: 0, hours: 24 };
    const sky = drawSky(chart({ days: [day(0, 4, { weather }), day(1, 4, { weather: { ...weather, low_c: -2 } }), day(2, 4, { weather: { ...weather, rain_mm: 8 } }), day(3, 4, { weather: { ...weather, hours: 6 } })] }));
    assert.equal(sky.strokes.reduce((sum, { d }) => sum + count(d), 0), 3);
    assert.equal(sky.strokes.filter(({ isFrost }) => isFrost).reduce((sum, { d }) => sum + count(d), 0), 1);
    assert.deepEqual(sky.drops.map(({ d }) => count(d)), [0, 1, 0]);
});

test('work days in a row are one shade', () => {
    const { work, weeks } = drawUnder(chart({ days: Array.from({ length: 14 }, (_, i) => day(i, 14)) }));
    assert.equal(count(work), 2);
    assert.equal(count(weeks), 1);
});
