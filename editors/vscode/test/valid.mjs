// Reads values, one of JSON a line, and says of each what the schema of sewable.toml has
// against it: a line of JSON, null for nothing.
// Usage: node valid.mjs SCHEMA
import { readFileSync } from 'node:fs';
import Ajv from 'ajv/dist/2020.js';

const validate = new Ajv({ allErrors: true }).compile(JSON.parse(readFileSync(process.argv[2], 'utf8')));
for (const line of readFileSync(0, 'utf8').split('\n').filter(Boolean)) {
  console.log(JSON.stringify(validate(JSON.parse(line)) ? null : validate.errors.map((e) => `${e.instancePath} ${e.message}`).join('; ')));
}
