// Opens the dinghy in a VS Code that serves the browser, as a user would see it.
// Usage: node browser.mjs ADDRESS FOLDER CHROMIUM. What it saw goes to $SEWABLE_OUT, pictures
// of the screen to the folder $SEWABLE_SHOTS. What the server said stands in $SEWABLE_SAID.
import { readFileSync, writeFileSync } from 'node:fs';
import { chromium } from 'playwright-core';

const [address, folder, executablePath] = process.argv.slice(2);
const out = {};
const shot = (page, name) => page.screenshot({ path: `${process.env.SEWABLE_SHOTS}/${name}.png` });

// line is the line of the editor that begins with some words. The editor writes blanks as
// hard ones.
const line = (page, words) => page.locator('.view-line').filter({ hasText: new RegExp('^\\s*' + words.replaceAll(' ', '\\s+')) }).first();

// place is where a word of a line stands on the screen: near its end. The editor draws
// its lines anew whenever something arrives for them, so that a place can be gone.
async function place(page, words, word) {
  for (;;) {
    const box = await line(page, words).locator('span span', { hasText: new RegExp(`^\\s*${word}`) }).first().boundingBox();
    if (box) return { x: box.x + box.width - 6, y: box.y + box.height / 2 };
  }
}

// rest lets the mouse rest on a word of a line until the hover shows a text.
async function rest(page, words, word, text) {
  const hover = page.locator('.monaco-hover:not(.hidden)').filter({ hasText: text }).first();
  for (let tries = 1; ; tries++) {
    const { x, y } = await place(page, words, word);
    await page.mouse.move(x - 24, y + 40);
    await page.mouse.move(x, y, { steps: 5 });
    try {
      await hover.waitFor({ timeout: 10_000 });
      return hover;
    } catch (problem) {
      if (tries === 5) throw problem;
      await page.mouse.move(1000, 700);
    }
  }
}

async function session(page) {
  const payload = JSON.stringify([['openFile', `vscode-remote://${new URL(address).host}${folder}/dinghy.block`]]);
  await page.goto(`${address}/?folder=${encodeURIComponent(folder)}&payload=${encodeURIComponent(payload)}`);
  await page.locator('.squiggly-error').first().waitFor({ timeout: 120_000 });
  await page.locator('.codelens-decoration').first().waitFor(); // it moves the lines below it

  // The finding, when the mouse rests on it.
  let hover = await rest(page, 'patch 2', 'skyy', 'There is no fabric called skyy');
  out.finding = (await hover.innerText()).replaceAll('\u00a0', ' ');
  await shot(page, 'finding');

  // The picture of the block, when it rests on a patch.
  hover = await rest(page, 'patch 7', 'patch', 'Harbour blue');
  await hover.locator('img').first().waitFor();
  out.hover = (await hover.innerText()).replaceAll('\u00a0', ' ');
  out.pictures = await hover.locator('img').evaluateAll((images) =>
    Promise.all(images.map(async (i) => {
      await i.decode();
      return { width: i.naturalWidth, height: i.naturalHeight, alt: i.alt };
    })));
  await shot(page, 'hover');
  // Nobody scrolls for the picture: its lower edge is in the hover.
  const [frame, picture] = [await hover.boundingBox(), await hover.locator('img').last().boundingBox()];
  out.seen = picture.y >= frame.y && picture.y + picture.height <= frame.y + frame.height;

  // The light bulb, once the hover is out of the way.
  await page.mouse.move(1000, 700);
  await hover.waitFor({ state: 'hidden' });
  const at = await place(page, 'patch 2', 'skyy');
  await page.mouse.click(at.x, at.y);
  await page.keyboard.press('Control+.');
  const fix = page.locator('.action-widget .monaco-list-row', { hasText: 'sky' }).first();
  await fix.waitFor();
  await shot(page, 'fixes');
  await page.keyboard.press('Enter'); // the first is chosen already
  await page.locator('.squiggly-error').first().waitFor({ state: 'detached' }); // without asking again
  out.fixed = (await line(page, 'patch 2').innerText()).replaceAll('\u00a0', ' ');
  await shot(page, 'mended');

  await preview(page);
}

// preview has the command show the preview. This VS Code, which runs in the browser, opens the
// port by a way of its own, by which the preview lets nobody in; on the machine itself the
// page is reached at the address that the server gave.
async function preview(page) {
  const opened = page.context().waitForEvent('page');
  await page.getByRole('button', { name: 'Show the Preview' }).first().click();
  const beside = await opened;
  await beside.waitForLoadState();
  out.opened = beside.url();
  out.refused = (await beside.locator('body').innerText()).trim();
  const [given] = /http:\/\/127\.0\.0\.1:\d+\/\w+\//.exec(readFileSync(process.env.SEWABLE_SAID, 'utf8'));
  out.port = new URL(given).port;
  await beside.goto(given);

  // It shows the document as it is, not as it was saved, and the patch of the cursor.
  await beside.locator('[data-patch="A2"][fill="#c3dcea"]').waitFor();
  await beside.locator('#patch-head', { hasText: 'A2' }).waitFor();
  out.title = await beside.locator('h1').innerText();
  await page.bringToFront();
  await line(page, 'patch 4').click();
  await beside.bringToFront();
  await beside.locator('#patch-head', { hasText: 'A4' }).waitFor();
  out.lit = await beside.locator('.rings .lit').count();
  await shot(beside, 'preview');

  // A click on a patch brings the editor to its line.
  await beside.locator('[data-patch="A7"]').click();
  await beside.locator('#went', { hasText: 'line 18' }).waitFor();
  await page.bringToFront();
  await page.locator('.statusbar-item', { hasText: 'Ln 18' }).waitFor();
}

const browser = await chromium.launch({ executablePath, args: ['--no-sandbox'] });
const page = await browser.newPage({ viewport: { width: 1280, height: 800 } });
page.setDefaultTimeout(60_000);
try {
  await session(page);
} catch (problem) {
  out.problem = problem.stack;
  await shot(page, 'problem');
}
writeFileSync(process.env.SEWABLE_OUT, JSON.stringify(out));
await browser.close();
