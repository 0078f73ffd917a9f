// Renews docs/pictures/: each view at the size of a phone and of a laptop, of the demo household on a summer morning.
//   node web/tools/pictures.mjs [FOLDER [WORD]]     only views whose name holds WORD; needs build/release/leeway with the page in it, and Chromium
import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

import { chromium } from 'playwright-core';

import { startCamp } from '../tests/camp.mjs';
import { startPlaces, startYear } from '../tests/place-book.mjs';

const folder = process.argv[2] ?? fileURLToPath(new URL('../../docs/pictures', import.meta.url));
const SIZES = { phone: { width: 390, height: 844, scale: 1.5 }, laptop: { width: 1280, height: 800, scale: 1 } };
const still = (page) => page.waitForFunction(() => !document.querySelector('[aria-busy="true"]') && document.querySelector('main h1, main h2'), null, { timeout: 120_000 });

const TRIP = `leeway: 1
trip: {from: 2026-07-10, until: 2026-07-24, start: Quarry Flat, drive_days: Mon-Sun, supplies_chance: 50 %, work_chance: 50 %}
places:
  - {name: Quarry Flat, latitude: 37.1 N, longitude: 112.4 W, elevation: 5600 ft, worth: 35 USD, signal: 85 %, everything: yes}
  - {name: Ferry Bend, latitude: 37.3 N, longitude: 111.6 W, elevation: 4300 ft, worth: 90 USD, fee: 4 USD, signal: 80 %, everything: yes, until: 2026-07-14}
  - {name: Tin Cup, latitude: 37.3 N, longitude: 112.1 W, elevation: 5900 ft, worth: 60 USD, signal: 82 %, everything: yes, caution: deep sand left of the gate}
`;
const VIEWS = [
    { name: 'first-start', book: 'empty', path: 'now' },
    { name: 'set-up', book: 'empty', path: 'rig', prepare: async (page) => {
        await page.getByText('Camper van, 20 ft').click();
        await page.evaluate(() => document.activeElement?.blur());
    } },
    { name: 'now', path: 'now' },
    { name: 'now-night', path: 'now', look: 'night' },
    { name: 'now-sunlight', path: 'now', look: 'sun' },
    { name: 'why', path: 'why/grey' },
    { name: 'readings', path: 'read', prepare: async (page) => {
        await page.locator('.gauges li').filter({ has: page.getByRole('heading', { name: 'Grey water' }) }).getByRole('button', { name: '1/3' }).click();
        await page.locator('.gauges li').filter({ has: page.getByRole('heading', { name: 'Black water' }) }).getByRole('button', { name: 'empty' }).click();
    } },
    { name: 'what-if', path: 'try', prepare: async (page) => {
        await page.getByLabel('Dishes').selectOption({ label: 'Paper plates; only pots and knives are washed' });
        await page.locator('.deltas li').first().waitFor();
        await still(page);
    } },
    { name: 'what-if-filled', path: 'try', prepare: async (page) => {
        await page.getByRole('button', { name: 'Dump grey' }).click();
        await page.getByRole('slider', { name: /^Drinking water/ }).press('End');
        await page.locator('.deltas li').first().waitFor();
        await still(page);
    } },
    { name: 'plan', book: 'own', path: 'plan', prepare: async (page) => {
        await page.getByRole('button', { name: 'Take the errand that is due' }).click();
        await page.getByRole('slider', { name: 'Errand 1' }).waitFor();
        await still(page);
        await page.evaluate(() => scrollTo(0, 0));
    } },
    ...['bring', 'buy', 'months'].map((part) => ({ name: `plan-${part}`, path: `plan/${part}`, prepare: async (page) => {
        await page.getByRole('button', { name: 'Work it out' }).click();
        await still(page);
    } })),
    { name: 'plan-cost', path: 'plan/cost', prepare: async (page) => {
        await page.getByLabel(/^The way there/).fill('120');
        await page.getByLabel(/^The way of a run/).fill('14');
        await page.getByRole('button', { name: 'Add it up again' }).click();
        await page.getByText('Fuel to get there').first().waitFor();
        await still(page);
        await page.evaluate(() => (document.activeElement?.blur(), scrollTo(0, 0)));
    } },
    { name: 'plan-convoy', path: 'plan/convoy', prepare: async (page) => {
        await page.getByRole('button', { name: 'Lend something' }).click();
        await page.getByLabel(/^Called/).fill('little car');
        await page.getByLabel(/^Water it brings/).fill('28');
        await page.getByLabel(/^Grey water it takes/).fill('28');
        await page.getByRole('button', { name: 'Make our share file' }).click();
        const file = await page.getByRole('link', { name: 'Save it for the others' }).getAttribute('href');
        const theirs = { ...JSON.parse(decodeURIComponent(file.split(',')[1])), household: 'Snug Harbour', lends: [] };
        await page.locator('input[type=file]').setInputFiles({ name: 'theirs.json', mimeType: 'application/json', buffer: Buffer.from(JSON.stringify(theirs)) });
        await page.getByRole('button', { name: 'Plan together' }).click();
        await page.getByRole('heading', { name: 'Who pays what' }).waitFor({ timeout: 120_000 });
        await page.locator('#together').scrollIntoViewIfNeeded();
        await page.evaluate(() => document.querySelector('#together').scrollIntoView());
    } },
    { name: 'plan-around', path: 'plan/around' },
    { name: 'plan-trip', book: 'own', path: 'plan/trip', prepare: async (page) => {
        // The book of both sizes is one: what the first has planned is there for the second.
        const begin = page.getByRole('button', { name: 'Begin with our places' });
        await begin.or(page.locator('.stops li')).first().waitFor({ timeout: 120_000 });
        if (await begin.isVisible()) {
            await begin.click();
            await page.getByLabel('The trip, as text').fill(TRIP);
            await page.getByLabel('Called').fill('a fortnight');
            await page.getByRole('button', { name: 'Plan it' }).click();
            await page.locator('.stops li').first().waitFor({ timeout: 120_000 });
        }
        await page.waitForFunction(() => !document.querySelector('.trip[aria-busy="true"]'), null, { timeout: 120_000 });
        await page.evaluate(() => (document.activeElement?.blur(), document.querySelector('.trip').scrollIntoView()));
    } },
    { name: 'plan-year', book: 'year', path: 'plan/trip', prepare: async (page) => {
        await page.getByRole('button', { name: 'The year round' }).click();
        await page.locator('.months .row').first().waitFor();
        await still(page);
        await page.evaluate(() => (document.activeElement?.blur(), document.querySelector('.year .way').scrollIntoView()));
    } },
    { name: 'places', book: 'places', path: 'places', prepare: async (page) => {
        await page.waitForFunction(() => document.querySelectorAll('.map .own').length === 4 && document.querySelectorAll('.map .area').length >= 2);
    } },
    { name: 'place-sheet', book: 'places', path: 'places', prepare: async (page) => {
        await page.locator('.found').getByRole('link', { name: /Three Antler/ }).click();
        await page.getByRole('heading', { name: 'Three Antler' }).waitFor();
        await still(page);
    } },
    { name: 'lists', book: 'own', path: 'lists', prepare: async (page) => {
        for (const [spent, on, what] of [['18', 'camp', 'two nights'], ['23.50', 'propane', ''], ['64.20', 'food', 'town']]) {
            await page.getByLabel('Spent').fill(spent);
            await page.getByRole('combobox', { name: /^On/ }).selectOption(on);
            await page.getByLabel('What for').fill(what);
            await page.getByRole('button', { name: 'Put it down' }).click();
            await page.getByRole('button', { name: 'Put it down', disabled: true }).waitFor();
            await page.getByRole('button', { name: 'Close' }).click();
        }
        await page.locator('.bars').getByText('Food').waitFor();
        await page.locator('#money').scrollIntoViewIfNeeded();
    } },
    { name: 'rig-and-crew', path: 'rig' },
    { name: 'new-place', path: 'place', prepare: async (page) => {
        await page.getByRole('button', { name: 'yes', exact: true }).click();
        await page.getByRole('button', { name: 'Judge it' }).click();
        await page.locator('.judged').waitFor();
        await page.locator('.judged').scrollIntoViewIfNeeded();
    } },
    { name: 'left', book: 'left', path: 'now' },
    { name: 'checklist', path: 'lists/leaving' },
    { name: 'settings', path: 'settings' },
];

