// Prints ajv's verdict on every dataset file: `right`, `wrong`, or `text` when it is no JSON.
import { readdirSync, readFileSync } from "node:fs";
import { createRequire } from "node:module";

const require = createRequire(new URL("node/", import.meta.url));
const Ajv = require("ajv/dist/2020").default;
const addFormats = require("ajv-formats").default;

const root = new URL("../", import.meta.url);
const ajv = new Ajv({ strict: true, allErrors: false });
addFormats(ajv);
const fits = ajv.compile(JSON.parse(readFileSync(new URL("schema/v1/record.schema.json", root))));

for (const folder of ["demo", "broken"]) {
  const place = new URL(`datasets/${folder}/`, root);
  for (const name of readdirSync(place).filter((name) => name.endsWith(".oar.json")).sort()) {
    let verdict = "text";
    try {
      verdict = fits(JSON.parse(readFileSync(new URL(name, place), "utf8"))) ? "right" : "wrong";
    } catch (error) {
      if (!(error instanceof SyntaxError)) throw error;
    }
    console.log(`${name}\t${verdict}`);
  }
}
