import assert from 'node:assert/strict';
import { test } from 'node:test';

import { changesOf, degreesOf, fieldsOf } from '../../src/place-form';

test('only what was changed is sent, and what was emptied is taken out', () => {
    const before = { ...fieldsOf(null, 'us'), fee: '12 USD', notes: 'shade  at noon' };
    assert.deepEqual(changesOf(before, { ...before, fee: '', notes: 'shade\nat noon', manager: ' BLM Juniper ' }), ['manager=BLM Juniper', 'fee=', 'notes=shade at noon']);
    assert.deepEqual(changesOf(before, { ...before }), []);
});

test('degrees are read with a letter or a sign, and nothing else is', () => {
    assert.equal(degreesOf('38.2 N', 90), 38.2);
    assert.equal(degreesOf('111,1 w', 180), -111.1);
    assert.equal(degreesOf('-111.1', 180), -111.1);
    for (const bad of ['', 'north', '95 N', '38.2.1', '38 2']) assert.equal(degreesOf(bad, 90), null, bad);
});
