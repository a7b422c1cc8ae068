// Reads the names of files on standard input, one a line, and writes for each line of
// each file what a TextMate grammar makes of it: {file: [[{start, end, name}]]}, in bytes.
// Usage: node scopes.mjs GRAMMAR
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import oniguruma from 'vscode-oniguruma';
import textmate from 'vscode-textmate';

const wasm = readFileSync(createRequire(import.meta.url).resolve('vscode-oniguruma/release/onig.wasm'));
await oniguruma.loadWASM(wasm);
const path = process.argv[2];
const registry = new textmate.Registry({
  onigLib: Promise.resolve({
    createOnigScanner: (patterns) => new oniguruma.OnigScanner(patterns),
    createOnigString: (text) => new oniguruma.OnigString(text),
  }),
  loadGrammar: async () => textmate.parseRawGrammar(readFileSync(path, 'utf8'), path.endsWith('.json') ? path : path + '.plist'),
});
const grammar = await registry.loadGrammar('source.sewable');
const out = {};
for (const file of readFileSync(0, 'utf8').split('\n').filter(Boolean)) {
  let stack = textmate.INITIAL;
  out[file] = readFileSync(file, 'utf8').split('\n').map((line) => {
    const r = grammar.tokenizeLine(line, stack);
    stack = r.ruleStack;
    const bytes = (index) => Buffer.byteLength(line.slice(0, index));
    return r.tokens.map((t) => ({ start: bytes(t.startIndex), end: bytes(t.endIndex), name: t.scopes.join(' ') }));
  });
}
process.stdout.write(JSON.stringify(out));
