import assert from 'node:assert/strict';
import { test } from 'node:test';

import type { Generator } from '../../src/made/generator';
import { listOf, spansOf, windowsOf } from '../../src/windows';

const ZONE = 'America/Denver'; // six hours behind UTC in June

test('windows of a plan are kept as a scenario writes them, and are found there again until they are over', () => {
    const plan = { windows: [{ from: '2026-06-10T23:00:00Z', until: '2026-06-11T01:00:00Z' }, { from: '2026-06-12T14:00:00Z', until: '2026-06-12T15:00:00Z' }] } as Generator;
    const list = listOf(spansOf(plan), ZONE);
    assert.deepEqual(list, [{ from: '2026-06-10 17:00', until: '2026-06-10 19:00' }, { from: '2026-06-12 08:00', until: '2026-06-12 09:00' }]);
    const scenario = { stay: { generator: list } };
    assert.deepEqual(windowsOf(scenario, Date.parse('2026-06-10T12:00:00Z'), ZONE), spansOf(plan));
    assert.equal(windowsOf(scenario, Date.parse('2026-06-11T01:00:00Z'), ZONE).length, 1);
    assert.deepEqual(windowsOf(null, 0, ZONE), []);
});
