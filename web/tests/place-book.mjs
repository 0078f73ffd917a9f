// An invented household with invented places and small map files, for the tests of places and their pictures.
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

import { startCamp } from './camp.mjs';

const root = fileURLToPath(new URL('../..', import.meta.url));

export const PLACES = [
    { name: 'Larkspur Flat', latitude_deg: 38.1, longitude_deg: -112.4, elevation_m: 1890, change: ['manager=BLM Juniper', 'stay_rule=blm-usual', 'fee=0 USD', 'water=not-potable', 'services=toilets', 'rigs=12', 'length=40 ft', 'road.surface=gravel', 'road.distance=4 mi', 'road.grade=6 %', 'road.dry_only=yes', 'road.season=04-15 to 11-20', 'room+={chance: 40 %, days: Fri-Sun}', 'room+={chance: 90 %}', 'signal+={line: Anycell, chance: 80 %}', 'nearby+={what: Sandlot rim trail, time: 25 min}', 'rules.office=Juniper office, 555-0142', 'rules.food_storage=no', 'quiet=22:00-6:00', 'confirmed=2026-05-30', 'confirmed_by=Ottilie', 'notes=level ground at the far end'] },
    { name: 'Cottonwood Wash', latitude_deg: 38.57, longitude_deg: -112.0, elevation_m: 1720, change: ['manager=High Juniper Forest', 'fee=12 USD', 'length=24 ft', 'road.surface=dirt', 'signal+={line: Anycell, chance: 30 %}'] },
    { name: 'Three Antler', latitude_deg: 37.7, longitude_deg: -113.0, elevation_m: 2300, change: ['fee=0 USD', 'road.surface=paved'] },
];

/** From the low desert to the high plateau: a year's worth of them. */
export const YEAR = [
    ['Saltbush Draw', 33.0, -114.2, 120], ['Ironwood Wash', 32.4, -112.8, 520], ['Agave Bench', 33.9, -112.1, 860], ['Sycamore Bar', 34.6, -111.8, 1080],
    ['Piñon Shelf', 35.3, -111.9, 1980], ['Mesquite Pan', 36.6, -114.4, 510], ['Aspen Fork', 37.6, -112.6, 2560],
].map(([name, latitude_deg, longitude_deg, elevation_m]) => ({ name, latitude_deg, longitude_deg, elevation_m, change: ['fee=0 USD'] }));

/** The demo's household as somebody's own, with these places alone. */
export async function startYear() {
    const camp = await startCamp({ book: 'own' });
    for (const place of YEAR) await camp.ask('places', place);
    return camp;
}

/** One line of the household is of a network whose masts are known, behind a ridge (tests/reference/signal). */
export async function startSignal() {
    const camp = await startCamp({ book: 'empty' });
    const scenario = readFileSync(`${root}/examples/family-at-work.yaml`, 'utf8').replace('{name: first phone,', '{name: first phone, network: 901-101,');
    await camp.ask('begin', { scenario });
    if (camp.run('import', `${root}/tests/reference/signal/cells.csv`) || camp.run('import', `${root}/tests/reference/terrain/N38W112.hgt.gz`)) throw new Error('masts or terrain are not taken in');
    return camp;
}

/** The demo's household as somebody's own, with these places and what tests/reference/ has of spots and lands around them. */
export async function startPlaces() {
    const camp = await startCamp({ book: 'own' });
    for (const place of PLACES) {
        const made = await camp.ask('places', place);
        if (made.schema !== 'leeway.place/1') throw new Error(`${place.name}: ${made.says}`);
    }
    for (const file of ['land/land.geojson', 'places/services.geojson', 'roads/roads.geojson'])
        if (camp.run('import', `${root}/tests/reference/${file}`, '--source', file.split('/')[1], '--credit', 'invented, for tests')) throw new Error(`${file} is not taken in`);
    if (camp.run('import', `${root}/tests/reference/terrain/N38W112.hgt.gz`)) throw new Error('the terrain is not taken in');
    return camp;
}
