// Starts the language server; it does the rest.
const vscode = require('vscode');
const { LanguageClient } = require('vscode-languageclient/node');

let client;

// preferences are what the server is told at the start. Later it asks for them itself.
function preferences() {
  const { config, pictures, hints, lenses, pages, log } = vscode.workspace.getConfiguration('sewable');
  return { config, pictures, hints, lenses, pages, log };
}

function create() {
  const command = vscode.workspace.getConfiguration('sewable').get('server.path') || 'sewable';
  return new LanguageClient(
    'sewable',
    'Sewable',
    { command, args: ['lsp'] },
    {
      documentSelector: [{ language: 'sewable' }],
      initializationOptions: preferences(),
      synchronize: { configurationSection: 'sewable' },
      outputChannelName: 'Sewable',
    },
  );
}

async function start() {
  client = create();
  try {
    await client.start();
  } catch (problem) {
    const settings = 'Open Settings';
    const answer = await vscode.window.showErrorMessage(
      `Sewable's language server does not start: ${problem.message ?? problem}. Is the program "sewable" on the PATH?`,
      settings,
    );
    if (answer === settings) {
      vscode.commands.executeCommand('workbench.action.openSettings', 'sewable.server.path');
    }
  }
}

async function stop() {
  await client?.stop().catch(() => {}); // it may never have started
}

// showPreview has the server open the preview of the document in the browser. From then on
// the server is told where the cursor is, so that its patch is lit there.
let previewing = false;

async function showPreview() {
  const editor = vscode.window.activeTextEditor;
  if (editor?.document.languageId !== 'sewable') {
    vscode.window.showInformationMessage('A preview is shown of a block file: open one first.');
    return undefined;
  }
  try {
    const address = await client.sendRequest('workspace/executeCommand', {
      command: 'sewable.preview',
      arguments: [editor.document.uri.toString()],
    });
    previewing = true;
    tellCursor(editor);
    return address;
  } catch (problem) {
    vscode.window.showErrorMessage(`The preview does not open: ${problem.message ?? problem}`);
    return undefined;
  }
}

function tellCursor(editor) {
  if (!previewing || editor.document.languageId !== 'sewable' || !client?.isRunning()) return;
  const { line, character } = editor.selection.active;
  client
    .sendNotification('sewable/cursor', { textDocument: { uri: editor.document.uri.toString() }, position: { line, character } })
    .catch(() => {}); // the server has just left
}

function activate(context) {
  const restart = async () => {
    previewing = false; // it ends with the server
    await stop();
    await start();
  };
  context.subscriptions.push(
    vscode.commands.registerCommand('sewable.showPreview', showPreview),
    vscode.window.onDidChangeTextEditorSelection((event) => tellCursor(event.textEditor)),
    vscode.commands.registerCommand('sewable.restart', restart),
    vscode.commands.registerCommand('sewable.log', () => client?.outputChannel.show()),
    vscode.workspace.onDidChangeConfiguration((event) => {
      if (event.affectsConfiguration('sewable.server.path')) restart();
    }),
  );
  start();
}

module.exports = { activate, deactivate: stop };
