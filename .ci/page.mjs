// Opens pages in headless Chromium in light and dark, wide and narrow, and on paper. A page fails with an error on the console, a
// request beyond itself, a page that scrolls to the side, or anything that axe-core finds. The arguments are a folder and the names
// of the pages in it; pictures are left beside them.
import { createRequire } from "node:module";
import { readFileSync } from "node:fs";
import { resolve } from "node:path";
import { pathToFileURL } from "node:url";

const require = createRequire(new URL("./node/package.json", import.meta.url));
const { chromium } = require("playwright-core");
const axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");

const [folder, ...names] = process.argv.slice(2);
const sizes = { wide: { width: 1200, height: 900 }, phone: { width: 360, height: 740 } };
const wrong = [];
let passed = 0;

function expect(right, text) {
  if (right) passed += 1;
  else wrong.push(text);
}

/** What axe-core says of a page, in a line for each rule that is not met. */
async function violations(page) {
  await page.evaluate(axe);
  const result = await page.evaluate(() => globalThis.axe.run(document, { resultTypes: ["violations"] }));
  return result.violations.map((one) => `${one.id} (${one.nodes.length}): ${one.help}; first ${one.nodes[0].html.slice(0, 160)}`);
}

async function look(browser, name, scheme, size) {
  const label = `${name}, ${scheme}, ${size}`;
  const context = await browser.newContext({ viewport: sizes[size], colorScheme: scheme, deviceScaleFactor: 1 });
  const page = await context.newPage();
  const url = pathToFileURL(resolve(folder, `${name}.html`)).href;
  const said = [];
  page.on("console", (message) => said.push(message.text()));
  page.on("pageerror", (error) => said.push(String(error)));
  page.on("request", (request) => request.url() === url || said.push(`asks for ${request.url()}`));
  await page.goto(url);
  expect(said.length === 0, `${label}: ${said.join("; ")}`);
  await aside(page, label);
  await page.screenshot({ path: resolve(folder, `${name}-${scheme}-${size}.png`), fullPage: true });
  // Opened, so that the tables behind the figures are looked at too.
  await page.evaluate(() => document.querySelectorAll("details").forEach((one) => (one.open = true)));
  await aside(page, `${label}, opened`);
  for (const line of await violations(page)) wrong.push(`${label}: ${line}`);
  passed += 1;
  await context.close();
}

/** Nothing is wider than the window. */
async function aside(page, label) {
  const [has, room] = await page.evaluate(() => [document.documentElement.scrollWidth, document.documentElement.clientWidth]);
  expect(has <= room, `${label}: the page is ${has} pixels wide where there is room for ${room}`);
}

/** The first Tab goes to the skip link, which is then seen; on paper, what can be opened is open. */
async function keysAndPaper(browser, name) {
  const page = await browser.newPage({ viewport: sizes.wide, colorScheme: "dark" });
  await page.goto(pathToFileURL(resolve(folder, `${name}.html`)).href);
  await page.keyboard.press("Tab");
  const focused = await page.evaluate(() => [document.activeElement.className, document.activeElement.getBoundingClientRect().top]);
  expect(focused[0] === "skip" && focused[1] >= 0, `${name}: the first key press shows no skip link: ${focused}`);
  await page.keyboard.press("Enter");
  // On a busy machine the browser follows the link some time after the key press.
  await page.waitForFunction(() => location.hash !== "", undefined, { timeout: 10_000 }).catch(() => {});
  const [hash, target] = await page.evaluate(() => [location.hash, document.querySelector(":target") !== null]);
  expect(target, `${name}: the skip link leads nowhere: '${hash}'`);
  await page.emulateMedia({ media: "print" });
  const paper = await page.evaluate(() => {
    const table = document.querySelector("figure > details > table");
    return [getComputedStyle(document.body).backgroundColor, table ? table.getBoundingClientRect().height : 1];
  });
  expect(paper[0] === "rgb(255, 255, 255)", `${name}: paper is ${paper[0]}`);
  expect(paper[1] > 0, `${name}: the table behind a figure is not printed`);
  await page.pdf({ path: resolve(folder, `${name}.pdf`), format: "A4", printBackground: true, margin: { top: "15mm", bottom: "15mm", left: "12mm", right: "12mm" } });
  await page.close();
}

const options = { executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update", "--disable-sync"] };
const browser = await chromium.launch(options);
for (const name of names) {
  for (const scheme of ["light", "dark"]) {
    for (const size of Object.keys(sizes)) await look(browser, name, scheme, size);
  }
  await keysAndPaper(browser, name);
}
await browser.close();
console.log(wrong.join("\n"));
console.log(`${passed} passed, ${wrong.length} failed`);
process.exit(wrong.length ? 1 : 0);
