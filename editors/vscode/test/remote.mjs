// A browser that is told what to do, a JSON array a line: ["wait", selector, text], ["gone", selector],
// ["click", selector], ["text", selector], ["count", selector], ["shot", name]. It answers each with a line.
// Usage: node remote.mjs ADDRESS CHROMIUM
import { createInterface } from 'node:readline';
import { chromium } from 'playwright-core';

const [address, executablePath] = process.argv.slice(2);
const browser = await chromium.launch({ executablePath, args: ['--no-sandbox'] });
const page = await browser.newPage({ viewport: { width: 1360, height: 900 } });
page.setDefaultTimeout(20_000);
const acts = {
  wait: (selector, text) => page.locator(selector).filter({ hasText: text }).first().waitFor({ state: 'attached' }),
  gone: (selector) => page.locator(selector).first().waitFor({ state: 'detached' }),
  click: (selector) => page.locator(selector).first().click(),
  text: (selector) => page.locator(selector).first().innerText(),
  count: (selector) => page.locator(selector).count(),
  shot: (name) => page.screenshot({ path: `${process.env.SEWABLE_SHOTS}/${name}.png` }).then(() => ''),
};
await page.goto(address);
for await (const line of createInterface({ input: process.stdin })) {
  const [act, ...how] = JSON.parse(line);
  const answer = await acts[act](...how).then((value) => ({ value: String(value ?? '') }), (problem) => ({ problem: problem.message }));
  console.log(JSON.stringify(answer));
}
await browser.close();
