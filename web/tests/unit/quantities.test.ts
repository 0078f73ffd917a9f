import assert from 'node:assert/strict';
import { test } from 'node:test';

import { amount, days, figures, pick, rain, speed, temperature } from '../../src/quantities';

// NIST Handbook 44, appendix C: 1 US gallon = 3.785 411 784 L, 1 lb = 0.453 592 37 kg, both exact.
test('a gallon and a pound are those of Handbook 44', () => {
    assert.equal(amount(3.785411784, 'l', 'us'), '1 gal');
    assert.equal(amount(45.359237, 'kg', 'us'), '100 lb');
    assert.equal(amount(151.4, 'l', 'si'), '151 L');
});

// NIST Special Publication 811, B.8: 1 mile an hour = 0.447 04 m/s; an inch is 25.4 mm; water freezes at 32 F.
test('weather is written in the units of the setting', () => {
    assert.equal(speed(4.4704, 'us'), '10 mph');
    assert.equal(speed(10, 'si'), '36 km/h');
    assert.equal(rain(25.4, 'us'), '1 in');
    assert.equal(temperature(0, 'us'), '32°');
    assert.equal(temperature(-40, 'us'), temperature(-40, 'si'));
});

test('three figures are kept and needless zeros are not', () => {
    assert.deepEqual([0.725, 4.21, 17.14, 109.4, 10, 0].map(figures), ['0.72', '4.21', '17.1', '109', '10', '0']);
});

test('less than two days is said in hours', () => {
    assert.equal(days(2.04), '2 days');
    assert.equal(days(1.0), '24 hours');
    assert.equal(days(1 / 24), '1 hour');
});

test('a key is found by what it ends in, and null is not a number', () => {
    assert.deepEqual(pick({ level_wh: 12 }, 'level_'), { value: 12, unit: 'wh' });
    assert.deepEqual(pick({ use_person_days_per_day: 5 }, 'use_', '_per_day'), { value: 5, unit: 'person_days' });
    assert.equal(pick({ level_l: null }, 'level_'), null);
});
