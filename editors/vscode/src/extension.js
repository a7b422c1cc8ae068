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

function activate(context) {
  const restart = async () => {
    await stop();
    await start();
  };
  context.subscriptions.push(
    vscode.commands.registerCommand('sewable.restart', restart),
    vscode.commands.registerCommand('sewable.log', () => client?.outputChannel.show()),
    vscode.workspace.onDidChangeConfiguration((event) => {
      if (event.affectsConfiguration('sewable.server.path')) restart();
    }),
  );
  start();
}

module.exports = { activate, deactivate: stop };
