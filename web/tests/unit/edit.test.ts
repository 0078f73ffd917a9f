import assert from 'node:assert/strict';
import { test } from 'node:test';

import { elsewhere, readScenario, withChanges } from '../../src/edit-text';

const CAMP = `# our camp
leeway: 1
rig:
  kind: class-c # rented
  tanks:
    fresh:
      - {name: main, capacity: 45 gal}
      - {name: jugs, capacity: 14 gal}
    grey: 36 gal
  solar: 200 W
crew: 2 adults
place: {latitude: 38.2 N, longitude: 111.1 W}
stay: {arrive: 2026-06-08 15:00}
`;
const changed = (path: string, value: string): ReturnType<typeof readScenario> => readScenario(withChanges(CAMP, [[path, value]]));
const at = (scenario: unknown, path: string): unknown => path.split('.').reduce<unknown>((here, key) => (here as Record<string, unknown> | undefined)?.[key], scenario);

test('comments and what was not changed stay as they were typed', () => {
    const text = withChanges(CAMP, [['rig.solar', '400 W']]);
    assert.match(text, /^# our camp\n/);
    assert.match(text, /class-c # rented/);
    assert.match(text, /solar: 400 W/);
    assert.match(text, /arrive: 2026-06-08 15:00/);
});

test('an item of a list is named by its name or its number', () => {
    assert.equal(at(changed('rig.tanks.fresh.jugs.level', '1/3'), 'rig.tanks.fresh.1.level'), '1/3');
    assert.equal(at(changed('rig.tanks.fresh.1.level', '1/3'), 'rig.tanks.fresh.0.level'), '1/3');
    assert.throws(() => changed('rig.tanks.fresh.bladder.level', '1/3'), /bladder/);
});

test('a plain value is spelled out when a key below it is set', () => {
    assert.deepEqual(at(changed('rig.tanks.grey.residue', '1 gal'), 'rig.tanks.grey'), { capacity: '36 gal', residue: '1 gal' });
    assert.deepEqual(at(changed('crew.habits.dishes', 'paper'), 'crew'), { people: '2 adults', habits: { dishes: 'paper' } });
    assert.deepEqual(at(changed('rig.solar.tilt', '30 deg'), 'rig.solar'), { rated: '200 W', tilt: '30 deg' });
});

test('what was not there is made', () => assert.equal(at(changed('rig.cabin.day', '62 F'), 'rig.cabin.day'), '62 F'));

test('every value is the text that stands there', () => {
    assert.deepEqual(readScenario('leeway: 1\na: {b: no, c: 1e3, d: 08:00, e: ~}'), { leeway: '1', a: { b: 'no', c: '1e3', d: '08:00', e: '~' } });
    assert.equal(readScenario('- a list'), null);
    assert.equal(readScenario('a: [1'), null);
});

test('a new place keeps rig and crew and drops the old weather', () => {
    const moved = readScenario(elsewhere(`${CAMP}weather: {high: 84 F, low: 50 F}\n`, { latitude: '45 N', longitude: '120 W' }, { arrive: '2026-07-01 12:00' }));
    assert.deepEqual(moved?.place, { latitude: '45 N', longitude: '120 W' });
    assert.equal(at(moved, 'rig.kind'), 'class-c');
    assert.equal(moved?.weather, undefined);
});
