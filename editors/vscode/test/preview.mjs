// Drives `sewable preview` in Chromium, in a copy of the harbour repository.
// Usage: node preview.mjs FOLDER CHROMIUM. What it saw goes to $SEWABLE_OUT, pictures of the screen
// to the folder $SEWABLE_SHOTS.
import { spawn } from 'node:child_process';
import { readFileSync, renameSync, writeFileSync } from 'node:fs';
import { chromium } from 'playwright-core';

const [folder, executablePath] = process.argv.slice(2);
const out = { requests: [], complaints: [] };
const shot = (page, name) => page.screenshot({ path: `${process.env.SEWABLE_SHOTS}/preview-${name}.png` });

// preview starts the command and waits for its address. What it prints later is kept.
async function preview(file) {
  const child = spawn('sewable', ['preview', file], { cwd: folder, stdio: ['ignore', 'pipe', 'inherit'] });
  const run = { child, printed: '' };
  await new Promise((resolve, reject) => {
    child.stdout.on('data', (text) => {
      run.printed += text;
      if (run.printed.includes('Ctrl-C')) resolve();
    });
    child.on('exit', (code) => reject(new Error(`the preview left with ${code}`)));
  });
  run.url = run.printed.split('\n')[0];
  return run;
}

const path = (name) => `${folder}/${name}`;
const edit = (name, old, text) => {
  const before = readFileSync(path(name), 'utf8');
  if (!before.includes(old)) throw new Error(`${name} has no ${old}`);
  writeFileSync(path(name), before.replace(old, text));
};

// watched notes whatever a page asks for, and whatever it complains of.
async function open(context, url) {
  const page = await context.newPage();
  page.setDefaultTimeout(20_000);
  page.on('request', (r) => out.requests.push(new URL(r.url()).host === new URL(url).host ? 'own' : r.url()));
  page.on('console', (m) => m.type() === 'error' && out.complaints.push(m.text()));
  page.on('pageerror', (e) => out.complaints.push(e.stack));
  page.on('dialog', (d) => { out.complaints.push(`a dialog: ${d.message()}`); d.dismiss(); });
  await page.goto(url);
  return page;
}

const patch = (page, label) => page.locator(`#drawing [data-patch="${label}"]`);
const text = (page, selector) => page.locator(selector).innerText();
const until = (page, selector, part) => page.locator(selector).filter({ hasText: part }).first().waitFor();

async function reading(page, run) {
  await patch(page, 'T1').waitFor();
  out.title = await text(page, 'h1');
  out.state = await text(page, '#state');
  out.patches = await page.locator('#drawing [data-patch]').count();
  out.aria = await page.locator('main').ariaSnapshot();
  await shot(page, 'light');

  // The mouse on a patch; a click.
  await patch(page, 'S2').hover();
  out.tip = await text(page, '#tip');
  out.facts = await text(page, '#patch');
  await shot(page, 'tip');
  await patch(page, 'S2').click();
  await until(page, '#went', 'lighthouse.block');
  out.went = await text(page, '#went');
  out.printed = run.printed.trim().split('\n').at(-1);
  await page.mouse.move(5, 5);
}

async function keyboard(page) {
  // The sewing, a step at a time.
  await page.evaluate(() => document.activeElement.blur());
  for (const n of [1, 2, 3]) {
    await page.keyboard.press('ArrowRight');
    await until(page, '#count', `${n} of 62`);
  }
  await page.locator('#drawing.stepping .now').waitFor();
  await page.locator('#drawing .labels text').nth(2).waitFor(); // the drawing comes after the count
  out.third = await text(page, '#words');
  out.sewn = await page.locator('#drawing .labels text').count();
  await page.keyboard.press('ArrowLeft');
  await until(page, '#count', '2 of 62');
  await page.locator('#step').focus();
  await page.keyboard.press('End');
  await until(page, '#count', '62 of 62');
  out.last = await text(page, '#words');
  await page.locator('#step').fill('27');
  await until(page, '#count', '27 of 62');
  await page.locator('#drawing.stepping .now').waitFor();
  await shot(page, 'half-way');
  await page.locator('#play').press('Enter');
  await until(page, '#count', '29 of 62');
  await page.locator('#play').press('Enter');
  out.play = await text(page, '#play');
  await page.locator('#play').blur();
  await page.keyboard.press('Escape');
  await until(page, '#count', '62 steps');
  await page.locator('#drawing:not(.stepping) svg').waitFor();

  // From patch to patch, and to a line.
  await page.locator('#grey input').focus();
  await page.keyboard.press('Tab');
  const focused = () => page.evaluate(() => document.activeElement.getAttribute('aria-label') ?? document.activeElement.id);
  out.focus = [await focused()];
  await page.keyboard.press('ArrowRight');
  out.focus.push(await focused());
  out.tipOnFocus = await text(page, '#tip');
  await page.keyboard.press('End');
  out.focus.push(await focused());
  await page.locator('#went').evaluate((e) => { e.textContent = ''; });
  await page.keyboard.press('Enter');
  await until(page, '#went', 'lighthouse.block');
  out.entered = await text(page, '#went');
  await page.evaluate(() => document.activeElement.blur());
}

