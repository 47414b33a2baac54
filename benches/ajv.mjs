// Judges every line of a JSON Lines file with ajv, structure only: formats are not checked, the first error is enough.
import { createReadStream, readFileSync } from "node:fs";
import { createInterface } from "node:readline";
import { createRequire } from "node:module";

const require = createRequire(new URL("../.ci/node/", import.meta.url));
const Ajv = require("ajv/dist/2020").default;
const schema = JSON.parse(readFileSync(new URL("../schema/v1/record.schema.json", import.meta.url)));
const fits = new Ajv({ strict: false, validateFormats: false }).compile(schema);

let wrong = 0;
for await (const line of createInterface({ input: createReadStream(process.argv[2], { highWaterMark: 1 << 20 }), crlfDelay: Infinity })) {
  if (line && !fits(JSON.parse(line))) wrong += 1;
}
process.exitCode = wrong ? 1 : 0;
