// Leaving: a stay is ended, told about, taken back, and followed by the next; and one that is past its day to leave asks first.
import { startCamp } from '../camp.mjs';
import { clean, fits, must, same, settled, SIZES, tabTo, visit } from '../stage.mjs';

export default function leaving(test) {
    for (const size of Object.keys(SIZES)) {
        test(`${size}: we leave, look at what was forecast, take it back, leave earlier, and begin the next stay`, async () => {
            const camp = await startCamp({ book: 'own' });
            await camp.ask('outlook'); // the first forecast of the stay
            await camp.ask('entries', { id: '0123456789abcdef0123456789abcdef', device: 'phone', at: null, sent: null, words: ['grey=full'] });
            const { page, done } = await visit(size, `${camp.url}#/rig`);
            await page.getByRole('link', { name: 'We leave' }).click();
            await page.getByRole('heading', { name: 'Leave Juniper Bench?' }).waitFor();
            await clean(page, 'leaving');
            await fits(page, 'leaving');
            await page.getByRole('link', { name: 'No, we stay' }).click();
            await page.locator('.verdict h1').waitFor();
            must((await camp.ask('state')).stay, 'the stay goes on');
            await page.goto(`${camp.url}#/rig/leave`);
            await page.getByRole('button', { name: 'Yes, the stay is over' }).click();
            await page.getByRole('heading', { name: 'You have left Juniper Bench' }).waitFor();
            const told = await camp.ask('left');
            for (const sentence of told.says) await page.getByText(sentence).waitFor();
            same(await page.locator('.left tbody tr').count(), told.supplies.length, 'supplies compared');
            must(/\(.+ to .+\)/.test(await page.locator('.left tbody').innerText()), 'what was forecast');
            await clean(page, 'a stay that is over');
            await fits(page, 'a stay that is over');
            for (const path of ['read', 'try', 'plan', 'rig', 'why/grey', 'place']) {
                await page.goto(`${camp.url}#/${path}`);
                await page.getByRole('heading', { name: 'You have left Juniper Bench' }).waitFor();
            }
            for (const [path, shows] of [['lists', 'Nights'], ['places', 'Places'], ['settings', 'Settings']]) {
                await page.goto(`${camp.url}#/${path}`);
                await page.getByRole('heading', { name: shows }).first().waitFor();
            }
            await page.reload();
            await page.goto(`${camp.url}#/now`);
            await page.getByRole('button', { name: 'We have not left' }).click();
            await page.locator('.verdict h1').waitFor();
            must((await camp.ask('state')).stay, 'the stay goes on again');

            // Before the last reading it cannot have ended: the sentence says so. Afterwards the next stay, with what was in the tanks.
            await page.goto(`${camp.url}#/rig/leave`);
            await page.getByRole('button', { name: 'earlier' }).click();
            await page.getByLabel('By the clock of the place').fill('2026-06-09T07:30');
            await page.getByRole('button', { name: 'Yes, the stay is over' }).click();
            await page.getByRole('alert').filter({ hasText: 'later than that' }).waitFor();
            await page.getByRole('button', { name: 'now', exact: true }).click();
            await page.getByRole('button', { name: 'Yes, the stay is over' }).click();
            await page.getByRole('link', { name: 'Begin the next stay' }).click();
            await page.getByLabel('Name of the place').fill('Tin Cup');
            await page.getByLabel('Roughly where').selectOption({ label: 'Rocky Mountains' });
            await page.getByRole('button', { name: 'Begin', exact: true }).click();
            await page.locator('.verdict h1').waitFor();
            same((await camp.ask('state')).stay.place, 'Tin Cup', 'where the stay is');
            await done(true); // the refusal is on the console
            await camp.stop();
        });

        test(`${size}, by keyboard alone: we leave, and have not left`, async () => {
            const camp = await startCamp({ book: 'own' });
            const { page, done } = await visit(size, `${camp.url}#/rig`);
            await page.getByRole('link', { name: 'We leave' }).waitFor();
            await tabTo(page, /^We leave$/);
            await page.keyboard.press('Enter');
            await page.getByRole('heading', { name: 'Leave Juniper Bench?' }).waitFor();
            await tabTo(page, /^Yes, the stay is over$/);
            await page.keyboard.press('Enter');
            await page.getByRole('heading', { name: 'You have left Juniper Bench' }).waitFor();
            await tabTo(page, /^We have not left$/);
            await page.keyboard.press('Enter');
            await page.locator('.verdict h1').waitFor();
            must((await camp.ask('state')).stay, 'the stay goes on again');
            await done();
            await camp.stop();
        });

        test(`${size}: past the day to leave it asks first whether we are still there`, async () => {
            const camp = await startCamp({ book: 'own' });
            await camp.stop(false);
            await camp.start('2026-06-23T16:00Z');
            const { page, done } = await visit(size, camp.url);
            await page.getByRole('heading', { name: 'Are you still at Juniper Bench?' }).waitFor();
            await settled(page);
            await clean(page, 'past the day to leave');
            await fits(page, 'past the day to leave');
            const ask = await page.locator('.overdue').boundingBox(), verdict = await page.locator('.verdict').boundingBox();
            must(ask.y < verdict.y && ask.y + ask.height < 844, `asked first, in sight: ${JSON.stringify(ask)}`);
            await page.getByRole('link', { name: 'We have left' }).click();
            await page.getByRole('heading', { name: 'Leave Juniper Bench?' }).waitFor();
            await page.getByRole('link', { name: 'No, we stay' }).click();
            await page.getByRole('button', { name: 'Still here' }).click();
            await page.getByLabel('Until').fill('2026-06-26T11:00');
            await page.getByRole('button', { name: 'Stay until then' }).click();
            await page.getByRole('heading', { name: 'Are you still at Juniper Bench?' }).waitFor({ state: 'detached' });
            await page.getByText('leave Fri 26 Jun, 11:00').waitFor();
            same((await camp.ask('state')).stay.until.slice(0, 16), '2026-06-26T11:00', 'the new day to leave');
            await done();
            await camp.stop();
        });
    }
}
