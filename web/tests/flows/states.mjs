// Loading, empty, refused, old and out of reach: what each view shows then, at both sizes. And that the page can reach nobody else.
import { startCamp } from '../camp.mjs';
import { clean, fits, must, same, settled, SIZES, unknow, visit } from '../stage.mjs';

const SAYS = 'place.latitude: 95 is no latitude.';
const refused = (route) => route.fulfill({ status: 422, contentType: 'application/json', body: JSON.stringify({ schema: 'leeway.refusal/1', says: SAYS }) });

/** Each view that asks for something of its own: what it asks, and what has to be pressed before. */
const ASKERS = [
    { path: 'lists', of: '**/api/1/ledger' },
    { path: 'lists/leaving', of: '**/api/1/checklists*' },
    { path: 'why/grey', of: '**/api/1/history*' },
    { path: 'rig', of: '**/api/1/outlook?*assumptions*' },
    { path: 'rig/new', of: '**/api/1/starts' },
    { path: 'place', of: '**/api/1/outlook*', press: 'Judge it' },
];

export default function states(test) {
    for (const size of Object.keys(SIZES)) {
        test(`${size}: loading, refused, old, and a part that cannot be fetched: each says so`, async () => {
            const camp = await startCamp({ book: 'demo' });
            const { page, done } = await visit(size, `${camp.url}#/settings`);
            await page.getByRole('heading', { name: 'Settings' }).waitFor();

            // Loading: nothing is known, and the answer takes its time.
            await unknow(page, camp.url);
            let go;
            const held = new Promise((done) => (go = done));
            await page.route('**/api/1/outlook*', async (route) => { await held; await route.continue(); });
            await page.goto(`${camp.url}#/now`);
            await page.locator('main > .waiting[aria-busy="true"]').waitFor();
            same(await page.locator('main > .waiting .unseen').innerText(), 'Asking the camper', 'what a screen reader hears');
            await clean(page, 'loading');
            go();
            await page.locator('.verdict h1').waitFor();
            await settled(page);
            await page.unroute('**/api/1/outlook*');

            // Refused: the program's sentence, in the view that asked.
            for (const { path, of, press } of ASKERS) {
                await page.route(of, refused);
                await page.goto(`${camp.url}#/${path}`);
                if (press) await page.getByRole('button', { name: press }).click();
                await page.getByText(SAYS).first().waitFor();
                await fits(page, path);
                await page.unroute(of);
            }
            await clean(page, 'a refusal');

            // Old: what was known stays, and says from when; the entry form is still there.
            await page.route('**/api/**', (route) => route.abort());
            await page.goto(`${camp.url}#/now`);
            await page.reload();
            await page.getByText(/The camper does not answer\. What you see is from/).waitFor();
            for (const [path, shows] of [['now', '.verdict h1'], ['read', '.gauges li'], ['try', '.try .lead'], ['plan', '.plan h1'], ['rig', '.rig h1'], ['why/grey', '.why h1']]) {
                await page.goto(`${camp.url}#/${path}`);
                await page.locator(shows).first().waitFor();
                await page.getByText(/What you see is from/).waitFor();
            }
            await page.unroute('**/api/**');

            // A part that cannot be fetched.
            await page.goto(`${camp.url}#/now`);
            await page.reload();
            await settled(page);
            await page.route('**/*.js', (route) => route.abort());
            await page.goto(`${camp.url}#/lists`);
            await page.getByRole('heading', { name: 'Not here' }).waitFor();
            await clean(page, 'a part that cannot be fetched');
            await done(true);
            await camp.stop();
        });
    }

    test('an empty book: every view that needs a stay offers set-up and the demo', async () => {
        const camp = await startCamp({ book: 'empty' });
        const { page, done } = await visit('phone', camp.url);
        for (const path of ['now', 'read', 'try', 'plan', 'lists', 'why/grey']) {
            await page.goto(`${camp.url}#/${path}`);
            await page.getByRole('heading', { name: /How long can you stay/ }).waitFor();
        }
        await done();
        await camp.stop();
    });

    test('the page can reach nobody but the camper: its own policy stops it', async () => {
        const camp = await startCamp({ book: 'demo' });
        const { page, context } = await visit('phone', camp.url);
        const stopped = await page.evaluate(
            () =>
                new Promise((done) => {
                    addEventListener('securitypolicyviolation', (event) => done(event.effectiveDirective));
                    void fetch('http://elsewhere.test/').catch(() => undefined);
                }),
        );
        same(stopped, 'connect-src', 'what stops it');
        const loaded = await page.evaluate(() => new Promise((done) => Object.assign(new Image(), { onload: () => done('loaded'), onerror: () => done('stopped') }).src = 'http://elsewhere.test/a.png'));
        same(loaded, 'stopped', 'a picture from elsewhere');
        await context.close();
        await camp.stop();
    });

    test('vessels and people whose names hold blanks and numbers', async () => {
        const camp = await startCamp({ book: 'empty' });
        await camp.ask('begin', {
            scenario:
                'leeway: 1\nrig:\n  kind: class-c\n  tanks:\n    fresh:\n      - {name: main tank, capacity: 30 gal, level: 10 gal}\n      - {name: jug 2, capacity: 6 gal, level: 1 gal}\n    grey:\n      - {name: kitchen grey 2, capacity: 20 gal}\n      - {name: bath, capacity: 18 gal}\n' +
                'crew:\n  people: [{name: Aunt May, kind: adult}, {name: Aunt Sue, kind: adult}]\nplace: {name: Test Flat, latitude: 38 N, longitude: 111 W}\nstay: {arrive: 2026-06-08 15:00}\nweather: {high: 84 F, low: 50 F}\n',
        });
        const { page, done } = await visit('phone', `${camp.url}#/read`);
        const keep = page.getByRole('button', { name: /^Keep th/ });
        await page.locator('.gauges li').filter({ has: page.getByRole('heading', { name: 'Grey water: kitchen grey 2' }) }).getByRole('button', { name: '1/3' }).click();
        await keep.click();
        await camp.until((kept) => kept.length === 1 && kept[0].target === 'grey/kitchen grey 2', 'a reading of kitchen grey 2');
        await page.locator('.gauges li').filter({ has: page.getByRole('heading', { name: 'Grey water: all on one gauge' }) }).getByRole('button', { name: '2/3' }).click();
        await keep.click();
        await camp.until((kept) => kept.length === 2, 'a reading of all grey');
        await page.goto(`${camp.url}#/try`);
        await page.getByRole('slider', { name: /^Fresh water, jug 2/ }).press('End');
        await page.locator('.deltas li').first().waitFor();
        await fits(page, 'what is tried');
        await page.getByRole('button', { name: 'We did it' }).click();
        await camp.until((kept) => kept.some((one) => one.kind === 'filled' && one.target === 'fresh/jug 2'), 'jug 2 filled');
        await page.goto(`${camp.url}#/rig`);
        await page.getByRole('button', { name: 'Aunt May leaves' }).click();
        await page.getByText('1 at the table.').waitFor();
        await page.getByLabel('Called').fill('Old Tom');
        await page.getByRole('button', { name: 'Welcome' }).click();
        await page.getByText('Old Tom', { exact: true }).waitFor();
        await page.getByRole('button', { name: 'Old Tom leaves' }).click();
        await page.getByText('1 at the table.').waitFor();
        const kept = await camp.ask('history');
        must(kept.entries.filter((one) => one.kind === 'people').length === 3, 'three comings and goings');
        await done();
        await camp.stop();
    });
}
