// Drives the page of `lodegrid web --serve` in Chromium as a person would: loads it,
// switches a pixel on with the mouse, reads the meters through their text mirror, drops
// a level table and a design on the window, and makes sure that nothing was asked of
// any other place. Usage: node drive.mjs URL TABLE.csv DESIGN.toml PICTURE.png
import { chromium } from 'playwright-core';

const [url, table, design, picture] = process.argv.slice(2);
const origin = new URL(url).origin;
let failed = 0;
const check = (ok, what) => {
  console.log((ok ? 'ok    ' : 'FAIL  ') + what);
  if (!ok) failed++;
};

const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM || '/usr/bin/chromium',
  args: ['--no-sandbox', '--use-angle=swiftshader', '--enable-unsafe-swiftshader', '--disable-quic', '--no-first-run', '--disable-background-networking'],
});
const page = await browser.newPage({ viewport: { width: 1280, height: 800 } });
page.setDefaultTimeout(120000); // a machine with other work on it
const elsewhere = [], errors = [];
page.on('request', (r) => {
  if (!r.url().startsWith(origin + '/') && !r.url().startsWith('blob:' + origin) && !r.url().startsWith('data:')) elsewhere.push(r.url());
});
page.on('pageerror', (e) => errors.push(e.message));
page.on('console', (m) => { if (m.type() === 'error') errors.push(m.text()); });

const meters = () => page.locator('#lodegrid-meters').textContent();
// until waits for the meters to say what is looked for and returns the match.
async function until(pattern, what, timeout = 60000) {
  const end = Date.now() + timeout;
  let text = '';
  while (Date.now() < end) {
    text = (await meters()) ?? '';
    const m = text.match(pattern);
    if (m) return m;
    await page.waitForTimeout(200);
  }
  check(false, `${what}: the meters say ${JSON.stringify(text)}`);
  return null;
}

const started = Date.now();
const response = await page.goto(url);
check(response.ok(), `the page loads (${response.status()})`);
const program = await page.waitForResponse((r) => r.url().endsWith('lodegrid.wasm.gz'), { timeout: 120000 }).catch(() => null);
check(program !== null && program.status() === 200, 'the program comes compressed');
const packed = program === null ? 0 : (await program.body()).length / 1e6;
check(packed > 1 && packed < 8, `the program has ${packed.toFixed(2)} MB, less than 8`);
await page.locator('canvas').waitFor({ timeout: 120000 });
const first = await until(/Supply power ([\d.]+) W now/, 'power at the start');
if (first) check(Number(first[1]) > 1, `meters after ${Date.now() - started} ms: ${first[0]}`);
for (const words of ['Hottest coil', 'Lit pixels that lose their drop']) check(((await meters()) ?? '').includes(words), `the meters tell: ${words}`);
check(await page.locator('#loading').isHidden(), 'the loading words are gone');
check(await page.locator('#lodegrid-meters[aria-live="polite"]').count() === 1, 'the meters are a live region');

// Pause, so that the scene stands, and read how many are lit.
await page.mouse.move(640, 770);
await page.keyboard.press('Space');
await page.waitForTimeout(2500);
const lit = await until(/lose their drop: \d+ of (\d+)/, 'lit pixels');
const powerBefore = await until(/Supply power ([\d.]+) W now/, 'power before');
const box = await page.locator('canvas').boundingBox();
// The upper left pixel, dark in the demo's first frames.
await page.mouse.move(box.x + 131, box.y + 83);
await page.mouse.down();
await page.waitForTimeout(200);
await page.mouse.up();
if (lit && powerBefore) {
  const more = await until(new RegExp(`lose their drop: \\d+ of ${Number(lit[1]) + 1}\\b`), 'one more lit pixel');
  check(more !== null, `a click lights one more pixel than the ${lit[1]}`);
  const powerAfter = await until(/Supply power ([\d.]+) W now/, 'power after');
  if (powerAfter) check(Number(powerAfter[1]) > Number(powerBefore[1]), `power rises from ${powerBefore[1]} W to ${powerAfter[1]} W`);
}
await page.screenshot({ path: picture });
console.log('screenshot in', picture);

// What was painted and where the scene stood is there again after a reload.
const litNow = await until(/lose their drop: \d+ of (\d+)/, 'lit pixels before the reload');
await page.waitForTimeout(1500);
await page.reload();
await until(/Time [\d.]+ of/, 'meters after the reload');
if (litNow) check(await until(new RegExp(`lose their drop: \\d+ of ${litNow[1]}\\b`), 'lit pixels after the reload') !== null, 'a reload keeps what was painted');

// Drop files as the desktop would.
const cdp = await page.context().newCDPSession(page);
async function drop(file) {
  const data = { items: [], files: [file], dragOperationsMask: 1 };
  for (const type of ['dragEnter', 'dragOver', 'drop']) {
    await cdp.send('Input.dispatchDragEvent', { type, x: 400, y: 300, data });
    await page.waitForTimeout(100);
  }
}
await drop(table);
// At the demo's speed, 0.0167.
check(await until(/of 419\.2 s/, 'a dropped level table is played') !== null, 'a dropped level table of 7 s is played');
await drop(design);
check(await until(/of 3\.0 s/, "the dropped design's scene") !== null, "the dropped design's scene of 3 s is played");
await page.screenshot({ path: picture.replace(/\.png$/, '-dropped.png') });

// A finger that is lifted at once lights its pixel, on a telephone held upright; and
// opened as a file the page says what to do.
const phone = await browser.newContext({ viewport: { width: 390, height: 760 }, hasTouch: true, isMobile: true });
const upright = await phone.newPage();
await upright.goto(url);
await upright.locator('#lodegrid-meters', { hasText: 'Supply power' }).waitFor({ state: 'attached', timeout: 60000 });
const touch = await phone.newCDPSession(upright);
await touch.send('Input.dispatchTouchEvent', { type: 'touchStart', touchPoints: [{ x: 60, y: 40 }] });
await touch.send('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] });
const painted = await upright.waitForFunction(() => Object.values({ ...localStorage }).some((v) => /"Hands":\{"\d+":1\}/.test(v)), null, { timeout: 30000 }).catch(() => null);
check(painted !== null, 'a tap of no length lights a pixel');
await upright.screenshot({ path: picture.replace(/\.png$/, '-upright.png') });
await phone.close();
const file = await browser.newPage();
await file.goto('file://' + process.cwd() + '/cmd/lodegrid/web/index.html');
await file.waitForTimeout(500);
check(/web server/.test(await file.locator('#loading-words').textContent()), 'opened as a file the page says what to do');

check(elsewhere.length === 0, `nothing is asked of another place${elsewhere.length ? ': ' + elsewhere.join(', ') : ''}`);
check(errors.length === 0, `the page reports no error${errors.length ? ': ' + errors.join('; ') : ''}`);
await browser.close();
console.log(failed === 0 ? 'browser page: all as it should be' : `browser page: ${failed} checks failed`);
process.exit(failed === 0 ? 0 : 1);