const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium', args: ['--no-sandbox'] });
/** Lossy WebP keeps a picture of text and flat colour at some 40 kB; the browser itself can write it. */
async function asWebp(png) {
    const page = await browser.newPage();
    const text = await page.evaluate(async (data) => {
        const image = new Image();
        image.src = `data:image/png;base64,${data}`;
        await image.decode();
        const canvas = Object.assign(document.createElement('canvas'), { width: image.width, height: image.height });
        canvas.getContext('2d').drawImage(image, 0, 0);
        return canvas.toDataURL('image/webp', 0.82);
    }, png.toString('base64'));
    await page.close();
    return Buffer.from(text.split(',')[1], 'base64');
}

mkdirSync(folder, { recursive: true });
const camps = { empty: await startCamp({ book: 'empty' }), demo: await startCamp({ book: 'demo' }), own: await startCamp({ book: 'own' }), places: await startPlaces(), year: await startYear(), left: await startCamp({ book: 'own' }) };
await camps.left.ask('outlook');
await camps.left.ask('entries', { id: '0123456789abcdef0123456789abcdef', device: 'phone', at: null, sent: null, words: ['grey=full'] });
await camps.left.ask('left', {});
for (const [size, { width, height, scale }] of Object.entries(SIZES))
    for (const view of VIEWS.filter(({ name }) => name.includes(process.argv[3] ?? ''))) {
        const context = await browser.newContext({ viewport: { width, height }, deviceScaleFactor: scale, hasTouch: size === 'phone', reducedMotion: 'reduce' });
        const page = await context.newPage();
        await page.addInitScript((look) => look && localStorage.setItem('leeway.look', look), view.look ?? null);
        await page.goto(`${camps[view.book ?? 'demo'].url}#/${view.path}`);
        await still(page);
        await view.prepare?.(page);
        await page.waitForTimeout(400);
        writeFileSync(join(folder, `${view.name}-${size}.webp`), await asWebp(await page.screenshot()));
        if (process.env.PNG) writeFileSync(join(process.env.PNG, `${view.name}-${size}.png`), await page.screenshot());
        await context.close();
    }
for (const camp of Object.values(camps)) await camp.stop();
await browser.close();
