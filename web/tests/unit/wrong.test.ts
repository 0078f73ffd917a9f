import assert from 'node:assert/strict';
import { test } from 'node:test';

import { Refusal } from '../../src/client';
import { inWords, isNumber, labelOf, measured } from '../../src/wrong';

test('a number alone gets its unit, also with a sign, a comma or a power; what has one keeps it', () => {
    for (const [typed, made] of [['40', '40 gal'], [' 2,5 ', '2.5 gal'], ['-4', '-4 gal'], ['1e9', '1e9 gal'], ['.5', '.5 gal'], ['40 L', '40 L'], ['forty', 'forty'], ['0,4,4', '0,4,4'], ['', '']] as const) assert.equal(measured(typed, 'gal'), made, typed);
    assert.equal(isNumber('1.2.3'), false);
});

test('a field is called by the longest end of its key that has a name, else by the words of the key', () => {
    const labels = { name: 'Name', 'place.name': 'Name of the place' };
    assert.equal(labelOf('place.name', labels), 'Name of the place');
    assert.equal(labelOf('services.yard.name', labels), 'Name');
    assert.equal(labelOf('rig.tanks.fresh.waste_tank', labels), 'tanks fresh waste tank');
});

test('a refusal is one sentence by the name of its field, without the line of a file that nobody saw', () => {
    const refused = (where: string, text: string): Refusal => new Refusal(422, where ? `${where}: ${text}` : text, text);
    assert.equal(inWords(refused('services:5 services.yard.distance', 'far is not a quantity'), { distance: 'How far' }), 'How far: far is not a quantity.');
    assert.equal(inWords(refused('place.elevation=tall', 'tall is not a quantity'), { elevation: 'Height' }), 'Height: tall is not a quantity.');
    assert.equal(inWords(refused('scenario:13 rig.tanks.fresh.level', 'lots is not a quantity')), 'Tanks fresh level: lots is not a quantity.');
    assert.equal(inWords(refused('', 'a stay ends after its arrival')), 'A stay ends after its arrival.');
    assert.equal(inWords(new Refusal(409, 'There is none.')), 'There is none.');
});