async function choosing(page) {
  const fill = () => patch(page, 'T10').getAttribute('fill');
  out.night = await fill();
  await page.locator('#colourway select').selectOption('dawn');
  await page.locator(`#drawing [data-patch="T10"]:not([fill="${out.night}"])`).waitFor();
  out.dawn = await fill();
  await shot(page, 'colourway');
  await page.locator('#grey input').check();
  await page.locator('#drawing .hatches path').first().waitFor();
  await shot(page, 'greys');
  await page.locator('#grey input').uncheck();
  await page.getByRole('button', { name: 'T Tower' }).click();
  await patch(page, 'S1').waitFor({ state: 'detached' });
  out.alone = await page.locator('#drawing [data-patch]').count();
  out.steps = await text(page, '#count');
  await page.locator('#side select').selectOption('printed');
  await page.locator('#drawing svg[aria-label*="mirrored"]').waitFor();
  await shot(page, 'section');
  await page.locator('#side select').selectOption('');
  await page.getByRole('button', { name: 'Whole block' }).click();
  await patch(page, 'S1').waitFor();
  await page.locator('#colourway select').selectOption('');
  await page.locator(`#drawing [data-patch="T10"][fill="${out.night}"]`).waitFor();

  const ground = () => page.evaluate(() => getComputedStyle(document.body).backgroundColor);
  out.day = await ground();
  await page.emulateMedia({ colorScheme: 'dark', reducedMotion: 'reduce' });
  out.dark = await ground();
  await page.keyboard.press('ArrowRight');
  await page.locator('#drawing.stepping .now').waitFor();
  out.stillness = await page.locator('#drawing .now').evaluate((e) => getComputedStyle(e).animationName);
  await page.keyboard.press('Escape');
  await page.locator('#drawing:not(.stepping) svg').waitFor();
  await shot(page, 'dark');
  await page.emulateMedia({ colorScheme: 'light', reducedMotion: 'no-preference' });
}

async function saving(page) {
  const line = 'patch  6 signal beyond (4, 4 5/8)         (9, 4 5/8)';
  edit('lighthouse.block', line, line.replace('signal', 'kelp'));
  await page.locator('#drawing [data-patch="T6"][fill="#3c5b4a"]').waitFor();
  edit('lighthouse.block', line.replace('signal', 'kelp'), `${line.replace('signal', 'signl')}`);
  await until(page, '#findings', 'There is no fabric called signl');
  await page.locator('#drawing .findings path title').first().waitFor({ state: 'attached' });
  out.tally = await text(page, '#tally');
  await shot(page, 'finding');
  await page.locator('#findings button').first().click();
  await until(page, '#went', 'lighthouse.block:');
  // A line that is half typed.
  const top = async () => (await page.locator('#drawing').boundingBox()).y;
  const before = await top();
  edit('lighthouse.block', line.replace('signal', 'signl'), 'patch 6 signal beyond (4,');
  await page.locator('#drawing [data-patch="T6"]').waitFor({ state: 'detached' });
  await until(page, '#findings', 'found the end of the line');
  out.moved = (await top()) - before;
  out.kept = await page.locator('#drawing [data-patch]').count();
  await shot(page, 'broken');
  // Saved as many editors do.
  writeFileSync(path('new'), readFileSync(path('lighthouse.block'), 'utf8').replace('patch 6 signal beyond (4,', line));
  renameSync(path('new'), path('lighthouse.block'));
  await page.locator('#old').waitFor({ state: 'hidden' });
  await until(page, '#state', 'Sewable');
  edit('palette.block', '"Signal red"', '"Port light"');
  await until(page, '#fabrics', 'Port light');
}

