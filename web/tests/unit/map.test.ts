import assert from 'node:assert/strict';
import { test } from 'node:test';

import { SHORES } from '../../src/made/ground';
import { barOf, boxOf, fit, isWithin, latitudeOf, longitudeOf, namesOf, offOf, pathOf, readLine, ringOf, together, xOf, yOf, zoomed, type Mark } from '../../src/map';

const near = (came: number, want: number, within: number, what: string): void => assert.ok(Math.abs(came - want) <= within, `${what}: ${came} came, ${want} was wanted`);

test('spots are drawn where EPSG 3857 has them', () => {
    // IOGP guidance note 7-2, Popular Visualisation Pseudo-Mercator: 24 22 54.433 N, 100 20 00.000 W is E -11169055.58, N 2800000.00.
    // Its sphere of 6378137 m is 20037508.34 m from the middle to the edge. 1 m: the example's own rounding of the latitude is less.
    const half_m = 20037508.342789;
    near((xOf(-(100 + 20 / 60)) - 0.5) * 2 * half_m, -11169055.58, 1, 'east');
    near((0.5 - yOf(24 + 22 / 60 + 54.433 / 3600)) * 2 * half_m, 2800000, 1, 'north');
});

test('there and back is the same spot', () => {
    for (const latitude of [-60, -1, 0, 38.2, 71]) near(latitudeOf(yOf(latitude)), latitude, 1e-9, 'latitude');
    for (const longitude of [-179, -111.1, 0, 179]) near(longitudeOf(xOf(longitude)), longitude, 1e-9, 'longitude');
});

test('the ground has land where land is and water where lakes are', () => {
    const shores = SHORES.map(readLine);
    // Well known spots, far from any shore: cities and the middles of lakes and seas (from memory, to half a degree).
    const land: [string, number, number][] = [['Denver', 39.74, -104.99], ['Winnipeg', 49.9, -97.14], ['Chihuahua', 28.63, -106.08], ['Anchorage', 61.22, -149.6], ['Madrid', 40.42, -3.7], ['Grand Rapids', 42.96, -85.67]];
    const water: [string, number, number][] = [['Lake Superior', 47.7, -87.5], ['Lake Michigan', 43.5, -87], ['Lake Huron', 44.8, -82.4], ['Lake Erie', 42.2, -81.2], ['the Gulf of Mexico', 25, -90], ['the Pacific', 35, -130], ['Hudson Bay', 60, -85]];
    for (const [name, latitude_deg, longitude_deg] of land) assert.ok(isWithin(shores, { latitude_deg, longitude_deg }), `${name} is in the water`);
    for (const [name, latitude_deg, longitude_deg] of water) assert.ok(!isWithin(shores, { latitude_deg, longitude_deg }), `${name} is land`);
});

test('all marks are in the picture, and what is under the finger stays there', () => {
    const spots = [{ latitude_deg: 36, longitude_deg: -112 }, { latitude_deg: 41, longitude_deg: -108 }];
    const view = fit(spots, 390, 500);
    for (const spot of spots) {
        const off = offOf(view, spot);
        assert.ok(Math.abs(off.x) < 195 && Math.abs(off.y) < 250, JSON.stringify(off));
    }
    const spot = spots[0] ?? { latitude_deg: 0, longitude_deg: 0 }, before = offOf(view, spot), nearer = zoomed(view, 2, before.x, before.y), after = offOf(nearer, spot);
    near(after.x, before.x, 1e-6, 'x');
    near(after.y, before.y, 1e-6, 'y');
    const box = boxOf(view, 390, 500);
    assert.ok(box.west < -112 && box.east > -108 && box.south < 36 && box.north > 41, JSON.stringify(box));
});

test('a box over the seam of the map has its west in the east', () => {
    const box = boxOf(fit([{ latitude_deg: 52, longitude_deg: 179.5 }, { latitude_deg: 52, longitude_deg: -179.5 }], 400, 400), 400, 400);
    assert.ok(box.west > 170 && box.east < -170, JSON.stringify(box));
});

test('marks that hide each other become one with their number, own places never', () => {
    const at = (id: string, longitude_deg: number, isOwn = false): Mark => ({ id, latitude_deg: 38.1, longitude_deg, shape: 'square', letter: 'W', name: id, isOwn });
    const view = { x: xOf(-111), y: yOf(38.1), world_px: 100_000 };
    const shown = together([at('one', -111), at('two', -111.001), at('far', -112), at('mine', -111, true)], view);
    assert.deepEqual(shown.map((mark) => mark.count ?? 1).sort(), [1, 1, 2]);
    assert.ok(shown.some((mark) => mark.id === 'mine'));
});

test('no name of an own place lies over another: left of its mark where the right is taken, none where both are', () => {
    const at = (id: string, x: number, y: number, isOwn = true): { mark: Mark; x: number; y: number } => ({ mark: { id, latitude_deg: 38, longitude_deg: -111, shape: 'flag', letter: 'A', name: 'a place of some letters', isOwn }, x, y });
    const sides = namesOf([at('first', 0, 0), at('beside', 4, 3), at('again', -2, -3), at('below', 0, 40), at('edge', 150, 80), at('map', 0, 100, false)], 360);
    assert.deepEqual([...sides], [['first', 'right'], ['beside', 'left'], ['below', 'right'], ['edge', 'left']]);
});

test('a path has what shows of a line, and nothing of one that does not', () => {
    const view = { x: xOf(-111), y: yOf(38), world_px: 100_000 };
    const here = ringOf([-111, 38, -110.9, 38, -110.9, 38.1, -111, 38]), far = ringOf([10, 38, 10.1, 38, 10.1, 38.1, 10, 38]);
    assert.match(pathOf([here], view, 0.01, 0.01, true), /^M0 0L27\.8 0L27\.8 -35\.\dL0 0Z$/);
    assert.equal(pathOf([far], view, 0.01, 0.01, true), '');
});

test('the scale is a round length of the ground at its latitude', () => {
    // A degree of longitude on the sphere of the projection: 111319.49 m at the equator, times the cosine of the latitude.
    const view = { x: xOf(-111), y: yOf(60), world_px: 360 * 1000 };
    const bar = barOf(view, false);
    assert.equal(bar.says, '5 km');
    near(bar.px, (5000 / (111319.49 * 0.5)) * 1000, 0.1, 'its width');
    assert.equal(barOf(view, true).says, '2 mi');
});
