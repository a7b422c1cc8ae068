// A session with the protocol's own client library, in the folder it is started in; what
// it saw goes to $SEWABLE_OUT.
import { spawn } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { pathToFileURL } from 'node:url';
import lsp from 'vscode-languageserver-protocol/node';

const out = {};
const server = spawn('sewable', ['lsp'], { stdio: ['pipe', 'pipe', 'inherit'] });
const connection = lsp.createProtocolConnection(
  new lsp.StreamMessageReader(server.stdout),
  new lsp.StreamMessageWriter(server.stdin),
);

const root = pathToFileURL(process.cwd()).href;
const uriOf = (name) => `${root}/${name}`;
const file = 'dinghy.block';
const uri = uriOf(file);
let text = readFileSync(file, 'utf8');
let version = 1;

// Diagnostics come by push; every wait is for a condition, never for a time.
const latest = new Map();
const waiting = new Set();
connection.onNotification(lsp.PublishDiagnosticsNotification.type, (p) => {
  latest.set(p.uri, p);
  for (const check of waiting) check();
});
const diagnostics = (right) =>
  new Promise((resolve) => {
    const check = () => {
      const p = latest.get(uri);
      if (p && p.version === version && right(p.diagnostics)) {
        waiting.delete(check);
        resolve(p.diagnostics);
      }
    };
    waiting.add(check);
    check();
  });
connection.onRequest(lsp.ConfigurationRequest.type, (p) => p.items.map(() => ({ pictures: 'image' })));
connection.onRequest(lsp.RegistrationRequest.type, () => {});
connection.onRequest(lsp.WorkDoneProgressCreateRequest.type, () => {});

const offset = (t, p) => t.split('\n').slice(0, p.line).reduce((n, l) => n + l.length + 1, 0) + p.character;
const position = (words) => {
  const before = text.slice(0, text.indexOf(words)).split('\n');
  return { line: before.length - 1, character: before.at(-1).length };
};
const applied = (t, edits) =>
  [...edits]
    .sort((a, b) => offset(t, b.range.start) - offset(t, a.range.start))
    .reduce((s, e) => s.slice(0, offset(t, e.range.start)) + e.newText + s.slice(offset(t, e.range.end)), t);
const editsOf = (edit, u) => edit.documentChanges.filter((c) => c.textDocument?.uri === u).flatMap((c) => c.edits);
const type = async (edits) => {
  const range = edits.map((e) => ({ range: e.range, text: e.newText })).sort((a, b) => offset(text, b.range.start) - offset(text, a.range.start));
  text = applied(text, edits);
  version++;
  await connection.sendNotification(lsp.DidChangeTextDocumentNotification.type, { textDocument: { uri, version }, contentChanges: range });
};

async function session() {
  connection.listen();
  const initialized = await connection.sendRequest(lsp.InitializeRequest.type, {
    processId: process.pid,
    clientInfo: { name: 'a test' },
    rootUri: root,
    workspaceFolders: [{ uri: root, name: 'harbour' }],
    capabilities: {
      textDocument: {
        publishDiagnostics: { versionSupport: true, relatedInformation: true },
        hover: { contentFormat: ['markdown'] },
        codeAction: {
          codeActionLiteralSupport: { codeActionKind: { valueSet: ['quickfix'] } },
          dataSupport: true,
          resolveSupport: { properties: ['edit'] },
        },
        rename: { prepareSupport: true },
      },
      workspace: { configuration: true, workspaceEdit: { documentChanges: true } },
      window: { workDoneProgress: true },
    },
  });
  out.server = initialized.serverInfo.name;
  await connection.sendNotification(lsp.InitializedNotification.type, {});
  const textDocument = { uri };
  await connection.sendNotification(lsp.DidOpenTextDocumentNotification.type, {
    textDocument: { uri, languageId: 'sewable', version, text },
  });

  const [d, ...more] = await diagnostics((list) => list.length > 0);
  out.findings = [d, ...more].map((x) => ({ line: x.range.start.line, column: x.range.start.character, message: x.message, code: x.code }));

  const hover = await connection.sendRequest(lsp.HoverRequest.type, { textDocument, position: position('patch 7') });
  out.hover = hover.contents.value;

  const actions = await connection.sendRequest(lsp.CodeActionRequest.type, {
    textDocument, range: d.range, context: { diagnostics: [d], only: ['quickfix'] },
  });
  const fix = await connection.sendRequest(lsp.CodeActionResolveRequest.type, actions.find((a) => a.title.includes('sky')));
  await type(editsOf(fix.edit, uri));
  out.fixed = text;
  await diagnostics((list) => list.length === 0);

  const end = { line: position('patch 7').line + 1, character: 0 };
  const whole = text;
  await type([{ range: { start: end, end }, newText: '    patch 8 \n' }]);
  const list = await connection.sendRequest(lsp.CompletionRequest.type, { textDocument, position: { line: end.line, character: 12 } });
  out.completions = (list.items ?? list).map((i) => i.label);
  await type([{ range: { start: end, end: { line: end.line + 1, character: 0 } }, newText: '' }]);
  if (text !== whole) throw new Error('the line is still there');

  const rename = await connection.sendRequest(lsp.RenameRequest.type, { textDocument, position: position('foam  around'), newName: 'spume' });
  await type(editsOf(rename, uri));
  out.renamed = text;
  out.palette = applied(readFileSync('palette.block', 'utf8'), editsOf(rename, uriOf('palette.block')));

  const start = position('patch 4 cedar');
  await type([{ range: { start, end: { line: start.line, character: start.character + 13 } }, newText: 'patch   4   cedar' }]);
  await type(await connection.sendRequest(lsp.DocumentFormattingRequest.type, { textDocument, options: { tabSize: 2, insertSpaces: true } }));
  out.formatted = text;

  await connection.sendRequest(lsp.ShutdownRequest.type);
  const ended = new Promise((resolve) => server.on('exit', resolve));
  await connection.sendNotification(lsp.ExitNotification.type);
  out.exit = await ended;
}

const patience = setTimeout(() => finish('no answer within a minute'), 60_000);
function finish(problem) {
  clearTimeout(patience);
  writeFileSync(process.env.SEWABLE_OUT, JSON.stringify({ ...out, problem }));
  process.exit(0);
}
session().then(() => finish(), (problem) => finish(problem.stack));