async function hostile(context) {
  const bad = '</script><img src=x onerror=alert(1)><script>alert(2)</script>';
  writeFileSync(path('bad.block'), readFileSync(path('dinghy.block'), 'utf8')
    .replace('Matchbox Dinghy', bad).replace('use "palette.block"', 'use "bad-palette.block"').replace('Late sail', bad));
  writeFileSync(path('bad-palette.block'), readFileSync(path('palette.block'), 'utf8').replace('Morning sky', bad));
  const run = await preview('bad.block');
  const page = await open(context, run.url);
  await patch(page, 'A1').waitFor();
  await patch(page, 'A2').hover();
  out.bad = bad;
  out.badTitle = await text(page, 'h1');
  out.badTip = await text(page, '#tip');
  out.badElements = await page.evaluate(() => document.querySelectorAll('img, script:not([src]), [onerror]').length);
  await shot(page, 'hostile');
  // Nothing that gets into the page could run.
  out.ran = await page.evaluate(() => {
    try {
      const script = document.createElement('script');
      script.textContent = 'window.ran = true';
      document.body.append(script);
    } catch { /* the policy */ }
    return window.ran ?? false;
  });
  out.complaints = out.complaints.filter((text) => !text.includes('TrustedScript')); // of that
  await page.close();
  run.child.kill('SIGINT');
}

async function strangers(context, run) {
  const page = await context.newPage();
  const status = async (url) => (await page.goto(url)).status();
  const { host, port, pathname } = new URL(run.url);
  out.wrongSecret = await status(`http://${host}/${'A'.repeat(pathname.length - 2)}/`);
  out.noSecret = await status(`http://${host}/`);
  out.otherName = await status(`http://evil.example:${port}${pathname}`); // which points at this machine
  const printed = run.printed;
  await page.route('http://other.example/', (route) => route.fulfill({ contentType: 'text/html', body: 'another page' }));
  await page.goto('http://other.example/');
  out.stolen = await page.evaluate(async (url) => {
    const tries = [
      fetch(url).then((r) => r.text()),
      fetch(`${url}goto`, { method: 'POST', body: '{"line": 1, "column": 1}', headers: { 'Content-Type': 'application/json' } }).then((r) => r.text()),
      fetch(`${url}goto`, { method: 'POST', mode: 'no-cors', body: '{"line": 1, "column": 1}' }).then((r) => r.text()),
      new Promise((resolve, reject) => {
        const frame = Object.assign(document.createElement('iframe'), { src: url });
        frame.onload = () => { try { resolve(frame.contentDocument.body.innerText); } catch (e) { reject(e); } };
        document.body.append(frame);
      }),
    ];
    return (await Promise.allSettled(tries)).map((t) => t.value ?? '').join('');
  }, run.url);
  out.printedForStrangers = run.printed.slice(printed.length);
  await page.close();
}

async function session() {
  const browser = await chromium.launch({ executablePath, args: ['--no-sandbox', '--host-resolver-rules=MAP *.example 127.0.0.1'] });
  const context = await browser.newContext({ viewport: { width: 1360, height: 900 } });
  const run = await preview('lighthouse.block');
  const page = await open(context, run.url);
  try {
    await reading(page, run);
    await keyboard(page);
    await choosing(page);
    await saving(page);
    await page.setViewportSize({ width: 390, height: 844 });
    out.sideways = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
    await shot(page, 'phone');
    await page.setViewportSize({ width: 1360, height: 900 });
    await hostile(context);
    await strangers(context, run);
    run.child.removeAllListeners('exit');
    page.removeAllListeners('console'); // it will complain that nobody answers
    run.child.kill('SIGINT');
    await page.locator('#banner').waitFor();
    out.banner = await text(page, '#banner');
    await shot(page, 'ended');
  } catch (problem) {
    out.problem = `${problem.stack}\n${out.complaints.join('\n')}`;
    await shot(page, 'problem');
  }
  run.child.removeAllListeners('exit');
  run.child.kill('SIGINT');
  await browser.close();
}

await session();
writeFileSync(process.env.SEWABLE_OUT, JSON.stringify(out));
process.exit(0);
