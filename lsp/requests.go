package lsp

import (
	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"
)

// requests are the requests that the server answers. Those that are strict are
// of no use once their text has changed.
var requests map[string]handler

func init() {
	requests = map[string]handler{
		protocol.MethodShutdown: shutdown,

		// diagnostics.go, pull.go
		protocol.MethodTextDocumentDiagnostic: about(true, func(p *protocol.DocumentDiagnosticParams) uri.URI { return p.TextDocument.URI }, (*Server).diagnostic),
		protocol.MethodWorkspaceDiagnostic:    general((*Server).workspaceDiagnostic),

		// hover.go, completion.go
		protocol.MethodTextDocumentHover:         about(false, func(p *protocol.HoverParams) uri.URI { return p.TextDocument.URI }, (*Server).hover),
		protocol.MethodTextDocumentCompletion:    about(false, func(p *protocol.CompletionParams) uri.URI { return p.TextDocument.URI }, (*Server).completion),
		protocol.MethodCompletionItemResolve:     general((*Server).resolveCompletion),
		protocol.MethodTextDocumentSignatureHelp: about(false, func(p *protocol.SignatureHelpParams) uri.URI { return p.TextDocument.URI }, (*Server).signatureHelp),

		// navigate.go
		protocol.MethodTextDocumentDeclaration:       about(true, func(p *protocol.DeclarationParams) uri.URI { return p.TextDocument.URI }, (*Server).declaration),
		protocol.MethodTextDocumentDefinition:        about(true, func(p *protocol.DefinitionParams) uri.URI { return p.TextDocument.URI }, (*Server).definition),
		protocol.MethodTextDocumentTypeDefinition:    about(true, func(p *protocol.TypeDefinitionParams) uri.URI { return p.TextDocument.URI }, (*Server).typeDefinition),
		protocol.MethodTextDocumentReferences:        about(true, func(p *protocol.ReferenceParams) uri.URI { return p.TextDocument.URI }, (*Server).references),
		protocol.MethodTextDocumentDocumentHighlight: about(true, func(p *protocol.DocumentHighlightParams) uri.URI { return p.TextDocument.URI }, (*Server).documentHighlight),
		protocol.MethodTextDocumentDocumentLink:      about(true, func(p *protocol.DocumentLinkParams) uri.URI { return p.TextDocument.URI }, (*Server).documentLink),

		// order.go
		protocol.MethodTextDocumentPrepareCallHierarchy: about(true, func(p *protocol.CallHierarchyPrepareParams) uri.URI { return p.TextDocument.URI }, (*Server).prepareOrder),
		protocol.MethodCallHierarchyIncomingCalls:       about(true, func(p *protocol.CallHierarchyIncomingCallsParams) uri.URI { return p.Item.URI }, (*Server).waitFor),
		protocol.MethodCallHierarchyOutgoingCalls:       about(true, func(p *protocol.CallHierarchyOutgoingCallsParams) uri.URI { return p.Item.URI }, (*Server).waitsFor),

		// symbols.go
		protocol.MethodTextDocumentDocumentSymbol: about(true, func(p *protocol.DocumentSymbolParams) uri.URI { return p.TextDocument.URI }, kept((*Server).documentSymbol)),
		protocol.MethodWorkspaceSymbol:            general((*Server).workspaceSymbol),

		// look.go, tokens.go
		protocol.MethodTextDocumentInlayHint:               about(true, func(p *protocol.InlayHintParams) uri.URI { return p.TextDocument.URI }, (*Server).inlayHint),
		protocol.MethodTextDocumentCodeLens:                about(true, func(p *protocol.CodeLensParams) uri.URI { return p.TextDocument.URI }, (*Server).codeLens),
		protocol.MethodCodeLensResolve:                     general((*Server).resolveLens),
		protocol.MethodTextDocumentSemanticTokensFull:      about(true, func(p *protocol.SemanticTokensParams) uri.URI { return p.TextDocument.URI }, (*Server).tokensFull),
		protocol.MethodTextDocumentSemanticTokensFullDelta: about(true, func(p *protocol.SemanticTokensDeltaParams) uri.URI { return p.TextDocument.URI }, (*Server).tokensDelta),
		protocol.MethodTextDocumentSemanticTokensRange:     about(true, func(p *protocol.SemanticTokensRangeParams) uri.URI { return p.TextDocument.URI }, (*Server).tokensRange),
		protocol.MethodTextDocumentFoldingRange:            about(true, func(p *protocol.FoldingRangeParams) uri.URI { return p.TextDocument.URI }, kept((*Server).foldingRange)),
		protocol.MethodTextDocumentSelectionRange:          about(true, func(p *protocol.SelectionRangeParams) uri.URI { return p.TextDocument.URI }, (*Server).selectionRange),
		protocol.MethodTextDocumentDocumentColor:           about(true, func(p *protocol.DocumentColorParams) uri.URI { return p.TextDocument.URI }, (*Server).documentColor),
		protocol.MethodTextDocumentColorPresentation:       about(true, func(p *protocol.ColorPresentationParams) uri.URI { return p.TextDocument.URI }, (*Server).colorPresentation),
		protocol.MethodTextDocumentLinkedEditingRange:      about(true, func(p *protocol.LinkedEditingRangeParams) uri.URI { return p.TextDocument.URI }, (*Server).linkedEditing),

		// format.go, rename.go, actions.go
		protocol.MethodTextDocumentFormatting:       about(true, func(p *protocol.DocumentFormattingParams) uri.URI { return p.TextDocument.URI }, kept((*Server).formatting)),
		protocol.MethodTextDocumentRangeFormatting:  about(true, func(p *protocol.DocumentRangeFormattingParams) uri.URI { return p.TextDocument.URI }, (*Server).rangeFormatting),
		protocol.MethodTextDocumentRangesFormatting: about(true, func(p *protocol.DocumentRangesFormattingParams) uri.URI { return p.TextDocument.URI }, (*Server).rangesFormatting),
		protocol.MethodTextDocumentOnTypeFormatting: about(true, func(p *protocol.DocumentOnTypeFormattingParams) uri.URI { return p.TextDocument.URI }, (*Server).onTypeFormatting),
		protocol.MethodTextDocumentPrepareRename:    about(true, func(p *protocol.PrepareRenameParams) uri.URI { return p.TextDocument.URI }, (*Server).prepareRename),
		protocol.MethodTextDocumentRename:           about(true, func(p *protocol.RenameParams) uri.URI { return p.TextDocument.URI }, (*Server).rename),
		protocol.MethodWorkspaceWillRenameFiles:     general((*Server).willRenameFiles),
		protocol.MethodTextDocumentCodeAction:       about(true, func(p *protocol.CodeActionParams) uri.URI { return p.TextDocument.URI }, (*Server).codeAction),
		protocol.MethodCodeActionResolve:            general((*Server).resolveAction),

		// preview.go
		protocol.MethodWorkspaceExecuteCommand: general((*Server).executeCommand),

		// pages.go
		protocol.MethodWorkspaceTextDocumentContent: general((*Server).page),
	}
}
